"""Where in a TOML file a table stands: what reads the file keeps no lines."""

import re
from contextlib import contextmanager

from lowsun import files
from lowsun.errors import InputFileError, LowsunError


@contextmanager
def told_at(path, table, number):
    """What the block refuses, with the file, the table's number (from 0) and its line before it."""
    try:
        yield
    except (LowsunError, TypeError, ValueError, AttributeError, KeyError) as refused:
        place = f"{path}, {table} {number + 1} (line {_line_of(path, table, number)})"
        raise InputFileError(f"{place}: {refused}") from refused


def require_known(table, known):
    """The table, or an InputFileError that names the keys it should not hold."""
    unknown = set(table) - set(known)
    if unknown:
        raise InputFileError(
            f"it holds {', '.join(sorted(unknown))}; allowed is: {', '.join(sorted(known))}."
        )
    return table


def _line_of(path, table, number):
    lines = files.content(path).decode("utf-8-sig").splitlines()
    header = re.compile(rf"\s*\[\[\s*{table}\s*\]\]")
    begins = [at for at, line in enumerate(lines, 1) if header.match(line)]
    return begins[number] if number < len(begins) else "?"
