"""How long green is seen and from where, held to what is published and to separate computations."""

from dataclasses import replace
from datetime import date
from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.phenomena import green_flash
from lowsun.phenomena.green_flash import (
    FINE,
    INFERIOR,
    MOCK,
    QUICK,
    RIM,
    SUB_DUCT,
    by_eye_height,
    forecast,
    lost_from_depth,
    main_of,
    seen_flashes,
)
from lowsun.phenomena.green_flash.seen import longest_above_zero
from lowsun.phenomena.instruments import EYE, Binoculars, Camera
from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, HAZE, Haze
from lowsun.physics.medium import Air
from lowsun.sky import Place

EVEN = Atmosphere.standard()
WARM_SEA = EVEN.with_surface_layer(2.0, 10.0)
INVERSION = EVEN.with_inversion(40.0, 40.0, 2.0)
STRONG = EVEN.with_inversion(50.0, 20.0, 3.0)
THIN_DUCT = soundings.read(files("lowsun.data") / "soundings" / "marine-duct.csv")[0].atmosphere()
SPEED = 9.26  # arcsec/s at the lighthouse, 52.1 degrees, on an equinox: 15.04 cos 52.1
CLEAR, SEA = HAZE["very clear"], CLEAR_EVENING
# The hazes of the separate search: in grains of one mean cosine, thinning out over 1500 m.
SEARCHED = {"very clear": Haze(0.0435, 1.3, 0.98, 0.75), "sea air": Haze(0.07, 0.5, 0.98, 0.75)}


def seconds(air, eye_m, haze=CLEAR, instrument=EYE):
    return main_of(seen_flashes(Air(air, haze), eye_m, instrument)).duration_s(SPEED)


# --- how long -------------------------------------------------------------------------------------


@pytest.mark.parametrize("haze", [CLEAR, SEA])
@pytest.mark.parametrize(
    ("air", "eye_m", "kind"), [(WARM_SEA, 3.0, INFERIOR), (INVERSION, 64.0, MOCK)]
)
def test_mirages_flash_for_one_or_two_seconds(air, eye_m, kind, haze):
    # Young's summary: both kinds 1 or 2 s at middle latitudes; here at 40 degrees, 11.5"/s.
    seen = main_of(seen_flashes(Air(air, haze), eye_m))
    assert seen.flash.kind == kind
    assert 0.8 < seen.duration_s(11.5) < 2.4


@pytest.mark.parametrize("haze", [CLEAR, SEA])
@pytest.mark.parametrize(("air", "eye_m"), [(STRONG, 45.0), (THIN_DUCT, 897.0), (THIN_DUCT, 898.0)])
def test_under_a_duct_it_lasts_up_to_fifteen_seconds(air, eye_m, haze):
    # Young's summary: up to 15 s, the longest kind; and a large part of the Sun turns green.
    seen = main_of(seen_flashes(Air(air, haze), eye_m))
    assert seen.flash.kind == SUB_DUCT
    assert 4.0 < seen.duration_s(11.5) < 16.0
    assert seen.height_arcsec > 80.0


def test_in_even_air_it_is_a_rim_that_haze_takes_from_the_eye_and_leaves_to_binoculars():
    # Dietze 1955, as Young reports him (192nd AAS meeting, 80.02): the textbook's mechanism makes
    # no flash for the naked eye. Here it is a rim of a second at most, in sea air next to nothing.
    (rim,) = seen_flashes(Air(EVEN, SEA), 95.0)
    assert rim.flash.kind == RIM
    assert rim.height_arcsec < 15.0
    assert rim.duration_s(SPEED) < 0.5
    assert seconds(EVEN, 95.0, SEA, Binoculars(40, 8)) > 3 * rim.duration_s(SPEED)


def test_what_geometry_alone_runs_uphill_to_is_not_seen():
    # From 796 m geometry gives the longest flash of this inversion, 3.4 s. By its light next to
    # nothing of it is left in very clear air and nothing in sea air (a separate search by imaging).
    (mock,) = seen_flashes(Air(INVERSION, CLEAR), 796.0)
    assert mock.flash.duration_s(SPEED) > 3.3
    assert mock.duration_s(SPEED) < 0.5
    assert seconds(INVERSION, 796.0, SEA) == 0.0
    # The same search saw 2.9 and 1.9 s from 64 m, by a coarser rule for what is seen and before a
    # darker sky.
    air = INVERSION.with_haze(1500.0)
    for name, wanted_s in (("very clear", 2.9), ("sea air", 1.9)):
        assert_allclose(seconds(air, 64.0, SEARCHED[name]), wanted_s, rtol=0.4)


