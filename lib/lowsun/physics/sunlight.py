"""The Sun as a lamp: its spectrum above the air, and how its disc fades towards the limb."""

import numpy as np

from lowsun.data import table
from lowsun.errors import require_range

SUN_RADIUS_M = 695_700e3  # IAU 2015 resolution B3, nominal; 959.22" seen from 1 au
ASTRONOMICAL_UNIT_M = 149_597_870_700.0  # IAU 2012 resolution B2
# The disc is seen from 1 au.
DISC_PROJECTED_SOLID_ANGLE_SR = np.pi * (SUN_RADIUS_M / ASTRONOMICAL_UNIT_M) ** 2
# Almanacs give the edge that the eye sees set a little more than the nominal radius: Auwers 1891.
ALMANAC_SEMIDIAMETER_ARCSEC = 959.63
SUN_DIAMETER_ARCMIN = 31.988  # at 1 au, twice that
LIMB_RANGE_NM = (380.0, 830.0)


def irradiance(wavelength_nm):
    """Sunlight on a plane that faces the Sun, above the air, 1 au away.

    wavelength_nm [nm], any shape; returns [W/m2/nm], same shape.
    Means over 5 nm joined by straight lines: the dark lines are smeared to that width.
    Valid 305 to 830 nm; a few per cent between published spectra.
    Source: ASTM G173-03, extraterrestrial column.
    """
    rows = table("solar_spectrum_astm_g173_extraterrestrial")
    middle_nm = rows["wavelength_nm"]
    wavelength = require_range(
        "wavelength_nm", wavelength_nm, middle_nm[0], middle_nm[-1], unit="nm"
    )
    return np.interp(wavelength, middle_nm, rows["irradiance_w_per_m2_per_nm"])


def limb_darkening(mu, wavelength_nm):
    """Radiance of the disc divided by that of its centre.

    I / I(centre) = sum of a_k mu^k, k = 0 to 5; mu = sqrt(1 - r^2), r from the centre in radii.
    mu, 0 (limb) to 1 (centre), and wavelength_nm [nm] broadcast; returns a pure number.
    Valid 380 to 830 nm. Straight lines between ten wavelengths from 402 to 701 nm; outside them
    the nearest holds, which leaves the disc's mean 2 % too faint at 780 nm if the trend goes on.
    Leaves out spots, faculae and the dark lines, whose limb darkening differs from the continuum's.
    Source: Neckel & Labs 1994, Solar Physics 153, 91.
    """
    mu = require_range("mu", mu, 0, 1)
    ratio = 0.0
    for coefficient in reversed(limb_coefficients(wavelength_nm)):
        ratio = ratio * mu + coefficient
    return ratio


def mean_to_centre(wavelength_nm):
    """Mean radiance of the whole disc divided by that of its centre.

    2 * integral of I(mu) mu dmu = sum of 2 a_k / (k + 2).
    wavelength_nm [nm], any shape, 380 to 830 nm; returns a pure number, about 0.8 in the green.
    """
    coefficients = limb_coefficients(wavelength_nm)
    return sum(2 * a / (k + 2) for k, a in enumerate(coefficients))


def centre_radiance(wavelength_nm):
    """Radiance of the middle of the Sun's disc above the air.

    L = E / (pi (R / au)^2 m), E the irradiance at 1 au, m the disc's mean divided by its centre's.
    wavelength_nm [nm], any shape, 380 to 830 nm; returns [W/m2/sr/nm], same shape.
    It does not depend on the Sun's distance. R is the nominal 695 700 km; the 959.63" of older
    almanacs would make the disc 0.09 % larger and the radiance as much smaller.
    """
    disc_mean = irradiance(wavelength_nm) / DISC_PROJECTED_SOLID_ANGLE_SR
    return disc_mean / mean_to_centre(wavelength_nm)


def disc_radiance(mu, wavelength_nm):
    """Radiance of the disc above the air, limb darkening included [W/m2/sr/nm].

    mu (0 at the limb, 1 at the centre) and wavelength_nm [nm, 380 to 830] broadcast.
    """
    return centre_radiance(wavelength_nm) * limb_darkening(mu, wavelength_nm)


def limb_coefficients(wavelength_nm):
    """The six coefficients a_0 to a_5 of `limb_darkening`, each shaped as wavelength_nm.

    wavelength_nm [nm] 380 to 830. Raises OutOfRangeError outside.
    """
    wavelength = require_range("wavelength_nm", wavelength_nm, *LIMB_RANGE_NM, unit="nm")
    rows = table("limb_darkening_neckel_labs_1994")
    return [np.interp(wavelength, rows["wavelength_nm"], rows[f"a{k}"]) for k in range(6)]
