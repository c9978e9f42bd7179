"""The Sun's day: its kind, lowest and highest, against the Sun's own course and closed form."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lowsun.sky import (
    DOWN_KINDS,
    KINDS,
    UP_KINDS,
    Kind,
    Place,
    crossings,
    local_day,
    sun,
    sun_day,
    sunrise,
    sunset,
    visible_horizon_deg,
)
from lowsun.words import speaking
from lowsun.words.sun_day import in_short

PARALLAX_DEG = 8.794 / 3600  # the Sun's horizontal parallax at mean distance, IAU 1976
NORTH = Place("north", 78.0, 0.0)
MIDSUMMER = date(2026, 6, 21)


def test_the_lowest_is_where_the_sun_turns_and_not_where_midnight_cuts_it_off():
    day = sun_day(NORTH, MIDSUMMER)
    assert day.lowest.when.date() == date(2026, 6, 22)
    minutes = (day.lowest.when - datetime(2026, 6, 22, tzinfo=UTC)) / timedelta(minutes=1)
    assert 1 < minutes < 3  # the Sun crosses its meridian two minutes late at midsummer
    for shift in (timedelta(seconds=30), -timedelta(seconds=30)):
        beside = sun(NORTH, day.lowest.when + shift).true_altitude_deg
        assert beside > day.lowest.true_altitude_deg


def test_one_altitude_is_told_everywhere_and_both_are_named():
    day, said = sun_day(NORTH, MIDSUMMER), sunset(NORTH, MIDSUMMER).reason
    # 78 + 23.44 - 90: true; the horizon of an eye at 2 m lies 0.60 deg under it.
    assert "true altitude of 11.43°, the horizon at -0.60°" in said
    assert "true altitude of 11.43°, the horizon at -0.60°" in sunrise(NORTH, MIDSUMMER).reason
    assert "true altitude 11.4° at its lowest" in in_short(day)
    assert day.lowest.horizon_true_altitude_deg == visible_horizon_deg(NORTH)


@settings(max_examples=60, deadline=None)
@given(
    latitude_deg=st.floats(-89, 89),
    longitude_deg=st.floats(-180, 180),
    day=st.dates(date(1950, 1, 1), date(2050, 12, 31)),
)
def test_lowest_and_highest_are_those_of_the_meridian(latitude_deg, longitude_deg, day):
    """90 - |lat - dec| above, |lat + dec| - 90 below, less the parallax times the cosine."""
    place = Place("x", latitude_deg, longitude_deg)
    told = sun_day(place, day)
    noon, night = (sun(place, one.when) for one in (told.highest, told.lowest))
    # Beside the zenith, or a pole, the turning point leaves the meridian by declination's way.
    slack = 0.0005 + 0.02 * (abs(latitude_deg) > 85)
    high = 90 - abs(latitude_deg - noon.declination_deg)
    low = abs(latitude_deg + night.declination_deg) - 90
    for stand, closed in ((told.highest, high), (told.lowest, low)):
        lowered = closed - PARALLAX_DEG * np.cos(np.radians(closed))
        assert_allclose(stand.true_altitude_deg, lowered, rtol=0, atol=slack)


@settings(max_examples=60, deadline=None)
@given(
    latitude_deg=st.floats(-90, 90) | st.floats(65, 68) | st.floats(-68, -65),
    longitude_deg=st.floats(-180, 180),
    day=st.dates(date(1950, 1, 1), date(2050, 12, 31)),
)
@example(66.2, -18.0, date(2027, 6, 29))  # up all day, down a quarter of an hour past it
@example(68.0, -50.0, date(2027, 7, 16))
@example(90.0, 0.0, date(2027, 3, 19))
@example(89.9, 0.0, date(2027, 3, 18))
@example(-13.8, -171.8, date(2011, 12, 30))  # the clocks skipped it
def test_the_kind_is_what_the_sun_does_on_the_date(latitude_deg, longitude_deg, day):
    place = Place("x", latitude_deg, longitude_deg)
    told = sun_day(place, day)
    begins, ends = local_day(day, place.timezone)
    if ends == begins:
        assert told.kind == Kind.SKIPPED
        return
    share = np.linspace(0, 1, 400)[:-1]
    course = sun(place, np.array([begins + s * (ends - begins) for s in share], object))
    over = course.true_altitude_deg - told.horizon_true_altitude_deg
    radius = course.angular_diameter_arcmin / 120
    found = {
        up: [
            one.when
            for one in crossings(place, begins, ends, told.horizon_true_altitude_deg, rising=up)
        ]
        for up in (False, True)
    }
    assert list(told.sunsets) == pytest.approx(found[False], abs=timedelta(milliseconds=1))
    assert len(told.sunrises) == len(found[True])
    assert (told.kind == Kind.SETS) == bool(told.sunsets)
    assert (told.kind in UP_KINDS) <= (over.min() > 0)
    assert (told.kind in DOWN_KINDS) <= (over.max() < 0)
    if told.kind == Kind.STAYS_UP:
        assert np.all(over > radius)
    if told.kind == Kind.STAYS_DOWN:
        assert np.all(over < -radius)
    # No instant of the date is lower or higher than what is called so; and the order of the day.
    assert over.min() + told.horizon_true_altitude_deg >= told.lowest.true_altitude_deg - 1e-6
    assert over.max() + told.horizon_true_altitude_deg <= told.highest.true_altitude_deg + 1e-6
    assert told.night.when >= told.highest.when
    assert told.night.true_altitude_deg >= told.lowest.true_altitude_deg
    for stand in (told.lowest, told.highest, told.night):
        exact = sun(place, stand.when).true_altitude_deg
        assert_allclose(stand.true_altitude_deg, exact, rtol=0, atol=1e-6)


def test_at_a_pole_the_ends_of_the_date_count():
    day = sun_day(Place("pole", 90.0, 0.0), date(2027, 4, 10))
    begins, ends = local_day(day.date, UTC)
    assert (day.lowest.when, day.highest.when) == (begins, ends)
    assert day.kind == Kind.STAYS_UP


def test_the_night_is_the_one_the_evening_leads_to():
    spring, autumn = (sun_day(NORTH, date(2027, month, 15)) for month in (5, 8))
    assert spring.lowest.when < spring.highest.when < spring.night.when
    assert autumn.lowest == autumn.night


def test_shares_of_the_disc():
    dips = sun_day(Place("x", 66.0, 0.0), date(2027, 6, 21))
    assert dips.kind == Kind.DIPS
    over = dips.lowest.true_altitude_deg - dips.horizon_true_altitude_deg
    radius = sun(dips.place, dips.lowest.when).angular_diameter_arcmin / 120
    assert_allclose(dips.lowest.share_up, (over + radius) / (2 * radius), rtol=0, atol=1e-5)
    assert dips.highest.share_up == 1
    hidden = 100 * (1 - dips.lowest.share_up)
    assert f"{hidden:.0f} % of its height" in in_short(dips)
    assert (
        f"{hidden:.0f} % of the disc's height is below it" in sunset(dips.place, dips.date).reason
    )


DATES = {
    Kind.SETS: (66.2, -18.0, date(2027, 5, 1)),
    Kind.RISES: (66.0, 15.0, date(2024, 6, 6)),
    Kind.STAYS_UP: (78.0, 0.0, MIDSUMMER),
    Kind.DIPS: (66.0, 0.0, date(2027, 6, 21)),
    Kind.SHOWS: (67.2, 0.0, date(2026, 12, 21)),
    Kind.STAYS_DOWN: (78.0, 0.0, date(2026, 12, 21)),
    Kind.UP_ALL_DATE: (66.2, -18.0, date(2027, 6, 29)),
    Kind.SKIPPED: (-13.8, -171.8, date(2011, 12, 30)),
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_its_date_and_its_words(kind):
    latitude, longitude, day = DATES[kind]
    place = Place("x", latitude, longitude)
    told = sunset(place, day)
    assert told.day.kind == kind
    said = [in_short(told.day), told.reason or "", told.briefly or ""]
    assert bool(told.reason) == bool(told.briefly) == (kind != Kind.SETS)
    assert not any("{" in one or "None" in one or "nan" in one for one in said)
    if kind not in (Kind.SETS, Kind.SKIPPED):
        before, after = (told.day.beside(rising=False, later=later) for later in (False, True))
        begins, ends = local_day(day, place.timezone)
        assert before < begins < ends <= after
        for when in (before, after):
            local = (when + timedelta(seconds=0.5)).astimezone(place.timezone)
            assert f"{local:%Y-%m-%d %H:%M:%S}" in told.reason
            assert str(local.year) in told.briefly


def test_a_reason_given_in_one_language_is_given_anew_in_another():
    evening = sunset(Place("the camp", 78.0, 15.0), date(2027, 6, 21))
    english = evening.reason, evening.briefly
    with speaking("pt"):
        other = evening.reason, evening.briefly
    assert set(other).isdisjoint(english)
    assert (evening.reason, evening.briefly) == english
