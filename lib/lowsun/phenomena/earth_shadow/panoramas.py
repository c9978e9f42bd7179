"""The lower sky all round in the colours an eye sees, every pixel out of its own spectrum."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import OutOfRangeError, require_number, require_raster, takes
from lowsun.physics import colour
from lowsun.physics.scattering import Air, sky_horizon_deg, sky_xyz_grid

BRIGHTEST = 0.6  # share of white, in linear light: room for the exposure, and dusk looks like dusk


@dataclass(frozen=True, eq=False)
class Panorama:
    """A picture of the sky: rows from high to low, columns from left to right.

    rgb (rows, columns, 3) uint8; xyz (rows, columns, 3) [cd/m2]; altitude_deg (rows,) and
    azimuth_deg (columns,), from the Sun to the right [deg], of the pixels' middles; extent: left,
    right, bottom and top edge [deg]; white_luminance [cd/m2]: what shows as white; note: what the
    screen cannot show, in words.
    """

    rgb: np.ndarray
    xyz: np.ndarray
    altitude_deg: np.ndarray
    azimuth_deg: np.ndarray
    extent: tuple
    white_luminance: float
    note: str

    @property
    def luminance(self):
        """Luminance of every pixel [cd/m2]."""
        return self.xyz[..., 1]


@takes(single=bool, rough=bool)
def panorama(
    air=None,
    sun_true_altitude_deg=-2.0,
    *,
    eye_height_m=2.0,
    facing_deg=180.0,
    width_deg=360.0,
    low_deg=None,
    high_deg=45.0,
    rows=90,
    columns=360,
    single=False,
    rough=False,
    white_luminance=None,
    exposure_stops=0.0,
):
    """The lower part of the clear sky as an eye's colours on a screen.

    air: an `Air` or an `Atmosphere`, by default clear maritime air; sun_true_altitude_deg [deg]
    -10 to 90; eye_height_m [m] 0 to 9000; facing_deg: azimuth of the middle from the Sun, 180 for
    the shadow, 0 for the sunset [deg]; width_deg [deg] 1 to 360; low_deg, high_deg: edges in
    apparent altitude, by default from the sea horizon to 45 [deg]; single: light scattered once
    alone; rough: a draft, from fewer lines of sight; white_luminance [cd/m2]: what shows as white,
    by default so that the brightest point is
    at 0.6 of it, or, in a picture of both halves of the sky, the middle in stops between theirs;
    exposure_stops [stops] -20 to 20: how much brighter.
    Returns a `Panorama`. Leaves out the Sun's own disc, the sea and the land.
    """
    air = Air() if air is None else air
    rows, columns = require_raster(rows, columns)
    low, high = _edges(air, eye_height_m, low_deg, high_deg)
    altitude = _middles(high, low, rows)
    turn = require_number("width_deg", width_deg, 1.0, 360.0, unit="deg") / 2.0
    facing = require_number("facing_deg", facing_deg, -360.0, 360.0, unit="deg")
    azimuth = _middles(facing - turn, facing + turn, columns)
    xyz = sky_xyz_grid(
        air,
        sun_true_altitude_deg,
        altitude,
        azimuth,
        eye_height_m=eye_height_m,
        single=single,
        rough=rough,
    )
    given = _white(xyz, azimuth) if white_luminance is None else white_luminance
    white = require_number("white_luminance", given, 1e-9, 1e12, unit="cd/m2")
    white = white * 2.0 ** -_stops(exposure_stops)
    shown = colour.srgb_from_xyz(xyz, white)
    return Panorama(
        rgb=np.rint(255.0 * shown.rgb).astype(np.uint8),
        xyz=xyz,
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        extent=(facing - turn, facing + turn, low, high),
        white_luminance=float(white),
        note=shown.note,
    )


def _edges(air, eye_height_m, low_deg, high_deg):
    horizon = sky_horizon_deg(air, eye_height_m)
    wanted = horizon if low_deg is None else low_deg
    remedy = "The sky begins at the sea horizon."
    low = require_number("low_deg", wanted, horizon, 89.0, unit="deg", remedy=remedy)
    high = require_number("high_deg", high_deg, horizon, 90.0, unit="deg")
    if high <= low:
        raise OutOfRangeError(
            f"high_deg is {high:g} and low_deg is {low:g}; the upper edge must stand higher."
        )
    return low, high


def _middles(first, last, count):
    return first + (last - first) * (np.arange(count) + 0.5) / count


def _stops(exposure_stops):
    return require_number("exposure_stops", exposure_stops, -20.0, 20.0, unit="stops")


def _white(xyz, azimuth_deg):
    """Luminance to show as white: for the half away from the Sun, for the other, or between."""
    away = np.cos(np.radians(azimuth_deg)) <= 0.0
    halves = [xyz[:, half] for half in (away, ~away) if half.any()]
    # Between the halves, as many stops over the one as under the other.
    fitting = [colour.white_luminance_to_fit(half) for half in halves]
    return np.exp(np.mean(np.log(fitting))) / BRIGHTEST
