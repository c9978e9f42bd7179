"""The air of the twilight sky: molecules, ozone, haze and the sea below them."""

import hashlib
from dataclasses import dataclass, field

import numpy as np

from lowsun.errors import OutOfRangeError, keep_number, require_kind, require_range
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, Haze
from lowsun.physics.scattering.shells import TOP_M

SEA_ALBEDO = 0.06  # calm open water under a diffuse sky; common practice, no source
HAZE_DEPTH_RANGE = (0.0, 0.5)  # the higher orders treat haze as a small part of the air
OZONE_RANGE_DU = (0.0, 600.0)


@dataclass(frozen=True)
class Air:
    """Everything a table of scattered sunlight depends on.

    atmosphere: an `Atmosphere` that reaches 86 km, its molecules scattering and refracting;
    haze: a `Haze`, depth 0 to 0.5 at 550 nm; ozone_du [Dobson units] 0 to 600;
    sea_albedo [1] 0 to 1, a matt surface all round; refraction: False leaves all rays straight.
    Leaves out clouds, mountains, moonlight, airglow, and haze from volcanoes high in the air.
    """

    atmosphere: Atmosphere = field(default_factory=Atmosphere.standard)
    haze: Haze = CLEAR_EVENING
    ozone_du: float = 300.0
    sea_albedo: float = SEA_ALBEDO
    refraction: bool = True

    def __post_init__(self):
        require_kind("atmosphere", self.atmosphere, Atmosphere, "an Atmosphere")
        require_kind("haze", self.haze, Haze, "a Haze")
        require_kind("refraction", self.refraction, bool, "True or False")
        require_range(
            "haze depth_550",
            self.haze.depth_550,
            *HAZE_DEPTH_RANGE,
            remedy="Thicker haze hides the Earth's shadow: take a clearer evening.",
        )
        keep_number(self, "ozone_du", *OZONE_RANGE_DU, unit="DU")
        keep_number(self, "sea_albedo", 0.0, 1.0)
        if self.atmosphere.height_m[-1] < TOP_M:
            raise OutOfRangeError(
                f"The atmosphere ends at {self.atmosphere.height_m[-1]:g} m; twilight comes from"
                f" air up to {TOP_M:g} m. Continue it with the standard levels above."
            )

    def key(self):
        """A short text that is the same for equal airs and differs for different ones."""
        haze = (self.haze.depth_550, self.haze.exponent, self.haze.albedo, self.haze.asymmetry)
        numbers = (*haze, self.ozone_du, self.sea_albedo)
        digest = hashlib.sha256(self.atmosphere.digest)
        digest.update(np.asarray(numbers, dtype="<f8").tobytes())
        digest.update(b"refracted" if self.refraction else b"straight")
        return digest.hexdigest()[:24]


def air_of(air):
    """The `Air` itself, or an `Atmosphere` filled with a clear evening's haze and 300 DU."""
    if isinstance(air, Atmosphere):
        return Air(atmosphere=air)
    return require_kind("air", air, Air, "an Air or an Atmosphere")
