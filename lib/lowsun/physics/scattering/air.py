"""The air of the twilight sky: which airs a table of scattered light can be solved for."""

import hashlib

import numpy as np

from lowsun.errors import OutOfRangeError, require_range
from lowsun.physics.medium import air_of
from lowsun.physics.scattering.shells import TOP_M

HAZE_DEPTH_RANGE = (0.0, 0.5)  # the higher orders treat haze as a small part of the air


def require_sky_air(air):
    """The `Air`, or an `Atmosphere` filled with a clear evening's haze and 300 DU, to scatter.

    Its atmosphere reaches 86 km, its haze has a depth of 0 to 0.5 at 550 nm; raises
    OutOfRangeError for another.
    Leaves out clouds, mountains, moonlight, airglow, and haze from volcanoes high in the air.
    """
    air = air_of(air)
    require_range(
        "haze depth_550",
        air.haze.depth_550,
        *HAZE_DEPTH_RANGE,
        remedy="Thicker haze hides the Earth's shadow: take a clearer evening.",
    )
    if air.atmosphere.height_m[-1] < TOP_M:
        raise OutOfRangeError(
            f"The atmosphere ends at {air.atmosphere.height_m[-1]:g} m; twilight comes from"
            f" air up to {TOP_M:g} m. Continue it with the standard levels above."
        )
    return air


def key(air):
    """A short text that is the same for equal airs and differs for different ones."""
    haze = (air.haze.depth_550, air.haze.exponent, air.haze.albedo, air.haze.asymmetry)
    digest = hashlib.sha256(air.atmosphere.digest)
    digest.update(np.asarray((*haze, air.ozone_du, air.sea_albedo), dtype="<f8").tobytes())
    digest.update(b"refracted" if air.refraction else b"straight")
    return digest.hexdigest()[:24]
