"""Rays through the air: refraction, flattening, dip, air mass, rims."""

from datetime import timedelta
from functools import partial

import numpy as np

from lowsun.phenomena.dispersion import rim_width_arcsec
from lowsun.phenomena.polar_sunset import polar_air, put_off
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_dip_arcmin, refraction_arcsec, transfer_curve
from lowsun.proof.measures.register import measure
from lowsun.sky import Place

REFRO_RADIUS_M = 6_378_120.0
REFRO_KINKS_M = (0.0, 11_000.0, 80_000.0)
SUN_ARCMIN = 32.0
NORTH = Place("the North Pole", 90, 0, 0.0)
RIM_AIR = Atmosphere.standard()


@measure("refraction", "′")
def refraction_arcmin(
    apparent_altitude_deg, temperature_c=10.0, pressure_hpa=1010.0, wavelength_nm=570.0
):
    air = Atmosphere.standard(ZERO_CELSIUS_K + temperature_c, 100.0 * pressure_hpa)
    return transfer_curve(air, 0.0, apparent_altitude_deg, wavelength_nm).refraction_arcsec / 60.0


@measure("refraction on the horizon, as measured at sunsets", "°")
def sunset_refraction_deg(temperature_c, pressure_hpa):
    return refraction_arcmin(0.0, temperature_c, pressure_hpa) / 60.0


@measure("refraction on the horizon of cold polar air", "′")
def cold_refraction_arcmin(temperature_c, inversion_k=0.0):
    air = polar_air(ZERO_CELSIUS_K + temperature_c, inversion_k)
    return transfer_curve(air, 0.0, 0.0, 574.0).refraction_arcsec / 60.0


@measure("by how much cold air puts the North Pole's last sunset off", "h")
def cold_delay_h(temperature_c):
    return put_off(NORTH, 2027, polar_air(ZERO_CELSIUS_K + temperature_c)).by / timedelta(hours=1)


@measure("refraction in the same air as theirs", "″")
def same_air_refraction_arcsec(apparent_altitude_deg, height_m, temperature_k, pressure_hpa):
    excess = partial(
        _refro_refractivity, eye_m=height_m, temperature_k=temperature_k, pressure_hpa=pressure_hpa
    )
    return refraction_arcsec(excess, REFRO_KINKS_M, height_m, apparent_altitude_deg, REFRO_RADIUS_M)


@measure("height over width of the disc")
def flattening(lower_limb_deg, temperature_c=10.0, pressure_hpa=1010.0):
    air = Atmosphere.standard(ZERO_CELSIUS_K + temperature_c, 100.0 * pressure_hpa)
    apparent = np.linspace(lower_limb_deg, lower_limb_deg + 0.6, 601)
    true = transfer_curve(air, 0.0, apparent, 574.0).true_altitude_deg
    upper = np.interp(true[0] + SUN_ARCMIN / 60.0, true, apparent)
    return (upper - lower_limb_deg) * 60.0 / SUN_ARCMIN


@measure("dip of the sea horizon", "′")
def dip_arcmin(eye_height_m):
    return horizon_dip_arcmin(Atmosphere.standard(), eye_height_m)


@measure("air mass")
def air_mass(apparent_altitude_deg):
    return transfer_curve(Atmosphere.standard(), 0.0, apparent_altitude_deg, 700.0).air_mass


@measure("width of the coloured rim", "″")
def rim_arcsec(apparent_altitude_deg, short_nm, long_nm):
    return rim_width_arcsec(RIM_AIR, 0.0, apparent_altitude_deg, short_nm, long_nm)


def _refro_refractivity(height, eye_m, temperature_k, pressure_hpa):
    """The air of Hohenkerk & Sinclair 1985 as `refro` has it: dry, 0.574 um, latitude 50 deg."""
    lapse, tropopause = 0.0065, 11_000.0
    gravity = 9.784 * (1.0 - 0.0026 * np.cos(np.radians(100.0)) - 2.8e-7 * eye_m)
    pull = gravity * 28.9644 / 8314.32
    temperature = temperature_k - lapse * (np.minimum(height, tropopause) - eye_m)
    pressure = pressure_hpa * (temperature / temperature_k) ** (pull / lapse)
    pressure *= np.exp(-pull * np.maximum(height - tropopause, 0.0) / temperature)
    at_one_um = 287.6155 + 1.62887 / 0.574**2 + 0.01360 / 0.574**4
    return at_one_um * 273.15 / 1013.25 * 1e-6 * pressure / temperature
