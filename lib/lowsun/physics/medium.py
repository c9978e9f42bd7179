"""What light crosses: an atmosphere, the haze and the ozone in it, and the sea below."""

from dataclasses import dataclass, field, replace

from lowsun.errors import keep_number, require_kind
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, Haze

OZONE_DU = 300.0  # about the mean of the middle latitudes; common practice, no source
OZONE_RANGE_DU = (0.0, 600.0)
SEA_ALBEDO = 0.06  # calm open water under a diffuse sky; common practice, no source


@dataclass(frozen=True)
class Air:
    """The air of an evening: all that bends, dims and scatters light. Equal where its content is.

    atmosphere: an `Atmosphere`, whose molecules bend and scatter; haze: an `extinction.Haze`;
    ozone_du [Dobson units] 0 to 600. For scattered light: sea_albedo [1] 0 to 1, a matt surface all
    round; refraction: False leaves all rays straight there. Raises OutOfRangeError outside these.
    """

    atmosphere: Atmosphere = field(default_factory=Atmosphere.standard)
    haze: Haze = CLEAR_EVENING
    ozone_du: float = OZONE_DU
    sea_albedo: float = SEA_ALBEDO
    refraction: bool = True

    def __post_init__(self):
        require_kind("atmosphere", self.atmosphere, Atmosphere, "an Atmosphere")
        require_kind("haze", self.haze, Haze, "a Haze")
        require_kind("refraction", self.refraction, bool, "True or False")
        keep_number(self, "ozone_du", *OZONE_RANGE_DU, unit="DU")
        keep_number(self, "sea_albedo", 0.0, 1.0)

    def with_haze(self, haze):
        """The same air with another `Haze` in it, as high as before."""
        return replace(self, haze=haze)


def air_of(air):
    """The `Air` itself; an `Atmosphere` with a clear evening's haze and 300 DU of ozone in it.

    Raises InputError for anything else.
    """
    if isinstance(air, Atmosphere):
        return Air(atmosphere=air)
    return require_kind("air", air, Air, "an Air or an Atmosphere")
