"""Passages through an altitude: none missed, none invented, from the equator to the poles."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.sky import (
    ALMANAC_DEG,
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    Place,
    crossings,
    crossings_by_latitude,
    moon,
    sun,
)
from lowsun.sky.courses import bracketed_root

NOON = datetime(2025, 3, 19, 12, tzinfo=UTC)
HERE = Place("here", 50.0, 0.0)
ROOT_DEG = 1e-7  # 15"/s for 20 us


@pytest.mark.parametrize(
    ("latitude_deg", "body", "level_deg"),
    [
        (0.0, "sun", -0.6),
        (50.0, "sun", 12.0),
        (66.4, "sun", -0.83),
        (89.0, "sun", -0.6),
        (89.7, "sun", -0.6),
        (89.95, "sun", -0.55),
        (89.98, "sun", -0.5),
        (-90.0, "sun", -0.7),
        (30.0, "moon", 0.0),
        (85.0, "moon", 10.0),
    ],
)
def test_every_passage_is_found(latitude_deg, body, level_deg):
    """Against a minute-by-minute look for changes of sign over five days."""
    place, minutes = Place("x", latitude_deg, 20.0), range(5 * 1440 + 1)
    times = [NOON + timedelta(minutes=n) for n in minutes]
    look = {"sun": sun, "moon": moon}[body]
    above = look(place, times).true_altitude_deg >= level_deg
    steps = np.nonzero(above[1:] != above[:-1])[0]
    found = crossings(place, times[0], times[-1], level_deg, body=body)
    assert len(found) == len(steps)
    for crossing, step in zip(found, steps, strict=True):
        assert times[step] <= crossing.when <= times[step + 1]
        assert crossing.rising == above[step + 1]
        seen = look(place, crossing.when)
        assert_allclose(seen.true_altitude_deg, level_deg, rtol=0, atol=ROOT_DEG)
        assert_allclose(crossing.azimuth_deg, seen.azimuth_deg, rtol=0, atol=1e-5)


def test_a_skimming_sun_crosses_twice_or_not_at_all():
    """At its lowest for the day the Sun is caught a hundredth of an arcsecond deep."""
    place = Place("arctic", 67.0, 20.0)
    start, end = (datetime(2025, 6, 20, hour, tzinfo=UTC) for hour in (20, 23))
    times = [start + timedelta(seconds=n) for n in range(3 * 3600)]
    lowest_deg = sun(place, times).true_altitude_deg.min()
    assert len(crossings(place, start, end, lowest_deg + 0.01 / 3600)) == 2
    assert crossings(place, start, end, lowest_deg - 0.01 / 3600) == ()


@pytest.mark.parametrize("sense", [True, False])
def test_one_sense_only(sense):
    both = crossings(HERE, NOON, NOON + timedelta(days=2), 0.0)
    one = crossings(HERE, NOON, NOON + timedelta(days=2), 0.0, rising=sense)
    assert [crossing.rising for crossing in both] == [False, True, False, True]
    assert one == tuple(crossing for crossing in both if crossing.rising is sense)


def test_a_long_span_joins_without_seams():
    """A year over pieces of 8 days: one sunset a day, the same as from a short span."""
    end = NOON + timedelta(days=365)
    year = crossings(HERE, NOON, end, -0.6, rising=False)
    assert len(year) == 365
    day = crossings(HERE, NOON + timedelta(days=100), NOON + timedelta(days=101), -0.6, False)
    assert abs(year[100].when - day[0].when) < timedelta(microseconds=5)


def test_limbs_pass_half_a_disc_apart():
    upper, centre, lower = (
        crossings(HERE, NOON, NOON + timedelta(hours=12), 0.0, limb=limb)[0].when
        for limb in ("upper", "centre", "lower")
    )
    radius_deg = sun(HERE, centre).angular_diameter_arcmin / 120
    for when, expected_deg in ((lower, radius_deg), (centre, 0), (upper, -radius_deg)):
        seen_deg = sun(HERE, when).true_altitude_deg
        assert_allclose(seen_deg, expected_deg, rtol=0, atol=1e-6)


def test_dusks_come_in_order():
    levels = (ALMANAC_DEG, CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG)
    assert levels == (-50 / 60, -6, -12, -18)
    times = [crossings(HERE, NOON, NOON + timedelta(hours=12), one)[0].when for one in levels]
    assert times == sorted(times)


def test_many_latitudes_share_one_reading():
    latitudes = np.linspace(-90, 90, 13)
    span = NOON - timedelta(days=3), NOON + timedelta(days=6)
    together = crossings_by_latitude(latitudes, 15.0, *span, -0.6, rising=False)
    for index, latitude in enumerate(latitudes):
        alone = crossings(Place("x", latitude, 15.0, 0.0), *span, -0.6, rising=False)
        mine = together.when[together.index == index]
        assert len(mine) == len(alone)
        for one, other in zip(mine, alone, strict=True):
            assert abs(one - other.when) < timedelta(microseconds=200)  # slow Sun, flat roots


@pytest.mark.parametrize(
    ("function", "root"),
    [
        (lambda x: x**3 - 2, 2 ** (1 / 3)),
        (lambda x: np.tanh(50 * (x - 1.7)), 1.7),
        (lambda x: np.where(x < 1.1, -1.0, 1.0), 1.1),
        (lambda x: (x - 0.3) ** 9, 0.3),
    ],
)
def test_roots_of_awkward_functions(function, root):
    begins, ends = np.array([0.0]), np.array([2.0])
    found = bracketed_root(function, begins, ends, function(begins), function(ends))
    assert_allclose(found, root, rtol=0, atol=2e-6)


@pytest.mark.parametrize(
    ("changes", "error", "message"),
    [
        ({"start": NOON + timedelta(days=9)}, OutOfRangeError, "Exchange the two"),
        ({"start": "noon"}, InputError, "start is 'noon'; give one aware datetime"),
        ({"end": datetime(2025, 3, 20)}, InputError, "naive datetime"),
        ({"true_altitude_deg": 91}, OutOfRangeError, "true_altitude_deg is 91 deg"),
        (
            {"true_altitude_deg": [0, 1]},
            OutOfRangeError,
            "true_altitude_deg holds 2 numbers; give one",
        ),
        ({"rising": "up"}, InputError, "rising is 'up'; give True, False, or None"),
        ({"body": "venus"}, InputError, "body is 'venus'; give one of sun, moon"),
        ({"limb": ["upper"]}, InputError, "give one of upper, centre, lower"),
        ({"place": None}, InputError, r"place is None; give a Place\(name"),
    ],
)
def test_bad_questions_are_refused(changes, error, message):
    question = {"place": HERE, "start": NOON, "end": NOON, "true_altitude_deg": 0.0} | changes
    with pytest.raises(error, match=message):
        crossings(**question)


def test_a_shallow_wiggle_near_a_pole_is_crossed_three_times():
    """At 89.93 degrees the sinking Sun climbs for a few hours a day, by seconds of arc."""
    place = Place("near the pole", 89.93, 0.0)
    start = datetime(2025, 9, 22, tzinfo=UTC)
    times = [start + timedelta(minutes=n) for n in range(3 * 1440)]
    altitude = sun(place, times).true_altitude_deg
    turns = np.nonzero(np.diff(np.sign(np.diff(altitude))))[0] + 1
    bottom = turns[np.diff(altitude)[turns] > 0][0]
    top = turns[turns > bottom][0]
    assert 60 < top - bottom < 300  # minutes
    level = (altitude[bottom] + altitude[top]) / 2
    found = crossings(place, start, times[-1], level)
    assert [crossing.rising for crossing in found] == [False, True, False]
