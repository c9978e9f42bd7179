"""The way of a ray over the ground: geometry without air, the curvature with it."""

import numpy as np
import pytest

from lowsun.errors import OutOfRangeError
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.ray_path import ground_distance_m

AIR = Atmosphere.standard()
RADIUS_M = 6_371_000.0


def test_without_air_it_is_the_straight_line_over_a_sphere():
    # By the sine rule in the triangle of centre, eye and the point at height h.
    altitude, height = np.radians(2.0), np.array([100.0, 5_000.0, 20_000.0])
    turn = np.arccos(RADIUS_M * np.cos(altitude) / (RADIUS_M + height)) - altitude
    found = ground_distance_m(AIR, 2.0, height, bends=False)
    np.testing.assert_allclose(found, RADIUS_M * turn, rtol=1e-3)


def test_low_down_it_curves_a_sixth_as_much_as_the_earth():
    # k = 503 P / T^2 (0.0343 - lapse) with P in hPa, lapse in K/m: 0.17 here (surveyors' rule, from
    # memory). From a ray that leaves at a: h = x tan a + x^2 (1 - k) / 2R.
    k = 503 * 1013.25 / 288.15**2 * (0.0343 - 0.0065)
    x, a = 30_000.0, np.radians(0.1)
    height = x * np.tan(a) + x**2 * (1 - k) / (2 * RADIUS_M)
    assert ground_distance_m(AIR, 0.1, height) == pytest.approx(x, rel=5e-3)
    straight = x * np.tan(a) + x**2 / (2 * RADIUS_M)
    assert ground_distance_m(AIR, 0.1, straight, bends=False) == pytest.approx(x, rel=5e-3)


def test_a_bent_ray_lies_further_out_than_the_straight_line_and_rises():
    height = np.linspace(0, 12_000, 20)
    bent, straight = (ground_distance_m(AIR, 0.1, height, bends=bends) for bends in (True, False))
    assert np.all(np.diff(bent) > 0)
    assert np.all(bent[1:] > straight[1:])
    assert bent[0] == 0
    assert ground_distance_m(AIR, 0.1, 500.0) == pytest.approx(
        ground_distance_m(AIR, 0.1, [500.0])[0], rel=0.02
    )


def test_what_does_not_fit_is_refused():
    with pytest.raises(OutOfRangeError, match="apparent_altitude_deg"):
        ground_distance_m(AIR, -1.0, 100.0)
    with pytest.raises(OutOfRangeError, match="height_m"):
        ground_distance_m(AIR, 1.0, -100.0)
