"""Sunlight: above the air, through it, and on the disc."""

import numpy as np

from lowsun.phenomena import flash_light
from lowsun.physics import colour, extinction, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.rays import transfer_curve
from lowsun.proof.measures.register import measure

VISIBLE_NM = np.arange(380.0, 781.0)
EDGE = Atmosphere.standard()


@measure("scattering cross-section of air", "cm²")
def rayleigh_cm2(wavelength_nm):
    return 1e4 * extinction.rayleigh_cross_section_m2(wavelength_nm)


@measure("depth of the ozone")
def ozone_depth(wavelength_nm, ozone_du):
    return extinction.ozone_depth(wavelength_nm, ozone_du)


@measure("sunlight above the air", "klx")
def sunlight_klx():
    return colour.luminance(sunlight.irradiance(VISIBLE_NM), VISIBLE_NM) / 1e3


@measure("luminance of the disc above the air, its mean", "cd/m²")
def disc_mean_luminance():
    return 1e3 * sunlight_klx() / sunlight.DISC_PROJECTED_SOLID_ANGLE_SR


@measure("luminance of the disc above the air, its centre", "cd/m²")
def disc_centre_luminance():
    return colour.luminance(sunlight.centre_radiance(VISIBLE_NM), VISIBLE_NM)


@measure("light of the disc, its mean over its centre")
def mean_to_centre(wavelength_nm):
    return sunlight.mean_to_centre(wavelength_nm)


@measure("direct sunlight at air mass 1.5", "klx")
def direct_klx_at_air_mass_1_5(haze_depth_500nm, haze_exponent, ozone_du):
    haze = Haze(haze_depth_500nm * (500.0 / 550.0) ** haze_exponent, exponent=haze_exponent)
    altitude = np.degrees(np.arcsin(1.0 / 1.5))
    return _direct_lx(altitude, haze, ozone_du) / 1e3


@measure("direct sunlight through clean air", "lx")
def direct_lx_clean(apparent_altitude_deg, ozone_du):
    return _direct_lx(apparent_altitude_deg, Haze(0.0), ozone_du)


@measure("luminance of the Sun on the horizon", "cd/m²")
def horizon_luminance(haze_depth_550nm):
    return disc_luminance(0.0, haze_depth_550nm)


@measure("luminance of the Sun at noon, 60° high", "cd/m²")
def noon_luminance(haze_depth_550nm):
    lit = _direct_lx(60.0, Haze.of_kind(haze_depth_550nm), 300.0)
    return lit / sunlight.DISC_PROJECTED_SOLID_ANGLE_SR


@measure("luminance of the disc's centre", "cd/m²")
def disc_luminance(apparent_altitude_deg, haze_depth_550nm):
    curve = _curve(apparent_altitude_deg)
    centre = np.interp(apparent_altitude_deg, curve.apparent_altitude_deg, _true_deg(curve, 570.0))
    return _luminance(curve, centre, apparent_altitude_deg, haze_depth_550nm)


@measure("luminance of the rim, where the image at 630 nm ends", "cd/m²")
def rim_luminance(apparent_altitude_deg, haze_depth_550nm):
    curve = _curve(apparent_altitude_deg)
    limb = np.interp(apparent_altitude_deg, curve.apparent_altitude_deg, _true_deg(curve, 630.0))
    centre = limb - sunlight.ALMANAC_SEMIDIAMETER_ARCSEC / 3600.0
    return _luminance(curve, centre, apparent_altitude_deg, haze_depth_550nm)


def _curve(apparent_altitude_deg):
    """Rays from the beach, closely about one altitude."""
    rows = apparent_altitude_deg + np.arange(-0.02, 0.0205, 0.0005)
    return transfer_curve(EDGE, 0.0, rows[rows >= 0.0], VISIBLE_NM[::5])


def _true_deg(curve, wavelength_nm):
    return curve.true_altitude_deg[np.argmin(np.abs(curve.wavelength_nm - wavelength_nm))]


def _luminance(curve, centre_deg, apparent_altitude_deg, haze_depth_550nm):
    seen = flash_light.column(
        curve.through(Haze.of_kind(haze_depth_550nm)),
        float(centre_deg),
        step_arcsec=0.25,
        about_deg=apparent_altitude_deg,
    )
    rows = colour.luminance(seen.radiance[0], seen.wavelength_nm)
    return np.interp(apparent_altitude_deg, seen.apparent_altitude_deg, rows)


def _direct_lx(apparent_altitude_deg, haze, ozone_du):
    curve = transfer_curve(EDGE, 0.0, [apparent_altitude_deg], VISIBLE_NM)
    share = curve.through(haze, ozone_du).transmission()[:, 0]
    return colour.luminance(sunlight.irradiance(VISIBLE_NM) * share, VISIBLE_NM)
