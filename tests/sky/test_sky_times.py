"""Clock time in and out: leap seconds, the time before them, local dates, naive datetimes."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import erfa
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lowsun.errors import InputError, LowsunError, OutOfRangeError
from lowsun.sky import Place, clock_text, clock_times, local_day, sun
from lowsun.sky.times import terrestrial_s

MICROSECOND_S = 1e-6
HERE = Place("here", 50.0, -10.0)
inside_ephemeris = st.datetimes(
    min_value=datetime(1900, 1, 1), max_value=datetime(2053, 9, 1), timezones=st.just(UTC)
)


@given(inside_ephemeris)
def test_there_and_back_keeps_the_microsecond(when):
    assert abs(clock_times(terrestrial_s(when)) - when) <= timedelta(microseconds=2)


@pytest.mark.parametrize("year", [1972, 1980, 1999, 2016, 2024])
def test_terrestrial_time_agrees_with_erfa(year):
    """pyerfa (SOFA): UTC to TAI to TT."""
    when = datetime(year, 8, 5, 17, 3, 11, tzinfo=UTC)
    tt = erfa.taitt(*erfa.utctai(*erfa.dtf2d("UTC", year, 8, 5, 17, 3, 11)))
    expected_s = ((tt[0] - 2451545.0) + tt[1]) * 86400
    np.testing.assert_allclose(terrestrial_s(when), expected_s, rtol=0, atol=1e-4)  # JD rounding


def test_a_leap_second_lies_before_new_year_2017():
    before = datetime(2016, 12, 31, 23, 59, 59, tzinfo=UTC)
    gap_s = terrestrial_s(before + timedelta(seconds=1)) - terrestrial_s(before)
    np.testing.assert_allclose(gap_s, 2.0, rtol=0, atol=MICROSECOND_S)


def test_before_1972_clocks_keep_mean_solar_time():
    """TT - UT1 was 28.9 s in 1950.0 (IERS and almanac tables of delta T: 29.15; from memory)."""
    when = datetime(1950, 1, 1, 12, tzinfo=UTC)
    even_s = (when - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds()
    np.testing.assert_allclose(terrestrial_s(when) - even_s, 29.0, rtol=0, atol=0.3)


def test_the_step_to_leap_seconds_in_1972_is_small():
    new_year = datetime(1972, 1, 1, tzinfo=UTC)
    gap_s = terrestrial_s(new_year) - terrestrial_s(new_year - timedelta(seconds=1))
    np.testing.assert_allclose(gap_s, 1.0, rtol=0, atol=0.1)


def test_any_time_zone_names_the_same_instant():
    when = datetime(2025, 3, 1, 12, tzinfo=UTC)
    elsewhere = when.astimezone(timezone(timedelta(hours=5, minutes=45)))
    assert terrestrial_s(elsewhere) == terrestrial_s(when)


def test_shapes_are_kept():
    grid = [[datetime(2025, 3, day, hour, tzinfo=UTC) for hour in (3, 9)] for day in (1, 2, 3)]
    assert terrestrial_s(grid).shape == (3, 2)
    assert sun(HERE, grid).true_altitude_deg.shape == (3, 2)
    assert sun(HERE, []).true_altitude_deg.shape == (0,)
    assert np.ndim(sun(HERE, grid[0][0]).azimuth_deg) == 0


@pytest.mark.parametrize(
    ("when", "message"),
    [
        (datetime(2025, 3, 1, 18), "naive datetime: it does not say in which time zone"),
        (np.datetime64("2025-03-01"), "give an aware datetime, for instance"),
        (1_700_000_000, "when is 1700000000; give an aware datetime"),
        ([datetime(2025, 3, 1, tzinfo=UTC), "noon"], "when is 'noon'; give an aware datetime"),
        (None, "when is None; give an aware datetime"),
    ],
)
def test_what_is_no_aware_datetime_is_refused(when, message):
    with pytest.raises(InputError, match=message):
        sun(HERE, when)


@pytest.mark.parametrize("year", [1850, 1899, 2053, 2200])
def test_years_outside_the_ephemeris_are_refused(year):
    when = datetime(year, 1 if year < 2000 else 12, 20, tzinfo=UTC)
    with pytest.raises(OutOfRangeError, match=r"DE421 covers 1899-\d\d-\d\d to 2053-\d\d-\d\d"):
        sun(HERE, when)


def test_the_whole_of_1900_to_2052_is_covered():
    edges = [datetime(1900, 1, 1, tzinfo=UTC), datetime(2052, 12, 31, tzinfo=UTC)]
    assert np.isfinite(sun(HERE, edges).true_altitude_deg).all()


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        ("Europe/Lisbon", date(2025, 3, 30), 23),
        ("Europe/Lisbon", date(2025, 10, 26), 25),
        ("Australia/Lord_Howe", date(2025, 4, 6), 24.5),
        ("Asia/Beirut", date(2022, 3, 27), 23),  # the hour from midnight on is skipped
        ("America/Havana", date(2024, 11, 3), 25),
        ("Pacific/Apia", date(2011, 12, 30), 0),  # the date line was moved
        ("UTC", date(2016, 12, 31), 24),
    ],
)
def test_local_dates_have_the_hours_their_clocks_show(zone, day, hours):
    begins, ends = local_day(day, ZoneInfo(zone))
    assert ends - begins == timedelta(hours=hours)
    assert begins.tzinfo is UTC


@pytest.mark.parametrize("day", [datetime(2025, 3, 1, tzinfo=UTC), "2025-03-01", None, 20250301])
def test_a_date_is_a_date(day):
    with pytest.raises(InputError, match=r"give a datetime\.date, for instance date\(2025, 3, 1\)"):
        local_day(day, UTC)


@pytest.mark.parametrize("day", [date.min, date(1898, 5, 5), date(2054, 1, 1), date.max])
def test_dates_outside_the_ephemeris_are_refused(day):
    with pytest.raises(OutOfRangeError, match="the ephemeris DE421 covers 1899 to 2053"):
        local_day(day, UTC)


@pytest.mark.parametrize(
    ("place", "text"),
    [
        (Place("x", 51.5, -3.0), "2025-07-01 00:30:00 BST (2025-06-30 23:30:00 UTC)"),
        (Place("x", -34.9, -56.2), "2025-06-30 20:30:00 UTC-03:00 (23:30:00 UTC)"),
        (Place("x", 27.7, 85.3), "2025-07-01 05:15:00 UTC+05:45 (2025-06-30 23:30:00 UTC)"),
        (Place("x", 90, 0), "2025-06-30 23:30:00 UTC"),
    ],
)
def test_times_are_shown_local_first(place, text):
    when = datetime(2025, 6, 30, 23, 29, 59, 600_000, tzinfo=UTC)  # rounded, not cut
    assert clock_text(place, when) == text


def test_one_text_is_for_one_instant():
    with pytest.raises(InputError, match="when is an array; give one aware datetime at a time"):
        clock_text(HERE, [datetime(2025, 6, 30, tzinfo=UTC)])


awkward = st.one_of(
    st.none(), st.floats(), st.text(), st.dates(), st.datetimes(), st.lists(st.datetimes()),
    st.datetimes(timezones=st.timezones()), st.binary(),
)  # fmt: skip


@given(awkward)
def test_awkward_times_raise_only_typed_errors(when):
    try:
        seen = sun(HERE, when)
    except LowsunError:
        return
    assert np.isfinite(seen.true_altitude_deg).all()
