"""The green flash: kinds as published, sizes by dispersion, times by the sky."""

from datetime import UTC, date, datetime, timedelta
from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.phenomena import flash_light, green_flash, low_sun, mirage
from lowsun.phenomena.green_flash import (
    GREEN_NM,
    INFERIOR,
    MOCK,
    RED_NM,
    RIM,
    flashes,
    forecast,
)
from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.physics.rays import transfer_curve
from lowsun.sky import Place, sunrise, sunset

STANDARD = Atmosphere.standard()
STRONG = STANDARD.with_inversion(60.0, 40.0, 8.0)
EQUINOX = date(2025, 3, 20)

CLEAR = HAZE["very clear"]


def kinds(atmosphere, eye_m):
    return [flash.kind for flash in flashes(atmosphere, eye_m)]


def main(atmosphere, eye_m):
    return max(flashes(atmosphere, eye_m), key=lambda flash: flash.rank)


# --- kinds: Young, Kattawar & Parviainen 1997 (Applied Optics 36, 2689) and Young's review articles


@pytest.mark.parametrize("eye_m", [2.0, 30.0, 95.0, 1000.0])
def test_smooth_air_makes_no_more_than_a_rim(eye_m):
    assert kinds(STANDARD, eye_m) == [RIM]


@pytest.mark.parametrize("excess_k", [0.5, 1.0, 2.0, 5.0])
@pytest.mark.parametrize("eye_m", [2.0, 5.0, 10.0, 30.0])
def test_a_sea_warmer_than_the_air_makes_the_inferior_mirage_flash(excess_k, eye_m):
    assert kinds(STANDARD.with_surface_layer(excess_k, 3.0), eye_m) == [INFERIOR]


def test_the_inferior_mirage_flash_is_tallest_from_low_eyes():
    warm = STANDARD.with_surface_layer(2.0, 3.0)
    heights = [main(warm, eye).height_arcsec for eye in (2.0, 5.0, 10.0, 30.0, 95.0)]
    assert heights == sorted(heights, reverse=True)
    # Both images of the fold are green: far taller than the rim of smooth air.
    assert heights[0] > 4.0 * main(STANDARD, 2.0).height_arcsec


