"""What a twilight sky costs: a new air, and a panorama of an air whose table exists."""

from itertools import count

import numpy as np

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.colour import srgb_from_xyz
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air, sky_xyz, sky_xyz_grid
from lowsun.physics.scattering.table import solve
from timing import median_ms, report

ATMOSPHERE = Atmosphere.standard()
AIR = Air(atmosphere=ATMOSPHERE)
ALTITUDE_DEG, AZIMUTH_DEG = np.linspace(0.0, 44.5, 90), np.linspace(-180.0, 179.0, 360)


def panorama(sun_deg):
    xyz = sky_xyz_grid(AIR, sun_deg, ALTITUDE_DEG, AZIMUTH_DEG)
    return srgb_from_xyz(xyz, 200.0).rgb


def test_a_panorama_against_looking_in_every_direction():
    sun = count()
    grid_ms = median_ms(lambda: panorama(-1.0 - 0.1 * next(sun)))
    some = np.ix_(np.arange(0, 90, 9), np.arange(0, 360, 10))
    every_ms = 90 * median_ms(
        lambda: sky_xyz(AIR, -2.0, ALTITUDE_DEG[some[0]], AZIMUTH_DEG[some[1]][0]), repeats=3
    )
    report("360 x 90 panorama", panorama_ms=grid_ms, every_direction_over_it=every_ms / grid_ms)
    assert panorama(-2.0).any()


def test_a_new_haze_against_a_new_atmosphere():
    depth = count(10)
    haze_ms = median_ms(
        lambda: solve(Air(atmosphere=ATMOSPHERE, haze=Haze(next(depth) / 200))), repeats=3
    )
    whole_ms = median_ms(lambda: solve(Air(atmosphere=Atmosphere.standard())), repeats=3)
    report("sky table", new_haze_ms=haze_ms, new_atmosphere_ms=whole_ms)
    # What was timed tells hazes apart: less direct light comes through the thicker one.
    thin, thick = (solve(Air(atmosphere=ATMOSPHERE, haze=Haze(d))) for d in (0.05, 0.2))
    assert thick.beam.sum() < thin.beam.sum()
