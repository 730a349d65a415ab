"""Keeping the book safe for years: back-ups, restoring one, and the whole farm as one file that any house can read."""
