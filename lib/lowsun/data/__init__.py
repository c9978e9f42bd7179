"""Published tables, each with its source in the lines that begin with '#'."""

from functools import cache
from importlib.resources import files

import numpy as np


@cache
def table(name):
    """The published table of that name, its columns by their names: `table("x")["height_m"]`.

    Read once and not writable. Sources stand at the head of the CSV files.
    """
    lines = (files(__name__) / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    rows = [line for line in lines if line and not line.startswith("#")]
    columns = np.genfromtxt(rows, delimiter=",", names=True)
    columns.flags.writeable = False
    return columns
