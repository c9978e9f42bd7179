"""The air against the US Standard Atmosphere 1976, hydrostatic balance and its own limits."""

import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.integrate import quad

from lowsun.errors import OutOfRangeError
from lowsun.physics import air
from lowsun.physics.atmosphere import (
    Atmosphere,
    geometric_height_m,
    geopotential_height_m,
)
from tally import Tally, mostly

# US Standard Atmosphere 1976 (NOAA-S/T 76-1562), table I: m, K, Pa, kg/m3
TABLE = np.array(
    [
        [0.0, 288.15, 101325.0, 1.225],
        [1000.0, 281.65, 89876.0, 1.1117],
        [5000.0, 255.68, 54048.0, 0.7364],
        [10000.0, 223.25, 26500.0, 0.4135],
        [11000.0, 216.77, 22700.0, 0.3648],
    ]
)
# The same publication's defining constants, written again here
MOLAR_MASS, GAS_CONSTANT, GRAVITY, RADIUS_M = 0.0289644, 8.31432, 9.80665, 6_356_766.0


def moist():
    return Atmosphere.standard(relative_humidity=0.8, temperature_k=303.15)


def layered():
    return moist().with_inversion(400.0, 250.0, 6.0).with_surface_layer(3.0, 20.0)


def test_temperature_of_the_published_standard():
    temperature, _, _ = Atmosphere.standard().at(TABLE[:, 0])
    assert_allclose(temperature, TABLE[:, 1], rtol=0, atol=0.0055)  # printed to 0.01 K


def test_pressure_of_the_published_standard():
    _, pressure, _ = Atmosphere.standard().at(TABLE[:, 0])
    assert_allclose(pressure, TABLE[:, 2], rtol=3e-5)  # five figures printed


def test_density_of_the_published_standard():
    temperature, pressure, _ = Atmosphere.standard().at(TABLE[:, 0])
    density = pressure * MOLAR_MASS / (GAS_CONSTANT * temperature)
    assert_allclose(density, TABLE[:, 3], rtol=2e-4)  # four figures printed


@pytest.mark.parametrize(
    ("base_m", "temperature_k", "pressure_pa"),
    # US Standard Atmosphere 1976: temperature [K] and pressure [Pa] at the bases of its layers, at
    # geopotential 11, 20, 32, 47, 51, 71 km; defining values and those that follow (from memory)
    [
        (11e3, 216.65, 22632.1),
        (20e3, 216.65, 5474.89),
        (32e3, 228.65, 868.019),
        (47e3, 270.65, 110.906),
        (51e3, 270.65, 66.9389),
        (71e3, 214.65, 3.95642),
    ],
)
def test_layer_bases_of_the_published_standard(base_m, temperature_k, pressure_pa):
    temperature, pressure, _ = Atmosphere.standard().at(geometric_height_m(base_m))
    assert_allclose(temperature, temperature_k, rtol=0, atol=1e-6)
    assert_allclose(pressure, pressure_pa, rtol=5e-5)


def test_reaches_from_the_sea_to_86_km():
    height = Atmosphere.standard().height_m
    assert height[0] == 0.0
    assert_allclose(height[-1], 86_000.0, atol=0.1)


@pytest.mark.parametrize(
    ("geopotential_m", "geometric_m"),
    # US Standard Atmosphere 1976, table I, printed to 1 m
    [(5000, 5004), (11000, 11019), (20000, 20063), (32000, 32162), (47000, 47350), (71000, 71802)],
)
def test_geopotential_pairs_of_the_published_standard(geopotential_m, geometric_m):
    assert_allclose(geometric_height_m(geopotential_m), geometric_m, rtol=0, atol=0.51)
    assert_allclose(geopotential_height_m(geometric_m), geopotential_m, rtol=0, atol=0.51)


@given(st.floats(0.0, 86e3))
def test_geopotential_goes_there_and_back(height_m):
    there = geopotential_height_m(height_m)
    assert there <= height_m * (1.0 + 1e-15) + 1e-300
    assert_allclose(geometric_height_m(there), height_m, rtol=1e-12, atol=1e-9)


