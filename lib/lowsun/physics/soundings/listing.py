"""The fixed-width text lists of public archives: PRES HGHT TEMP DWPT RELH between rule lines.

A line of titles, below it one of units, then a line for each level with its numbers right-aligned
under the titles and blanks where there is none. What stands around the lists is free text.
"""

import re
from datetime import datetime

from lowsun.physics.soundings import columns, headers
from lowsun.physics.soundings.levels import AscentError
from lowsun.words import say

RULE = re.compile(r"\s*-{10,}\s*", re.ASCII)
TITLES = re.compile(r"\s*[A-Z]{1,5}\d?(\s+[A-Z]{1,5}\d?){2,20}\s*", re.ASCII)
HEADING = re.compile(r"(\d{5})\b.{0,80}?\bat (\d\d)Z (\d\d \w{3} \d{4})\b", re.ASCII)
LEAST_QUANTITIES = 3


def looks_listing(lines):
    """Whether a line of titles of such a list is among the first hundred lines."""
    return any(map(_is_head, lines[:100]))


def read_listing(lines):
    """All ascents of the file, as a list of Levels."""
    heads = [at for at, line in enumerate(lines) if _is_head(line)]
    return [
        _ascent(lines, head, end, before)
        for before, head, end in zip([0, *heads], heads, [*heads[1:], len(lines)], strict=False)
    ]


def _is_head(line):
    named = [headers.understood(word)[0] for word in line.split()] if TITLES.fullmatch(line) else []
    return len(set(named) - {None}) >= LEAST_QUANTITIES


def _ascent(lines, head, end, before):
    ends = [match.end() for match in re.finditer(r"\S+", lines[head])]
    units = lines[head + 1].split() if head + 1 < end else []
    if len(units) != len(ends):
        raise AscentError(
            say("{titles} titles stand above {units} units", titles=len(ends), units=len(units)),
            say("Keep the line of units below the titles, as the archive gives it."),
            line=head + 2,
        )
    titles = [f"{title} [{unit}]" for title, unit in zip(lines[head].split(), units, strict=True)]
    found, others = headers.columns(titles, head + 1)
    rows = _rows(lines, head + 2, end, ends)
    return columns.levels(rows, found, others, _described("\n".join(lines[before:head])))


def _rows(lines, begin, end, ends):
    """The lines of numbers, up to the first of other words."""
    rows = []
    for at in range(begin, end):
        if RULE.fullmatch(lines[at]) or not lines[at].strip():
            continue
        cells = [lines[at][low:high].strip() for low, high in zip([0, *ends], ends, strict=False)]
        if not any(map(columns.is_number, cells)) or re.search(r"[A-Za-z<]{2}", lines[at]):
            break
        rows.append((at + 1, cells))
    return rows


def _described(text):
    found = columns.described("")
    heading = HEADING.search(text)
    if heading is None:
        return found
    try:
        found["date"] = datetime.strptime(heading[3], "%d %b %Y").date()
        found["hour_utc"] = int(heading[2]) if int(heading[2]) < 24 else None
    except ValueError:  # a heading is free text: a date that is none names no day
        return found
    return found | {"station": heading[1]}
