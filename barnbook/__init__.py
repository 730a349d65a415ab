"""Barnbook: the book of a small quail barn, kept where the work is done."""
