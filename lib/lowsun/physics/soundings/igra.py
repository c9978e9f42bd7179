"""Ascents in the fixed-width records of the Integrated Global Radiosonde Archive, version 2.

Columns as documented by NOAA NCEI in igra2-data-format.txt: a header record begins with `#` and
says how many data records follow.
"""

import re
from dataclasses import replace
from datetime import date

import numpy as np

from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.soundings.levels import (
    ALLOWED,
    AscentError,
    Levels,
    humidity,
    span,
)
from lowsun.words import say

HEADER = re.compile(r"#[A-Z0-9-]{11} \d{4} \d\d \d\d \d\d ", re.ASCII)
HEADER_COLUMNS = {  # name: first and last column, counted from 1 as in the documentation
    "ID": (2, 12),
    "YEAR": (14, 17),
    "MONTH": (19, 20),
    "DAY": (22, 23),
    "HOUR": (25, 26),
    "NUMLEV": (33, 36),
    "LAT": (56, 62),
    "LON": (64, 71),
}
HEADER_LENGTH, RECORD_LENGTH = 71, 51
COLUMNS = {  # name: columns, quantity, factor, offset to SI
    "PRESS": (10, 15, "pressure", 1.0, 0.0),
    "GPH": (17, 21, "height", 1.0, 0.0),
    "TEMP": (23, 27, "temperature", 0.1, ZERO_CELSIUS_K),
    "RH": (29, 33, "relative humidity", 0.001, 0.0),
    "DPDP": (35, 39, "depression", 0.1, 0.0),
}
MISSING = {-9999, -8888}  # absent; removed by the archive's own quality checks
NOWHERE = {-988888, -998888, -999999, -9988888, -9998888, -9999999}  # moving or missing station
MISSING_HOUR = 99
INTEGER = re.compile(r" *-?\d+", re.ASCII)
MAJOR_TYPES, FLAGS = "123", " AB"
FLAG_COLUMNS = (16, 22, 28)  # the columns of the flags of pressure, height and temperature
BLANK_COLUMNS = (3, 9, 34, 40, 46)


def looks_igra(lines):
    """Whether the first line that is not blank is an IGRA header record."""
    first = next((line for line in lines if line.strip()), "")
    return bool(HEADER.match(first))


def read_igra(lines):
    """All ascents of the file, as a list of Levels."""
    filled = [(number, line) for number, line in enumerate(lines, 1) if line.strip()]
    ascents, at, notes = [], 0, ()
    while at < len(filled):
        number, text = filled[at]
        header = _header(text, number)
        records = filled[at + 1 : at + 1 + header["NUMLEV"]]
        at += 1 + len(records)
        if ascents and not records and header["NUMLEV"] > 0:
            notes = (_absent(header, number),)
            continue
        _require_count(records, header, number)
        ascents.append(_levels(records, header, number))
    warm = [levels for levels in ascents if np.isfinite(levels.temperature_k).any()]
    if warm and len(warm) < len(ascents):
        without = len(ascents) - len(warm)
        notes += (say("{ascents} ascents without any temperature left out", ascents=without),)
    return [replace(levels, notes=levels.notes + notes) for levels in warm or ascents]


def _absent(header, number):
    return say(
        "the file ends at line {line} with the header of {date} and none of its {levels} levels:"
        " that ascent is left out",
        line=number,
        date=header["date"],
        levels=header["NUMLEV"],
    )


def _header(text, line):
    if not text.startswith("#") or len(text.rstrip()) < HEADER_LENGTH:
        raise AscentError(
            say(
                "a header record of {length} characters beginning with # is due here, not {text}",
                length=HEADER_LENGTH,
                text=repr(text[:20]),
            ),
            say("NUMLEV of the header above may not match its records; fetch the file again."),
            line=line,
        )
    fields = {column: _header_field(text, column, line) for column in HEADER_COLUMNS}
    try:
        fields["date"] = date(fields["YEAR"], fields["MONTH"], fields["DAY"])
    except ValueError as refused:
        raise AscentError(
            say("{text} is no date", text=repr(text[13:23])),
            say("Allowed is YYYY MM DD; fetch the file again."),
            line=line,
            column="YEAR MONTH DAY (14-23)",
        ) from refused
    return fields


