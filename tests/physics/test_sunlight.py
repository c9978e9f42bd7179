"""The Sun's spectrum and disc against ASTM G173-03, Neckel & Labs 1994 and the IAU constants."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from pvlib.spectrum import get_reference_spectra
from scipy.constants import c, h, k

from lowsun.errors import OutOfRangeError
from lowsun.physics import sunlight


def test_irradiance_of_the_standard():
    # ASTM G173-03, extraterrestrial column, as pvlib ships it; means over 5 nm, so the sums over
    # 50 nm are compared and not the lines. 0.5 %.
    standard = get_reference_spectra()["extraterrestrial"]
    for low_nm in range(400, 800, 50):
        wavelength_nm = np.arange(float(low_nm), low_nm + 51)
        wanted = np.trapezoid(standard.loc[wavelength_nm], wavelength_nm)
        got = np.trapezoid(sunlight.irradiance(wavelength_nm), wavelength_nm)
        assert_allclose(got, wanted, rtol=5e-3, atol=0)


def test_mean_to_centre_is_the_mean_over_the_disc():
    # The same mean by adding up rings, without the polynomial's integral.
    radius = (np.arange(20_000) + 0.5) / 20_000
    rings = sunlight.limb_darkening(np.sqrt(1 - radius**2), 550.0)
    mean = np.sum(rings * radius) / np.sum(radius)
    assert_allclose(sunlight.mean_to_centre(550.0), mean, rtol=1e-6, atol=0)


def test_centre_of_the_disc_is_one():
    # The published coefficients add up to 1 within their rounding.
    assert_allclose(sunlight.limb_darkening(1, np.arange(380, 831)), 1, rtol=0, atol=2e-5)


def test_limb_darkens_steadily_and_most_in_the_blue():
    mu = np.linspace(0.05, 1, 200)
    for wavelength_nm in (400, 450, 550, 700):
        assert np.all(np.diff(sunlight.limb_darkening(mu, wavelength_nm)) > 0)
    assert sunlight.limb_darkening(0.2, 450) < sunlight.limb_darkening(0.2, 650)


def test_limb_darkening_broadcasts():
    picture = sunlight.limb_darkening(np.linspace(0, 1, 7)[:, None], np.array([450.0, 550, 650]))
    assert picture.shape == (7, 3)
    assert_allclose(picture[3, 1], sunlight.limb_darkening(0.5, 550), rtol=1e-15, atol=0)


def test_edges_hold_outside_the_published_wavelengths():
    mu = np.linspace(0, 1, 5)
    for edge_nm, outside_nm in ((401.970, 380), (700.875, 830)):
        held = sunlight.limb_darkening(mu, outside_nm)
        assert_allclose(held, sunlight.limb_darkening(mu, edge_nm), rtol=0, atol=0)


def test_disc_of_the_almanac():
    # IAU 2015 nominal radius at 1 au: diameter 31.974'.
    radius_rad = np.sqrt(sunlight.DISC_PROJECTED_SOLID_ANGLE_SR / np.pi)
    assert 2 * np.degrees(np.arcsin(radius_rad)) * 60 == pytest.approx(31.974, abs=1e-3)


def test_disc_glows_about_as_a_black_body():
    # IAU 2015 resolution B3: effective temperature 5772 K. The Sun is no black body: it lies some
    # per cent above in the green and red, where it should agree within 8 %.
    wavelength_m = np.arange(500, 701) * 1e-9
    planck = 2 * h * c**2 / wavelength_m**5 / np.expm1(h * c / (wavelength_m * k * 5772)) * 1e-9
    disc_mean = sunlight.centre_radiance(wavelength_m * 1e9) * sunlight.mean_to_centre(
        wavelength_m * 1e9
    )
    assert_allclose(disc_mean.mean(), planck.mean(), rtol=0.08, atol=0)


def test_disc_adds_up_to_the_irradiance():
    radius = (np.arange(2000) + 0.5) / 2000
    rings = sunlight.disc_radiance(np.sqrt(1 - radius**2), 600.0)
    mean = np.sum(rings * radius) / np.sum(radius)
    total = mean * sunlight.DISC_PROJECTED_SOLID_ANGLE_SR
    assert_allclose(total, sunlight.irradiance(600.0), rtol=1e-5, atol=0)


@pytest.mark.parametrize(
    "function", [sunlight.irradiance, sunlight.mean_to_centre, sunlight.centre_radiance]
)
def test_scalar_and_array_agree(function):
    grid = function(np.full((2, 3), 500.0))
    assert grid.shape == (2, 3)
    assert np.ndim(function(500.0)) == 0
    assert_allclose(grid, function(500.0), rtol=1e-15, atol=0)


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: sunlight.irradiance(900), r"wavelength_nm is 900 nm; allowed is 305 to 830 nm"),
        (lambda: sunlight.limb_darkening(1.2, 500), r"mu is 1.2; allowed is 0 to 1"),
        (lambda: sunlight.limb_darkening(0.5, 300), r"wavelength_nm is 300 nm; allowed is 380"),
        (lambda: sunlight.mean_to_centre(np.nan), r"wavelength_nm is nan nm"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()