@pytest.mark.parametrize("make", [Atmosphere.standard, moist, layered])
@pytest.mark.parametrize("height_m", [7.0, 430.0, 1234.5, 9_870.0, 31_000.0])
def test_pressure_balances_the_weight_of_the_air(make, height_m):
    """ln p = ln p0 - integral of g(h) M / (R T_v), by scipy's quadrature over geometric height."""
    atmosphere = make()

    def thinning(h):
        state = [float(x) for x in atmosphere.at(h)]
        gravity = GRAVITY * (RADIUS_M / (RADIUS_M + h)) ** 2
        virtual = air.virtual_temperature_k(*state)
        return gravity * MOLAR_MASS / (GAS_CONSTANT * virtual)

    joints = atmosphere.height_m[atmosphere.height_m < height_m]
    edges = [*joints, height_m]
    weight = sum(quad(thinning, low, high, epsrel=1e-9)[0] for low, high in pairwise(edges))
    expected = atmosphere.pressure_pa[0] * np.exp(-weight)
    # T_v of moist air is taken as linear between levels: up to 5e-6 of the pressure
    assert_allclose(atmosphere.at(height_m)[1], expected, rtol=6e-6)


def test_moist_air_is_lighter_by_its_vapour_pressure():
    """T_v = T / (1 - 0.378 e/p), e = 42.43 hPa saturated at 30 degC (both from memory, WMO-No. 8).

    The kit's vapour pressure includes the enhancement of 0.5 % in air: 0.03 K.
    """
    virtual = air.virtual_temperature_k(303.15, 100_000.0, 1.0)
    assert_allclose(virtual, 303.15 / (1 - 0.378 * 0.04243), rtol=0, atol=0.05)


def test_moisture_keeps_the_pressure_higher_aloft():
    dry, damp = Atmosphere.standard(300.0), Atmosphere.standard(300.0, relative_humidity=0.9)
    assert damp.at(3000.0)[1] > dry.at(3000.0)[1] + 100.0


def test_dry_isothermal_air_thins_exponentially():
    height = np.linspace(0.0, 20e3, 7)
    atmosphere = Atmosphere.from_profile(height, np.full(7, 250.0), 100_000.0, 0.0)
    climbed = geopotential_height_m(13_333.0)
    expected = 100_000.0 * np.exp(-climbed * GRAVITY * MOLAR_MASS / (GAS_CONSTANT * 250.0))
    assert_allclose(atmosphere.at(13_333.0)[1], expected, rtol=1e-12)


def test_constant_lapse_follows_the_power_law():
    height = geometric_height_m(np.array([0.0, 3000.0, 9000.0]))
    fallen = np.array([288.0, 288.0 - 19.5, 288.0 - 58.5])
    pressure = Atmosphere.from_profile(height, fallen, 100_000.0).pressure_pa
    power = GRAVITY * MOLAR_MASS / (GAS_CONSTANT * 0.0065)
    assert_allclose(pressure, 100_000.0 * (fallen / 288.0) ** power, rtol=1e-12)


def test_more_levels_do_not_change_the_air():
    coarse = Atmosphere.standard()
    fine = np.unique(np.concatenate([coarse.height_m, np.linspace(0.0, 80e3, 3000)]))
    again = Atmosphere.from_profile(fine, coarse.at(fine)[0], 101325.0)
    assert_allclose(again.pressure_pa, coarse.at(fine)[1], rtol=1e-5)  # 4e-6 Pa at the top
    low = fine < 30e3
    assert_allclose(again.pressure_pa[low], coarse.at(fine[low])[1], rtol=3e-7)


