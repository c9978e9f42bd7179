"""The sky's radiance: what ozone, haze and the higher orders do to it, and what is refused."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics.colour import chromaticity, xyz_from_spectrum
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import WAVELENGTH_NM, Air, sky_radiance, sky_xyz, sky_xyz_grid

AIR = Air()


def without(**change):
    return Air(atmosphere=AIR.atmosphere, **change)


def test_zenith_owes_its_twilight_blue_to_ozone():
    """Hulburt 1953, J. Opt. Soc. Am. 43, 113 (from memory): without ozone it turns yellowish."""
    x_with, y_with = chromaticity(sky_xyz(AIR, -5.0, 90.0, 0.0))
    x_without, y_without = chromaticity(sky_xyz(without(ozone_du=0.0), -5.0, 90.0, 0.0))
    # D65 white stands at x = 0.3127: blue is well below it; the loss is most of the blue.
    assert x_with < 0.29
    assert x_without > x_with + 0.03
    assert y_without > y_with + 0.03


def test_single_scattering_leaves_the_shadow_black():
    once = sky_radiance(AIR, -3.0, 2.0, 180.0, single=True)
    whole = sky_radiance(AIR, -3.0, 2.0, 180.0)
    assert np.all(once < 0.01 * whole)


def test_most_of_a_clear_daytime_sky_is_scattered_once():
    clear = without(haze=Haze(0.0), sea_albedo=0.0)
    once = sky_radiance(clear, 45.0, 90.0, 0.0, single=True)[-1]
    assert 0.9 < once / sky_radiance(clear, 45.0, 90.0, 0.0)[-1] < 1.0


def test_haze_brightens_the_sky_about_the_sun_most():
    clear = without(haze=Haze(0.0))
    beside, opposite = ((20.0, 10.0), (20.0, 180.0))
    gain = [
        float(np.sum(sky_radiance(AIR, 20.0, *view)) / np.sum(sky_radiance(clear, 20.0, *view)))
        for view in (beside, opposite)
    ]
    assert gain[0] > 2.0 * gain[1]


def test_twilight_sky_is_symmetric_about_the_sun():
    left, right = sky_radiance(AIR, -2.0, np.array([10.0, 10.0]), np.array([70.0, -70.0]))
    assert_allclose(left, right, rtol=1e-6)


def test_colour_of_the_samples_and_of_the_fine_sum():
    """13 samples by the trapezoid rule and the 5 nm sum differ by the lines of the Sun alone."""
    view = (-2.0, np.array([3.0, 6.0, 30.0]), 180.0)
    sampled = xyz_from_spectrum(sky_radiance(AIR, *view), WAVELENGTH_NM)
    assert_allclose(sampled, sky_xyz(AIR, *view), rtol=0.05)


def test_grid_reads_between_lines_of_sight():
    altitude, azimuth = np.linspace(0.0, 60.0, 61), np.linspace(-180.0, 180.0, 73)
    grid = sky_xyz_grid(AIR, -3.0, altitude, azimuth, eye_height_m=95.0)
    some = np.ix_(np.arange(0, 61, 7), np.arange(0, 73, 9))
    direct = sky_xyz(AIR, -3.0, altitude[some[0]], azimuth[some[1]][0], eye_height_m=95.0)
    assert_allclose(grid[some], direct, rtol=0.015)
    # The haze's peak is read at one wavelength a colour: that is the half per cent more.
    beside = np.abs(azimuth[some[1]]) < 20.0
    off_peak = np.broadcast_to(~beside | (altitude[some[0]] > 10.0), direct.shape[:2])
    assert 50 < off_peak.sum() < off_peak.size
    assert_allclose(grid[some][off_peak], direct[off_peak], rtol=0.01)


@pytest.mark.parametrize("sun_deg", [1.0, -3.0, -7.0])
def test_a_rough_panorama_is_like_the_whole(sun_deg):
    altitude, azimuth = np.linspace(-0.2, 44.0, 60), np.linspace(0.0, 360.0, 73)
    whole, rough = (
        sky_xyz_grid(AIR, sun_deg, altitude, azimuth, eye_height_m=95.0, rough=each)
        for each in (False, True)
    )
    off = np.abs(rough / whole - 1.0)
    assert 0.0 < off.mean() < 0.002
    assert off.max() < 0.12  # in the lowest rows over the Sun


def test_numbers_and_arrays():
    many = sky_radiance(AIR, -2.0, np.array([[5.0], [20.0]]), np.array([0.0, 90.0, 180.0]))
    assert many.shape == (2, 3, WAVELENGTH_NM.size)
    assert_allclose(many[1, 2], sky_radiance(AIR, -2.0, 20.0, 180.0), rtol=1e-5)


def test_refraction_lifts_the_sun_for_the_air_opposite():
    """What leaving it out would cost: the sky of a Sun 0.1 to 0.2 deg lower, 10 to 30 % darker."""
    straight = without(refraction=False)
    seen = sky_xyz(AIR, -3.0, 8.0, 180.0)[1]
    lower = np.linspace(-3.0, -1.5, 31)
    bright = np.array([sky_xyz(straight, sun, 8.0, 180.0)[1] for sun in lower])
    shift = np.interp(seen, bright, lower) + 3.0
    # More than nothing, less than the 34' of the horizon: grazing light is mostly scattered out.
    assert 0.05 < shift < 34.0 / 60.0


def test_directions_below_the_horizon_are_refused():
    with pytest.raises(OutOfRangeError, match=r"from 95 m the sea horizon stands at -0.2\d deg"):
        sky_radiance(AIR, -2.0, -1.0, 180.0, eye_height_m=95.0)
    sky_radiance(AIR, -2.0, -0.25, 180.0, eye_height_m=95.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"sun": -11.0}, r"sun_true_altitude_deg is -11 deg; allowed is -10 to 90 deg"),
        ({"altitude": np.nan}, r"altitude_deg is nan deg; allowed is -90 to 90 deg"),
        ({"eye": 9500.0}, r"eye_height_m is 9500 m; allowed is 0 to 9000 m"),
        ({"azimuth": np.nan}, r"azimuth_deg is nan deg; allowed is -360 to 720 deg"),
    ],
)
def test_bad_input(change, message):
    given = {"sun": -2.0, "altitude": 10.0, "azimuth": 180.0, "eye": 2.0} | change
    with pytest.raises(OutOfRangeError, match=message):
        sky_radiance(
            AIR, given["sun"], given["altitude"], given["azimuth"], eye_height_m=given["eye"]
        )
