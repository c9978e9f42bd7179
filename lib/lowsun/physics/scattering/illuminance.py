"""Light on a level surface at the sea: from broad day to the end of nautical dusk."""

import numpy as np

from lowsun.errors import require_range
from lowsun.physics.scattering.air import require_sky_air
from lowsun.physics.scattering.grid import (
    SUN_ABOVE_HORIZON_DEG,
    ZENITH_DISTANCE_DEG,
    between,
    linear,
)
from lowsun.physics.scattering.radiance import BEYOND_TWILIGHT, SUN_ALTITUDE_RANGE_DEG
from lowsun.physics.scattering.spectrum import sunlit_weights
from lowsun.physics.scattering.store import sky_table


def horizontal_illuminance_lx(air, sun_true_altitude_deg):
    """Illuminance of a level surface at the sea under a clear sky, the direct Sun included [lx].

    air: an `Air`, or an `Atmosphere` (a clear evening's haze and 300 DU are then added);
    sun_true_altitude_deg [deg] -10 to 90, any shape; returns [lx], same shape.
    Within a factor 1.5 of Janiczek & DeYoung 1987 down to -6 deg, 2 below.
    Leaves out clouds, moonlight, stars and airglow; the Sun is at 1 au (3 %).
    """
    return sum(illuminance_parts_lx(air, sun_true_altitude_deg))


def illuminance_parts_lx(air, sun_true_altitude_deg):
    """Direct and diffuse part of `horizontal_illuminance_lx` [lx]."""
    direct, diffuse = level_irradiance_ratio(air, sun_true_altitude_deg)
    to_lux = sunlit_weights()[:, 1]
    return direct @ to_lux, diffuse @ to_lux


def level_irradiance_ratio(air, sun_true_altitude_deg):
    """Direct and diffuse irradiance of a level surface divided by the Sun's above the air, (...,
    W).

    sun_true_altitude_deg [deg] -10 to 90. Raises OutOfRangeError outside.
    """
    name, limits = "sun_true_altitude_deg", SUN_ALTITUDE_RANGE_DEG
    sun = require_range(name, sun_true_altitude_deg, *limits, unit="deg", remedy=BEYOND_TWILIGHT)
    table = sky_table(require_sky_air(air))
    direct = linear(table.level_beam, between(SUN_ABOVE_HORIZON_DEG, sun))
    # Twilight falls by factors, not by amounts: straight lines between logarithms.
    falling = np.log(table.level_diffuse)
    return direct, np.exp(linear(falling, between(ZENITH_DISTANCE_DEG, 90.0 - sun)))
