"""From the hatch to the cage: a brood, and where its birds are placed."""
