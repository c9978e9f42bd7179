"""Lines of sight and the direct Sun: against the kit's tracer and plain geometry."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import EARTH_RADIUS_M, horizon_apparent_altitude_deg, transfer_curve
from lowsun.physics.scattering import WAVELENGTH_NM, Air, optics, sky_table
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    cubic_matrix,
    straight_dip_deg,
)
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.shells import shells
from lowsun.physics.scattering.sunbeam import level_sunbeam, sunbeam

AIR = Air()
BENT, STRAIGHT = shells(AIR.atmosphere, True), shells(AIR.atmosphere, False)
ALTITUDE_DEG = np.array([-0.2, 0.0, 0.5, 1.0, 3.0, 10.0, 45.0, 90.0])


def test_refraction_and_columns_agree_with_the_tracer():
    """Two schemes: straight lines in n r here, Bouguer's invariant layer by layer there."""
    curve = transfer_curve(AIR.atmosphere, 95.0, ALTITUDE_DEG, 550.0)
    rays = paths(BENT, 95.0, ALTITUDE_DEG, 64)
    bending = ALTITUDE_DEG - np.ravel(curve.true_altitude_deg)
    # 0.01 deg of bending is 1/50 of the Sun's disc, less than the shadow's blur.
    assert_allclose(rays.bending_deg, bending, atol=0.01)
    for k, name in enumerate(("air_column", "ozone_column", "haze_column")):
        traced = np.ravel(getattr(curve, name))
        assert_allclose(rays.columns[:, -1, k], traced, rtol=0.01, err_msg=name)


def test_horizon_agrees_with_the_tracer():
    for eye_m in (2.0, 95.0, 2500.0):
        traced = float(np.ravel(horizon_apparent_altitude_deg(AIR.atmosphere, eye_m, 550.0))[0])
        assert_allclose(horizon_altitude_deg(BENT, eye_m), traced, atol=0.01)


def test_straight_lines_keep_plain_geometry():
    rays = paths(STRAIGHT, 10e3, np.array([20.0]), 400)
    run = np.cumsum(rays.step_m[0])[-1]
    top = EARTH_RADIUS_M + 85e3
    start = EARTH_RADIUS_M + 10e3
    # Cosine rule between the centre of the Earth, the start and the end.
    cosine = (start**2 + top**2 - run**2) / (2.0 * start * top)
    assert_allclose(rays.turn_deg[0, -1], np.degrees(np.arccos(cosine)), rtol=1e-4)
    assert rays.bending_deg[0] == 0.0


def test_a_ray_to_the_sea_ends_there():
    rays = paths(BENT, 10e3, np.array([-10.0, 10.0]), 64)
    assert rays.meets_sea.tolist() == [True, False]
    assert_allclose(rays.height_m[:, -1], [0.0, 85e3], atol=1.0)


def test_sun_overhead_is_dimmed_by_the_vertical_depth():
    depths = optics.depths(AIR, WAVELENGTH_NM)
    sea = sunbeam(AIR, depths)[0]
    overhead = np.argmin(np.abs(SUN_ABOVE_HORIZON_DEG - 90.0))
    assert_allclose(sea[overhead], np.exp(-depths.sum(axis=0)), rtol=2e-3)
    assert_allclose(level_sunbeam(AIR, depths)[overhead], sea[overhead], rtol=1e-3)


def test_earth_blocks_the_sun():
    depths = optics.depths(AIR, WAVELENGTH_NM)
    straight = sunbeam(Air(atmosphere=AIR.atmosphere, refraction=False), depths)
    assert np.all(straight[:, SUN_ABOVE_HORIZON_DEG < -0.27] == 0.0)
    bent = sunbeam(AIR, depths)
    # The deepest bending, in along the sea and out again, is twice the horizon's 34' (common
    # practice: Nautical Almanac) and the disc's edge stands 16' above its centre.
    assert np.all(bent[:, SUN_ABOVE_HORIZON_DEG < -1.55] == 0.0)
    high = LEVEL_M > 40e3
    assert np.all(bent[high][:, np.abs(SUN_ABOVE_HORIZON_DEG + 0.5) < 0.01, -1] > 0.0)


def test_refraction_spreads_light_that_grazes_the_sea():
    """da/da_true: beyond a grazing passage rays fan out, so that light falls off with distance."""
    clear = np.zeros((3, 1))
    bent = sunbeam(AIR, clear)
    at_85_km = bent[-1, :, 0]
    risen = SUN_ABOVE_HORIZON_DEG > 8.0
    assert_allclose(at_85_km[risen], 1.0, rtol=5e-3)
    assert at_85_km[np.argmin(np.abs(SUN_ABOVE_HORIZON_DEG))] < 0.6


def test_straight_dip():
    # 1.926' sqrt(h) without refraction: Bowditch's geometry.
    assert_allclose(straight_dip_deg(100.0) * 60.0, 19.26, rtol=1e-3)


def test_cubic_reading_is_exact_for_cubics():
    nodes = np.array([0.0, 1.0, 3.0, 4.0, 7.0, 9.0])
    at = np.linspace(0.0, 9.0, 31)
    cubic = np.polynomial.Polynomial([1.0, -2.0, 0.5, 0.1])
    assert_allclose(cubic_matrix(nodes, at) @ cubic(nodes), cubic(at), rtol=1e-10)


def test_air_that_ends_too_low_or_traps_rays_is_refused():
    low = Atmosphere.from_profile(np.array([0.0, 30e3]), np.array([288.0, 220.0]), 101325.0)
    with pytest.raises(OutOfRangeError, match="ends at 30000 m; twilight comes from"):
        sky_table(low)
    levels = AIR.atmosphere
    warm = levels.temperature_k + np.interp(
        levels.height_m, [0.0, 500.0, 2000.0], [-60.0, 30.0, 0.0]
    )
    duct = Atmosphere.from_profile(levels.height_m, warm, 101325.0)
    with pytest.raises(OutOfRangeError, match="traps rays in a duct"):
        shells(duct, True)
