"""Rim widths held to an independent refraction integration."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.phenomena.dispersion import rim_width_arcsec
from lowsun.physics.atmosphere import Atmosphere

STANDARD = Atmosphere.standard()


@pytest.mark.parametrize(
    ("short_nm", "long_nm", "published"),
    [(520, 630, 14.8), (500, 650, 20.6), (486, 656, 24.1), (450, 650, 32.6), (400, 700, 53.8)],
)
def test_width_on_the_horizon(short_nm, long_nm, published):
    # palpy 1.8.4 `refro` (Hohenkerk & Sinclair 1985), 15 degC 1013.25 hPa dry; 2 %: another
    # dispersion formula and the rounding of the values.
    width = rim_width_arcsec(STANDARD, 0.0, 0.0, short_nm, long_nm)
    assert_allclose(width, published, rtol=0.02)


def test_width_grows_towards_the_horizon():
    # As above, 500 and 650 nm, apparent altitudes 0.5 to 10 deg.
    width = rim_width_arcsec(STANDARD, 0.0, [0.5, 1.0, 5.0, 10.0], 500, 650)
    assert_allclose(width, [16.9, 14.2, 5.6, 3.0], rtol=0.02)


def test_width_is_refraction_times_relative_dispersion_high_up():
    # High in the sky refraction is (n - 1) cot(altitude): 60.4" at 45 deg for 15 degC, of which
    # the dispersion 400 to 700 nm is a share of 0.02504 (Ciddor 1996); flat air to 1 %.
    width = rim_width_arcsec(STANDARD, 0.0, 45.0, 400, 700)
    share = width / (3600.0 * np.degrees(27783.76e-8))
    assert_allclose(share, 0.02504, rtol=0.01)


def test_zenith_has_no_rim():
    assert_allclose(rim_width_arcsec(STANDARD, 0.0, 90.0, 400, 700), 0.0, atol=1e-9)


def test_warm_thin_air_makes_narrower_rims():
    warm = Atmosphere.standard(temperature_k=308.15)
    assert rim_width_arcsec(warm, 0.0, 0.0, 500, 650) < rim_width_arcsec(
        STANDARD, 0.0, 0.0, 500, 650
    )


def test_number_equals_array_and_below_the_horizon_is_nan():
    widths = rim_width_arcsec(STANDARD, 95.0, [-1.0, 0.0, 2.0], 500, 650)
    assert np.isnan(widths[0])
    assert widths[1] == pytest.approx(rim_width_arcsec(STANDARD, 95.0, 0.0, 500, 650), rel=1e-9)


def test_wavelengths_the_wrong_way_round():
    with pytest.raises(OutOfRangeError, match=r"short_nm is 650 and long_nm 500.*Exchange"):
        rim_width_arcsec(STANDARD, 0.0, 0.0, 650, 500)
