"""Refraction and dip against other programs' tables; single values stand in test_outside_values."""

from functools import partial
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import (
    Fate,
    horizon_apparent_altitude_deg,
    horizon_dip_arcmin,
    refraction_arcsec,
    transfer_curve,
)

PALPY = np.genfromtxt(
    Path(__file__).parents[1] / "data" / "refraction_palpy.csv",
    delimiter=",",
    names=True,
    skip_header=3,
)
PALPY_AIRS = np.unique(PALPY[["height_m", "temperature_k", "pressure_hpa"]])
PALPY_RADIUS_M = 6_378_120.0
FIFTEEN_C = Atmosphere.standard()


def palpy_refractivity(height, eye_m, temperature_k, pressure_hpa):
    """The air of Hohenkerk & Sinclair 1985 as `refro` has it: dry, 0.574 um, latitude 50 deg."""
    lapse, tropopause = 0.0065, 11_000.0
    gravity = 9.784 * (1.0 - 0.0026 * np.cos(np.radians(100.0)) - 2.8e-7 * eye_m)
    pull = gravity * 28.9644 / 8314.32
    temperature = temperature_k - lapse * (np.minimum(height, tropopause) - eye_m)
    pressure = pressure_hpa * (temperature / temperature_k) ** (pull / lapse)
    pressure *= np.exp(-pull * np.maximum(height - tropopause, 0.0) / temperature)
    at_one_um = 287.6155 + 1.62887 / 0.574**2 + 0.01360 / 0.574**4
    return at_one_um * 273.15 / 1013.25 * 1e-6 * pressure / temperature


@pytest.mark.parametrize("air", PALPY_AIRS, ids=str)
def test_the_same_air_gives_palpys_refraction(air):
    # Half of the 0.01" that transfer_curve claims.
    eye, temperature, pressure = air.tolist()
    rows = PALPY[PALPY[["height_m", "temperature_k", "pressure_hpa"]] == air]
    excess = partial(
        palpy_refractivity, eye_m=eye, temperature_k=temperature, pressure_hpa=pressure
    )
    kinks = [0.0, 11_000.0, 80_000.0]
    got = refraction_arcsec(excess, kinks, eye, rows["apparent_altitude_deg"], PALPY_RADIUS_M)
    assert_allclose(got, rows["refraction_arcsec"], rtol=0, atol=0.005)


def refraction_arcmin(atmosphere, apparent_altitude_deg, wavelength_nm=570.0, eye_m=0.0):
    curve = transfer_curve(atmosphere, eye_m, apparent_altitude_deg, wavelength_nm)
    return curve.refraction_arcsec / 60.0


def test_horizontal_refraction_falls_as_palpys_does_when_the_air_warms():
    # Table of palpy: 0 and 25 degC at 1013.25 hPa; ours has another stratosphere and gravity.
    at_horizon = PALPY[(PALPY["apparent_altitude_deg"] == 0) & (PALPY["pressure_hpa"] == 1013.25)]
    palpy = dict(zip(at_horizon["temperature_k"], at_horizon["refraction_arcsec"], strict=True))
    ours = {t: refraction_arcmin(Atmosphere.standard(t), 0.0, 574.0) * 60.0 for t in palpy}
    fall = palpy[273.15] - palpy[298.15]
    assert fall > 180.0
    assert_allclose(ours[273.15] - ours[298.15], fall, rtol=0.01, atol=0)


# --- dip ------------------------------------------------------------------------------------


@pytest.mark.parametrize("gradient", [-0.0342, -0.02, -0.0065, 0.0, 0.005])
def test_dip_by_the_curvature_of_the_ray(gradient):
    # k = 6.14 (0.0342 + dT/dh) at 15 degC and 1013 hPa, dip 1.926' sqrt(h (1 - k)): three figures.
    curvature = 6.14 * (0.0342 + gradient)
    dip = horizon_dip_arcmin(Atmosphere.standard(lapse_k_per_m=-gradient), 25.0)
    assert_allclose(dip, 1.926 * 5.0 * np.sqrt(1.0 - curvature), rtol=2e-3, atol=0)


def surface_gradient(gradient):
    """15 degC at the sea, `gradient` up to 50 m, and the standard lapse above."""
    height = np.array([0.0, 50.0, 11_000.0, 20_000.0, 86_000.0])
    temperature = 288.15 + np.array([0.0, 50.0 * gradient, -60.0, -70.0, -70.0])
    return Atmosphere.from_profile(height, temperature, 101_325.0)


def test_a_duct_begins_at_0_129_kelvin_a_metre():
    # k = 1 there (15 degC, 1013 hPa); visible light spreads the threshold by 1 %.
    below, above = surface_gradient(0.126), surface_gradient(0.132)
    assert horizon_apparent_altitude_deg(below, 10.0) < 0.0
    assert horizon_apparent_altitude_deg(above, 10.0) > 0.0
    assert transfer_curve(below, 10.0, 1e-3, 570.0).fate == Fate.SPACE
    assert transfer_curve(above, 10.0, 1e-3, 570.0).fate == Fate.SEA


# --- air mass and dispersion ------------------------------------------------------------------
