"""Rows of cells under titles that are understood: the levels of one ascent."""

import re
from datetime import date

import numpy as np

from lowsun.physics.atmosphere import geopotential_height_m
from lowsun.physics.soundings.headers import (
    DEWPOINT,
    GEOMETRIC,
    HEIGHT,
    HUMIDITY,
    PRESSURE,
    TEMPERATURE,
)
from lowsun.physics.soundings.levels import ALLOWED, AscentError, Levels, humidity, span
from lowsun.words import say

MISSING_WORDS = {"", "-", "--", "/", "//", "///", "na", "n/a", "nan", "none", "null"}
MISSING_NUMBERS = {-9999.0, -8888.0, -999.0}
NUMBER = re.compile(r"[+-]?(\d++\.?\d*+|\.\d++)([eE][+-]?\d++)?", re.ASCII)
DECIMAL_COMMA = re.compile(r"[+-]?\d++,\d++", re.ASCII)
LONGEST_NUMBER = 40  # letters
PLACE = re.compile(
    r"(\d{1,2}(?:\.\d{1,9})?) ([NS]), (\d{1,3}(?:\.\d{1,9})?) ([EW])\b(?:, (\d{1,4}) m\b)?",
    re.ASCII,
)


def levels(rows, columns, others, description, *, decimal_comma=False):
    """The Levels of rows [(line, cells)]; `columns` and `others` as `headers.columns` gives them.

    description: what the words around the rows say, by the names of the fields of Levels.
    Raises AscentError where there are none.
    """
    if not rows:
        raise AscentError(
            say("there is no level below the header"), say("Add the levels of the ascent.")
        )
    lines = np.array([line for line, _ in rows], dtype=int)
    found = {
        quantity: np.array(
            [_value(row[column.at], column, quantity, line, decimal_comma) for line, row in rows]
        )
        for quantity, column in columns.items()
    }
    nothing = np.full(lines.shape, np.nan)
    if GEOMETRIC in found:
        found[HEIGHT] = geopotential_height_m(found[GEOMETRIC])
    share, set_aside = humidity(
        lines, found[TEMPERATURE], found.get(HUMIDITY, nothing), found.get(DEWPOINT, nothing)
    )
    return Levels(
        lines,
        found[PRESSURE],
        found.get(HEIGHT, nothing),
        found[TEMPERATURE],
        share,
        set_aside,
        notes=(say("columns not used: {columns}", columns=", ".join(others)),) if others else (),
        **description,
    )


def is_number(cell):
    """Whether a cell holds a number."""
    return bool(NUMBER.fullmatch(cell) or DECIMAL_COMMA.fullmatch(cell))


def _value(cell, column, quantity, line, decimal_comma):
    text = cell.strip()
    if text.lower() in MISSING_WORDS:
        return np.nan
    if decimal_comma and DECIMAL_COMMA.fullmatch(text):
        text = text.replace(",", ".")
    if len(text) > LONGEST_NUMBER or not NUMBER.fullmatch(text):
        raise AscentError(
            say("{text} is not a number", text=repr(text[:40])),
            say("Write a number with a decimal point, or leave the cell empty."),
            line=line,
            column=column.title,
        )
    return np.nan if float(text) in MISSING_NUMBERS else _in_si(float(text), column, quantity, line)


def _in_si(number, column, quantity, line):
    kind = HEIGHT if quantity == GEOMETRIC else quantity
    low, high = ALLOWED[kind]
    value = column.factor * number + column.offset
    if not low <= value <= high:
        raise AscentError(
            say(
                "{number:g} cannot be; allowed is {span}",
                number=number,
                span=span(kind, column.factor, column.offset),
            ),
            say("Check the value and the unit in the column's name, or leave the cell empty."),
            line=line,
            column=column.title,
        )
    return value


def described(text):
    """Station, place, height and time where they are plainly written in the words around."""
    station = re.search(r"\bstation (\w{1,20})", text)
    place = PLACE.search(text)
    latitude, longitude = _place(place)
    day, hour = _time(text)
    return {
        "description": text,
        "station": station[1] if station else "",
        "date": day,
        "hour_utc": hour,
        "latitude_deg": latitude,
        "longitude_deg": longitude,
        "station_m": float(place[5]) if place and place[5] else None,
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