def _header_field(text, column, line):
    first, last = HEADER_COLUMNS[column]
    field = text[first - 1 : last]
    return field.strip() if column == "ID" else _integer(field, column, first, last, line)


def _integer(field, column, first, last, line):
    if not INTEGER.fullmatch(field):
        raise AscentError(
            say("{text} is not a whole number", text=repr(field)),
            say("Allowed is a whole number, right-justified; fetch the file again."),
            line=line,
            column=f"{column} ({first}-{last})",
        )
    return int(field)


def _require_count(records, header, line):
    found = next((at for at, (_, text) in enumerate(records) if text.startswith("#")), len(records))
    if found != header["NUMLEV"] or not found:
        raise AscentError(
            say(
                "the header promises {promised} levels and {found} follow",
                promised=header["NUMLEV"],
                found=found,
            ),
            say("The ascent is cut short; fetch the file again or delete this ascent."),
            line=line,
            column="NUMLEV (33-36)",
        )


def _levels(records, header, header_line):
    lines = np.array([number for number, _ in records])
    for number, text in records:
        _require_record(text, number)
    found = {column: _column(records, column) for column in COLUMNS}
    share, set_aside = humidity(lines, found["TEMP"], found["RH"], found["TEMP"] - found["DPDP"])
    return Levels(
        lines,
        found["PRESS"],
        found["GPH"],
        found["TEMP"],
        share,
        set_aside,
        pressure_needed=True,  # levels without pressure are winds, listed after the others
        station=header["ID"],
        date=header["date"],
        hour_utc=_hour(header["HOUR"], header_line),
        latitude_deg=_coordinate(header, "LAT", 90.0, header_line),
        longitude_deg=_coordinate(header, "LON", 180.0, header_line),
        description=f"IGRA version 2, station {header['ID']}",
    )


def _require_record(text, line):
    if len(text) < RECORD_LENGTH or text[0] not in MAJOR_TYPES:
        raise AscentError(
            say("{text} is no data record", text=repr(text[:20])),
            say(
                "Allowed are {length} characters beginning with level type 1, 2 or 3; fetch the"
                " file again.",
                length=RECORD_LENGTH,
            ),
            line=line,
            column="LVLTYP1 (1)",
        )
    allowed = dict.fromkeys(BLANK_COLUMNS, " ") | dict.fromkeys(FLAG_COLUMNS, FLAGS)
    for at, characters in allowed.items():
        if text[at - 1] not in characters:
            raise AscentError(
                say(
                    "{found} stands where one of {allowed} is due",
                    found=repr(text[at - 1]),
                    allowed=str(list(characters)),
                ),
                say("The columns of this record have shifted; fetch the file again."),
                line=line,
                column=at,
            )


def _column(records, column):
    first, last, quantity, factor, offset = COLUMNS[column]
    values = np.empty(len(records))
    low, high = ALLOWED[quantity]
    for at, (line, text) in enumerate(records):
        number = _integer(text[first - 1 : last], column, first, last, line)
        values[at] = np.nan if number in MISSING else factor * number + offset
        if values[at] < low or values[at] > high:
            raise AscentError(
                say(
                    "{number} cannot be; allowed is {span}, or -9999 for missing",
                    number=number,
                    span=span(quantity, factor, offset),
                ),
                say("Correct the record or delete this ascent."),
                line=line,
                column=f"{column} ({first}-{last})",
            )
    return values


def _hour(hour, line):
    if hour == MISSING_HOUR:
        return None
    if hour > 23:
        raise AscentError(
            say("hour is {hour}", hour=hour),
            say("Allowed is 00 to 23, or 99 for missing."),
            line=line,
            column="HOUR (25-26)",
        )
    return hour


def _coordinate(header, column, most, line):
    if header[column] in NOWHERE:
        return None
    degrees = header[column] * 1e-4
    if abs(degrees) > most:
        raise AscentError(
            say(
                "{degrees:g} degrees cannot be; allowed is {low:g} to {high:g}",
                degrees=degrees,
                low=-most,
                high=most,
            ),
            say("Fetch the file again."),
            line=line,
            column=f"{column} ({HEADER_COLUMNS[column][0]}-{HEADER_COLUMNS[column][1]})",
        )
    return degrees
