"""The sky beside the low Sun: the light that a flash must be told from."""

from functools import lru_cache

import numpy as np

from lowsun.errors import require_number, require_range, takes
from lowsun.physics import scattering
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering.grid import between, bilinear

NODES = 5  # of the Sun's and of the line of sight's altitude, where many are asked for


@takes(haze=Haze)
def sky_beside_xyz(
    haze,
    sun_true_altitude_deg,
    apparent_altitude_deg,
    eye_height_m,
    atmosphere=None,
):
    """CIE XYZ of the sky in the Sun's own direction, beside its disc [cd/m2], (..., 3).

    L = `scattering.sky_xyz` at the Sun's azimuth, in standard air with this haze: light scattered
    once and more often along that line of sight, its last part before disc and sky alike.
    haze: an `extinction.Haze`; sun_true_altitude_deg [deg] -10 to 90 and apparent_altitude_deg
    [deg] -90 to 90, from the horizon up, broadcast; eye_height_m [m], one number, 0 to 20 000;
    atmosphere: whose haze's heights
    count, by default the standard one; its warmth does not.
    Below standard air's horizon, where a duct may show sky, it is that of the horizon; above
    9000 m, where the table of scattered light ends, that from 9000 m.
    Accuracy: as `scattering.sky_radiance`. Leaves out glitter, and what an inversion does to the
    light on its way (some per cent).
    """
    air = _air(haze, atmosphere or Atmosphere.standard())
    eye = min(
        require_number("eye_height_m", eye_height_m, 0.0, 20_000.0, unit="m"),
        scattering.EYE_HEIGHT_RANGE_M[1],
    )
    given = require_range("apparent_altitude_deg", apparent_altitude_deg, -90.0, 90.0, unit="deg")
    altitude = np.maximum(given, scattering.sky_horizon_deg(air, eye))
    if not (np.ndim(sun_true_altitude_deg) or np.ndim(altitude)):
        return scattering.sky_xyz(air, sun_true_altitude_deg, altitude, 0.0, eye_height_m=eye)
    sun = require_range("sun_true_altitude_deg", sun_true_altitude_deg, -10.0, 90.0, unit="deg")
    sun, altitude = np.broadcast_arrays(sun, altitude)
    suns, altitudes = _nodes(sun), _nodes(altitude)
    table = np.stack([_column(air, one, altitudes, eye) for one in suns])
    return np.exp(bilinear(table, between(suns, sun), between(altitudes, altitude)))


@takes(haze=Haze)
def sky_beside_cd_per_m2(
    haze,
    sun_true_altitude_deg,
    apparent_altitude_deg,
    eye_height_m,
    atmosphere=None,
):
    """Luminance of the sky beside the Sun [cd/m2]: Y of `sky_beside_xyz`."""
    return sky_beside_xyz(
        haze, sun_true_altitude_deg, apparent_altitude_deg, eye_height_m, atmosphere
    )[..., 1]


@lru_cache(16)
def _air(haze, atmosphere):
    heights = atmosphere.haze_scale_height_m, atmosphere.haze_top_m
    return scattering.Air(Atmosphere.standard().with_haze(*heights), haze)


def _column(air, sun_true_altitude_deg, altitude_deg, eye_height_m):
    """Logarithm of the sky's XYZ at altitudes (A,) under one Sun: light falls by factors."""
    return np.log(
        scattering.sky_xyz(
            air, sun_true_altitude_deg, altitude_deg, 0.0, eye_height_m=eye_height_m
        ).astype(float)
    )


def _nodes(values):
    """A few values from the least to the greatest; two that are next to equal for a single one."""
    low, high = values.min(), values.max()
    return np.linspace(low, high, NODES) if high > low else np.array([low, np.nextafter(low, 90.0)])