def test_haze_shortens_the_flash_and_kills_it():
    # Common practice, no source: no flash through a hazy horizon.
    lasting = [
        seconds(WARM_SEA, 5.0, haze) for haze in (HAZE["none"], SEA, HAZE["sea air"], HAZE["hazy"])
    ]
    assert lasting == sorted(lasting, reverse=True)
    assert lasting[0] > 2.0
    assert lasting[-1] == 0.0


def test_the_haze_in_which_it_is_lost():
    # Just thinner it is seen and just thicker not, each before the sky of its own haze.
    depth = lost_from_depth(Air(WARM_SEA, HAZE["hazy"]), 3.0)
    assert 0.05 < depth < HAZE["hazy"].depth_550
    near = [
        seconds(WARM_SEA, 3.0, replace(HAZE["hazy"], depth_550=depth + d)) for d in (-0.02, 0.01)
    ]
    assert near[0] > 0.0
    assert near[1] == 0.0
    # Glass sees through more, and what is seen is not lost.
    assert lost_from_depth(Air(WARM_SEA, HAZE["hazy"]), 3.0, Binoculars(40, 8)) > depth
    assert lost_from_depth(Air(WARM_SEA, HAZE["very clear"]), 3.0) is None


def test_a_slower_sun_is_seen_longer():
    (rim,) = seen_flashes(Air(EVEN, CLEAR), 2.0)
    assert rim.duration_s(SPEED / 2) == 2 * rim.duration_s(SPEED)


def test_light_ends_what_geometry_lets_diverge():
    # At the window's edge level green just clears the duct: geometry's depth has no bound there.
    near = main_of(seen_flashes(Air(STRONG, SEA), 45.44))
    assert near.flash.depth_arcsec > 1.2 * near.depth_arcsec


def test_a_camera_that_burns_out_sees_no_green():
    bright = Camera(2.0, burns_out_cd_per_m2=10.0)
    assert bright.exposed_for(1e5).burns_out_cd_per_m2 == 1e5
    assert 1.0 < seconds(WARM_SEA, 5.0, CLEAR, bright) < 3.0  # exposed for the flash it does


@pytest.mark.parametrize(("air", "eye_m"), [(EVEN, 2.0), (WARM_SEA, 3.0), (INVERSION, 64.0)])
def test_quick_agrees_with_fine(air, eye_m):
    quick, fine = (
        main_of(seen_flashes(Air(air, SEA), eye_m, quality=quality)).duration_s(SPEED)
        for quality in (QUICK, FINE)
    )
    assert_allclose(quick, fine, rtol=0, atol=0.1)


@pytest.mark.parametrize("eye_m", [500.0, 700.0, 826.0])
def test_quick_agrees_with_fine_on_the_slivers_seen_from_on_high(eye_m):
    high = Air(EVEN.with_inversion(40.0, 40.0, 2.5).with_haze(4000.0), CLEAR)
    quick, fine = (
        main_of(seen_flashes(high, eye_m, quality=quality)).duration_s(SPEED)
        for quality in (QUICK, FINE)
    )
    assert_allclose(quick, fine, rtol=0, atol=0.25)


def test_the_longest_stretch_above_zero_ends_where_the_line_crosses():
    place = np.arange(6.0)
    assert longest_above_zero(place, np.array([-1, 1, 1, -3, 1, -1.0])) == (0.5, 2.25)
    assert longest_above_zero(place, np.array([1, 1, 1, -1, -1, -1.0])) == (0.0, 2.5)
    assert longest_above_zero(place, -np.ones(6)) == (0.0, 0.0)


# --- when -----------------------------------------------------------------------------------------


def test_geometry_and_light_are_told_apart_by_name():
    made = forecast(Place("shore", 52.1, -10.4, 64.0), date(2027, 3, 20), Air(INVERSION, SEA))
    assert made.kind == MOCK
    assert made.begins < made.ends
    assert made.geometric_begins < made.geometric_ends
    assert made.duration_s < made.geometric_duration_s
    (seen,) = (one for one in seen_flashes(Air(INVERSION, SEA), 64.0) if one.flash.kind == MOCK)
    assert_allclose(made.duration_s, seen.duration_s(SPEED), rtol=0.02)
    assert_allclose(made.height_arcsec, seen.height_arcsec, rtol=0.02)


def test_at_sunrise_the_same_light_comes_backwards():
    place, day = Place("shore", 52.1, -10.4, 64.0), date(2027, 3, 20)
    sets, rises = (forecast(place, day, Air(INVERSION, SEA), rising) for rising in (False, True))
    assert_allclose(rises.duration_s, sets.duration_s, rtol=0.03)
    assert rises.begins < rises.ends


