"""A sea without a breath of wind: the Sun and its sky once more, upside down and squeezed.

A line of sight below the horizon meets the water at a small angle and goes on upwards at the same
angle. The Earth's curve makes that angle smaller than its depth below the horizon near the eye and
larger far off, so that the mirror image is less high than the Sun itself.
"""

from dataclasses import replace

import numpy as np

from lowsun.errors import OutOfRangeError, require_number, require_row, takes
from lowsun.kept import MB, kept
from lowsun.phenomena import low_sun
from lowsun.phenomena.low_sky import WIDEST_DEG, low_sky
from lowsun.phenomena.low_sun import Frame
from lowsun.physics import water
from lowsun.physics.colour import xyz_weights
from lowsun.physics.rays import VISUAL_NM
from lowsun.physics.scattering import WAVELENGTH_NM
from lowsun.physics.scattering.air import require_sky_air
from lowsun.physics.scattering.optics import depths
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.radiance import sun_altitude
from lowsun.physics.scattering.shells import shells
from lowsun.physics.scattering.spectrum import sunlit_weights

LEAST_BELOW_DEG = 0.0002  # a line of sight on the horizon itself does not meet the water
COLUMNS = ("air_column", "ozone_column", "haze_column")
HIGHEST_DEG = 20.0  # nothing higher is mirrored into a picture


def mirrored_sky(
    air,
    sun_true_altitude_deg,
    altitude_deg,
    azimuth_deg,
    *,
    eye_height_m,
    responses=xyz_weights,
):
    """The sky mirrored by calm water, CIE XYZ [cd/m2], (R, H, 3); the disc is not in it.

    L = R(e) T L_sky(e) + (1 - T) L_horizon, e the angle at which the line of sight meets the water.
    air: a scattering `Air`; altitude_deg (R,) [deg, apparent] below the sea horizon; azimuth_deg
    (H,) [deg from the Sun] 0 to 16; eye_height_m [m] 0.5 to 9000; responses: as in
    `spectrum.sunlit_weights`, for the eye by default. Raises OutOfRangeError outside.
    """
    air, eye_height_m = require_sky_air(air), _eye(eye_height_m)
    sun_true_altitude_deg = sun_altitude(sun_true_altitude_deg)
    altitude_deg = require_row("altitude_deg", altitude_deg, -90.0, 90.0, unit="deg")
    azimuth_deg = require_row("azimuth_deg", azimuth_deg, 0.0, WIDEST_DEG, unit="deg")
    here = _lines(air, eye_height_m, altitude_deg)
    mirrored, before = (
        low_sky(
            air,
            sun_true_altitude_deg,
            _seen_from_water_deg(air, sun_true_altitude_deg),
            max(here.grazing_deg.max(), 0.0) + 0.1,
            azimuth_deg.max(),
            eye_height_m=eye,
            responses=responses,
        )
        for eye in (0.0, eye_height_m)
    )
    up = np.maximum(here.grazing_deg, mirrored.altitude_deg[0])
    far = before.seen(before.altitude_deg[:1], azimuth_deg)
    weights = sunlit_weights(responses)
    through = (np.exp(-here.columns @ depths(air, WAVELENGTH_NM)) @ weights) / weights.sum(axis=0)
    kept = _mirror(here.grazing_deg)[:, None, None] * through[:, None]
    return kept * mirrored.seen(up, azimuth_deg) + (1.0 - through[:, None]) * far


@takes(frame=Frame)
def mirrored_disc(
    air,
    sun_true_altitude_deg,
    frame,
    *,
    eye_height_m,
    sun_diameter_arcmin,
    responses=xyz_weights,
):
    """The disc mirrored by calm water: a `low_sun.LitHalf` of CIE XYZ [cd/m2].

    Of the rows of the frame that lie below the sea horizon. Parameters as in `low_sun.picture` and
    `mirrored_sky`. Leaves out that the mirror is no mirror where a swell runs.
    """
    air, eye_height_m = require_sky_air(air), _eye(eye_height_m)
    curve = _mirror_curve(air, eye_height_m, frame)
    disc = low_sun.disc_light(
        curve,
        sun_true_altitude_deg,
        frame,
        sun_diameter_arcmin=sun_diameter_arcmin,
        responses=responses,
    )
    rows = disc.lit_rows_deg
    grazing = np.interp(rows, *_grazing_by_row(air, eye_height_m, curve.apparent_altitude_deg))
    mirror = _mirror(grazing).astype(np.float32)
    return replace(disc, values=disc.values * mirror[:, None, None])


def _eye(eye_height_m):
    return require_number("eye_height_m", eye_height_m, 0.5, 9000.0, unit="m")


class _Lines:
    """Lines of sight (R,) to calm water: the angle there, the turn round the Earth, the columns."""

    def __init__(self, rays):
        self.grazing_deg = np.degrees(np.arcsin(np.maximum(-rays.sine[:, -1], 1e-6)))
        self.turn_deg = rays.turn_deg[:, -1]
        self.columns = rays.columns[:, -1]


def _lines(air, eye_height_m, altitude_deg):
    here = shells(air.atmosphere, air.refraction)
    horizon = float(horizon_altitude_deg(here, eye_height_m))
    if np.max(altitude_deg) > horizon:
        raise OutOfRangeError(
            f"altitude_deg is {np.max(altitude_deg):g} deg; the sea begins at {horizon:.2f} deg."
            " Look lower."
        )
    below = np.minimum(altitude_deg, horizon - LEAST_BELOW_DEG)
    return _Lines(paths(here, eye_height_m, below, 48))


def _grazing_by_row(air, eye_height_m, altitude_deg):
    return altitude_deg, _lines(air, eye_height_m, altitude_deg).grazing_deg


def _mirror_curve(air, eye_height_m, frame):
    """The transfer curve of lines of sight by way of the water, apparent altitudes rising."""
    here = shells(air.atmosphere, air.refraction)
    horizon = float(horizon_altitude_deg(here, eye_height_m))
    deep = max(horizon - frame.low_deg, 2 * LEAST_BELOW_DEG)
    rows = horizon - np.geomspace(LEAST_BELOW_DEG, deep, 240)[::-1]
    lines = _lines(air, eye_height_m, rows)
    level = _level_curve(air.atmosphere).through(air.haze, air.ozone_du)
    read = {
        name: level.read_at(getattr(level, name), lines.grazing_deg)
        for name in ("true_altitude_deg", *COLUMNS)
    }
    # Altitudes at the water count from a level turned towards the Sun.
    read["true_altitude_deg"] = read["true_altitude_deg"] - lines.turn_deg
    for name, before in zip(COLUMNS, lines.columns.T, strict=True):
        read[name] = read[name] + before
    shape = read["true_altitude_deg"].shape
    unused = {"fate": np.zeros(shape, dtype=int), "air_mass": np.full(shape, np.nan)}
    return replace(level, apparent_altitude_deg=rows, **read, **unused)


@kept(3 * MB)
def _level_curve(atmosphere):
    return low_sun.curve_for_picture(atmosphere, 0.0, HIGHEST_DEG)


def _seen_from_water_deg(air, sun_true_altitude_deg):
    return float(_level_curve(air.atmosphere).apparent_at(sun_true_altitude_deg))


def _mirror(grazing_deg):
    """Reflectance of flat water in visual light at grazing angles."""
    return water.fresnel_reflectance(np.sin(np.radians(grazing_deg)), water.water_index(VISUAL_NM))
