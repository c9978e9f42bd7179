"""Runs of True in a row of yes and no."""

import numpy as np


def runs(yes):
    """Where runs of True begin, and the places after their ends: (R, 2) of booleans (N,)."""
    framed = np.concatenate([[False], np.asarray(yes, bool), [False]])
    return np.flatnonzero(framed[1:] != framed[:-1]).reshape(-1, 2)
