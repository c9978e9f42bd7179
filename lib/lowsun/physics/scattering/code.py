"""Which code and which published tables a sky's table is computed from, in one digest.

A table that another edition of the code made is not read: nobody has to remember to say so.
Comments, docstrings and blank lines do not count.
"""

import hashlib
import inspect
import tokenize
from functools import cache
from importlib.resources import files

from lowsun.physics import air, atmosphere, extinction
from lowsun.physics.scattering import (
    exchange,
    grid,
    haze_phase,
    moments,
    optics,
    orders,
    paths,
    shells,
    sunbeam,
    table,
)

MAKERS = (
    air, atmosphere, extinction, exchange, grid, haze_phase, moments, optics, orders, paths, shells,
    sunbeam,
    table,
)  # fmt: skip
READ = (
    "haze_phase_marine.csv",
    "ozone_cross_section_233k.csv",
    "ozone_profile_us_standard_1976.csv",
)
_SILENT = {tokenize.COMMENT, tokenize.NL}
_BETWEEN = {tokenize.NEWLINE: ";", tokenize.INDENT: "{", tokenize.DEDENT: "}"}


@cache
def digest():
    """Eight hexadecimal digits of all that a table depends on beside the air."""
    found = hashlib.sha256()
    for module in MAKERS:
        found.update(statements(inspect.getsource(module)).encode())
        found.update(repr(_constants(module)).encode())
    for name in READ:
        found.update((files("lowsun.data") / name).read_bytes())
    return found.hexdigest()[:8]


def statements(source):
    """Python source without comments, docstrings and layout, the same from Python 3.11 on."""
    kept, before = [], tokenize.NEWLINE
    for token in tokenize.generate_tokens(iter(source.splitlines(keepends=True)).__next__):
        if token.type in _SILENT:
            continue
        docstring = token.type == tokenize.STRING and before in _BETWEEN
        kept.append("" if docstring else _BETWEEN.get(token.type, token.string))
        before = token.type
    return "".join("".join(kept).split())


def _constants(module):
    """Plain values by their names, among them those that come from other modules."""
    return sorted(
        (name, value)
        for name, value in vars(module).items()
        if name.isupper() and type(value) in (int, float, str, tuple)
    )
