"""The twilight scenes are wired to the phenomenon, the clock and the lens."""

import re
from datetime import date

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing.twilight import ALL_ROUND, TO_SUN
from lowsun.phenomena import earth_shadow
from lowsun.physics.scattering import Air, store
from lowsun.scenes.earth_shadow import scene
from lowsun.scenes.shadow_evening import scene as evening
from lowsun.scenes.twilight_sky import air_of


def first_air():
    return air_of({"haze": 0.05, "haze_kind": "marine", "haze_height_m": 1000.0, "ozone_du": 300.0})


def test_the_scene_says_what_the_phenomenon_finds():
    result = scene.result(depression_deg=3)
    seen = earth_shadow.seen(first_air(), -3.0, eye_height_m=95.0)
    assert result.seen.edge_deg == seen.edge_deg
    assert f"the shadow's edge stands {seen.edge_deg:.1f}° high" in scene.describe(result)


def test_the_first_picture_needs_no_solution():
    """The air the scene begins with is the one whose table comes with the kit."""
    assert store.name_of(first_air()) == store.name_of(Air())


def test_each_switch_takes_one_cause_away():
    whole = scene.result(depression_deg=4).picture.xyz
    for name in ("no_ozone", "no_haze", "once"):
        left = scene.result(depression_deg=4, **{name: True})
        assert np.abs(left.picture.xyz / whole - 1.0).max() > 0.1
        assert scene.describe(left).endswith(("ozone.", "haze.", "once only."))


def test_sun_up_has_no_shadow_but_that_of_a_mountain():
    low = scene.result(depression_deg=-1)
    assert low.seen is None
    assert low.mountain is None
    assert "below the horizon" in scene.describe(low)
    high = scene.result(depression_deg=-2, eye_height_m=3000)
    assert high.mountain.apex_altitude_deg == -2.0
    assert "mountain's shadow reaches" in scene.describe(high)


def test_towards_the_sun_the_middle_is_the_sun():
    picture = scene.result(facing=TO_SUN).picture
    assert_allclose(picture.azimuth_deg.mean(), 0.0, atol=1e-9)
    assert scene.result(facing=ALL_ROUND).picture.extent[1] == 360.0


def test_an_evening_and_its_clock():
    result = evening.result(share_percent=0)
    assert result.when == result.watch.first_seen
    assert_allclose(result.sun_depression_deg, 0.5, atol=1e-3)
    end = evening.result(share_percent=100)
    assert abs((end.when - end.watch.last_seen).total_seconds()) < 61.0


def test_a_morning_runs_towards_the_sun():
    result = evening.result(morning=True)
    assert result.watch.rising
    assert np.all(np.diff(result.curve.x) > 0.0)
    assert "turn round at" in evening.describe(result).lower()


@pytest.mark.parametrize(
    ("day", "words"), [(date(2027, 6, 21), "stays above"), (date(2027, 12, 21), "stays below")]
)
def test_no_dusk_says_so_and_shows_noon(day, words):
    result = evening.result(day=day, latitude_deg=71)
    assert words in evening.describe(result)
    assert "At noon" in evening.describe(result)


def test_a_white_night_lasts():
    assert "there all night" in evening.sentence(day=date(2027, 6, 10), latitude_deg=65)


@pytest.mark.parametrize(
    ("switch", "words"),
    [
        ("no_ozone", "Without ozone."),
        ("no_haze", "Without haze."),
        ("once", "Light scattered once only."),
    ],
)
def test_what_was_taken_away_is_named(switch, words):
    plain, without = scene.sentence(), scene.sentence(**{switch: True})
    assert without.endswith(words)
    assert words not in plain


def test_a_switch_is_the_end_of_its_slider():
    for switch, slider in (({"no_ozone": True}, {"ozone_du": 0}), ({"no_haze": True}, {"haze": 0})):
        switched, slid = scene.result(**switch), scene.result(**slider)
        assert np.array_equal(switched.picture.rgb, slid.picture.rgb)
        assert switched.seen.edge_deg == slid.seen.edge_deg


@pytest.mark.parametrize("morning", [False, True])
def test_the_hours_are_told_as_the_clock_runs(morning):
    told = re.search(r"(Turn round at .*?);", evening.sentence(morning=morning))[1]
    hours = [60 * int(h) + int(m) for h, m in re.findall(r"(\d\d):(\d\d)", told)]
    assert len(hours) == 3
    assert hours == sorted(hours)
    now = evening.result(morning=morning, share_percent=50)
    local = now.when.astimezone(now.watch.place.timezone)
    assert hours[0] <= 60 * local.hour + local.minute <= hours[2]
