"""The sky beside the low Sun: the light that a flash must be told from."""

import numpy as np

from lowsun.errors import require_number, require_values
from lowsun.kept import KB, kept
from lowsun.phenomena.low_sky import ABOVE_HORIZON_DEG, lighting_air, low_sky
from lowsun.physics import scattering
from lowsun.physics.medium import air_of
from lowsun.physics.scattering.grid import between, bilinear
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.shells import shells

LIFT_DEG = np.concatenate([[0.0], np.geomspace(0.02, 60.0, 40)])  # above the horizon
NODES = 9  # altitudes of the Sun, and of the line of sight, where many are asked for


def sky_beside_xyz(air, sun_true_altitude_deg, apparent_altitude_deg, eye_height_m):
    """CIE XYZ of the sky in the Sun's own direction, beside its disc [cd/m2], (..., 3).

    L = `low_sky` in the Sun's vertical, in standard air with this haze: light scattered once and
    more often along that line of sight, its last part before disc and sky alike, the aureole
    about the place where the Sun is seen.
    air: an `Air` or an `Atmosphere`, of which haze and ozone count, not its warmth;
    sun_true_altitude_deg [deg] -10 to 90 and apparent_altitude_deg [deg] -90 to 90, from the
    horizon up, broadcast; eye_height_m [m], one number, 0 to 20 000.
    Below standard air's horizon, where a duct may show sky, it is that of the horizon; above
    9000 m, where the table of scattered light ends, that from 9000 m.
    Accuracy: as `scattering.sky_radiance`. Leaves out glitter, and what an inversion does to the
    light on its way (some per cent).
    """
    air = lighting_air(air_of(air))
    eye = min(
        require_number("eye_height_m", eye_height_m, 0.0, 20_000.0, unit="m"),
        scattering.EYE_HEIGHT_RANGE_M[1],
    )
    given = require_values("apparent_altitude_deg", apparent_altitude_deg, -90.0, 90.0, unit="deg")
    altitude = np.maximum(given, scattering.sky_horizon_deg(air, eye))
    sun = require_values("sun_true_altitude_deg", sun_true_altitude_deg, -10.0, 90.0, unit="deg")
    if not (np.ndim(sun) or np.ndim(altitude)):
        return np.exp(_column(air, sun, np.atleast_1d(altitude), eye)[0])
    sun, altitude = np.broadcast_arrays(sun, altitude)
    suns, altitudes = _nodes(sun), _nodes(altitude)
    table = np.stack([_column(air, one, altitudes, eye) for one in suns])
    return np.exp(bilinear(table, between(suns, sun), between(altitudes, altitude)))


def sky_beside_cd_per_m2(air, sun_true_altitude_deg, apparent_altitude_deg, eye_height_m):
    """Luminance of the sky beside the Sun [cd/m2]: Y of `sky_beside_xyz`."""
    return sky_beside_xyz(air, sun_true_altitude_deg, apparent_altitude_deg, eye_height_m)[..., 1]


def _column(air, sun_true_altitude_deg, altitude_deg, eye_height_m):
    """Logarithm of the sky's XYZ at altitudes (A,) under one Sun: light falls by factors."""
    sun = float(sun_true_altitude_deg)
    seen_deg = sun + float(np.interp(sun, *_lift(air, eye_height_m)))
    rows = np.maximum(
        altitude_deg, scattering.sky_horizon_deg(air, eye_height_m) + ABOVE_HORIZON_DEG
    )
    high_deg = max(rows.max() + 0.1, 1.0)
    sky = low_sky(air, sun, seen_deg, high_deg, eye_height_m=eye_height_m)
    return np.log(sky.seen(rows, [0.0])[:, 0].astype(float))


@kept(500 * KB)
def _lift(air, eye_height_m):
    """True altitudes [deg], rising, and by how much the air lifts what stands there."""
    here = shells(air.atmosphere, air.refraction)
    apparent = horizon_altitude_deg(here, eye_height_m) + LIFT_DEG
    bent = paths(here, eye_height_m, apparent, 48).bending_deg
    return apparent - bent, bent


def _nodes(values):
    """A few values from the least to the greatest; two that are next to equal for a single one."""
    low, high = values.min(), values.max()
    return np.linspace(low, high, NODES) if high > low else np.array([low, np.nextafter(low, 90.0)])
