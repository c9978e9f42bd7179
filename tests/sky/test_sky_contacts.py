"""Sunset and sunrise: against pvlib, published polar dates, and their own definition."""

import re
from datetime import UTC, date, datetime, timedelta
from importlib.resources import files
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lowsun.errors import InputError, LowsunError, OutOfRangeError
from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_true_altitude_deg
from lowsun.sky import Place, contacts, crossings, sun, sunrise, sunset, visible_horizon_deg
from tally import ANYTHING, Tally, mostly

ROOT_DEG = 1e-6
CLIFF = Place("cliff", 53.3, -9.9, 95.0)
PLACES = [
    (Place("a", 0.0, 6.6), date(2024, 3, 20)),
    (Place("b", 14.7, -17.5), date(2023, 10, 1)),
    (Place("c", -22.9, -43.2), date(2025, 12, 21)),
    (Place("d", 35.7, 139.7), date(2022, 6, 21)),
    (Place("e", -33.9, 18.4), date(2021, 9, 9)),
    (Place("f", 48.4, -4.5), date(2024, 2, 29)),
    (Place("g", 53.3, -9.9), date(2025, 3, 30)),
    (Place("h", -54.8, -68.3), date(2024, 1, 15)),
    (Place("i", 64.1, -21.9), date(2025, 6, 5)),
    (Place("j", 69.7, 18.9), date(2025, 10, 12)),
]


@pytest.mark.parametrize(("place", "day"), PLACES)
@pytest.mark.parametrize(("event", "column"), [(sunset, "sunset"), (sunrise, "sunrise")])
def test_almanac_instants_agree_with_pvlib(place, day, event, column):
    """SPA (Reda & Andreas 2004), asked for the UTC date of our instant: centre at -0.8333 deg.

    10 s: it takes UTC for UT1, leaves out parallax and interpolates over three days. Whole days
    are left out: it gives the clock time for the UTC date asked, dated by the noon before or after.
    """
    ours = event(place, day).almanac
    utc_date = pd.DatetimeIndex([pd.Timestamp(ours.date(), tz="UTC")])
    theirs = pvlib.solarposition.sun_rise_set_transit_spa(
        utc_date, place.latitude_deg, place.longitude_deg, delta_t=None
    )[column].iloc[0]
    difference_s = ((ours - theirs).total_seconds() + 43_200) % 86_400 - 43_200
    assert abs(difference_s) < 10


@pytest.mark.parametrize(("place", "day"), PLACES)
def test_almanac_sun_stands_at_minus_50_arcmin_for_pvlib(place, day):
    """SPA's topocentric altitude at our instant; 12 arcsec is its neglect of UT1 - UTC."""
    when = pd.DatetimeIndex([sunset(place, day).almanac])
    theirs = pvlib.solarposition.spa_python(
        when, place.latitude_deg, place.longitude_deg, delta_t=None
    )
    assert_allclose(theirs["elevation"], -50 / 60, rtol=0, atol=14 / 3600)


@pytest.mark.parametrize(("place", "day"), PLACES)
def test_contacts_follow_their_definition(place, day):
    """Centre at H + s, H, H - s, with H traced and s the semidiameter at that instant."""
    horizon = horizon_true_altitude_deg(Atmosphere.standard(), place.eye_height_m)
    down, up = sunset(place, day), sunrise(place, day)
    assert down.horizon_true_altitude_deg == horizon
    for when, limb in (
        (down.first_contact, 1),
        (down.centre, 0),
        (down.last_sliver, -1),
        (up.first_sliver, -1),
        (up.centre, 0),
        (up.last_contact, 1),
    ):
        seen = sun(place, when)
        expected = horizon + limb * seen.angular_diameter_arcmin / 120
        assert_allclose(seen.true_altitude_deg, expected, rtol=0, atol=ROOT_DEG)
    assert down.first_contact < down.centre < down.last_sliver
    assert up.first_sliver < up.centre < up.last_contact
    assert down.reason is None
    assert up.reason is None
    assert down.centre.astimezone(place.timezone).date() == day
    assert_allclose(down.centre_azimuth_deg, sun(place, down.centre).azimuth_deg, atol=1e-5)
    assert_allclose(up.last_contact_azimuth_deg, sun(place, up.last_contact).azimuth_deg, atol=1e-5)


