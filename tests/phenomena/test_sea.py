"""The sea: waves' slopes recovered from its glitter, energy, limits, and what a watcher knows."""

from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.phenomena import sea as sea_module
from lowsun.phenomena.sea import sea
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air, sky_horizon_deg, sky_xyz
from lowsun.physics.scattering.spectrum import sunlit_weights

AIR = Air()
EYE_M = 95.0
HORIZON_DEG = sky_horizon_deg(AIR, EYE_M)


@cache
def water(sun_deg, wind=5.0, low_deg=HORIZON_DEG - 0.6, eye_m=EYE_M, air=AIR):
    return sea(air, sun_deg, low_deg, eye_height_m=eye_m, wind_m_per_s=wind)


def luminance(seen, below_deg, across_deg=(0.0,)):
    rows = HORIZON_DEG - np.atleast_1d(below_deg)
    return seen.seen(rows, np.asarray(across_deg))[..., 1]


@pytest.mark.parametrize("wind", [2.0, 7.0, 13.0])
@pytest.mark.parametrize("sun_deg", [30.0, 45.0, 60.0])
def test_slopes_are_recovered_from_the_glitter_seen_from_above(wind, sun_deg):
    # Cox & Munk 1954 read the slopes off photographs from a plane in this way: where a facet shows
    # the Sun its slope is known, and the glitter's brightness, freed of geometry, is how common it
    # is. Looking straight down across the Sun's vertical.
    variance = 0.5 * (0.003 + 0.00512 * wind)
    graze, sun = np.radians(60.0), np.radians(sun_deg)
    across = np.radians(np.linspace(0.0, 40.0, 400))
    seen = sea_module.Sea(
        altitude_deg=np.array([-61.0, -60.0]),
        azimuth_deg=np.array([0.0, 20.0, 40.0]),
        even=np.zeros((3, 2, 3)),
        glint=np.ones((2, 3)),
        grazing_rad=np.full(2, graze),
        sun_rad=np.full(2, sun),
        spread=sea_module._spread(np.full(2, graze), np.full(2, sun), variance),
        variance=float(sum(sea_module.water.slope_variances(wind)) / 2),
    )
    bright = seen._facets(np.array([-60.5]), np.degrees(across))[0]
    # By hand: the normal halves the way from the eye's direction to the Sun's.
    eye = np.array([-np.cos(graze), 0.0, np.sin(graze)])
    to_sun = np.stack(
        [
            np.cos(sun) * np.cos(across),
            np.cos(sun) * np.sin(across),
            np.full_like(across, np.sin(sun)),
        ]
    )
    normal = eye[:, None] + to_sun
    normal /= np.linalg.norm(normal, axis=0)
    slope2 = (normal[0] ** 2 + normal[1] ** 2) / normal[2] ** 2
    common = np.log(bright * normal[2] ** 4)
    fitted = np.polynomial.polynomial.polyfit(slope2, common, 1)[1]
    assert -0.5 / fitted == pytest.approx(variance, abs=0.1 * variance)


def test_all_visible_facets_are_counted_once():
    # A sky of one brightness, mirrored by a perfect mirror, is that brightness at any view: the
    # shares of the facets sum to one.
    graze = np.radians([0.02, 0.5, 5.0, 40.0])
    flat = np.ones((1, 1, 1))
    variance = 0.02
    rms = np.sqrt(variance)
    toward = np.linspace(-4 * rms, 4 * rms, 400)[:, None]
    aside = np.linspace(-4 * rms, 4 * rms, 200)
    facing = toward * np.cos(graze)[:, None, None] + np.sin(graze)[:, None, None]
    density = np.exp(-(toward**2 + aside**2) / (2 * variance)) / (2 * np.pi * variance)
    step = (toward[1] - toward[0]) * (aside[1] - aside[0])
    area = (density * np.maximum(facing, 0) * flat).sum(axis=(1, 2)) * step
    # Smith 1967: the same area is sin(grazing) (1 + L), here summed, there in closed form.
    smith = np.sin(graze) * (1 + sea_module.water.hidden_over_seen(np.tan(graze), variance))
    assert_allclose(area, smith, rtol=2e-3)


def test_seen_straight_down_the_sea_mirrors_two_per_cent_of_the_zenith():
    # Handbook (Jerlov): 2.0 % at normal incidence; a low Sun, so that no facet shows its aureole.
    mirrored = sea_module._SkyOverWater.of(AIR, 5.0, sunlit_weights()).mirrored(
        np.radians([89.0]), 0.003
    )
    zenith = sky_xyz(AIR, 5.0, np.array([88.0]), np.array([90.0]))[0, 1]
    assert mirrored[0, 1] / zenith == pytest.approx(0.02, rel=0.15)


