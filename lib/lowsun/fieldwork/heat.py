"""How much the Sun's image heats what it falls on: light and infrared left by the air.

A ratio of two heats, never a statement that one of them does no harm.
"""

from functools import cache

import numpy as np

from lowsun.data import table
from lowsun.errors import require_range
from lowsun.physics import sunlight
from lowsun.physics.extinction import ozone_depth, rayleigh_depth
from lowsun.physics.rays import VISUAL_NM, transfer_curve

MEASURED_NM = np.arange(365.0, 831.0, 5.0)  # where air and ozone are tabulated
FULL_HAZE_NM = 1020.0  # as far as `Haze` is asked; its power law is carried on beyond


def heat_w_per_m2(air, eye_height_m, apparent_altitude_deg):
    """Heat of the direct sunlight on a plane that faces the Sun, at most [W/m2].

    E = integral of E0(w) exp(-tau(w)) dw, from 365 to 4000 nm, 1 au away.
    air: an `Air`, or an `Atmosphere` with a clear evening's haze in it; eye_height_m [m] 0 to
    20 000; apparent_altitude_deg [deg] -5 to 90, number or (A,); returns that shape; 0 where the
    sea stands before.
    To 830 nm with the kit's air, ozone and haze; beyond, where the air thins as w^-4, without the
    bands of water vapour, which take a tenth at noon and more of a low Sun: a ratio of low to high
    is an upper bound. Source of the spectrum: ASTM G173-03.
    """
    altitude = np.atleast_1d(require_range("apparent_altitude_deg", apparent_altitude_deg, -5, 90))
    curve = transfer_curve(air, eye_height_m, altitude, VISUAL_NM)
    wavelength, lamp = _lamp()
    depth = (
        np.outer(_air_depth(wavelength, curve.atmosphere.pressure_pa[0]), curve.air_column)
        + np.outer(_ozone_depth(wavelength, curve.air.ozone_du), curve.ozone_column)
        + np.outer(_haze_depth(wavelength, curve.air.haze), curve.haze_column)
    )
    heat = np.trapezoid(lamp[:, None] * np.exp(-depth), wavelength, axis=0)
    return np.nan_to_num(heat).reshape(np.shape(apparent_altitude_deg))[()]


@cache
def _lamp():
    """Wavelengths [nm] and the sunlight above the air there [W/m2/nm]."""
    infrared = table("solar_spectrum_astm_g173_infrared")
    wavelength = np.append(MEASURED_NM, infrared["wavelength_nm"])
    measured = sunlight.irradiance(MEASURED_NM)
    return wavelength, np.append(measured, infrared["irradiance_w_per_m2_per_nm"])


def _air_depth(wavelength_nm, pressure_pa):
    measured = np.minimum(wavelength_nm, 830.0)
    return rayleigh_depth(measured, pressure_pa) * (measured / wavelength_nm) ** 4


def _ozone_depth(wavelength_nm, ozone_du):
    measured = np.minimum(wavelength_nm, 830.0)
    return np.where(wavelength_nm > 830.0, 0.0, ozone_depth(measured, ozone_du))


def _haze_depth(wavelength_nm, haze):
    asked = np.minimum(wavelength_nm, FULL_HAZE_NM)
    return haze.depth(asked) * (asked / wavelength_nm) ** haze.exponent
