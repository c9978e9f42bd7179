"""What the commands take from the words of a command line."""

from math import isfinite


def number(text):
    """A number; Python's own `float` would take "nan" and "inf" for some too."""
    value = float(text)
    if not isfinite(value):
        raise ValueError(text)
    return value
