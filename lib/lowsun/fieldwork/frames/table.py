"""frames.csv: its columns, its lines, and how readings are kept while a folder is read."""

import csv
from dataclasses import asdict, fields, replace
from datetime import datetime
from sys import intern

from lowsun.errors import InputFileError, OutputFileError
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.files import whole

COLUMNS = (
    "file", "time_utc", "green", "kind", "green_px", "green_peak", "gap_px", "disc_width_px",
    "axis_ratio", "upper_green_over_red_px", "upper_sigma_px", "lower_green_over_red_px",
    "lower_sigma_px", "clipped_red", "clipped_green", "clipped_blue", "stops_over", "pieces",
    "horizon_y_px", "roll_deg", "arcsec_per_px", "reason",
)  # fmt: skip
DIGITS = {"green_px": 0, "green_peak": 3, "gap_px": 1, "disc_width_px": 2, "axis_ratio": 4,
          "upper_green_over_red_px": 3, "upper_sigma_px": 3, "lower_green_over_red_px": 3,
          "lower_sigma_px": 3, "clipped_red": 4, "clipped_green": 4, "clipped_blue": 4,
          "stops_over": 2, "horizon_y_px": 1, "roll_deg": 2, "arcsec_per_px": 3}  # fmt: skip


def line(file, reading):
    """One line of the table, as text: (columns,)."""
    return [printable(file), *(_cell(name, getattr(reading, name)) for name in COLUMNS[1:])]


def printable(name):
    """A file's name in characters that every table can hold."""
    return str(name).encode("utf-8", "backslashreplace").decode("utf-8")


def _cell(name, value):
    if value is None:
        return ""
    if name == "time_utc":
        return clock_text(value)
    if name == "green":
        return str(int(value))
    if name in DIGITS:
        return f"{value:.{DIGITS[name]}f}"
    return str(value)


def clock_text(when):
    """A UTC time as ISO 8601 has it, with milliseconds where there are any."""
    return when.isoformat(timespec="milliseconds" if when.microsecond else "seconds").replace(
        "+00:00", "Z"
    )


def write(path, readings):
    """Write the table, sorted by file; one of ours is replaced, anything else is left."""
    check(path)
    with whole(path, overwrite=True) as draft, draft.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(COLUMNS)
        table.writerows(line(file, reading) for file, reading in readings)


def check(path):
    """Refuse to replace a file that is not a table of frames.

    Raises OutputFileError for one.
    """
    if not path.is_file():
        return
    with path.open(encoding="utf-8", errors="replace") as there:
        head = there.readline().strip()
    if head != ",".join(COLUMNS):
        raise OutputFileError(
            f"{path} is already there and is not a table of frames. Choose another folder."
        )


def kept(reading):
    """A reading as plain values for JSON, only those it has."""
    values = {name: _plain(value) for name, value in asdict(reading).items()}
    values = {name: value for name, value in values.items() if value not in (None, "", ())}
    if reading.time_utc is not None:
        values["time_utc"] = reading.time_utc.isoformat()
    return values


def _plain(value):
    return value.item() if hasattr(value, "item") else value


def restored(values):
    """The reading that `kept` made these values of; InputFileError where they are not one."""
    known = {field.name for field in fields(Reading)}
    if not isinstance(values, dict) or not set(values) <= known:
        raise InputFileError("a kept reading has unknown values")
    reading = Reading(**{name: _shared(value) for name, value in values.items()})
    when = reading.time_utc
    return replace(
        reading,
        time_utc=datetime.fromisoformat(when) if when else None,
        reasons=tuple(map(_shared, reading.reasons)),
        frame_px=tuple(reading.frame_px) if reading.frame_px else None,
    )


def _shared(value):
    """A text that thousands of readings hold is held once."""
    return intern(value) if type(value) is str else value
