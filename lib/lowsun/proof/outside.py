"""What others publish: values, what may lie between theirs and the kit's, and where they stand.

`data/outside_values.csv` holds a line a value, `data/outside_sources.csv` a line a source.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import log

from lowsun.errors import InputFileError

KINDS = {
    "printed": "printed in the source named",
    "formula": "computed from the formula of the source named",
    "library": "computed by the library named, and computed again when the tests run",
    "offline": "computed once by the library named",
    "practice": "common practice, no source",
}


@dataclass(frozen=True)
class Source:
    """Where values come from: kind, one of KINDS, and citation."""

    name: str
    kind: str
    citation: str


@dataclass(frozen=True)
class Allowed:
    """How far two values may lie apart: `kind` "by", "share", "factor" or "range", and how much.

    "by" in the value's own unit, "share" of the outside value, "factor" either way, "range"
    anywhere between two published ends.
    """

    kind: str
    amount: float

    def used(self, ours, outside):
        """The share of what is allowed that the difference uses up: 1 is the limit."""
        if self.kind == "factor":
            return abs(log(ours / outside)) / log(self.amount) if ours > 0 else float("inf")
        scale = abs(outside) if self.kind == "share" else 1.0
        return abs(ours - outside) / (self.amount * scale)


@dataclass(frozen=True)
class Outside:
    """One outside value: of what (`measure`, with what is `given`), how much, and by whom.

    printed: the value as it stands in the table; middle: the number to compare with, that of a
    range its middle; because: what the allowance is made of.
    """

    measure: str
    given: dict
    printed: str
    middle: float
    allowed: Allowed
    source: Source
    because: str


@cache
def sources():
    """All sources by their short names."""
    return {row["source"]: Source(*row.values()) for row in _rows("outside_sources")}


@cache
def outside_values():
    """All outside values, in the order of the table."""
    return tuple(_value(row) for row in _rows("outside_values"))


def _value(row):
    try:
        middle, allowed = _span(row["outside"], row["allowed"])
        source = sources()[row["source"]]
        return Outside(
            measure=row["measure"],
            given=_given(row["given"]),
            printed=row["outside"],
            middle=middle,
            allowed=allowed,
            source=source,
            because=row["because"],
        )
    except (KeyError, ValueError, TypeError) as refused:
        raise InputFileError(
            f"outside_values.csv: the line of {row.get('measure')}, {row.get('given')}, cannot be"
            f" read ({refused}). Correct its value, what is allowed, or its source."
        ) from refused


def _span(outside, allowed):
    """The number to compare with, and what is allowed: "0.3", "2 %", "x1.5" or "range"."""
    if allowed == "range":
        low, high = (float(end) for end in outside.split(" to "))
        return (low + high) / 2.0, Allowed("range", (high - low) / 2.0)
    if allowed.startswith("x"):
        return float(outside), Allowed("factor", float(allowed[1:]))
    if allowed.endswith(" %"):
        return float(outside), Allowed("share", float(allowed[:-2]) / 100.0)
    return float(outside), Allowed("by", float(allowed))


def _given(text):
    """ "altitude_deg=5; day=2027-03-20" as names and values; what is no number stays text."""
    pairs = (pair.split("=") for pair in text.split("; ") if pair)
    return {name: _number_or_text(value) for name, value in pairs}


def _number_or_text(value):
    try:
        return float(value)
    except ValueError:
        return value


def _rows(name):
    text = (files("lowsun.data") / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