def test_numbers_and_arrays_agree():
    atmosphere = layered()
    heights = np.array([[0.0, 3.0, 500.0], [9e3, 20e3, 86e3 - 1.0]])
    for of_array, *of_numbers in zip(
        atmosphere.at(heights), *(atmosphere.at(float(h)) for h in heights.ravel()), strict=True
    ):
        assert of_array.shape == heights.shape
        assert_allclose(of_array.ravel(), of_numbers, rtol=1e-13)


def test_values_at_the_levels_are_the_levels():
    atmosphere = layered()
    for found, level in zip(
        atmosphere.at(atmosphere.height_m),
        (atmosphere.temperature_k, atmosphere.pressure_pa, atmosphere.relative_humidity),
        strict=True,
    ):
        assert_allclose(found, level, rtol=1e-12)


def test_standard_takes_the_values_of_the_ground():
    atmosphere = Atmosphere.standard(280.0, 99_000.0, 0.6, 0.005)
    assert atmosphere.temperature_k[0] == 280.0
    assert_allclose(atmosphere.pressure_pa[0], 99_000.0, rtol=1e-14)
    assert atmosphere.relative_humidity[0] == 0.6
    # Between levels temperature is linear in geometric height, not in geopotential.
    assert_allclose(atmosphere.at(geometric_height_m(4000.0))[0], 260.0, rtol=0, atol=1e-4)


def test_standard_cold_air_stops_at_the_coldest_tropopause():
    assert Atmosphere.standard(230.0, lapse_k_per_m=0.009).at(11e3)[0] >= 189.9


def test_offset_of_the_ground_is_gone_above_47_km():
    warm = Atmosphere.standard(303.15).at(geometric_height_m(np.array([47e3, 60e3])))[0]
    assert_allclose(warm, [270.65, 245.45], rtol=0, atol=0.01)


@pytest.mark.parametrize(
    ("base_m", "depth_m", "strength_k"), [(0, 50, 2), (850, 501, 9.6), (9e3, 5e3, 40)]
)
def test_inversion_rises_by_its_strength_from_base_to_top(base_m, depth_m, strength_k):
    inverted = Atmosphere.standard().with_inversion(base_m, depth_m, strength_k)
    at_base, at_top = inverted.at([base_m, base_m + depth_m])[0]
    assert_allclose(at_top - at_base, strength_k, rtol=0, atol=1e-9)


def test_inversion_changes_nothing_below_it_nor_10_km_above():
    plain = Atmosphere.standard()
    inverted = plain.with_inversion(500.0, 300.0, 8.0)
    outside = np.array([0.0, 100.0, 499.0, 10_801.0, 20e3, 50e3])
    assert_allclose(inverted.at(outside)[0], plain.at(outside)[0], rtol=0, atol=1e-9)
    assert_allclose(inverted.at(499.0)[1], plain.at(499.0)[1], rtol=1e-12)


def test_inversion_of_no_strength_is_level_in_temperature():
    flat = Atmosphere.standard().with_inversion(500.0, 300.0, 0.0)
    assert_allclose(flat.at(500.0)[0], flat.at(800.0)[0], rtol=0, atol=1e-9)


def test_inversion_begins_and_ends_without_a_kink():
    """Gradients of the added temperature just inside both ends are small beside the mean rise."""
    plain = Atmosphere.standard()
    inverted = plain.with_inversion(500.0, 400.0, 8.0)

    def added(h):
        return inverted.at(h)[0] - plain.at(h)[0]

    mean = (added(900.0) - added(500.0)) / 400.0
    assert (added(510.0) - added(500.0)) / 10.0 < 0.1 * mean
    assert (added(900.0) - added(890.0)) / 10.0 < 0.1 * mean
    assert_allclose((added(710.0) - added(690.0)) / 20.0, 1.5 * mean, rtol=0.01)  # cubic step


def test_surface_layer_is_warmest_at_the_sea_and_ends_at_its_depth():
    plain = Atmosphere.standard()
    heated = plain.with_surface_layer(2.0, 8.0)
    heights = np.array([0.0, 4.0, 8.0, 100.0])
    added = heated.at(heights)[0] - plain.at(heights)[0]
    assert_allclose(added, [2.0, 2.0 / 16.0, 0.0, 0.0], rtol=0, atol=1e-3)


