"""Eggs and birds on the scale."""
