"""The sky's radiance against photons counted one by one (tests/support/photons.py)."""

import numpy as np
import pytest

import photons
from lowsun.phenomena.low_sky import low_sky
from lowsun.physics.scattering import WAVELENGTH_NM, Air
from lowsun.physics.scattering.radiance import sky_ratio

EYE_M = 95.0
ORDERS = 10  # what comes after is below 0.1 %
# Altitude and azimuth from the Sun [deg]: through the dark segment, its edge and the arch, aside,
# overhead and towards the sunset.
VIEWS = np.array(
    [
        (2, 180),
        (5, 180),
        (8, 180),
        (15, 180),
        (30, 180),
        (5, 120),
        (10, 90),
        (90, 0),
        (10, 0),
        (3, 20),
    ]
)
# Straight rays in both: the count knows no refraction.
AIR = Air(refraction=False)


@pytest.mark.parametrize("wavelength_nm", [450.0, 600.0])
@pytest.mark.parametrize(("sun_deg", "count"), [(0.0, 1500), (-2.0, 3000), (-4.0, 5000)])
def test_radiance_agrees_with_a_count_of_photons(wavelength_nm, sun_deg, count):
    rows = [(sun_deg, *view) for view in VIEWS]
    rng = np.random.default_rng(20)
    counted, error = photons.radiance_over_sun(AIR, wavelength_nm, EYE_M, rows, count, ORDERS, rng)
    solved = sky_ratio(AIR, sun_deg, VIEWS[:, 0].astype(float), VIEWS[:, 1], EYE_M)
    ratio = solved[:, wavelength_nm == WAVELENGTH_NM][:, 0] / counted
    error = error / counted
    # 15 %: the degrees of haze's phase function beyond the second are left out of the higher
    # orders, which costs up to 13 % low in the dark segment.
    assert np.all(np.abs(ratio - 1.0) < 0.15 + 3.0 * error), ratio
    # The ten together, where the count's own error is small.
    assert abs(ratio.mean() - 1.0) < 0.05 + 3.0 * np.sqrt(np.mean(error**2) / len(VIEWS))


def test_count_finds_single_scattering_of_thin_air():
    """The counter itself: clear thin air, where one scattering is all, has a closed answer."""
    thin = Air(refraction=False, ozone_du=0.0, sea_albedo=0.0)
    views = [(30.0, 60.0, 90.0)]
    rng = np.random.default_rng(4)
    counted, error = photons.radiance_over_sun(thin, 700.0, 0.0, views, 4000, 1, rng)
    solved = sky_ratio(thin, 30.0, np.array([60.0]), np.array([90.0]), 0.0, single=True)
    assert abs(solved[0, -1] / counted[0] - 1.0) < 0.01 + 3.0 * error[0] / counted[0]


@pytest.mark.parametrize("sun_deg", [2.0, 0.0, -2.0])
def test_sky_about_the_sun_agrees_with_a_count_that_knows_the_same_haze(sun_deg):
    """1, 3 and 10 deg from the Sun, or from the point above it on the horizon, by Mie's haze."""
    wavelength_nm, up_deg = 550.0, max(sun_deg, 1.0)
    aside = np.array([1.0, 3.0, 10.0])
    rows = [(sun_deg, up_deg, azimuth) for azimuth in aside]
    rng = np.random.default_rng(7)
    counted, error = photons.radiance_over_sun(AIR, wavelength_nm, EYE_M, rows, 6000, ORDERS, rng)
    seen = low_sky(AIR, sun_deg, sun_deg, 4.0, 12.0, eye_height_m=EYE_M)
    solved = seen.spectrum(up_deg, aside)[:, wavelength_nm == WAVELENGTH_NM][:, 0]
    assert np.all(error / counted < 0.06)
    assert np.all(np.abs(solved / counted - 1.0) < 0.15 + 2.0 * error / counted), solved / counted
