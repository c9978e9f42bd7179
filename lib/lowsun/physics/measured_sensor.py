"""A camera's own curves, as its owner has measured or found them, in place of illustrative ones."""

import csv
from dataclasses import dataclass
from io import StringIO

import numpy as np

from lowsun.errors import InputFileError, require_range
from lowsun.files import content
from lowsun.physics.sensors import CHANNELS, SENSOR_RANGE_NM, WHITE_NM, Sensor

HEAD = ["wavelength_nm", *CHANNELS]
FEWEST_ROWS = 8
INFRARED_FROM_NM, INFRARED_SHARE = 720.0, 0.05  # with more of red's peak a camera has no cut


@dataclass(frozen=True, eq=False)
class MeasuredSensor(Sensor):
    """A `Sensor` by its table: wavelength_nm (W,) rising, table (W, 3), 0 beyond its ends."""

    wavelength_nm: np.ndarray
    table: np.ndarray

    def response(self, wavelength_nm):
        """Response of red, green and blue on straight lines through the table; (...,) to (..., 3).

        wavelength_nm [nm], 380 to 830.
        """
        wavelength = require_range("wavelength_nm", wavelength_nm, *SENSOR_RANGE_NM, unit="nm")
        return np.stack(
            [np.interp(wavelength, self.wavelength_nm, curve, 0.0, 0.0) for curve in self.table.T],
            axis=-1,
        )


def read(path):
    """The `MeasuredSensor` of a CSV with the columns wavelength_nm,red,green,blue.

    Energy responses in any common unit, 0 or more, 8 lines or more, wavelengths rising within 300
    to 1100 nm; each channel must see light between 380 and 830 nm. InputFileError else.
    """
    rows = _rows(path)
    wavelength, table = rows[:, 0], rows[:, 1:]
    if np.any(np.diff(wavelength) <= 0) or wavelength[0] < 300 or wavelength[-1] > 1100:
        raise InputFileError(
            f"{path}: wavelengths must rise within 300 to 1100 nm. Sort its lines."
        )
    if np.any(table < 0):
        raise InputFileError(f"{path}: a response is below 0. Set it to 0.")
    sensor = MeasuredSensor(str(path), infrared_cut=True, wavelength_nm=wavelength, table=table)
    seen = sensor.response(WHITE_NM)
    for name, curve in zip(CHANNELS, seen.T, strict=True):
        if curve.max() <= 0:
            raise InputFileError(f"{path}: {name} sees no light between 380 and 830 nm.")
    beyond = seen[WHITE_NM >= INFRARED_FROM_NM, 0].max() > INFRARED_SHARE * seen[:, 0].max()
    return MeasuredSensor(str(path), infrared_cut=not beyond, wavelength_nm=wavelength, table=table)


def _rows(path):
    try:
        text = content(path).decode("utf-8-sig")
        lines = [line for line in csv.reader(StringIO(text)) if line and line[0][:1] != "#"]
        if not lines or [name.strip() for name in lines[0]] != HEAD:
            raise InputFileError(f"{path}: its first line must be {','.join(HEAD)}.")
        rows = np.array([[float(cell) for cell in line] for line in lines[1:]])
    except (UnicodeDecodeError, csv.Error, ValueError) as refused:
        raise InputFileError(f"{path} is not a table of curves: {refused}.") from refused
    if rows.ndim != 2 or rows.shape[1] != 4 or len(rows) < FEWEST_ROWS:
        raise InputFileError(f"{path}: give {FEWEST_ROWS} lines or more of four numbers each.")
    if not np.all(np.isfinite(rows)):
        raise InputFileError(f"{path}: a value is not a finite number. Correct it there.")
    return rows
