"""Coloured rims: air lifts the Sun's blue and green images higher than its red one."""

from lowsun.errors import OutOfRangeError, require_number, takes
from lowsun.physics.air import WAVELENGTH_RANGE_NM
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import transfer_curve


@takes(atmosphere=Atmosphere)
def rim_width_arcsec(atmosphere, eye_height_m, apparent_altitude_deg, short_nm, long_nm):
    """How much higher the image in short light stands than that in long light.

    width = R(short) - R(long), R the refraction at one apparent altitude.

    apparent_altitude_deg [deg], number or (A,), above the sea horizon; short_nm below long_nm
    [nm, vacuum] 230 to 1690, numbers. Returns [arcsec], shaped as the altitude; NaN where one of
    the two rays never reaches space. On the upper limb the width is that of the short-wave rim
    (green, or blue in the clearest air), on the lower limb that of the red one.
    Accuracy: 2 % against Hohenkerk & Sinclair's integration with Ciddor's dispersion.
    Leaves out that the air squeezes what it shows: as seen, the rim is narrower by dA/dT, a sixth
    on the horizon of smooth air; and that haze takes the short waves away. Both are in
    `low_sun.picture`.
    """
    short_nm = require_number("short_nm", short_nm, *WAVELENGTH_RANGE_NM, unit="nm")
    long_nm = require_number("long_nm", long_nm, *WAVELENGTH_RANGE_NM, unit="nm")
    if short_nm >= long_nm:
        raise OutOfRangeError(
            f"short_nm is {short_nm:g} and long_nm {long_nm:g}; the first has to be the shorter."
            " Exchange them, or move them apart."
        )
    curve = transfer_curve(atmosphere, eye_height_m, apparent_altitude_deg, (short_nm, long_nm))
    return curve.refraction_arcsec[0] - curve.refraction_arcsec[1]
