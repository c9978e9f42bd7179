"""Plain CSV ascents: columns by name, the unit in the name."""

import re
from datetime import date

import numpy as np

from lowsun.physics.atmosphere import geopotential_height_m
from lowsun.physics.soundings.levels import (
    ALLOWED,
    ZERO_CELSIUS_K,
    Levels,
    humidity,
    refusal,
    span,
)

# name: (quantity, factor, offset) with SI value = factor * cell + offset
COLUMNS = {
    "pressure_hpa": ("pressure", 100.0, 0.0),
    "pressure_pa": ("pressure", 1.0, 0.0),
    "height_m": ("height", 1.0, 0.0),
    "geopotential_height_m": ("height", 1.0, 0.0),
    "geometric_height_m": ("height", 1.0, 0.0),
    "temperature_c": ("temperature", 1.0, ZERO_CELSIUS_K),
    "temperature_k": ("temperature", 1.0, 0.0),
    "dewpoint_c": ("dewpoint", 1.0, ZERO_CELSIUS_K),
    "dewpoint_k": ("dewpoint", 1.0, 0.0),
    "relative_humidity_percent": ("relative humidity", 0.01, 0.0),
    "relative_humidity": ("relative humidity", 1.0, 0.0),
}
NEEDED = ("pressure", "height", "temperature")
MISSING_WORDS = {"", "-", "--", "na", "n/a", "nan", "none", "null"}
MISSING_NUMBERS = {-9999.0, -8888.0}
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


def looks_plain(lines):
    """Whether the first line that is no comment names a known column."""
    _, head = _head(lines)
    return bool(set(_cells(head)) & set(COLUMNS))


def read_plain(lines, name):
    """The one ascent of a CSV file, as a list of one Levels."""
    number, head = _head(lines)
    names = _cells(head)
    places = _places(names, name, number)
    rows = [
        (at, line.split(","))
        for at, line in enumerate(lines[number:], number + 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    _require_shape(rows, names, name)
    return [_levels(rows, names, places, lines, name)]


def _levels(rows, names, places, lines, name):
    line_numbers = np.array([at for at, _ in rows], dtype=int)
    found = {
        quantity: np.array([_value(row[at], names[at], name, line) for line, row in rows])
        for quantity, at in places.items()
    }
    nothing = np.full(line_numbers.shape, np.nan)
    if names[places["height"]] == "geometric_height_m":
        found["height"] = geopotential_height_m(found["height"])
    share, set_aside = humidity(
        name,
        line_numbers,
        found["temperature"],
        found.get("relative humidity", nothing),
        found.get("dewpoint", nothing),
    )
    return Levels(
        line_numbers,
        found["pressure"],
        found["height"],
        found["temperature"],
        share,
        set_aside,
        notes=_notes(names, places),
        **_description(lines),
    )


def _head(lines):
    for number, line in enumerate(lines, 1):
        if line.strip() and not line.lstrip().startswith("#"):
            return number, line
    return len(lines), ""


def _cells(line):
    return [cell.strip().strip('"').strip().lower() for cell in line.split(",")]


def _places(names, name, line):
    """Where each quantity stands; refuses unknown units, doubles and gaps."""
    places = {}
    for at, column in enumerate(names):
        quantity = COLUMNS[column][0] if column in COLUMNS else _without_unit(column, name, line)
        if quantity in places:
            raise refusal(
                name,
                f"{quantity} is given twice, as {names[places[quantity]]} and {column}",
                "Keep one column for each quantity.",
                line=line,
                column=column,
            )
        if quantity:
            places[quantity] = at
    for quantity in NEEDED:
        if quantity not in places:
            raise refusal(
                name,
                f"there is no {quantity} column",
                f"Name it, with its unit, as one of {_spellings(quantity)}.",
                line=line,
            )
    return places


def _without_unit(column, name, line):
    words = column.replace(" ", "_").replace("(", "_")
    for quantity in ("pressure", "height", "temperature", "dewpoint", "relative humidity"):
        if words.startswith(quantity.replace(" ", "_")):
            raise refusal(
                name,
                f"{column[:60]!r} has no unit the reader knows",
                f"Allowed names for {quantity} are {_spellings(quantity)}.",
                line=line,
                column=column[:60],
            )
    return


def _spellings(quantity):
    return ", ".join(column for column, (of, _, _) in COLUMNS.items() if of == quantity)


def _require_shape(rows, names, name):
    for line, row in rows:
        if len(row) != len(names):
            raise refusal(
                name,
                f"{len(row)} cells where the header has {len(names)} columns",
                "Give every level one cell a column; leave a missing cell empty between commas.",
                line=line,
            )
    if not rows:
        raise refusal(name, "there is no level below the header", "Add the levels of the ascent.")


def _value(cell, column, name, line):
    text = cell.strip().strip('"').strip()
    if text.lower() in MISSING_WORDS:
        return np.nan
    if not NUMBER.fullmatch(text):
        raise refusal(
            name,
            f"{text[:40]!r} is not a number",
            "Write a number with a decimal point, or leave the cell empty.",
            line=line,
            column=column,
        )
    if float(text) in MISSING_NUMBERS:
        return np.nan
    return _in_si(float(text), column, name, line)


def _in_si(number, column, name, line):
    quantity, factor, offset = COLUMNS[column]
    low, high = ALLOWED[quantity]
    value = factor * number + offset
    if not low <= value <= high:
        raise refusal(
            name,
            f"{number:g} cannot be; allowed is {span(quantity, factor, offset)}",
            "Check the value and the unit in the column's name, or leave the cell empty.",
            line=line,
            column=column,
        )
    return value


def _notes(names, places):
    unread = [column for at, column in enumerate(names) if at not in places.values() and column]
    notes = [f"columns not used: {', '.join(unread)}"] if unread else []
    if not {"dewpoint", "relative humidity"} & set(places):
        notes.append("no humidity in the file, so the air is taken as dry")
    return tuple(notes)


def _description(lines):
    """Comment lines as they are; station, place and time where they are plainly written there."""
    comments = [line.lstrip()[1:].strip() for line in lines if line.lstrip().startswith("#")]
    text = "\n".join(comments)
    station = re.search(r"\bstation (\w{1,20})", text)
    place = re.search(r"(\d{1,2}(?:\.\d+)?) ([NS]), (\d{1,3}(?:\.\d+)?) ([EW])\b", text)
    latitude, longitude = _place(place)
    day, hour = _time(text)
    return {
        "description": text,
        "station": station[1] if station else "",
        "date": day,
        "hour_utc": hour,
        "latitude_deg": latitude,
        "longitude_deg": longitude,
    }


def _place(match):
    if match is None or float(match[1]) > 90.0 or float(match[3]) > 180.0:
        return None, None
    north = float(match[1]) * (1 if match[2] == "N" else -1)
    east = float(match[3]) * (1 if match[4] == "E" else -1)
    return north, east


def _time(text):
    match = re.search(r"\b(\d{4}-\d{2}-\d{2})[ T](\d{2})(?::\d{2})* ?(?:UTC|Z)\b", text, re.ASCII)
    try:
        day = date.fromisoformat(match[1]) if match else None
    except ValueError:  # a comment is free text: a date that is none names no day
        day = None
    return (day, int(match[2])) if day and int(match[2]) < 24 else (None, None)
