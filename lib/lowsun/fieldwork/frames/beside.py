"""Readings beside what the model expects of them: one place, one air, one camera's channels."""

import csv
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from io import StringIO

import numpy as np

from lowsun import sky
from lowsun.errors import InputFileError, LowsunError
from lowsun.fieldwork.frames import measuring
from lowsun.fieldwork.frames.expected import (
    Expected,
    channel_weights,
    expected,
    outline_arcmin,
    over,
)
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.fieldwork.frames.table import clock_text, printable
from lowsun.files import content, whole
from lowsun.phenomena import low_sun
from lowsun.physics import sensors
from lowsun.physics.medium import Air
from lowsun.physics.rays import TransferCurve

HIGHEST_DEG, LOWEST_DEG = 20.0, -3.0  # true altitudes of the Sun at which frames are compared
ABOVE_DEG = 1.0  # over the highest frame up to which rays are traced
LINE_POINTS = 40
ALTITUDE_DIGITS = 3  # of degrees, a quarter of a second of time: frames of a clip share the model
INFRARED_NM = np.linspace(400.0, 830.0, 35)  # of a camera that is not cut off at red's end
TIMES_HEAD = ["file", "time_utc"]
COLUMNS = ("file", "time_utc", "sun_true_altitude_deg", "axis_ratio", "model_axis_ratio",
           "upper_green_over_red_px", "upper_sigma_px", "model_upper_px",
           "lower_green_over_red_px", "lower_sigma_px", "model_lower_px", "reason")  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """Where the frames were taken, through what air, by what sensor."""

    place: sky.Place
    air: Air
    sensor: sensors.Sensor = sensors.STOCK


@dataclass(frozen=True, eq=False)
class Compared:
    """A frame beside the model: its `Expected`, or None and the reason.

    sun_true_deg: true altitude of the Sun's centre at its instant, None without one.
    """

    file: str
    reading: Reading
    sun_true_deg: float | None = None
    sun_diameter_arcmin: float | None = None
    wanted: Expected | None = None
    reason: str = ""

    @property
    def model_px(self):
        """Expected displacements (upper, lower) in the frame's pixels, None where not known.

        Lengths in [px].
        """
        scale = self.reading.arcsec_per_px
        if self.wanted is None or scale is None:
            return None, None
        return self.wanted.pixels(scale)


@dataclass(frozen=True, eq=False)
class Evening:
    """All frames beside the model, and its lines over the evening.

    lines: {is_developed: (3, N)} of height divided by width, upper and lower displacement [arcsec]
    over line_altitudes_deg (N,), for each kind of file there is.
    """

    setting: Setting
    curve: TransferCurve | None
    frames: tuple[Compared, ...]
    line_altitudes_deg: np.ndarray
    lines: dict

    @property
    def compared(self):
        """The frames that the model has an answer for."""
        return [frame for frame in self.frames if frame.wanted is not None]

    def outline_px(self, frame):
        """The right half of the model's disc in a frame (2, M), or None where it is not known.

        Right and down of its highest point [px]; the left half is left for the frame to be seen.
        """
        scale = frame.reading.arcsec_per_px
        if frame.wanted is None or scale is None:
            return None
        right, up = outline_arcmin(self.curve, frame.sun_true_deg, frame.sun_diameter_arcmin)
        return 60 / scale * np.stack([right, -up])[:, right >= 0]


def evening(found, setting, tell=None):
    """The `Evening` of readings [(file, `Reading`)]; tell: called after each frame.

    Through the camera's own channels for raw files, as linear sRGB for developed ones, whose matrix
    is the one that suits the sensor best: makers' own are not known.
    """
    frames = [_placed(file, reading, setting.place) for file, reading in found]
    usable = [frame for frame in frames if not frame.reason]
    if not usable:
        return Evening(setting, None, tuple(frames), np.empty(0), {})
    highest = max(frame.sun_true_deg for frame in usable)
    curve = low_sun.curve_for_picture(
        setting.air, setting.place.eye_height_m, max(highest, 0.0) + ABOVE_DEG,
        None if setting.sensor.infrared_cut else INFRARED_NM,
    )  # fmt: skip
    weights = {
        kind: channel_weights(setting.sensor, curve.wavelength_nm, developed=kind)
        for kind in {frame.reading.is_developed for frame in usable}
    }
    beside, known = [], {}
    for frame in frames:
        beside.append(_compared(frame, curve, weights, known))
        if tell:
            tell()
    altitudes = np.linspace(
        min(frame.sun_true_deg for frame in usable) - 0.1, highest + 0.1, LINE_POINTS
    )
    lines = {kind: over(curve, altitudes, each) for kind, each in weights.items()}
    return Evening(setting, curve, tuple(beside), altitudes, lines)


