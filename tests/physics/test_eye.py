"""The eye's thresholds against Blackwell 1946, Crumey 2014, Hecht 1947 and laws to be met."""

from pathlib import Path

import numpy as np
import pytest
from colour.contrast import pupil_diameter_Barten1999
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import eye

ZERO_MAGNITUDE = -13.99  # of 1 lx; Crumey 2014, section 1.2
BLACKWELL = Path(__file__).parents[1] / "data" / "contrast_blackwell_1946.csv"
ARCMIN2_SR = np.radians(1 / 60) ** 2


def magnitude(lux):
    return ZERO_MAGNITUDE - 2.5 * np.log10(lux)


def hecht_lx(background):
    """Hecht 1947, J. Opt. Soc. Am. 37, 59, as in Schaefer 1990, PASP 102, 212."""
    nanolamberts = background * 3.1416e5
    low = 1.5849e-10 * (1 + np.sqrt(0.012589 * nanolamberts)) ** 2
    high = 4.4668e-9 * (1 + np.sqrt(1.2589e-6 * nanolamberts)) ** 2
    return 10.764 * np.where(nanolamberts < 1500, low, high)  # foot-candles to lux


def blackwell():
    """Backgrounds [cd/m2], areas [sr] and log10 of the contrasts that were chosen right."""
    lines = [one for one in BLACKWELL.read_text().splitlines() if one[0] != "#"]
    across_arcmin = np.array(lines[0].split(",")[1:], float)
    table = np.loadtxt(lines[1:], delimiter=",")
    background = 10.0 ** (0.4 * (12.58 - table[:, 0]))  # Crumey 2014, section 1.2
    return background, np.pi / 4.0 * across_arcmin**2 * ARCMIN2_SR, table[:, 1:]


def test_contrasts_as_blackwell_measured_them():
    background, areas, measured = blackwell()
    found = np.log10(eye.threshold_contrast(areas, background[:, None], eye.FORCED_CHOICE))
    apart = found - measured
    assert np.sqrt(np.mean(apart**2)) < 0.08
    # In the light in which a flash is seen the formula follows the table closely ...
    assert_allclose(apart[background > 20.0], 0.0, rtol=0, atol=np.log10(1.09))
    # ... while of a degree's targets in dusk, where it joins two branches, it asks too little.
    assert_allclose(apart, 0.0, rtol=0, atol=np.log10(1.71))
    assert np.unravel_index(np.abs(apart).argmax(), apart.shape)[1] >= 4
    assert 0.1 < background[np.abs(apart).max(axis=1).argmax()] < 5.0


def test_points_in_the_dark_as_in_the_papers_worked_example():
    # Its eq. 53, the dark branch by itself, gives 6.93 - 2.5 log F at 2e-4 cd/m2, to two places;
    # eq. 34, which joins both branches, is smooth where they meet and lies 0.02 mag off there.
    for factor in (1.0, 2.0, 2.4):
        expected = 6.93 - 2.5 * np.log10(factor)
        found = magnitude(eye.point_threshold_lx(2e-4, factor))
        assert_allclose(found, expected, rtol=0, atol=0.03)


def test_points_by_day_meet_both_branches_and_hecht():
    background = np.array([10.0, 100.0, 1000.0, 3000.0])
    # The paper's branch for light backgrounds, eq. 27: its hyperbola runs within 5 % of it.
    branch = background * (1.772e-4 * background**-0.25 + 7.167e-5) ** 2
    assert_allclose(eye.point_threshold_lx(background, 1.0), branch, rtol=0.05, atol=0)
    # Crumey's abstract calls Hecht's formula of limited accuracy: a third of a magnitude here.
    found = magnitude(eye.point_threshold_lx(background))
    assert_allclose(found, magnitude(hecht_lx(background)), rtol=0, atol=0.35)


def test_a_point_beside_the_low_sun():
    # 1e-5 lx at forced choice and 2e-5 to be noticed on 1000 cd/m2, both rounded to one figure.
    assert_allclose(eye.point_threshold_lx(1000.0, eye.FORCED_CHOICE), 1e-5, rtol=0.15, atol=0)
    assert_allclose(eye.point_threshold_lx(1000.0, eye.NOTICED), 2e-5, rtol=0.15, atol=0)


def test_signal_lights_told_by_colour():
    # Collision Regulations 1972, annex I, section 8: 2e-7 lx at the range in which a coloured light
    # must be known for what it is; a sea by night has 0.01 to 0.1 cd/m2 (common practice).
    told = eye.point_threshold_lx([0.01, 0.1], eye.TOLD_BY_COLOUR)
    assert_allclose(told, 2e-7, rtol=0.2, atol=0)
    # By day 1e-3 lx is asked of signal lights before 10 000 cd/m2 (from memory).
    assert_allclose(eye.point_threshold_lx(1e4, eye.TOLD_BY_COLOUR), 1e-3, rtol=0.2, atol=0)


def test_pupil_as_in_barten():
    # Barten 1999's pupil for a field of 60 degrees, in colour-science: another fit to such data.
    background = np.array([0.1, 1.0, 10.0, 100.0, 1000.0])
    other = [pupil_diameter_Barten1999(one, 60, 60) for one in background]
    assert_allclose(eye.pupil_mm(background), other, rtol=0.2, atol=0)
    assert np.all(np.diff(eye.pupil_mm(background)) < 0)


def test_any_area_lies_between_a_point_and_a_large_target():
    background = np.array([1e-3, 0.5, 30.0, 1000.0])
    tiny, huge = 1e-4 * ARCMIN2_SR, 0.1  # at night even 0.1 sr, 20 deg, is not quite large
    assert_allclose(
        eye.threshold_lx(tiny, background), eye.point_threshold_lx(background), rtol=0.02, atol=0
    )
    assert_allclose(
        eye.threshold_contrast(huge, background), eye.large_contrast(background), rtol=0.05, atol=0
    )
    area = np.geomspace(0.01, 1e5, 40)[:, None] * ARCMIN2_SR
    contrast = eye.threshold_contrast(area, background)
    light = eye.threshold_lx(area, background)
    assert np.all(np.diff(contrast, axis=0) < 0)
    assert np.all(np.diff(light, axis=0) > 0)


def test_the_join_has_no_step():
    # Where dusk's exponent begins and ends, to the three places it is printed in.
    for border in (0.193, 3.40, 0.354):
        below, above = eye.threshold_contrast(10 * ARCMIN2_SR, [border * 0.9999, border * 1.0001])
        assert_allclose(below, above, rtol=0.005, atol=0)


def test_numbers_and_arrays_agree():
    grid = eye.threshold_lx(np.array([[1e-8], [1e-6]]), np.array([1.0, 1000.0]))
    assert grid.shape == (2, 2)
    assert grid[1, 0] == eye.threshold_lx(1e-6, 1.0)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: eye.point_threshold_lx(0.0), r"background_cd_per_m2 is 0 cd/m2"),
        (lambda: eye.point_threshold_lx(2e5), r"allowed is 1e-05 to 100000 cd/m2"),
        (lambda: eye.point_threshold_lx(1.0, 0.0), r"field_factor is 0"),
        (lambda: eye.point_threshold_lx(1.0, 101.0), r"field_factor is 101; allowed is 0.5 to 100"),
        (lambda: eye.threshold_lx(0.0, 1.0), r"area_sr is 0 sr"),
    ],
)
def test_what_is_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()
