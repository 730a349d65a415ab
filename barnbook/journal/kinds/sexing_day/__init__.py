"""Looking at the vents of a brood."""
