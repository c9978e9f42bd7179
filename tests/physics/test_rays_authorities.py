"""Refraction, dip, air mass and dispersion against published values and other programs' tables."""

from functools import partial
from pathlib import Path

import erfa
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
TEN_C = Atmosphere.standard(283.15, 101_000.0)
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


def test_our_air_refracts_as_the_almanac_says():
    # Astronomical Almanac, formula for altitudes below 15 deg; 10 degC, 1010 hPa. Handbooks
    # spread over 1' at the horizon, 0.2' at 1 deg, 0.1' above (see the next test).
    altitude = np.array([0.0, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0])
    almanac = 1010.0 * ((0.00002 * altitude + 0.0196) * altitude + 0.1594)
    almanac *= 60.0 / (283.0 * ((0.0845 * altitude + 0.505) * altitude + 1.0))
    difference = refraction_arcmin(TEN_C, altitude) - almanac
    assert np.all(np.abs(difference) < [1.0, 0.3, 0.2, 0.1, 0.1, 0.1, 0.1])


def test_our_air_refracts_as_bennett_says():
    # Bennett 1982, J. Navigation 35, 255, by Meeus eq. 16.3; 10 degC, 1010 hPa.
    altitude = np.array([0.0, 1.0, 2.0, 5.0, 10.0, 45.0])
    bennett = 1.0 / np.tan(np.radians(altitude + 7.31 / (altitude + 4.4)))
    difference = refraction_arcmin(TEN_C, altitude) - bennett
    assert np.all(np.abs(difference) < [1.0, 0.35, 0.15, 0.1, 0.1, 0.05])


def test_our_air_refracts_as_the_pulkovo_tables_say():
    # Pulkovo refraction tables: 1977.971" at 15 degC, 1013.25 mb, 0.590 um, dry, latitude 45 deg.
    # Their stratosphere and Earth radius (by latitude) are not ours: 3" of 1978".
    got = refraction_arcmin(FIFTEEN_C, 0.0, 590.0) * 60.0
    assert_allclose(got, 1977.971, rtol=0, atol=3.0)


@pytest.mark.parametrize("altitude_deg", [15.0, 20.0, 30.0, 45.0, 75.0])
def test_high_up_refraction_follows_erfas_two_terms(altitude_deg):
    # ERFA refco: A tan z + B tan^3 z from the ground values alone, good to 0.03" at z = 75 deg.
    a, b = erfa.refco(1013.25, 15.0, 0.0, 0.570)
    tangent = np.tan(np.radians(90.0 - altitude_deg))
    expected = np.degrees(a * tangent + b * tangent**3) * 3600.0
    assert_allclose(refraction_arcmin(FIFTEEN_C, altitude_deg) * 60.0, expected, rtol=0, atol=0.05)


def test_horizontal_refraction_falls_as_palpys_does_when_the_air_warms():
    # Table of palpy: 0 and 25 degC at 1013.25 hPa; ours has another stratosphere and gravity.
    at_horizon = PALPY[(PALPY["apparent_altitude_deg"] == 0) & (PALPY["pressure_hpa"] == 1013.25)]
    palpy = dict(zip(at_horizon["temperature_k"], at_horizon["refraction_arcsec"], strict=True))
    ours = {t: refraction_arcmin(Atmosphere.standard(t), 0.0, 574.0) * 60.0 for t in palpy}
    fall = palpy[273.15] - palpy[298.15]
    assert fall > 180.0
    assert_allclose(ours[273.15] - ours[298.15], fall, rtol=0.01, atol=0)


def true_to_apparent_deg(atmosphere, true_altitude_deg):
    apparent = np.linspace(0.0, 12.0, 12001)
    true = transfer_curve(atmosphere, 0.0, apparent, 574.0).true_altitude_deg
    return np.interp(true_altitude_deg, true, apparent)


