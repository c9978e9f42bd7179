"""Comparisons as text: for the terminal, as a table in Markdown, as a short one for a notebook."""

import re
from itertools import groupby

from lowsun.proof.comparing import comparisons
from lowsun.proof.outside import KINDS

TOLD = ("what, where it lies closest to its limit", "here", "there", "allowed", "by whom")
HEADINGS = ("quantity", "ours", "outside", "difference", "allowed", "because", "source")
UNITS = {
    "deg": "°",
    "c": " °C",
    "k": " K",
    "hpa": " hPa",
    "pa": " Pa",
    "nm": " nm",
    "m": " m",
    "s": " s",
    "ppm": " ppm",
    "du": " DU",
}
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
DIVIDED = {"cd_per_m2": " cd/m²", "m_per_s": " m/s"}
PLAIN = {"utc", "day", "body", "year"}  # these are told by their value alone


def cells(row):
    """The cells of one comparison under HEADINGS, as text."""
    value = row.outside
    return (
        quantity(row),
        ours_text(row),
        _theirs(row),
        difference_text(row),
        allowed_text(row),
        value.because,
        value.source.citation,
    )


def quantity(row):
    """What is compared, with what is given: "refraction, apparent altitude 0.5°"."""
    return ", ".join([row.measure.label, *given_texts(row)])


def given_texts(row):
    """Everything that is given, each in words and units."""
    return [given_text(name, value) for name, value in row.outside.given.items()]


def given_text(name, value):
    """One of the given values in words and units."""
    shown = _powers(f"{value:g}") if isinstance(value, float) else value.replace("T", " ")
    if name in PLAIN:
        return shown + " UTC" * (name == "utc")
    for ending, unit in (DIVIDED | UNITS).items():
        if name.endswith(f"_{ending}"):
            return f"{name.removesuffix('_' + ending).replace('_', ' ')} {shown}{unit}"
    words = re.sub(r"(\d+)nm$", r"at \1 nm", name.replace("_", " "))
    return f"{words} {shown}"


def ours_text(row):
    """The kit's value, to one figure more than the outside one is printed with."""
    return _like(row.ours, row.outside.printed) + _joined(row.measure.unit)


def difference_text(row):
    """Ours less theirs, in the form in which the allowance is given."""
    ours, theirs = row.ours, row.outside.middle
    if row.outside.allowed.kind == "factor":
        return f"× {ours / theirs:.2f}"
    if row.outside.allowed.kind == "share":
        return f"{100.0 * (ours / theirs - 1.0):+.2g} %"
    if row.outside.allowed.kind == "range":
        return "inside" if row.holds else "outside"
    return f"{_powers(f'{ours - theirs:+.2g}')}{_joined(row.measure.unit)}"


def allowed_text(row):
    """What is allowed between them."""
    allowed = row.outside.allowed
    if allowed.kind == "factor":
        return f"× {allowed.amount:g} either way"
    if allowed.kind == "share":
        return f"± {100.0 * allowed.amount:g} %"
    if allowed.kind == "range":
        return "within the range"
    return f"± {_powers(f'{allowed.amount:g}')}{_joined(row.measure.unit)}"


def markdown(rows):
    """A table in Markdown, a line a comparison, in the order given."""
    return _table([HEADINGS, ("---",) * len(HEADINGS), *map(cells, rows)])


def plain(rows):
    """Three lines a comparison for a terminal: values, source, what the allowance is made of."""
    return "\n".join(map(_plain_row, rows)) + "\n"


def worst_of_each(rows):
    """One row for each quantity and source: the one that uses most of what is allowed."""
    groups = groupby(sorted(rows, key=_group), key=_group)
    return sorted((max(group, key=_used) for _, group in groups), key=lambda row: -row.used)


def told(rows):
    """A table in Markdown for a notebook: a line a quantity and source, its least certain value."""
    lines = [TOLD, ("---",) * len(TOLD)]
    for worst in worst_of_each(rows):
        count = sum(_group(row) == _group(worst) for row in rows)
        lines.append(
            (
                quantity(worst),
                ours_text(worst),
                _theirs(worst),
                allowed_text(worst),
                _by(worst, count),
            )
        )
    return _table(lines)


def known(measures):
    """What a notebook says of its measures: one sentence and the table `told`, computed now."""
    rows = comparisons(measures)
    return f"{summary(rows)} `python -m lowsun compare` computes them again.\n\n{told(rows)}"


def summary(rows):
    """One sentence: how many there are, and how many lie outside."""
    failed = sum(not row.holds for row in rows)
    tells = f"{failed} outside what is allowed" if failed else "all within what is allowed"
    return (
        f"{len(rows)} values of {len({row.outside.source.name for row in rows})} sources: {tells}."
    )


def kinds(rows):
    """What the sources are: a sentence for every kind there is among the rows."""
    found = {row.outside.source.kind for row in rows}
    return [f"{kind}: {text}" for kind, text in KINDS.items() if kind in found]


def _by(row, count):
    """Who says so, and how many values of theirs are compared."""
    return row.outside.source.citation + f" ({count} values)" * (count > 1)


def _table(lines):
    return "\n".join(f"| {' | '.join(line)} |" for line in lines) + "\n"


def _theirs(row):
    return _powers(row.outside.printed) + _joined(row.measure.unit)


def _plain_row(row):
    what, ours, outside, difference, allowed, because, source = cells(row)
    state = "good  " if row.holds else "FAILED"
    return (
        f"{state}  {what}: {ours}, outside {outside}, difference {difference}, allowed {allowed}\n"
        f"        {source}" + f"\n        allowance: {because}" * bool(because)
    )


def _group(row):
    return row.outside.measure, row.outside.source.name


def _used(row):
    return row.used


def _like(number, printed):
    """A number written as the printed one is, with one figure more where it is a fraction."""
    if number != number:
        return "none"
    first = printed.split(" to ")[0]
    figures = len(first.split("e")[0].partition(".")[2])
    if "e" in first:
        return _powers(f"{number:.{figures + 1}e}")
    return f"{number:.{figures + (figures > 0 or abs(number) < 1e4)}f}"


def _powers(text):
    """ "1.2e-05" as "1.2 × 10⁻⁵"; other numbers as they are."""
    digits, _, power = text.partition("e")
    return f"{digits} × 10{str(int(power)).translate(RAISED)}" if power else text


def _joined(unit):
    """A unit behind a number: signs of angles close to it, all others after a space."""
    return unit if unit in ("", "°", "′", "″") else f" {unit}"
