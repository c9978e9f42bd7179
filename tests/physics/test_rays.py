"""The tracer's limits, symmetries, shapes and refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from lowsun.errors import InputError, OutOfRangeError
from lowsun.physics import air
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import (
    EARTH_RADIUS_M,
    Fate,
    horizon_apparent_altitude_deg,
    horizon_dip_arcmin,
    horizon_true_altitude_deg,
    refined_altitudes_deg,
    refraction_arcsec,
    transfer_curve,
)

STANDARD = Atmosphere.standard()
INVERSION = STANDARD.with_inversion(60.0, 40.0, 4.0)
DUCT = STANDARD.with_inversion(60.0, 40.0, 8.0)
WARM_SEA = STANDARD.with_surface_layer(2.0, 3.0)
VISIBLE_NM = np.linspace(380.0, 700.0, 32)


# --- limits -----------------------------------------------------------------------------------


def test_nothing_is_refracted_at_the_zenith():
    curve = transfer_curve(STANDARD, 95.0, 90.0, 550.0)
    assert abs(curve.refraction_arcsec) < 1e-9
    assert_allclose(curve.air_mass, 1.0, rtol=1e-6, atol=0)


def test_no_air_no_refraction():
    got = refraction_arcsec(np.zeros_like, [0.0, 80_000.0], 95.0, [-0.3, 0.0, 1.0, 90.0])
    assert got.tolist() == [0.0] * 4


def test_the_horizon_without_air_is_the_geometric_one():
    dip = np.degrees(np.arccos(EARTH_RADIUS_M / (EARTH_RADIUS_M + 95.0)))
    either_side = -dip + np.array([-1e-6, 1e-6])
    got = refraction_arcsec(np.zeros_like, [0.0, 80_000.0], 95.0, either_side)
    assert np.isnan(got).tolist() == [True, False]


@pytest.mark.parametrize("zenith_distance_deg", [10.0, 30.0, 45.0, 60.0])
def test_flat_layers_obey_snell(zenith_distance_deg):
    # n0 sin z0 = sin z over a flat Earth whatever the layers. The largest radius allowed leaves
    # a curvature of H/r = 8 km / 1e8 m, times 1/cos^2 z, in the refraction.
    def excess(height):
        return air.refractivity(550.0, *STANDARD.at(height))

    sine = (1.0 + excess(0.0)) * np.sin(np.radians(zenith_distance_deg))
    snell = 3600.0 * (np.degrees(np.arcsin(sine)) - zenith_distance_deg)
    got = refraction_arcsec(excess, STANDARD.height_m, 0.0, 90.0 - zenith_distance_deg, 1e8)
    assert_allclose(got, snell, rtol=4e-4, atol=0)


EDGE_M = 1e-3  # in which n falls to 1: no height can hold a step


@pytest.mark.parametrize("altitude_deg", [0.0, 0.1, 1.0, 10.0, 60.0])
def test_one_uniform_shell_is_cassinis(altitude_deg):
    # Cassini's exact solution: n to a height H and nothing above,
    # R = asin(n s) - asin(s), s = r0 cos(a) / (r0 + H).
    def excess(height):
        return 2.8e-4 * np.clip((8000.0 - height) / EDGE_M + 1.0, 0.0, 1.0)

    kinks = np.concatenate([[0.0], np.linspace(8000.0, 8000.0 + EDGE_M, 9), [80_000.0]])
    sine = EARTH_RADIUS_M * np.cos(np.radians(altitude_deg)) / (EARTH_RADIUS_M + 8000.0)
    cassini = np.degrees(np.arcsin((1.0 + 2.8e-4) * sine) - np.arcsin(sine)) * 3600.0
    assert_allclose(refraction_arcsec(excess, kinks, 0.0, altitude_deg), cassini, rtol=1e-6, atol=0)


def test_refraction_goes_with_pressure_high_up():
    # The refractivity is that of nearly ideal air: a thousandth.
    thin = transfer_curve(Atmosphere.standard(pressure_pa=50_662.5), 0.0, 45.0, 550.0)
    full = transfer_curve(STANDARD, 0.0, 45.0, 550.0)
    assert_allclose(2.0 * thin.refraction_arcsec, full.refraction_arcsec, rtol=1e-3, atol=0)


def test_air_mass_high_up_is_that_of_a_flat_earth():
    # 1/sin a, less 0.1 % for the Earth's curvature at 45 deg (H/r cot^2 a).
    curve = transfer_curve(STANDARD, 0.0, 45.0, 550.0)
    assert_allclose(curve.air_mass, np.sqrt(2.0), rtol=2e-3, atol=0)


# --- symmetry ---------------------------------------------------------------------------------


@pytest.mark.parametrize("depression_deg", [0.05, 0.2, 0.27])
def test_a_ray_that_dips_comes_back_to_the_eyes_height_as_steep_as_it_left(depression_deg):
    # Refraction below the horizontal exceeds that of its mirror image above by the loop beneath
    # the eye: the same loop for an eye halfway, in whichever direction it is walked.
    pair = transfer_curve(STANDARD, 95.0, [-depression_deg, depression_deg], 550.0)
    loop = pair.refraction_arcsec[0] - pair.refraction_arcsec[1]
    lowest_m = tangent_height_m(depression_deg, 95.0)
    from_below = transfer_curve(STANDARD, lowest_m, 0.0, 550.0)
    assert_allclose(
        2.0 * from_below.refraction_arcsec,
        2.0 * pair.refraction_arcsec[1] + loop,
        rtol=0,
        atol=0.01,
    )


def tangent_height_m(depression_deg, eye_m):
    """Where n r is what n r cos(a) is at the eye."""
    height = np.linspace(0.0, eye_m, 20_001)
    excess = air.refractivity(550.0, *STANDARD.at(height))
    invariant = (1.0 + excess) * (EARTH_RADIUS_M + height)
    return np.interp(invariant[-1] * np.cos(np.radians(depression_deg)), invariant, height)


def test_looking_down_crosses_no_less_air():
    curve = transfer_curve(STANDARD, 95.0, np.linspace(-0.28, 10.0, 200), 550.0)
    for crossed in (curve.air_mass, curve.air_column, curve.haze_column, curve.refraction_arcsec):
        assert np.all(np.diff(crossed) < 0.0)


def test_red_is_refracted_least():
    curve = transfer_curve(STANDARD, 95.0, np.linspace(-0.28, 60.0, 50), VISIBLE_NM)
    assert np.all(np.diff(curve.refraction_arcsec, axis=0) < 0.0)


def test_columns_overhead_are_the_whole_of_them():
    curve = transfer_curve(STANDARD, 0.0, 90.0, 550.0)
    whole = [curve.air_column, curve.ozone_column, curve.haze_column]
    assert_allclose(whole, 1.0, rtol=1e-6, atol=0)


# --- fates --------------------------------------------------------------------------------------


def test_below_the_horizon_is_the_sea():
    horizon = horizon_apparent_altitude_deg(STANDARD, 95.0)
    curve = transfer_curve(STANDARD, 95.0, horizon + np.array([-1e-6, 1e-6]), 570.0)
    assert curve.fate.tolist() == [Fate.SEA, Fate.SPACE]


def test_from_the_shore_the_horizon_is_level():
    assert horizon_dip_arcmin(STANDARD, 0.0) == 0.0


def test_a_duct_holds_level_rays_and_lets_steep_ones_go():
    curve = transfer_curve(DUCT, 80.0, [0.0, 0.02, 5.0], 550.0)
    assert curve.fate.tolist() == [Fate.TRAPPED, Fate.TRAPPED, Fate.SPACE]


def test_the_last_of_the_sky_goes_below_the_horizon_rays_in_a_mirage():
    # In smooth air the horizon ray shows the lowest sky; a sea warmer than the air lifts the
    # images of lower sky off the horizon.
    smooth, warm = (horizon_true_altitude_deg(a, 2.0) for a in (STANDARD, WARM_SEA))
    at_horizon = [
        transfer_curve(a, 2.0, horizon_apparent_altitude_deg(a, 2.0) + 2e-5, 570.0)
        for a in (STANDARD, WARM_SEA)
    ]
    assert_allclose(smooth, at_horizon[0].true_altitude_deg, rtol=0, atol=1e-4)
    assert warm < at_horizon[1].true_altitude_deg - 0.5 / 60.0


@pytest.mark.parametrize("eye_m", [0.0, 95.0, 2600.0])
def test_the_last_of_the_sky_in_smooth_air_is_seen_at_the_horizon(eye_m):
    # The ray that clears the horizon by 0.05".
    horizon = horizon_apparent_altitude_deg(STANDARD, eye_m)
    ray = transfer_curve(STANDARD, eye_m, horizon + 0.05 / 3600.0, 570.0)
    got = horizon_true_altitude_deg(STANDARD, eye_m)
    assert_allclose(got, ray.true_altitude_deg, rtol=0, atol=1e-9)


# --- shapes and wavelengths ---------------------------------------------------------------------


def test_numbers_equal_arrays():
    altitude, wavelength = np.array([-0.2, 0.0, 3.0]), np.array([450.0, 550.0, 650.0])
    both = transfer_curve(STANDARD, 95.0, altitude, wavelength)
    assert both.true_altitude_deg.shape == both.fate.shape == both.haze_column.shape == (3, 3)
    for w, nm in enumerate(wavelength):
        for a, deg in enumerate(altitude):
            one = transfer_curve(STANDARD, 95.0, deg, nm)
            assert one.true_altitude_deg.shape == ()
            got = [one.true_altitude_deg, one.air_mass, one.haze_column]
            cell = [
                part[w, a] for part in (both.true_altitude_deg, both.air_mass, both.haze_column)
            ]
            assert_allclose(got, cell, rtol=1e-12, atol=0)  # sums in another order


@pytest.mark.parametrize("atmosphere", [STANDARD, INVERSION, DUCT, WARM_SEA])
@pytest.mark.parametrize("eye_m", [2.0, 95.0])
def test_many_wavelengths_at_once_equal_each_alone(atmosphere, eye_m):
    # 0.001", but 0.01" for the one ray in a thousand that grazes a kink at one of the wavelengths.
    altitude = np.linspace(-0.3, 1.0, 150)
    together = transfer_curve(atmosphere, eye_m, altitude, VISIBLE_NM)
    alone = [transfer_curve(atmosphere, eye_m, altitude, nm) for nm in VISIBLE_NM]
    assert np.array_equal(together.fate, [curve.fate for curve in alone])
    true = np.array([curve.true_altitude_deg for curve in alone])
    difference = 3600.0 * np.abs(together.true_altitude_deg - true)
    assert np.nanquantile(difference, 0.999) < 0.001
    assert np.nanmax(difference) < 0.01
    air_mass = np.array([curve.air_mass for curve in alone])
    assert_allclose(together.air_mass, air_mass, rtol=1e-5, atol=0)


def test_one_wavelength_repeated_is_itself():
    repeated = transfer_curve(STANDARD, 95.0, 0.5, np.full(8, 550.0))
    assert np.ptp(repeated.true_altitude_deg) == 0.0


def test_horizons_by_wavelength():
    dips = horizon_dip_arcmin(STANDARD, 95.0, [450.0, 650.0])
    assert dips.shape == (2,)
    assert dips[1] > dips[0]


# --- refinement ---------------------------------------------------------------------------------


def straightness_arcsec(atmosphere, eye_m, altitude_deg, wavelength_nm):
    """How far the curve strays from straight lines between altitudes, near the horizon ["]."""
    horizon = horizon_apparent_altitude_deg(atmosphere, eye_m, wavelength_nm)
    fine = np.linspace(horizon + 1e-5, horizon + 1.2, 6000)
    knots = transfer_curve(atmosphere, eye_m, altitude_deg, wavelength_nm).true_altitude_deg
    true = transfer_curve(atmosphere, eye_m, fine, wavelength_nm).true_altitude_deg
    steepness = np.maximum(1.0, np.abs(np.gradient(true, fine)))
    error = 3600.0 * np.abs(np.interp(fine, altitude_deg, knots) - true) / steepness
    return error[np.isfinite(error)]


@pytest.mark.parametrize("atmosphere", [STANDARD, INVERSION, DUCT, WARM_SEA])
@pytest.mark.parametrize("eye_m", [2.0, 95.0, 1200.0])
def test_between_refined_altitudes_the_curve_is_straight(atmosphere, eye_m):
    # Tolerance 0.25", tried at two points of an interval; twice that between them.
    altitude = refined_altitudes_deg(atmosphere, eye_m, -2.0, 2.0, VISIBLE_NM)
    for nm in (VISIBLE_NM[0], VISIBLE_NM[-1]):
        error = straightness_arcsec(atmosphere, eye_m, altitude, nm)
        assert error.size > 3000
        assert error.max() < 0.5


def test_refined_altitudes_stand_where_the_curve_is_bent():
    smooth, bent = (refined_altitudes_deg(a, 95.0, -0.5, 20.0) for a in (STANDARD, INVERSION))
    assert np.all(np.diff(bent) > 0.0)
    assert smooth.size < bent.size < 600
    assert bent[0] == -0.5
    assert bent[-1] == 20.0
    coarse = refined_altitudes_deg(INVERSION, 95.0, -0.5, 20.0, tolerance_arcsec=5.0)
    assert coarse.size < 0.8 * bent.size


def test_refined_altitudes_frame_the_horizon_of_every_wavelength():
    altitude = refined_altitudes_deg(STANDARD, 95.0, -0.5, 1.0, VISIBLE_NM)
    for horizon in horizon_apparent_altitude_deg(STANDARD, 95.0, VISIBLE_NM):
        beyond = 3600.0 * (altitude - horizon)
        assert -0.051 < beyond[beyond < 0].max() < 0.0 < beyond[beyond > 0].min() < 0.051


def test_one_probe_at_least():
    with pytest.raises(OutOfRangeError, match="probes is 0; allowed is 1 to 16"):
        refined_altitudes_deg(STANDARD, 95.0, 0.0, 1.0, probes=0)


@pytest.mark.parametrize(
    ("low", "high", "tolerance", "words"),
    [
        (1.0, 0.0, 0.25, "Swap low_deg and high_deg"),
        (-91.0, 0.0, 0.25, "low_deg, high_deg is -91 deg"),
        (0.0, 1.0, 0.0, "tolerance_arcsec is 0 arcsec; allowed is 0.01 to 60"),
    ],
)
def test_refusals_of_the_refinement(low, high, tolerance, words):
    with pytest.raises(OutOfRangeError, match=words):
        refined_altitudes_deg(STANDARD, 95.0, low, high, tolerance_arcsec=tolerance)


# --- refusals -----------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(
    eye=st.floats(allow_nan=True, allow_infinity=True) | st.floats(-10.0, 25e3),
    altitude=st.floats(allow_nan=True, allow_infinity=True) | st.floats(-100.0, 100.0),
    wavelength=st.floats(allow_nan=True, allow_infinity=True) | st.floats(200.0, 1800.0),
)
def test_any_input_is_traced_or_refused(eye, altitude, wavelength):
    allowed = 0 <= eye <= 20e3 and abs(altitude) <= 90 and 230 <= wavelength <= 1690
    if not allowed:
        with pytest.raises(OutOfRangeError, match=r"allowed is"):
            transfer_curve(INVERSION, eye, altitude, wavelength)
        return
    curve = transfer_curve(INVERSION, eye, altitude, wavelength)
    lost = curve.fate != Fate.SPACE
    for value in (curve.true_altitude_deg, curve.air_mass, curve.ozone_column):
        assert np.isnan(value) == lost


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((STANDARD, -1.0, 0.0, 550.0), r"eye_height_m is -1 m; allowed is 0 to 20000 m"),
        ((STANDARD, [2.0, 95.0], 0.0, 550.0), r"eye_height_m holds 2 numbers; give one"),
        ((STANDARD, 95.0, 91.0, 550.0), r"apparent_altitude_deg is 91 deg; allowed is -90 to 90"),
        ((STANDARD, 95.0, np.nan, 550.0), r"apparent_altitude_deg is nan"),
        ((STANDARD, 95.0, 0.0, 0.55), r"wavelength_nm is 0.55 nm; allowed is 230 to 1690"),
        ((STANDARD, "high", 0.0, 550.0), r"eye_height_m is 'high', which is not a number"),
    ],
)
def test_refusals_of_the_curve(arguments, words):
    with pytest.raises(OutOfRangeError, match=words):
        transfer_curve(*arguments)