def test_surface_layer_is_steepest_at_the_sea():
    added = np.diff(Atmosphere.standard().with_surface_layer(-5.0, 10.0).temperature_k[:41])
    height = np.diff(Atmosphere.standard().with_surface_layer(-5.0, 10.0).height_m[:41])
    gradient = added / height + 0.0065
    assert np.all(np.diff(gradient) < 1e-9)
    assert_allclose(gradient[0], 4 * 5.0 / 10.0, rtol=0.02)


def test_layers_in_separate_heights_may_be_added_in_either_order():
    plain = moist()
    one = plain.with_inversion(300.0, 100.0, 4.0).with_surface_layer(-2.0, 10.0)
    other = plain.with_surface_layer(-2.0, 10.0).with_inversion(300.0, 100.0, 4.0)
    assert_allclose(one.height_m, other.height_m, rtol=0, atol=1e-9)
    assert_allclose(one.temperature_k, other.temperature_k, rtol=0, atol=1e-9)
    assert_allclose(one.pressure_pa, other.pressure_pa, rtol=1e-12)


def test_two_inversions_stand_one_over_the_other():
    double = (
        Atmosphere.standard().with_inversion(200.0, 100.0, 3.0).with_inversion(700.0, 200.0, 5.0)
    )
    low, high = np.diff(double.at([200.0, 300.0])[0]), np.diff(double.at([700.0, 900.0])[0])
    assert_allclose([low[0], high[0]], [3.0, 5.0], rtol=0, atol=1e-9)


def test_a_level_a_hair_from_another_is_that_level():
    """1.1 + 2.2 is not 3.3 in floating point; a layer between them would be pure noise."""
    assert 1.1 + 2.2 != 3.3
    twice = Atmosphere.standard().with_inversion(1.1, 2.2, 1.0).with_inversion(3.3, 2.0, 1.0)
    assert np.diff(twice.height_m).min() >= 1e-3


def test_new_air_leaves_the_old_unchanged():
    plain = Atmosphere.standard()
    before = plain.temperature_k.copy()
    plain.with_inversion(500.0, 300.0, 8.0).with_surface_layer(1.0, 5.0)
    assert_allclose(plain.temperature_k, before, rtol=0, atol=0)


def test_levels_cannot_be_written():
    with pytest.raises(ValueError, match="read-only"):
        Atmosphere.standard().temperature_k[0] = 0.0


def test_equal_content_is_one_air():
    one, other = Atmosphere.standard(), Atmosphere.standard()
    assert one == other
    assert len({one, other, Atmosphere.standard(288.16), one.with_haze(2000.0)}) == 3
    assert one != "air"


def test_haze_goes_along_into_changed_air():
    hazy = Atmosphere.standard().with_haze(700.0, 900.0)
    changed = hazy.with_inversion(400.0, 100.0, 3.0).with_surface_layer(1.0, 5.0)
    assert (changed.haze_scale_height_m, changed.haze_top_m) == (700.0, 900.0)
    assert changed.haze_share_above(900.0) == 0.0
    with pytest.raises(OutOfRangeError, match="haze_scale_height_m is 5 m; allowed is 100"):
        Atmosphere.standard().with_haze(5.0)


STANDARD_LIMITS = {
    "temperature_k": (180.0, 333.15),
    "pressure_pa": (40_000.0, 110_000.0),
    "relative_humidity": (0.0, 1.0),
    "lapse_k_per_m": (-0.003, 0.04),
}


