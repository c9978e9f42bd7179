"""Ascents with a line for each level: cells between commas, semicolons or tabs, under titles."""

import csv
import re

from lowsun.physics.soundings import columns, headers
from lowsun.physics.soundings.levels import AscentError
from lowsun.words import say

MOST_CELLS = 200  # a line with more cells is no table


def looks_plain(lines):
    """Whether the first line that is no comment names a quantity beside others."""
    number, head = _head(lines)
    try:
        titles = _cells(head, _delimiter(head), number)
    except AscentError:
        return False
    return len(titles) > 1 and any(headers.understood(title)[0] for title in titles)


def read_plain(lines):
    """The one ascent of the file, as a list of one Levels."""
    number, head = _head(lines)
    delimiter = _delimiter(head)
    titles = _cells(head, delimiter, number)
    rows = [
        (at, _cells(line, delimiter, at))
        for at, line in enumerate(lines[number:], number + 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    _require_shape(rows, titles)
    if rows and _are_units(rows[0][1]):
        titles = [f"{title} [{unit}]" for title, unit in zip(titles, rows.pop(0)[1], strict=True)]
    found, others = headers.columns(titles, number)
    comments = [line.lstrip()[1:].strip() for line in lines if line.lstrip().startswith("#")]
    around = columns.described("\n".join(comments))
    return [columns.levels(rows, found, others, around, decimal_comma=delimiter != ",")]


def _head(lines):
    for number, line in enumerate(lines, 1):
        if line.strip() and not line.lstrip().startswith("#"):
            return number, line
    return len(lines), ""


def _delimiter(head):
    return next((mark for mark in ";\t" if mark in head), ",")


def _cells(line, delimiter, number):
    try:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True, strict=True))
    except csv.Error as refused:
        raise AscentError(
            say("the cells cannot be told apart"),
            say("Close every quotation mark in its own line."),
            line=number,
        ) from refused
    if len(cells) > MOST_CELLS:
        raise AscentError(
            say(
                "{cells} cells stand in one line; allowed are {most}",
                cells=len(cells),
                most=MOST_CELLS,
            ),
            say("Write one line for each level."),
            line=number,
        )
    return [re.sub(r"\s+", " ", cell.strip()) for cell in cells]


def _are_units(cells):
    return any(map(headers.is_unit, cells)) and not any(map(columns.is_number, cells))


def _require_shape(rows, titles):
    for line, row in rows:
        if len(row) != len(titles):
            raise AscentError(
                say(
                    "{cells} cells where the header has {columns} columns",
                    cells=len(row),
                    columns=len(titles),
                ),
                say(
                    "Give every level one cell a column; leave a missing cell empty between commas."
                ),
                line=line,
            )