def test_glitter_narrows_towards_the_horizon():
    seen = water(1.0, 3.0)
    across = np.linspace(0.0, 1.5, 300)
    glitter = luminance(seen, [0.02, 0.1, 0.3, 0.55], across)
    dark = glitter[:, -1:]
    half = [np.interp(-0.5, -row, across) for row in (glitter - dark) / (glitter - dark)[:, :1]]
    assert np.all(np.diff(half) > 0)
    # A facet that shows the Sun a little aside leans by sin(aside) / (sin graze + sin Sun): the
    # half width grows with the sum of both heights.
    graze, sun = (np.interp(HORIZON_DEG - np.array([0.1, 0.55]), seen.altitude_deg, each)
                  for each in (seen.grazing_rad, seen.sun_rad))  # fmt: skip
    assert half[3] / half[1] == pytest.approx((graze + sun)[1] / (graze + sun)[0], rel=0.25)


def test_wind_widens_and_dims_the_glitter():
    across = np.linspace(0.0, 1.5, 200)
    calm, rough = (luminance(water(2.0, wind), 0.4, across)[0] for wind in (1.0, 12.0))
    assert calm[0] > 2 * rough[0]
    assert calm[-1] / calm[0] < 0.5 * rough[-1] / rough[0]


def test_far_water_fades_into_the_sky_of_the_horizon():
    # Koschmieder: through enough air anything looks like the horizon behind it.
    murky = Air(haze=Haze(0.45, 0.5))
    seen = sea(murky, -2.0, HORIZON_DEG - 0.6, eye_height_m=EYE_M, wind_m_per_s=8.0)
    sky = sky_xyz(murky, -2.0, np.array([HORIZON_DEG + 0.002]), np.zeros(1), eye_height_m=EYE_M)[0]
    clear = water(-2.0, 8.0)
    clear_sky = sky_xyz(AIR, -2.0, np.array([HORIZON_DEG + 0.002]), np.zeros(1), eye_height_m=EYE_M)
    near, far = seen.even[0, 0, 1], seen.even[0, -1, 1]
    assert abs(far / sky[1] - 1) < abs(near / sky[1] - 1) + 0.5
    assert clear.even[0, -1, 1] < 3 * clear_sky[0, 1]


def test_gone_sun_leaves_no_glitter():
    seen = water(-3.5)
    assert np.all(seen.glint[:, 1] < 1e-3 * seen.even[0, :, 1])
    across = np.array([0.0, 1.0])
    assert_allclose(*luminance(seen, 0.3, across).T, rtol=1e-3)


def test_farther_water_meets_the_eye_less_steeply_and_has_the_sun_higher():
    # By hand, without air: from 95 m, 0.6 deg below the sea horizon's 0.313 deg of dip, water lies
    # where sin(0.913 deg) = h / d: 6 km off, and meets the eye at 0.913 deg less 6 km of curve.
    # The sea reaches a little lower than it was asked for.
    straight = Air(refraction=False)
    horizon = sky_horizon_deg(straight, EYE_M)
    seen = sea(straight, 1.0, horizon - 0.6, eye_height_m=EYE_M, wind_m_per_s=5.0)
    assert horizon - 0.9 < seen.altitude_deg[0] <= horizon - 0.6
    down = np.radians(-seen.altitude_deg[0])
    distance = EYE_M / np.sin(down)
    turn = distance / 6_371_000.0
    assert seen.grazing_rad[0] == pytest.approx(down - turn, rel=0.02)
    assert np.all(np.diff(seen.grazing_rad) < 0)
    assert np.all(np.diff(seen.sun_rad) > 0)
    # The local vertical turns with the Earth's curve towards the Sun.
    assert seen.sun_rad[0] == pytest.approx(np.radians(1.0) + turn, rel=0.02)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"wind_m_per_s": 0.2}, r"wind_m_per_s is 0.2 m/s; allowed is 0.5 to 15"),
        ({"eye_height_m": 0.0}, r"eye_height_m is 0 m; allowed is 0.5 to 9000"),
        ({"low_deg": 0.0}, r"low_deg is 0 deg; the sea begins at -0.29 deg. Look lower"),
        ({"sun_true_altitude_deg": -11.0}, r"sun_true_altitude_deg is -11"),
        ({"sun_true_altitude_deg": [1.0, 2.0]}, r"sun_true_altitude_deg holds 2 numbers"),
        ({"low_deg": "-1"}, r"low_deg is '-1', which is not a number"),
        ({"wide_deg": [1.0]}, r"wide_deg holds 1 numbers; give one"),
    ],
)
def test_outside_the_range_is_refused(change, message):
    given = {"air": AIR, "sun_true_altitude_deg": 1.0, "low_deg": -1.0, "eye_height_m": EYE_M,
             "wind_m_per_s": 5.0}  # fmt: skip
    with pytest.raises(OutOfRangeError, match=message):
        sea(**given | change)
