"""Birds that leave or come: processed, sold, bought in."""