@pytest.mark.parametrize(("name", "limits"), STANDARD_LIMITS.items())
def test_standard_holds_at_both_ends_of_its_ranges(name, limits):
    for limit in limits:
        assert np.all(np.diff(Atmosphere.standard(**{name: limit}).pressure_pa) < 0.0)


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (
            lambda a: Atmosphere.standard(temperature_k=15.0),
            "temperature_k is 15 K; allowed is 180",
        ),
        (lambda a: Atmosphere.standard(temperature_k=np.nan), "temperature_k is nan K; allowed"),
        (lambda a: Atmosphere.standard(temperature_k="warm"), "temperature_k is 'warm', which is"),
        (
            lambda a: Atmosphere.standard(temperature_k=[280.0, 290.0]),
            "temperature_k holds 2 numbers",
        ),
        (lambda a: Atmosphere.standard(pressure_pa=1013.25), "pressure_pa is 1013.25 Pa; allowed"),
        (lambda a: Atmosphere.standard(pressure_pa=[1e5]), "pressure_pa holds 1 numbers"),
        (lambda a: Atmosphere.standard(relative_humidity=50.0), "relative_humidity is 50; allowed"),
        (lambda a: Atmosphere.standard(lapse_k_per_m=6.5), "lapse_k_per_m is 6.5 K/m; allowed"),
        (lambda a: Atmosphere.standard(333.0, lapse_k_per_m=-0.005), "at the tropopause.*Lower"),
        (lambda a: a.with_inversion(-1.0, 100.0, 2.0), "base_m is -1 m; allowed is 0 to 10000 m"),
        (lambda a: a.with_inversion(0.0, 0.0, 2.0), "depth_m is 0 m; allowed is 1 to 5000 m"),
        (lambda a: a.with_inversion(0.0, 100.0, -2.0), "strength_k is -2 K; allowed is 0 to 40 K"),
        (lambda a: a.with_inversion([0.0, 9.0], 100.0, 2.0), "base_m holds 2 numbers"),
        (lambda a: a.with_surface_layer(31.0, 5.0), "excess_k is 31 K; allowed is -30 to 30 K"),
        (lambda a: a.with_surface_layer(1.0, 0.1), "depth_m is 0.1 m; allowed is 0.5 to 2000 m"),
        (lambda a: a.at(-1.0), "height_m is -1 m; allowed is 0 to 86000 m"),
        (lambda a: a.at(1e5), "height_m is 100000 m; allowed is 0 to 86000 m"),
        (lambda a: a.at([1.0, np.nan]), "height_m is nan m"),
    ],
)
def test_what_cannot_be_is_refused(build, message):
    with pytest.raises(OutOfRangeError, match=message):
        build(Atmosphere.standard())


@pytest.mark.parametrize(
    ("profile", "message"),
    [
        (([0.0, 100.0], [288.0], 1e5, 0.0), r"shaped \(2,\) and .*arrays of one length"),
        (([0.0, 100.0], [288.0, 287.0], 1e5, [0.1, 0.2, 0.3]), "arrays of one length"),
        (([0.0], [288.0], 1e5, 0.0), "two levels or more"),
        ((0.0, 288.0, 1e5, 0.0), "two levels or more"),
        (([0.0, 100.0, 100.0], [288.0] * 3, 1e5, 0.0), r"height_m\[2\] is 100 m; heights begin"),
        (([0.0, 1e-9], [288.0] * 2, 1e5, 0.0), r"rise by 0.001 m or more"),
        (([10.0, 100.0], [288.0] * 2, 1e5, 0.0), r"height_m\[0\] is 10 m; heights begin at 0 m"),
        (([0.0, 100.0], [288.0, 15.0], 1e5, 0.0), "temperature_k is 15 K"),
        (([0.0, 100.0], [288.0, 287.0], 1e3, 0.0), "pressure_pa is 1000 Pa"),
        (([0.0, 100.0], [288.0, 287.0], 1e5, 80.0), "relative_humidity is 80"),
    ],
)
def test_profile_that_cannot_be_is_refused(profile, message):
    with pytest.raises(OutOfRangeError, match=message):
        Atmosphere.from_profile(*profile)


