"""Duct windows against the integrated fates of rays, and against rising and falling n r."""

from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.ducts import GREEN_NM, grazing_heights_m
from ray_integration import SPACE, TRAPPED, follow

STANDARD = Atmosphere.standard()
STRONG = STANDARD.with_inversion(50.0, 20.0, 3.0)
SHIPPED = soundings.read(files("lowsun.data") / "soundings" / "marine-duct.csv")[0].atmosphere()
STEEPEST_ARCMIN = 4.0  # steeper rays are spread out no more than by any inversion


def windows(air, wavelength_nm=GREEN_NM):
    """Under each duct the lowest and the highest eye of its window [m]."""
    return grazing_heights_m(air, [STEEPEST_ARCMIN, 0.0], wavelength_nm).tolist()


AIRS = {"an inversion of 3 K": STRONG, "the ascent with a thin duct": SHIPPED}


@pytest.mark.parametrize("air", AIRS.values(), ids=AIRS)
def test_level_rays_get_out_below_and_are_trapped_above(air):
    # Followed step by step, by an integration that knows nothing of n r.
    ((_, high_m),) = windows(air)
    eye = np.array([high_m - 0.1, high_m + 0.1])
    _, fate = follow(air, eye, np.array([0.0, 0.0]), GREEN_NM)
    assert fate.tolist() == [SPACE, TRAPPED]


def test_the_windows_are_where_the_duct_flash_is_known_to_be():
    # An independent search by imaging found the flash at 45 m and at 897 to 899 m.
    (low,), (high,) = windows(STRONG), windows(SHIPPED)
    assert low[0] < 45.0 < low[1] < 46.0
    assert high[0] < 897.0
    assert_allclose(high[1], 899.0, rtol=0, atol=0.6)


def test_the_window_lies_under_its_duct():
    # Young's example of a sub-duct flash: 15 K over 200 to 250 m, "duct base just above 130 m",
    # the eye just below it (Zenit summary page). The rise's own shape is not given there.
    ((_, high_m),) = windows(STANDARD.with_inversion(200.0, 50.0, 15.0))
    assert 130.0 < high_m < 150.0


def test_red_gets_out_from_higher_up_than_green():
    # The air bends green more: its duct is stronger.
    (green,), (red,) = windows(STRONG, 520.0), windows(STRONG, 630.0)
    assert 0.05 < red[1] - green[1] < 0.5


def test_grazing_angles_order_the_heights():
    (heights,) = grazing_heights_m(STRONG, [4.0, 2.0, 1.0, 0.0])
    assert np.all(np.diff(heights) > 0)
    # Half the square of the angle is what n r must be short of: the rise of ln nr under the duct
    # is that of even air, 1 / R less its refractivity's fall, about 1.3e-7 per metre.
    slope = 0.5 * np.radians(2.0 / 60.0) ** 2 / (heights[-1] - heights[1])
    assert_allclose(slope, 1.3e-7, rtol=0.1, atol=0)


def test_smooth_air_and_weak_inversions_have_none():
    # 0.129 K/m makes light bend as the Earth curves (0.11 in Young's account): 0.05 is too little.
    assert windows(STANDARD) == []
    assert windows(STANDARD.with_inversion(40.0, 40.0, 1.0)) == []
    assert grazing_heights_m(STANDARD, [0.0]).shape == (0, 1)


def test_a_duct_on_the_ground_has_no_window():
    assert windows(STANDARD.with_inversion(0.0, 20.0, 6.0)) == []


def test_two_ducts_have_two_windows():
    # The upper, weaker one is looked at from between the two alone.
    air = STRONG.with_inversion(500.0, 40.0, 7.0)
    low, high = windows(air)
    assert low[1] < 50.0
    assert 440.0 < high[1] < 500.0


@pytest.mark.parametrize("grazing", [-1.0, 61.0])
def test_angles_that_do_not_graze_are_refused(grazing):
    with pytest.raises(OutOfRangeError, match="grazing_arcmin is"):
        grazing_heights_m(STRONG, [grazing])