def test_the_horizon_is_asked_of_the_rays(monkeypatch):
    monkeypatch.setattr(contacts, "_horizon", lambda atmosphere, eye_height_m: -2.5)
    assert_allclose(
        sun(CLIFF, sunset(CLIFF, date(2025, 3, 1)).centre).true_altitude_deg, -2.5, atol=ROOT_DEG
    )


def test_a_higher_eye_and_colder_air_keep_the_sun_longer():
    day = date(2025, 3, 1)
    low, high = (Place("x", 53.3, -9.9, height) for height in (2, 300))
    assert sunset(low, day).last_sliver < sunset(high, day).last_sliver
    assert sunset(low, day).almanac - sunset(high, day).almanac < timedelta(seconds=0.01)
    cold = Atmosphere.standard(temperature_k=250.0)
    assert sunset(low, day).last_sliver < sunset(low, day, cold).last_sliver
    assert sunrise(low, day, cold).first_sliver < sunrise(low, day).first_sliver


def test_the_equators_equinox_disc_takes_two_minutes():
    """32' at 15.0 arcsec/s: 128 s."""
    event = sunset(Place("x", 0, 0), date(2025, 3, 20))
    assert_allclose((event.last_sliver - event.first_contact).total_seconds(), 128, rtol=0.01)


@pytest.mark.parametrize(
    ("day", "published"),
    [
        (date(2024, 3, 22), datetime(2024, 3, 22, 6, 15, tzinfo=UTC)),
        (date(2025, 3, 22), datetime(2025, 3, 22, 11, 0, tzinfo=UTC)),
    ],
)
def test_south_pole_sunsets(day, published):
    """Published for the station near the pole, centre at -50', to an hour."""
    event = sunset(Place("south", -90, 0), day)
    assert abs(event.almanac - published) < timedelta(hours=1)
    assert np.isnan(event.almanac_azimuth_deg)


def test_at_a_pole_the_disc_takes_a_day_and_a_third():
    """32.1' at 0.988'/h: 32.5 h, to 2 %."""
    event = sunset(Place("south", -90, 0), date(2024, 3, 21))
    assert_allclose((event.last_sliver - event.first_contact) / timedelta(hours=1), 32.5, rtol=0.02)
    assert event.reason is None


def test_polar_day_polar_night_and_words():
    place = Place("arctic", 69.7, 18.9)
    day, night = date(2025, 6, 21), date(2025, 12, 21)
    for event in (sunset, sunrise):
        assert event(place, day).centre is None
        assert event(place, day).almanac is None
        assert event(place, day).reason.startswith("Polar day: the whole disc stays above")
        assert event(place, night).reason.startswith("Polar night: the whole disc stays below")
    # Both nights that touch the date: it is lower in the second, 20 hours after the solstice.
    times = [datetime(2025, 6, d, 22, n, tzinfo=UTC) for d in (20, 21) for n in range(60)]
    midnight = sun(place, times)
    lowest_at = times[midnight.true_altitude_deg.argmin()]
    assert lowest_at.day == 21
    lowest, horizon = midnight.true_altitude_deg.min(), visible_horizon_deg(place)
    told = f"its centre is at a true altitude of {lowest:.2f}°, the horizon at {horizon:.2f}°"
    assert told in sunset(place, day).reason
    clocks = [f"({lowest_at + timedelta(minutes=n):%Y-%m-%d %H:%M}:" for n in (-1, 0)]
    assert any(clock in sunset(place, day).reason for clock in clocks)


def passages(place, first, count, event):
    return [event(place, first + timedelta(days=n)) for n in range(count)]


