"""The seconds of green counted a second time: images of rays integrated step by step.

Rays, amounts of air, rows, chords, colours and sums are all made anew (tests/support/imaging.py).
"""

from functools import lru_cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from imaging import RADIUS_DEG, rows_through, topmost_piece
from lowsun.phenomena import flash_light, low_sun
from lowsun.phenomena.flash_light import FLASH_COLOURS
from lowsun.phenomena.green_flash import main_of, seen_flashes
from lowsun.physics import colour, eye
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air

EVEN = Atmosphere.standard()
INVERSION = EVEN.with_inversion(40.0, 40.0, 2.0)
WARM_SEA = EVEN.with_surface_layer(2.0, 10.0)
STRONG = EVEN.with_inversion(50.0, 20.0, 3.0)
HAZED = HAZE["clear"]
ROW_ARCMIN = 0.12  # between integrated rays


# Airs, eyes and rows above the flash's fold: where one is told to stand, and too high.
CASES = {
    "inversion, advised": (INVERSION, 64.0, (-4.5, 2.5)),
    "inversion, too high": (INVERSION, 150.0, (-3.0, 1.5)),
    "warm sea, advised": (WARM_SEA, 3.0, (-2.0, 5.0)),
    "duct, advised": (STRONG, 45.0, (-4.5, 2.5)),
}


@lru_cache
def imaged(case):
    """What the kit says is seen, and the rows of the independent image."""
    air, eye_m, above_arcmin = CASES[case]
    seen = main_of(seen_flashes(Air(air, HAZED), eye_m))
    apparent = 60.0 * seen.flash.apparent_altitude_deg + np.arange(*above_arcmin, ROW_ARCMIN)
    return seen, rows_through(air, eye_m, HAZED, apparent / 60.0)


def _visibly_green(rows, sun_true_deg, sky):
    xyz, _, brightest = topmost_piece(rows, sun_true_deg)
    if xyz[1] <= 0.0 or colour.colour_name(xyz) not in FLASH_COLOURS:
        return False
    return xyz[1] > float(eye.threshold_lx(xyz[1] / brightest, sky, eye.TOLD_BY_COLOUR))


@pytest.mark.parametrize("case", CASES)
def test_an_image_turns_green_for_as_long(case):
    # Arcsec by arcsec the limb sinks; 2 % is the eight wavelengths'.
    seen, rows = imaged(case)
    assert seen.is_seen
    limbs = seen.flash.red_true_altitude_deg - np.arange(-12.0, 150.0) / 3600.0
    green = [_visibly_green(rows, limb - RADIUS_DEG, seen.sky_cd_per_m2) for limb in limbs]
    assert_allclose(sum(green), seen.depth_arcsec, rtol=0.02, atol=1.5)


def test_an_image_is_as_bright_and_as_green_as_the_light_summed():
    # 6 arcsec after the red has gone.
    seen, rows = imaged("warm sea, advised")
    sun = seen.flash.red_true_altitude_deg - 6.0 / 3600.0 - RADIUS_DEG
    xyz, _, _ = topmost_piece(rows, sun)
    curve = low_sun.curve_for_picture(WARM_SEA, 3.0, 2.0)
    sliver = flash_light.sliver(curve.through(HAZED), sun)
    assert_allclose(xyz[1], sliver.illuminance_lx[0], rtol=0.1)
    wanted = float(sliver.dominant_wavelength_nm[0])
    assert_allclose(colour.dominant_wavelength_nm(colour.chromaticity(xyz)), wanted, atol=4.0)
