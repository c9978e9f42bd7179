"""The sky about the Sun: against the sky looked at direction by direction, and what is known."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.phenomena.low_sky import (
    _angle_deg,
    low_sky,
    over_a_picture,
    parts_about_sun,
    reach_deg,
)
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import WAVELENGTH_NM, Air, sky_horizon_deg
from lowsun.physics.scattering.grid import straight_matrix
from lowsun.physics.scattering.haze_phase import marine_phase
from lowsun.physics.scattering.optics import rayleigh_phase
from lowsun.physics.scattering.radiance import scattered_parts, scattering_cosine
from lowsun.physics.scattering.spectrum import sunlit_weights

AIR = Air()
EYE_M = 95.0
LOW_DEG = sky_horizon_deg(AIR, EYE_M)


def sky(sun_deg, seen_deg=None, air=AIR, high_deg=3.0, wide_deg=0.0):
    seen_deg = sun_deg if seen_deg is None else seen_deg
    return low_sky(air, sun_deg, seen_deg, high_deg, wide_deg, eye_height_m=EYE_M)


@pytest.mark.parametrize("wide_deg", [0.0, 16.0])
@pytest.mark.parametrize("sun_deg", [3.0, 0.0, -0.8, -3.0])
def test_pixels_are_the_sky_of_their_directions(sun_deg, wide_deg):
    # Every pixel by itself, its own line of sight and its own phase functions: within 3 % of what
    # is read from a few altitudes and angles.
    rows = np.array([-0.2, 0.05, 0.31, 0.77, 1.6])
    across = np.array([0.0, 0.13, 0.4, 1.1, wide_deg])
    got = sky(sun_deg, wide_deg=wide_deg).seen(rows, across)
    molecules, haze, more = scattered_parts(AIR, sun_deg, rows[:, None], across, EYE_M)
    cosine = scattering_cosine(sun_deg, rows[:, None], across)
    spectrum = (
        rayleigh_phase(cosine)[..., None] * molecules
        + marine_phase(cosine, WAVELENGTH_NM) * haze
        + more
    )
    assert_allclose(got, spectrum @ sunlit_weights(), rtol=0.03)


def test_spectrum_and_pixels_agree():
    seen = sky(-0.5, 0.1)
    rows, across = np.array([0.0, 0.6]), np.array([0.05, 0.9])
    light = seen.spectrum(rows[:, None], across)
    assert_allclose(light @ sunlit_weights(), seen.seen(rows, across), rtol=0.02)


def test_sky_is_brightest_about_the_sun_that_is_seen():
    # Refraction lifts the aureole with the disc: it surrounds the Sun where the Sun is seen.
    seen = sky(0.0, 0.6, wide_deg=3.0)
    rows = np.linspace(0.0, 2.0, 81)
    against_far = seen.seen(rows, [0.0])[:, 0, 1] / seen.seen(rows, [3.0])[:, 0, 1]
    assert rows[against_far.argmax()] == pytest.approx(0.6, abs=0.05)


def test_haze_makes_the_aureole():
    across = np.array([0.3, 3.0])
    clear, hazy = (
        sky(3.0, air=Air(haze=Haze(depth, 0.8)), wide_deg=3.0).seen([3.0], across)[0, :, 1]
        for depth in (1e-5, 0.1)
    )
    assert clear[0] / clear[1] == pytest.approx(1.0, abs=0.1)
    assert hazy[0] > 1.5 * hazy[1]


def test_no_jump_at_sunset():
    # The sky a little before and after the disc has gone is one sky: it dims by some per cent in a
    # tenth of a degree, as the twilight table does (Janiczek & DeYoung 1987: 759 lx at 0 deg, 462
    # at -0.8, 6 % in 0.1 deg).
    suns = np.arange(-0.4, -1.5, -0.1)
    bright = np.array([sky(sun, sun + 0.5).seen([0.3], [0.0])[0, 0, 1] for sun in suns])
    steps = bright[1:] / bright[:-1]
    assert np.all((steps > 0.75) & (steps < 0.97))
    assert np.abs(np.diff(steps)).max() < 0.06


def test_angle_is_exact_where_it_is_small():
    # A spherical triangle by the cosine rule, in extended precision.
    up, sun, aside = (np.longdouble(np.radians(x)) for x in (0.31, 0.3, 0.02))
    cosine = np.sin(up) * np.sin(sun) + np.cos(up) * np.cos(sun) * np.cos(aside)
    assert _angle_deg(0.3, 0.31, 0.02) == pytest.approx(float(np.degrees(np.arccos(cosine))))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: sky(0.0, high_deg=-1.0), r"high_deg is -1 deg; the sky begins at -0.28"),
        (lambda: sky(-11.0), r"sun_true_altitude_deg is -11 deg"),
        (lambda: sky(0.0, "0"), r"sun_apparent_altitude_deg is '0', which is not a number"),
        (lambda: sky(0.0, high_deg=[3.0]), r"high_deg holds 1 numbers; give one"),
        (lambda: sky(0.0, wide_deg=np.nan), r"wide_deg is nan"),
        (lambda: sky(0.0).seen([5.0], [0.0]), r"altitude_deg is 5 deg; allowed is"),
        (lambda: sky(0.0).seen([0.5], [4.0]), r"azimuth_deg is 4 deg; allowed is 0 to 1.5"),
    ],
)
def test_outside_the_range_is_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()


@pytest.mark.parametrize("sun_deg", [2.05, -0.65, -1.95, -4.25])
def test_between_suns_a_step_apart_light_falls_by_factors(sun_deg):
    # As if summed for the Sun itself, half a step from both.
    rows, across = LOW_DEG + np.array([0.002, 0.4, 3.0]), np.array([0.0, 8.0, 16.0])
    summed = scattered_parts(AIR, sun_deg, rows, across[:, None], EYE_M)
    for read, right in zip(parts_about_sun(AIR, sun_deg, rows, across, EYE_M), summed, strict=True):
        assert_allclose(*((each @ sunlit_weights())[..., 1] for each in (read, right)), rtol=0.01)


@pytest.mark.parametrize("sun_deg", [-10.0, 90.0])
def test_the_last_suns_are_those_of_the_range(sun_deg):
    rows, across = LOW_DEG + np.array([0.4]), np.array([0.0])
    read = parts_about_sun(AIR, sun_deg, rows, across, EYE_M)
    summed = scattered_parts(AIR, sun_deg, rows, across[:, None], EYE_M)
    assert_allclose(read, np.stack(summed), rtol=1e-4)


def test_a_field_that_grows_a_little_keeps_its_lines_of_sight():
    assert reach_deg(0.9, 90.0) == reach_deg(1.0, 90.0) == 1.0
    assert reach_deg(1.01, 90.0) == pytest.approx(np.sqrt(2.0))
    assert reach_deg(14.0, 16.0) == 16.0
    assert reach_deg(89.0, 89.5) == 89.5


def test_light_at_nodes_is_read_by_straight_lines_both_ways():
    # What is straight both ways is read exactly, wherever the nodes lie.
    def plane(up, aside):
        return np.stack([up + 0 * aside, up + 2 * aside, up * aside], axis=-1)

    nodes, sides = np.array([0.0, 0.1, 1.0, 3.0]), np.array([0.0, 0.5, 4.0])
    rows, columns = np.array([0.05, 0.1, 2.9]), np.array([0.0, 0.2, 3.9, 4.0])
    light = plane(nodes[:, None], sides)
    up, aside = straight_matrix(nodes, rows), straight_matrix(sides, columns)
    got = over_a_picture(up, light, aside)
    assert got.dtype == np.float32
    assert_allclose(got, plane(rows[:, None], columns), rtol=1e-6, atol=1e-6)