def test_between_the_last_sunset_and_polar_day_the_disc_only_dips():
    """Day by day at 69.7 degrees: whole sunsets, dips beyond the centre, dips short of it, none."""
    events = passages(Place("arctic", 69.7, 18.9), date(2025, 5, 5), 25, sunset)
    kinds = [
        (one.first_contact is not None, one.centre is not None, one.last_sliver is not None)
        for one in events
    ]
    whole, beyond, short, none = (
        (True,) * 3,
        (True, True, False),
        (True, False, False),
        (False,) * 3,
    )
    seen = [kind for n, kind in enumerate(kinds) if n == 0 or kinds[n - 1] != kind]
    assert seen[0] == whole
    assert seen[-1] == none
    assert {beyond, short} & set(seen)
    for event, kind in zip(events, kinds, strict=True):
        assert (event.reason is None) == (kind == whole and event.almanac is not None)
        if kind == short:
            assert "dips only a part of its disc" in event.reason
        if kind == beyond:
            assert "no last sliver" in event.reason


def test_the_first_sun_after_polar_night_shows_a_part():
    events = passages(Place("arctic", 69.7, 18.9), date(2025, 1, 8), 14, sunrise)
    reasons = [event.reason or "" for event in events]
    assert reasons[0].startswith("Polar night")
    assert any(
        "shows only a part of its disc" in one or "no last contact" in one for one in reasons
    )
    assert reasons[-1] == ""


def test_a_date_without_sunset_and_a_date_with_two():
    """Sunsets wander over midnight: near the Arctic Circle the date has none, or two."""
    place = Place("north", 66.0, 15.0)
    none, two = sunset(place, date(2024, 6, 6)), sunset(place, date(2024, 7, 7))
    assert none.centre is None
    assert "no sunset falls on that date. The sunset before is at 2024-06-05 23:58" in none.reason
    assert "The next sunset is at 2024-06-07 00:03" in none.reason
    assert two.note.startswith("2 sunsets fall on 2024-07-07, 2024-07-07 00:00")
    assert two.note.endswith("the later is given.")
    assert two.centre.astimezone(place.timezone).hour == 23
    two_rises = [one for one in passages(place, date(2024, 5, 20), 60, sunrise) if one.note]
    for event in two_rises:
        assert event.centre.astimezone(place.timezone).hour < 12


def test_a_date_the_clocks_skipped_has_none():
    event = sunset(Place("apia", -13.8, -171.8), date(2011, 12, 30))
    assert event.reason == "2011-12-30 does not exist at apia: the clocks there skipped it."
    assert event.centre is event.first_contact is event.last_sliver is event.almanac is None


@pytest.mark.parametrize("day", [date(2025, 3, 30), date(2025, 10, 26)])
def test_dates_of_23_and_25_hours_keep_their_sunset(day):
    around = passages(CLIFF, day - timedelta(days=1), 3, sunset)
    steps = np.diff([one.centre.timestamp() for one in around])
    assert_allclose(steps, 86_400, rtol=0, atol=200)
    assert all(one.centre.astimezone(CLIFF.timezone).date() == one.date for one in around)


def test_every_passage_of_a_polar_spring_belongs_to_one_date():
    """At 89 degrees the centre's crossings, listed once, are the dates' sunsets, each once."""
    camp = Place("ice camp", 89.0, 10.0)
    events = passages(camp, date(2025, 3, 14), 10, sunset)
    found = [one.centre for one in events if one.centre is not None]
    begins, ends = (datetime(2025, 3, n, 23, tzinfo=UTC) for n in (13, 23))
    listed = crossings(camp, begins, ends, events[0].horizon_true_altitude_deg, rising=False)
    assert len(listed) == len(found) > 0
    for one, other in zip(found, listed, strict=True):
        assert abs(one - other.when) < timedelta(milliseconds=1)


def test_the_almanac_belongs_to_the_passage_given():
    """From an aircraft's height the traced sunset comes minutes after the almanac's."""
    event = sunset(Place("high", 50, 0, 10_000), date(2025, 3, 1))
    delay = event.centre - event.almanac
    assert timedelta(minutes=5) < delay < timedelta(minutes=40)