@pytest.mark.parametrize("strength_k", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("eye_m", [95.0, 150.0, 300.0])
def test_an_inversion_of_one_or_two_kelvin_below_the_eye_makes_the_mock_mirage_flash(
    strength_k, eye_m
):
    assert MOCK in kinds(STANDARD.with_inversion(40.0, 40.0, strength_k), eye_m)


@pytest.mark.parametrize("eye_m", [2.0, 10.0, 30.0])
def test_from_under_a_weak_inversion_there_is_no_mock_mirage(eye_m):
    assert kinds(STANDARD.with_inversion(40.0, 40.0, 1.5), eye_m) == [RIM]


@pytest.mark.parametrize("strength_k", [1.0, 1.5])
def test_the_mock_mirage_flash_grows_with_the_height_of_the_eye(strength_k):
    air = STANDARD.with_inversion(40.0, 40.0, strength_k)
    mock = [
        next(flash for flash in flashes(air, eye) if flash.kind == MOCK)
        for eye in (95.0, 150.0, 300.0, 600.0)
    ]
    depths = [flash.depth_arcsec for flash in mock]
    assert depths == sorted(depths)
    assert depths[0] > main(STANDARD, 95.0).depth_arcsec


def test_within_a_duct_the_edge_of_its_dark_strip_is_no_mock_mirage():
    assert MOCK not in kinds(STRONG, 50.0)


@pytest.mark.parametrize("eye_m", [900.0, 1500.0])
def test_a_real_inversion_over_the_sea_seen_from_above_it(eye_m):
    # Ascent at 72293 on 2014-07-01 00 UTC: inversion 638-1507 m, +8.6 K.
    path = files("lowsun.data") / "soundings" / "marine-inversion.csv"
    air = soundings.read(path)[0].atmosphere()
    assert kinds(air, 95.0) == [RIM]
    assert MOCK in kinds(air, eye_m)


def test_the_kind_is_told_from_the_curve_however_the_air_was_made():
    made = STANDARD.with_surface_layer(2.0, 3.0)
    again = Atmosphere.from_profile(
        made.height_m, made.temperature_k, made.pressure_pa[0], made.relative_humidity
    )
    assert flashes(again, 2.0) == flashes(made, 2.0)


# --- sizes --------------------------------------------------------------------------------------


def test_the_rim_flash_is_as_deep_as_the_dispersion_at_the_horizon():
    # 520/630 nm: 14.8" at apparent 0 deg, 15 degC, 1013.25 hPa (computed with palpy 1.8.4; 2 %).
    (rim,) = flashes(STANDARD, 0.0)
    assert_allclose(rim.depth_arcsec, 14.8, rtol=0.02, atol=0)


def test_the_rim_is_flattened_as_the_disc_is():
    # The green rim stands between the horizon and where the red limb is: depth times dA/dT there,
    # and the last second of arc, a thread, in which the red is counted as gone.
    (rim,) = flashes(STANDARD, 0.0)
    curve = transfer_curve(STANDARD, 0.0, [0.0, 0.004], GREEN_NM)
    stretch = 0.004 / np.diff(curve.true_altitude_deg)[0]
    expected = rim.depth_arcsec * stretch + mirage.THREAD_ARCSEC
    assert_allclose(rim.height_arcsec, expected, rtol=0.01, atol=0)


def test_the_width_is_the_chord_as_deep_as_the_flash():
    (rim,) = flashes(STANDARD, 95.0)
    radius, depth = 30.0 * low_sun.SUN_DIAMETER_ARCMIN, rim.depth_arcsec
    assert_allclose(
        rim.width_arcsec, 2.0 * np.sqrt(radius**2 - (radius - depth) ** 2), rtol=1e-9, atol=0
    )


def test_the_light_of_the_flash_is_green_between_red_and_green():
    # The summed light of the last sliver, a calculation of its own, is yellow or redder before the
    # geometry's flash and green or bluer in the middle of it.
    (rim,) = flashes(STANDARD, 95.0)
    curve = low_sun.curve_for_picture(STANDARD, 95.0, 3.0)
    limb = rim.red_true_altitude_deg - np.array([-20.0, 0.5 * rim.depth_arcsec]) / 3600.0
    light = flash_light.sliver(curve, limb - low_sun.SUN_DIAMETER_ARCMIN / 120.0)
    assert np.isin(light.colours, flash_light.FLASH_COLOURS).tolist() == [False, True]
    assert light.dominant_wavelength_nm[0] > 580.0 > 560.0 > light.dominant_wavelength_nm[1]


def test_the_wavelengths_are_those_of_the_green_rim():
    assert (GREEN_NM, RED_NM) == flash_light.RIM_NM


# --- times --------------------------------------------------------------------------------------


@pytest.mark.parametrize("latitude_deg", [30.0, 40.0, 50.0])
def test_in_even_air_green_outlasts_red_by_a_second_or_two_and_is_a_rim(latitude_deg):
    # Young, Kattawar & Parviainen 1997: the textbook's dispersion alone makes a rim.
    made = forecast(Place("shore", latitude_deg, -9.0, 95.0), EQUINOX, Air(haze=CLEAR))
    assert made.kind == RIM
    assert 1.0 < made.geometric_duration_s < 2.0
    assert made.geometric_ends - made.geometric_begins == timedelta(
        seconds=made.geometric_duration_s
    )
    assert 0.0 < made.duration_s < made.geometric_duration_s
    assert made.ends - made.begins == timedelta(seconds=made.duration_s)
    assert made.reason is None


def test_duration_is_depth_over_the_vertical_speed():
    # 15.04"/s x cos(latitude) at the equinox; the depths are those of the rim and of its light.
    made = forecast(Place("shore", 40.0, -9.0, 95.0), EQUINOX)
    speed = 15.04 * np.cos(np.radians(40.0))
    geometry = made.main.flash.duration_s(speed)
    assert_allclose(made.geometric_duration_s, geometry, rtol=0.02, atol=0)
    assert_allclose(made.duration_s, made.main.seen.duration_s(speed), rtol=0.02, atol=0)


def test_near_a_pole_it_lasts_minutes():
    # A pole's Sun sinks 0.973' an hour at the September equinox: 15" take 15 minutes.
    seen = forecast(Place("ice", 89.9, 0.0, 2.0), date(2025, 9, 24))
    assert seen.geometric_duration_s > seen.duration_s > 120.0


def test_the_last_sliver_falls_into_the_flash():
    # Sunset is reckoned at 570 nm, between the green and the red.
    place = Place("shore", 52.0, -9.0, 95.0)
    none = HAZE["none"]  # haze ends the green before the last of the light
    seen, sets = forecast(place, EQUINOX, Air(haze=none)), sunset(place, EQUINOX)
    assert seen.begins < sets.last_sliver < seen.ends
    assert seen.begins.tzinfo is UTC
    mirrored, rises = forecast(place, EQUINOX, Air(haze=none), rising=True), sunrise(place, EQUINOX)
    assert mirrored.begins < rises.first_sliver < mirrored.ends
    assert mirrored.kind == seen.kind
    assert_allclose(mirrored.duration_s, seen.duration_s, rtol=0.02, atol=0)


def test_the_mock_mirage_flash_comes_apart_from_the_rims():
    place = Place("shore", 40.0, -9.0, 95.0)
    seen = forecast(place, EQUINOX, STANDARD.with_inversion(40.0, 40.0, 1.5))
    assert seen.kind == MOCK
    assert [timed.flash.kind for timed in seen.flashes] == [RIM, MOCK]
    assert seen.flashes[0].geometric_ends < seen.flashes[1].geometric_begins
    assert seen.flashes[1].begins == seen.begins
    assert seen.main.flash.height_arcsec > seen.flashes[0].flash.height_arcsec
    assert seen.width_arcsec > seen.flashes[0].flash.width_arcsec


# --- none ---------------------------------------------------------------------------------------


def test_no_sunset_no_flash():
    seen = forecast(Place("north cape", 75.0, 20.0, 95.0), date(2025, 6, 21))
    assert (seen.kind, seen.begins, seen.ends, seen.duration_s) == (None, None, None, 0.0)
    assert seen.height_arcsec is None
    assert seen.reason


def test_where_the_sun_thins_out_in_a_duct_the_forecast_says_so():
    seen = forecast(Place("cliff", 40.0, -9.0, 98.0), EQUINOX, STRONG)
    assert seen.kind is None
    assert "thins out to a thread" in seen.reason


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: flashes(STANDARD, -1.0), "eye_height_m is -1 m"),
        (lambda: flashes(STANDARD, 2.0, 40.0), "sun_diameter_arcmin is 40 arcmin"),
        (lambda: flashes(STANDARD, 2.0)[0].duration_s(0.0), "vertical_speed_arcsec_per_s is 0"),
        (lambda: STANDARD.with_inversion(60.0, 40.0, 60.0), "strength_k is 60 K; allowed is 0 to"),
    ],
)
def test_refusals(call, words):
    with pytest.raises(OutOfRangeError, match=words):
        call()


def test_a_forecast_wants_an_atmosphere():
    with pytest.raises(InputError, match="give an Atmosphere"):
        forecast(Place("shore", 40.0, -9.0, 95.0), EQUINOX, 288.15)


def test_instants_are_aware():
    seen = forecast(Place("shore", 40.0, -9.0, 95.0), EQUINOX, Air(haze=CLEAR))
    assert seen.begins > datetime(2025, 3, 20, tzinfo=UTC)
    assert green_flash.Forecast is type(seen)
