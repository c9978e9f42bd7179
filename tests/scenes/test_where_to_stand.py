"""Where to stand follows the light: the inversion, the haze, the instrument, the Sun's speed."""

import re
from datetime import date

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.phenomena.green_flash import forecast, main_of, seen_flashes
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.scenes import catalogue
from lowsun.scenes.made import air_of
from lowsun.scenes.where_to_stand import scene
from lowsun.sky import Place

INVERSION = {"inversion_base_m": 40, "inversion_depth_m": 40, "inversion_k": 2}
WARM_SEA = {"inversion_k": 0, "sea_excess_k": 2}
THIN_DUCT = {"air": "sea, thin duct near 920 m", "inversion_k": 0}
STRONG = {"inversion_base_m": 50, "inversion_depth_m": 20, "inversion_k": 3}


def named_m(sentence):
    """The first length of a sentence."""
    return float(re.search(r"([\d.]+) m\b", sentence)[1])


@pytest.mark.parametrize("haze", ["very clear", "clear"])
@pytest.mark.parametrize(
    ("air", "kind", "low_m", "high_m"),
    [
        # A separate search, by images, saw green longest from 64 m, 2 to 5 m, 897 to 899 m, 45 m.
        (INVERSION, "mock mirage", 56, 72),
        (WARM_SEA, "inferior mirage", 2, 5),
        (THIN_DUCT, "sub-duct", 897, 899),
        (STRONG, "sub-duct", 45, 45),
    ],
    ids=["inversion", "warm sea", "thin duct", "strong inversion"],
)
def test_the_height_it_names_first(air, haze, kind, low_m, high_m):
    said = scene.sentence(**air, haze=haze)
    assert said.startswith("Stand at ")
    assert f"by {kind}, is seen" in said
    assert low_m <= named_m(said) <= high_m


def test_even_air_is_worth_no_walk():
    # Young, Kattawar & Parviainen 1997: the textbook's mechanism alone makes a rim.
    said = scene.sentence(inversion_k=0)
    assert said.startswith("Nowhere more than a rim")
    assert not scene.result(inversion_k=0).worth_going
    said = scene.sentence(inversion_k=0, haze="hazy")
    assert said.startswith("Nowhere: too little green")
    # From the lowest eye: between a clear evening, 0.05, where it is seen, and "hazy", 0.22.
    assert 0.05 < float(re.search(r"Below a depth of (0\.\d\d) it is seen", said)[1]) < 0.15


def test_the_seconds_are_those_of_the_forecast_at_the_height_named():
    result = scene.result(**INVERSION, haze="clear")
    place = Place("", 52.0, catalogue.LIGHTHOUSE_LONGITUDE_DEG, result.best_m)
    made = forecast(place, catalogue.EQUINOX, Air(result.atmosphere, HAZE["clear"]))
    assert result.best_kind == made.kind
    assert_allclose(result.best_s, made.duration_s, rtol=0.02)
    assert (
        f"is seen for {result.best_s:.1f} s (the naked eye; haze 0.05: you see 64 km)."
        in scene.sentence(**INVERSION, haze="clear")
    )


def test_geometry_runs_uphill_and_light_does_not():
    result = scene.result(**INVERSION)
    by_geometry = result.eye_height_m[result.geometric_s.argmax()]
    assert by_geometry > 700
    assert np.interp(by_geometry, result.eye_height_m, result.duration_s) < 0.6
    assert result.best_s > 1.5


def test_the_thickness_it_tells_is_where_it_lasts_half_as_long():
    result = scene.result(**STRONG)
    low, high = result.window_m
    assert f"The layer to stand in is {high - low:.1f} m thick" in scene.sentence(**STRONG)
    assert low - 0.2 < result.best_m < high
    air = air_of(scene.check(STRONG)).atmosphere
    beside = [
        main_of(seen_flashes(Air(air, HAZE["clear"]), eye_m)).duration_s(result.speed_arcsec_per_s)
        for eye_m in (low - 0.4, high + 0.4)
    ]
    assert max(beside) < result.best_s


def test_glass_makes_more_of_it():
    for air in (INVERSION, {"inversion_k": 0}):
        eye = scene.result(**air, haze="clear")
        glass = scene.result(**air, haze="clear", instrument="binoculars 8 × 40")
        assert glass.best_s > 1.3 * eye.best_s


def test_duration_goes_with_the_inverse_of_the_suns_speed():
    # Speed at the equinox 15.04"/s cos(latitude): half at 60 deg; 1 % for the real declination.
    equator, north = (scene.result(latitude_deg=latitude) for latitude in (0, 60))
    assert_allclose(equator.speed_arcsec_per_s, 15.04, rtol=0.01)
    assert_allclose(north.duration_s, 2.0 * equator.duration_s, rtol=0.015)
    assert_allclose(north.best_s, 2.0 * equator.best_s, rtol=0.015)


def test_where_the_sun_stays_up_it_says_so():
    said = scene.sentence(latitude_deg=80, day=date(2027, 6, 21))
    assert "does not set there on that day: timed for the equator, 15.0″ a second." in said


def test_a_draft_is_of_the_same_kind():
    for air in (WARM_SEA, THIN_DUCT, STRONG):
        state = scene.check({**air, "haze": "none"})  # asked for in no other test
        rough, fine = scene.draft(state), scene.compute(state)
        assert rough.best_kind == fine.best_kind
        assert rough.eye_height_m.size < fine.eye_height_m.size
        assert_allclose(rough.best_m, fine.best_m, rtol=0.7)


def test_a_draft_of_what_is_known_is_the_thing_itself():
    state = scene.check(INVERSION)
    fine = scene.compute(state)
    assert np.array_equal(scene.draft(state).duration_s, fine.duration_s)