@pytest.mark.parametrize(
    ("arguments", "error", "message"),
    [
        ((CLIFF, datetime(2025, 3, 1, tzinfo=UTC)), InputError, r"give a datetime\.date"),
        ((CLIFF, date(2025, 3, 1), "warm"), InputError, "atmosphere is 'warm'; give an Atmosphere"),
        (("cliff", date(2025, 3, 1)), InputError, "place is 'cliff'; give a Place"),
        ((CLIFF, date(2053, 12, 25)), OutOfRangeError, "DE421 covers"),
        ((CLIFF, date(1899, 7, 31)), OutOfRangeError, "Choose dates further inside"),
    ],
)
@pytest.mark.parametrize("event", [sunset, sunrise])
def test_bad_questions_are_refused(event, arguments, error, message):
    with pytest.raises(error, match=message):
        event(*arguments)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(-90, 90),
    st.floats(-180, 180),
    st.floats(0, 20_000),
    st.dates(date(1900, 1, 1), date(2053, 9, 1)),
)
def test_anywhere_any_day_answers_in_order_or_says_why(latitude, longitude, height, day):
    event = sunset(Place("x", latitude, longitude, height), day)
    given_times = [event.first_contact, event.centre, event.last_sliver]
    known = [when for when in given_times if when is not None]
    if event.centre is not None:
        assert known == sorted(known)
    complete = len(known) == 3 and event.almanac is not None
    assert complete == (event.reason is None)


def test_awkward_dates_raise_only_typed_errors():
    tally = Tally(LowsunError)

    @settings(max_examples=60, deadline=None)
    @given(
        mostly(
            st.dates(date(1900, 1, 1), date(2053, 9, 1)),
            st.one_of(ANYTHING, st.dates(), st.datetimes()),
            share=2,
        )
    )
    def every(day):
        with tally.example():
            event = sunrise(CLIFF, day)
            assert event.first_sliver < event.centre < event.last_contact

    every()
    tally.require(accepted=8, refused=8)


@pytest.mark.parametrize("first", [date(2024, 5, 10), date(2024, 7, 18)])
def test_a_dip_beyond_the_centre_is_not_joined_to_another_days_contact(first):
    """In July the next night's upper limb does set: it must not be lent to this night."""
    place = Place("arctic", 69.6, 19.0)
    dips = [
        one
        for one in passages(place, first, 20, sunset)
        if one.centre is not None and one.last_sliver is None
    ]
    assert dips
    for event in dips:
        times = [event.centre + timedelta(minutes=n) for n in range(240)]
        seen = sun(place, times)
        upper = seen.true_altitude_deg + seen.angular_diameter_arcmin / 120
        rises = np.nonzero(seen.true_altitude_deg > event.horizon_true_altitude_deg)[0]
        back = rises[rises > 0][0]
        assert (upper[: back + 1] > event.horizon_true_altitude_deg).all()
        assert "no last sliver" in event.reason
        assert event.first_contact < event.centre


def test_a_rise_from_beyond_the_centre_borrows_no_first_sliver():
    """In May the night before had one: it must not be lent to this morning."""
    rises = [
        one
        for one in passages(Place("arctic", 69.6, 19.0), date(2024, 5, 10), 12, sunrise)
        if one.centre is not None and one.first_sliver is None
    ]
    assert rises
    for event in rises:
        assert "no first sliver" in event.reason
        assert event.centre < event.last_contact


def test_readme_says_what_real_air_does_to_the_last_sliver():
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    sooner, later = re.search(
        r"comes (\d+) s sooner to (\d+) s later", " ".join(readme.split())
    ).groups()
    off = re.search(r"puts it off by (\d+) s", readme)[1]
    place, day = Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 3, 20)

    def seconds(atmosphere):
        last = sunset(place, day, atmosphere).last_sliver
        return (last - sunset(place, day).last_sliver).total_seconds()

    folder = files("lowsun.data") / "soundings"
    ascents = [
        each.atmosphere()
        for path in sorted(folder.iterdir(), key=lambda path: path.name)
        if path.name.endswith((".csv", ".txt"))
        for each in soundings.read(path)
    ]
    shifts = [seconds(each) for each in ascents]
    assert len(shifts) == 5
    assert -min(shifts) == pytest.approx(int(sooner), abs=0.6)
    assert max(shifts) == pytest.approx(int(later), abs=0.6)
    inversion = Atmosphere.standard().with_inversion(40.0, 40.0, 2.5)
    assert seconds(inversion) == pytest.approx(int(off), abs=0.6)