def test_an_eye_above_the_air_is_refused():
    shallow = Atmosphere.from_profile([0.0, 1000.0], [288.0, 282.0], 101_325.0)
    with pytest.raises(OutOfRangeError, match="the air given ends at 1000 m"):
        transfer_curve(shallow, 1500.0, 0.0, 550.0)


@pytest.mark.parametrize(
    ("refractivity", "kinks", "eye", "words"),
    [
        (np.zeros_like, [0.0, 10.0], 10.0, "the air given ends at 10 m"),
        (np.zeros_like, [0.0, -10.0], 0.0, "kinks_m is -10 m; allowed is 0 to 200000 m"),
        (np.ones_like, [0.0, 10.0], 5.0, "refractivity is 1; allowed is 0 to 0.01"),
        (
            lambda height_m: 0.0003,
            [0.0, 10.0],
            5.0,
            r"is shaped \(\); give a function",
        ),
    ],
)
def test_refusals_of_a_profile(refractivity, kinks, eye, words):
    with pytest.raises(OutOfRangeError, match=words):
        refraction_arcsec(refractivity, kinks, eye, 0.0)


@pytest.mark.parametrize(
    ("refractivity", "words"),
    [
        (float, "give a function of heights. It raised TypeError"),
        (0.0003, "refractivity is 0.0003; give a function of heights"),
    ],
)
def test_what_is_no_profile_is_refused(refractivity, words):
    with pytest.raises(InputError, match=words):
        refraction_arcsec(refractivity, [0.0, 10.0], 5.0, 0.0)