def holds_or_is_refused(build):
    """Air that is whole, or an OutOfRangeError with its sentence."""
    try:
        atmosphere = build()
    except OutOfRangeError as refused:
        return str(refused)
    assert np.all(np.diff(atmosphere.height_m) > 0.0)
    assert np.all(np.diff(atmosphere.pressure_pa) < 0.0)
    assert np.all(np.isfinite(atmosphere.temperature_k))
    return ""


def require_whole(atmosphere):
    assert np.all(np.diff(atmosphere.height_m) > 0.0)
    assert np.all(np.diff(atmosphere.pressure_pa) < 0.0)
    assert np.all(np.isfinite(atmosphere.temperature_k))


def test_any_ground_holds_or_is_refused():
    tally = Tally(OutOfRangeError)

    @settings(deadline=None)
    @given(*(mostly(st.floats(*limits)) for limits in STANDARD_LIMITS.values()))
    def every(kelvin, pascal, humidity, lapse):
        with tally.example():
            require_whole(Atmosphere.standard(kelvin, pascal, humidity, lapse))

    every()
    tally.require(accepted=8, refused=8)
    known = "; allowed is|not a number|tropopause|more vapour|give one"
    assert [said for said in tally.messages if not re.search(known, said)] == []


@settings(deadline=None)
@given(*(st.floats(*limits) for limits in STANDARD_LIMITS.values()))
def test_every_ground_within_the_ranges_holds(temperature, pressure, humidity, lapse):
    said = holds_or_is_refused(lambda: Atmosphere.standard(temperature, pressure, humidity, lapse))
    assert said == "" or said.startswith("The temperature at the tropopause")


@settings(deadline=None)
@given(
    st.floats(0.0, 10e3),
    st.floats(1.0, 5e3),
    st.floats(0.0, 40.0),
    st.floats(-30.0, 30.0),
    st.floats(0.5, 2e3),
)
def test_every_layer_within_the_ranges_holds(base, depth, strength, excess, surface_depth):
    plain = Atmosphere.standard()
    assert holds_or_is_refused(lambda: plain.with_inversion(base, depth, strength)) == ""
    assert holds_or_is_refused(lambda: plain.with_surface_layer(excess, surface_depth)) == ""
    both = plain.with_inversion(base, depth, strength).with_surface_layer(excess, surface_depth)
    assert_allclose(
        both.temperature_k[0] - plain.with_inversion(base, depth, strength).temperature_k[0],
        excess,
        rtol=0,
        atol=1e-9,
    )


def test_any_layer_holds_or_is_refused():
    plain, layers, surfaces = Atmosphere.standard(), Tally(OutOfRangeError), Tally(OutOfRangeError)

    @settings(deadline=None)
    @given(mostly(st.floats(0.0, 10e3)), mostly(st.floats(1.0, 2e3)), mostly(st.floats(0.0, 30.0)))
    def every(base, depth, strength):
        with layers.example():
            require_whole(plain.with_inversion(base, depth, strength))
        with surfaces.example():
            require_whole(plain.with_surface_layer(strength, depth))

    every()
    layers.require(accepted=8, refused=8)
    surfaces.require(accepted=8, refused=8)


def profiles():
    """Columns of levels that mostly rise from the ground by steps, some out of order or too hot."""
    rise = mostly(st.floats(1.0, 8e3), st.floats(-1e3, 0.0), share=12)
    level = st.tuples(rise, mostly(st.floats(200.0, 310.0), st.floats(), share=12))
    return st.lists(level, min_size=1, max_size=6)


def test_any_profile_holds_or_is_refused():
    tally = Tally(OutOfRangeError)

    @settings(deadline=None)
    @given(profiles(), mostly(st.floats(5e4, 1.1e5), share=10))
    def every(levels, surface):
        height_m = np.concatenate([[0.0], np.cumsum([rise for rise, _ in levels[1:]])])
        with tally.example():
            require_whole(
                Atmosphere.from_profile(height_m, [kelvin for _, kelvin in levels], surface, 0.0)
            )

    every()
    tally.require(accepted=8, refused=8)