def _placed(file, reading, place):
    """The frame with the Sun's place at its instant, or with the reason why it has none."""
    if reading.pieces is None or reading.column_px is None:
        return Compared(file, reading, reason="no Sun that was measured")
    if reading.time_utc is None:
        return Compared(file, reading, reason="without a time there is no altitude")
    try:
        sun = sky.sun(place, reading.time_utc)
    except LowsunError as refused:
        return Compared(file, reading, reason=str(refused))
    altitude = float(sun.true_altitude_deg)
    reason = "" if LOWEST_DEG < altitude < HIGHEST_DEG else _elsewhere(altitude)
    return Compared(file, reading, altitude, float(sun.angular_diameter_arcmin), reason=reason)


def _elsewhere(altitude_deg):
    if altitude_deg <= LOWEST_DEG:
        return (
            f"at that time the Sun stood {-altitude_deg:.1f}° below the horizontal: is the clock"
            " right, and the place?"
        )
    return f"the Sun stood {altitude_deg:.0f}° high, above {HIGHEST_DEG:.0f}° air shows too little"


def _compared(frame, curve, weights, known):
    """The frame with its `Expected`; known: those found before, by what they depend on."""
    if frame.reason:
        return frame
    kind, altitude = frame.reading.is_developed, round(frame.sun_true_deg, ALTITUDE_DIGITS)
    key = kind, altitude, round(frame.sun_diameter_arcmin, ALTITUDE_DIGITS)
    if key not in known:
        known[key] = expected(curve, altitude, weights[kind], sun_diameter_arcmin=key[2])
    wanted = known[key]
    if (wanted.axis_ratio, wanted.upper_arcsec, wanted.lower_arcsec) == (None, None, None):
        return _with(frame, None, "this air hides the Sun then, or shows its limbs twice")
    return _with(frame, wanted, "")


def _with(frame, wanted, reason):
    return Compared(
        frame.file, frame.reading, frame.sun_true_deg, frame.sun_diameter_arcmin, wanted, reason
    )


def capture_times(path):
    """{file: aware UTC datetime} of a CSV with the columns file, time_utc, or an InputFileError.

    For a clip the instant of its first frame. Times as ISO 8601; without an offset they are UTC.
    """
    try:
        rows = list(csv.reader(StringIO(content(path).decode("utf-8-sig"))))
    except (UnicodeDecodeError, csv.Error) as refused:
        raise InputFileError(f"{path} cannot be read as CSV: {refused}.") from refused
    if not rows or rows[0] != TIMES_HEAD:
        raise InputFileError(f"{path}: its first line must be {','.join(TIMES_HEAD)}.")
    return {row[0]: _instant(path, number, row) for number, row in enumerate(rows[1:], 2) if row}


def _instant(path, number, row):
    try:
        when = datetime.fromisoformat(row[1].strip())
    except (IndexError, ValueError) as refused:
        raise InputFileError(
            f"{path}, line {number}: {','.join(row)[:80]!r}; give the file's name and a time such"
            " as 2027-03-20T18:50:00Z."
        ) from refused
    return when.astimezone(UTC) if when.tzinfo else when.replace(tzinfo=UTC)


def timed(found, times):
    """The readings with the instants of `capture_times` in place of their headers'."""
    return [(file, _timed(file, reading, times)) for file, reading in found]


def _timed(file, reading, times):
    name, _, seconds = file.partition("#t=")
    if name not in times:
        return reading
    return measuring.timed(reading, times[name] + timedelta(seconds=float(seconds or 0)))


def write_table(path, frames):
    """Write the frames beside the model as CSV, one line each; empty where it is not known."""
    with whole(path, overwrite=True) as draft, draft.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out, lineterminator="\n")
        table.writerow(COLUMNS)
        table.writerows(_line(frame) for frame in frames)


def _line(frame):
    reading, wanted = frame.reading, frame.wanted
    upper, lower = frame.model_px
    return [
        printable(frame.file),
        clock_text(reading.time_utc) if reading.time_utc else "",
        _digits(frame.sun_true_deg, 4),
        _digits(reading.axis_ratio, 4),
        _digits(wanted and wanted.axis_ratio, 4),
        _digits(reading.upper_green_over_red_px, 3),
        _digits(reading.upper_sigma_px, 3),
        _digits(upper, 3),
        _digits(reading.lower_green_over_red_px, 3),
        _digits(reading.lower_sigma_px, 3),
        _digits(lower, 3),
        frame.reason,
    ]


def _digits(value, count):
    return "" if value is None else f"{value:.{count}f}"