def test_bands_of_a_curve_are_the_curve_of_those_bands():
    altitude = np.linspace(-0.2, 2.0, 9)
    curve = transfer_curve(INVERSION, 95.0, altitude, [650.0, 570.0, 520.0])
    one, two = curve.at(570.0), curve.at([520.0, 650.0])
    assert_array_equal(one.true_altitude_deg, curve.true_altitude_deg[1])
    assert_array_equal(two.fate, curve.fate[[2, 0]])
    assert_array_equal(two.haze_column, curve.haze_column[[2, 0]])
    with pytest.raises(OutOfRangeError, match=r"wavelength_nm is 571 nm; .* Trace it there"):
        curve.at(571.0)


@pytest.mark.parametrize(("atmosphere", "share"), [(STANDARD, 1.0), (INVERSION, 0.98)])
def test_a_curve_spread_out_in_wavelength_is_like_the_traced_one(atmosphere, share):
    horizon = float(horizon_apparent_altitude_deg(atmosphere, 95.0, 520.0))
    altitude = np.linspace(horizon + 0.05, 2.0, 300)
    nm = np.array([400.0, 520.0, 570.0, 630.0, 700.0])
    likeness = transfer_curve(atmosphere, 95.0, altitude, [520.0, 630.0]).spread(nm)
    traced = transfer_curve(atmosphere, 95.0, altitude, nm)
    assert_array_equal(likeness.fate, traced.fate)
    off = 3600 * np.abs(likeness.true_altitude_deg - traced.true_altitude_deg)
    assert np.quantile(off, share) < (0.1 if share == 1.0 else 1.0)
    assert_allclose(np.quantile(likeness.air_column / traced.air_column, share), 1, rtol=0.01)
    assert_allclose(likeness.true_altitude_deg[[1, 3]], traced.true_altitude_deg[[1, 3]])
