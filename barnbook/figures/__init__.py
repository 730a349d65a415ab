"""Pure computation: numbers in, figures out.

One idea of the trade a file. NumPy and SciPy; no Django, no clock, no files: the day is an argument.
Every figure carries its interval, n, span and what was left out (see `estimate.py`), and with too little
data it says what is missing instead of showing a number.
"""