def flattening(atmosphere, lower_limb_apparent_deg, diameter_arcmin=32.0):
    lower = transfer_curve(atmosphere, 0.0, lower_limb_apparent_deg, 574.0).true_altitude_deg
    upper = true_to_apparent_deg(atmosphere, lower + diameter_arcmin / 60.0)
    return (upper - lower_limb_apparent_deg) * 60.0 / diameter_arcmin


@pytest.mark.parametrize(("altitude_deg", "ratio"), [(0.0, 0.842), (5.0, 0.976), (10.0, 0.992)])
def test_the_disc_is_flattened_as_palpy_has_it(altitude_deg, ratio):
    # Computed with palpy 1.8.4, 10 degC, 1010 hPa; three figures given.
    assert_allclose(flattening(TEN_C, altitude_deg), ratio, rtol=0, atol=2e-3)


def test_the_disc_of_meeus_example():
    # Meeus, Astronomical Algorithms, example 16.a: lower limb at 30', ratio 0.871, by Bennett's
    # and Saemundsson's approximations, good to 0.07' at each limb.
    assert_allclose(flattening(TEN_C, 0.5), 0.871, rtol=0, atol=2 * 0.07 / 32.0)


# --- dip ------------------------------------------------------------------------------------


@pytest.mark.parametrize("gradient", [-0.0342, -0.02, -0.0065, 0.0, 0.005])
def test_dip_by_the_curvature_of_the_ray(gradient):
    # k = 6.14 (0.0342 + dT/dh) at 15 degC and 1013 hPa, dip 1.926' sqrt(h (1 - k)): three figures.
    curvature = 6.14 * (0.0342 + gradient)
    dip = horizon_dip_arcmin(Atmosphere.standard(lapse_k_per_m=-gradient), 25.0)
    assert_allclose(dip, 1.926 * 5.0 * np.sqrt(1.0 - curvature), rtol=2e-3, atol=0)


def test_dip_of_the_navigators():
    # Nautical Almanac, Bowditch: 1.76' sqrt(m), an average air with k = 0.165: 0.5 %.
    eyes = [2.0, 10.0, 30.0, 95.0]
    dips = [horizon_dip_arcmin(FIFTEEN_C, eye) for eye in eyes]
    assert_allclose(dips, 1.76 * np.sqrt(eyes), rtol=5e-3, atol=0)


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


@pytest.mark.parametrize(
    ("altitude_deg", "share"), [(0, 0.03), (1, 0.01), (2, 0.01), (5, 5e-3), (10, 5e-3), (30, 5e-3)]
)
def test_air_mass_of_kasten_and_young(altitude_deg, share):
    # Kasten & Young 1989, Applied Optics 28, 4735, by apparent altitude; published models spread
    # over 36.5-38.7 at the horizon.
    kasten = 1.0 / (
        np.sin(np.radians(altitude_deg)) + 0.50572 * (altitude_deg + 6.07995) ** -1.6364
    )
    got = transfer_curve(FIFTEEN_C, 0.0, altitude_deg, 700.0).air_mass
    assert_allclose(got, kasten, rtol=share, atol=0)


@pytest.mark.parametrize(
    ("altitude_deg", "short_nm", "long_nm", "width_arcsec"),
    [
        (0.0, 520, 630, 14.8),
        (0.0, 500, 650, 20.6),
        (0.0, 486, 656, 24.1),
        (0.0, 450, 650, 32.6),
        (0.0, 400, 700, 53.8),
        (0.5, 500, 650, 16.9),
        (1.0, 500, 650, 14.2),
        (5.0, 500, 650, 5.6),
        (10.0, 500, 650, 3.0),
    ],
)
def test_dispersion_of_palpy(altitude_deg, short_nm, long_nm, width_arcsec):
    # Computed with palpy 1.8.4, 15 degC, 1013.25 hPa; 2 %: formulas for the index differ by that,
    # and two figures are given high up.
    short, long = refraction_arcmin(FIFTEEN_C, altitude_deg, [short_nm, long_nm]) * 60.0
    assert_allclose(short - long, width_arcsec, rtol=0.02, atol=0.05)