def test_what_haze_hides_is_said():
    made = forecast(Place("shore", 52.1, -10.4, 95.0), date(2027, 3, 20), Air(haze=HAZE["hazy"]))
    assert (made.kind, made.begins, made.ends, made.duration_s) == (RIM, None, None, 0.0)
    assert made.height_arcsec == 0.0
    assert made.geometric_duration_s > 1.0
    assert made.reason == "in this haze too little green comes through for the naked eye."


# --- from where -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("air", "haze", "kind", "low_m", "high_m"),
    [
        # Where a separate search by imaging saw green longest: 64 m, 2 to 5 m, 45 m, 897 to 899 m.
        (INVERSION, CLEAR, MOCK, 56, 72),
        (INVERSION, SEA, MOCK, 50, 72),
        (WARM_SEA, CLEAR, INFERIOR, 2, 5),
        (WARM_SEA, SEA, INFERIOR, 2, 5),
        (STRONG, SEA, SUB_DUCT, 44.5, 45.5),
        (THIN_DUCT, CLEAR, SUB_DUCT, 897, 899),
        (THIN_DUCT, SEA, SUB_DUCT, 897, 899),
    ],
)
def test_where_to_stand(air, haze, kind, low_m, high_m):
    table = by_eye_height(Air(air, haze), 1.5, 1500.0)
    assert table.kind[table.best] == kind
    assert low_m <= table.eye_height_m[table.best] <= high_m


@pytest.mark.parametrize("air", [INVERSION, WARM_SEA, STRONG], ids=["2 K", "warm sea", "3 K"])
def test_whoever_follows_the_advice_sees_more_than_others(air):
    table = by_eye_height(Air(air, SEA), 1.5, 1500.0)
    advised = seconds(air, float(table.eye_height_m[table.best]), SEA)
    for eye_m in (2.0, 10.0, 30.0, 100.0, 300.0, 1000.0):
        other = main_of(seen_flashes(Air(air, SEA), eye_m))
        assert advised > 0.93 * (other.duration_s(SPEED) if other else 0.0)


def test_the_window_under_a_duct_is_thin_and_over_the_sea_wide():
    thin, wide = (by_eye_height(Air(air, SEA), 1.5, 1500.0) for air in (STRONG, WARM_SEA))
    low, high = thin.window_m
    assert 0.2 < high - low < 2.0
    # From beyond both its ends less than half as much is seen.
    half = 0.5 * min(thin.depth_arcsec[thin.longest], green_flash.LONGEST_ARCSEC)
    for eye_m in (low - 0.3, high + 0.35):
        other = main_of(seen_flashes(Air(STRONG, SEA), eye_m))
        assert other.depth_arcsec < half
    assert wide.window_m[1] - wide.window_m[0] > 20.0


def test_geometry_stands_beside_light():
    table = by_eye_height(Air(EVEN, SEA), 2.0, 100.0, count=5, rounds=1)
    assert table.eye_height_m.size in (6, 7, 8)
    assert np.all(np.diff(table.eye_height_m) > 0.0)
    assert set(table.kind) == {RIM}
    assert np.all(table.geometric_duration_s(SPEED) > table.duration_s(SPEED))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: by_eye_height(EVEN, 100.0, 10.0), "give low_m below high_m"),
        (lambda: by_eye_height(EVEN, 0.0, 10.0), "low_m, high_m is 0 m"),
        (lambda: by_eye_height(EVEN, count=1), "count is 1"),
        (lambda: seen_flashes(EVEN, -1.0), "eye_height_m is -1 m"),
        (lambda: seen_flashes(EVEN, 2.0, sky_cd_per_m2="200"), "sky_cd_per_m2 is '200', which is"),
        (lambda: seen_flashes(EVEN, 2.0, sky_cd_per_m2=np.nan), "sky_cd_per_m2 is nan cd/m2"),
        (lambda: seen_flashes(Air(EVEN, Haze(-1.0)), 2.0), "depth_550 is -1"),
        (lambda: seen_flashes(EVEN, 2.0)[0].duration_s(0.0), "vertical_speed_arcsec_per_s is 0"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(OutOfRangeError, match=words):
        call()


@pytest.mark.parametrize("seen", [None, 5, [None], "green"])
def test_the_main_one_is_chosen_among_flashes_alone(seen):
    with pytest.raises(InputError, match="give what `seen_flashes` returns"):
        main_of(seen)
    assert main_of([]) is None
