"""Choosing: what becomes of a bird, and birds weighed together."""
