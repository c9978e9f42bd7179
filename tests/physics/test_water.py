"""Sea water against published indices, handbook reflectances, and the statistics of its waves."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics.water import (
    fresnel_reflectance,
    hidden_over_seen,
    slope_variances,
    water_index,
)


def test_index_falls_with_warmth():
    # Quan & Fry 1995 at 550 nm, 0 and 30 degC.
    assert_allclose(water_index(550.0, [0.0, 30.0]), [1.34226, 1.33961], atol=1e-5)


def test_brewsters_angle():
    # There the light that vibrates in the plane is not mirrored: half of the square of
    # rs = cos(2 incidence) is left, in closed form.
    angle = np.arctan(1.34)
    assert fresnel_reflectance(np.cos(angle), 1.34) == pytest.approx(np.cos(2 * angle) ** 2 / 2)


def test_all_light_is_mirrored_at_grazing_and_none_at_equal_index():
    assert fresnel_reflectance(0.0, 1.34) == 1.0
    assert fresnel_reflectance(0.5, 1.0) == 0.0


@pytest.mark.parametrize(("index", "share"), [(1.333, 0.0664), (1.34, 0.0675)])
def test_diffuse_sky_on_calm_water(index, share):
    # Handbook 0.066: the mean over a uniform sky, integral of R 2 c dc.
    c, weight = np.polynomial.legendre.leggauss(200)
    c, weight = (c + 1) / 2, weight / 2
    assert np.sum(2 * c * weight * fresnel_reflectance(c, index)) == pytest.approx(share, abs=1e-4)


@pytest.mark.parametrize(("wind", "rms_deg"), [(2, 6.6), (5, 9.6), (10, 13.1), (14, 15.3)])
def test_slopes_grow_with_the_wind_as_published(wind, rms_deg):
    # Cox & Munk 1954: total mean square slope 0.003 + 0.00512 U; (tan 16 deg)^2 at 14 m/s in their
    # abstract, where the wind's own component is the larger.
    up, cross = slope_variances(wind)
    # Their two components sum to 0.00508 U, and the total's own fit has 0.00512 U.
    assert up + cross == pytest.approx(0.003 + 0.00512 * wind, abs=6e-4)
    assert np.degrees(np.arctan(np.sqrt(up + cross))) == pytest.approx(rms_deg, abs=0.1)
    assert (wind < 3) or up > cross
    assert slope_variances(14)[0] + slope_variances(14)[1] == pytest.approx(
        np.tan(np.radians(16)) ** 2, rel=0.1
    )


def unshadowed_share(elevation_deg, variance):
    return 1.0 / (1.0 + hidden_over_seen(np.tan(np.radians(elevation_deg)), variance))


@pytest.mark.parametrize(
    ("wind", "shares"),
    [
        # Smith 1967 with half of Cox & Munk's total, at 1, 2, 5 and 10 deg, from his formula.
        (2, (0.416, 0.661, 0.937, 0.998)),
        (5, (0.307, 0.520, 0.844, 0.979)),
        (10, (0.233, 0.413, 0.738, 0.937)),
    ],
)
def test_waves_hide_each_other_at_grazing_view(wind, shares):
    variance = (0.003 + 0.00512 * wind) / 2
    assert_allclose(unshadowed_share([1.0, 2.0, 5.0, 10.0], variance), shares, atol=6e-4)


def test_seen_from_the_side_waves_hide_all_and_from_above_none():
    assert unshadowed_share(0.0, 0.01) == 0.0
    assert unshadowed_share(89.0, 0.01) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: slope_variances(0.0), r"wind_m_per_s is 0 m/s; allowed is 0.5 to 15 m/s"),
        (lambda: slope_variances(40.0), r"wind_m_per_s is 40 m/s"),
        (lambda: water_index(900.0), r"wavelength_nm is 900 nm; allowed is 400 to 700"),
        (lambda: fresnel_reflectance(1.2, 1.34), r"cos_incidence is 1.2; allowed is 0 to 1"),
        (lambda: hidden_over_seen(-1.0, 0.01), r"rise is -1; allowed is 0"),
        (lambda: hidden_over_seen(1.0, 0.0), r"variance is 0; allowed is 1e-09 to 1"),
    ],
)
def test_outside_the_range_is_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()
