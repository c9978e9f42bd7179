"""Words for people: what is said is read back to the number it was made from."""

import re
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lowsun import words
from lowsun.errors import LowsunError, OutOfRangeError
from lowsun.words.plain import opened

INSTANTS = st.datetimes(datetime(1972, 1, 1), datetime(2052, 12, 30)).map(
    lambda when: when.replace(tzinfo=UTC)
)
# Letters and bare figures, whole hours and odd minutes, clocks that change and clocks that do not.
ZONES = st.sampled_from(
    [ZoneInfo(name) for name in ("Europe/Lisbon", "America/St_Johns", "Asia/Kathmandu", "UTC",
                                 "Etc/GMT+2", "Australia/Lord_Howe", "America/Montevideo")]
)  # fmt: skip
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
HALF_SECOND, HALF_MINUTE = timedelta(seconds=0.5), timedelta(seconds=30)


def read_zone(name, zone):
    """The offset that a zone's text names; letters are looked up, figures are read."""
    figures = re.fullmatch(r"UTC([+-])(\d\d):(\d\d)", name)
    if figures:
        sign, hours, minutes = figures.groups()
        return timezone(int(f"{sign}1") * timedelta(hours=int(hours), minutes=int(minutes)))
    return zone


@given(INSTANTS, ZONES)
@example(datetime(2027, 10, 31, 0, 59, 59, 700_000, tzinfo=UTC), ZoneInfo("Europe/Lisbon"))
@example(datetime(2027, 12, 31, 23, 59, 59, 500_000, tzinfo=UTC), ZoneInfo("Asia/Kathmandu"))
def test_an_instant_is_read_back_to_half_a_second(when, zone):
    told = words.instant(when, zone)
    shown = re.fullmatch(r"(\d{4}-\d\d-\d\d \d\d:\d\d:\d\d) (\S+)(?: \((.*) UTC\))?", told)
    local, name, universal = shown.groups()
    if universal:
        full = universal if len(universal) > 8 else f"{local[:10]} {universal}"
        read = datetime.fromisoformat(f"{full}+00:00")
        assert name == words.zone_name(when, zone)
        by_local = datetime.fromisoformat(local).replace(tzinfo=read_zone(name, zone))
        folds = {by_local.replace(fold=fold).astimezone(UTC) for fold in (0, 1)}
        assert read in folds
    else:
        assert name == "UTC"
        read = datetime.fromisoformat(f"{local}+00:00")
    assert -HALF_SECOND < read - when <= HALF_SECOND


@given(INSTANTS, ZONES, st.booleans())
def test_a_clock_shows_the_nearest_second_or_minute(when, zone, seconds):
    beside = when.astimezone(zone).date()
    clock, _, off = words.clock(when, zone, seconds=seconds, beside=beside).partition(" ")
    day = beside + timedelta(days=int(off.rstrip("d") or 0))
    read = datetime.fromisoformat(f"{day} {clock}").replace(tzinfo=zone)
    near = HALF_SECOND if seconds else HALF_MINUTE
    assert any(
        -near < read.replace(fold=fold).astimezone(UTC) - when <= near for fold in (0, 1)
    )  # fmt: skip
    assert len(clock) == (8 if seconds else 5)


@given(INSTANTS, ZONES)
def test_a_clock_with_its_date_is_on_the_date_it_shows(when, zone):
    number, month, clock = words.day_and_clock(when, zone).split()
    shown = words.local(when, zone)
    assert (int(number), MONTHS.index(month) + 1) == (shown.day, shown.month)
    assert clock == words.clock(when, zone)


def test_a_clock_before_midnight_that_rounds_to_it_shows_the_next_date():
    late = datetime(2027, 6, 21, 23, 59, 45, tzinfo=UTC)
    assert words.local(late, seconds=False) == datetime(2027, 6, 22, tzinfo=UTC)
    assert words.clock(late, seconds=False, beside=date(2027, 6, 21)) == "00:00 +1d"
    assert words.clock(late, beside=date(2027, 6, 21)) == "23:59:45"


def test_zones_have_one_text():
    summer, winter = (datetime(2027, month, 1, tzinfo=UTC) for month in (7, 1))
    lisbon, island = ZoneInfo("Europe/Lisbon"), ZoneInfo("Etc/GMT+2")
    assert words.zone_name(summer, lisbon) == "WEST"
    assert words.zone_in_full(summer, lisbon) == "WEST = UTC+01:00"
    assert words.zone_in_full(winter, lisbon) == "WET = UTC+00:00"
    assert words.zone_name(summer, island) == "UTC-02:00"
    assert words.zone_in_full(summer, island) == "UTC-02:00"
    assert words.zone_in_full(summer, UTC) == "UTC+00:00"


@given(st.floats(-720, 720), st.integers(0, 3))
@example(359.96, 1)
@example(-0.0, 0)
def test_a_bearing_is_read_back_to_its_last_digit(bearing_deg, digits):
    told = words.bearing(bearing_deg, digits)
    degrees, point = told.split("° ")
    assert 0 <= float(degrees) < 360
    assert len(degrees.partition(".")[2]) == digits
    assert words.bearing(bearing_deg, digits, point=False) == f"{degrees}°"
    off = (float(degrees) - bearing_deg + 180) % 360 - 180
    assert abs(off) <= 0.5 * 10**-digits + 1e-9
    # The sixteen points by their letters: the first counts as much as all that follow.
    assert point == words.compass_point(bearing_deg)
    assert abs((point_deg(point) - bearing_deg + 180) % 360 - 180) <= 11.25 + 1e-9


def point_deg(point):
    """The bearing of a compass point from its letters: NNE lies half-way from N to NE."""
    main = {"N": 0, "E": 90, "S": 180, "W": 270, "NE": 45, "SE": 135, "SW": 225, "NW": 315}
    if point in main:
        return main[point]
    first, second = main[point[0]], main[point[1:]]
    return (first + ((second - first + 180) % 360 - 180) / 2) % 360


def test_at_a_pole_there_is_no_bearing():
    assert words.bearing(float("nan"), 1) == ""


@given(st.integers(-1600, 1600).map(lambda n: n * 0.5))
def test_a_tick_names_its_point_where_it_lies_on_one(bearing_deg):
    degrees, _, point = words.bearing_tick(bearing_deg).partition("° ")
    assert float(degrees.rstrip("°")) == bearing_deg % 360
    assert bool(point) == (bearing_deg % 22.5 == 0)
    assert not point or point_deg(point) == bearing_deg % 360


@given(st.floats(0, 80 * 86_400), st.integers(0, 2))
@example(9.95, 1)
@example(59.96, 1)
@example(599.5, 1)
@example(5970.0, 1)
@example(172_770.0, 1)
@example(-0.0, 0)
def test_a_length_of_time_is_read_back_to_its_last_figure(seconds, digits):
    told = words.duration(seconds, digits=digits)
    read, last = read_duration(told)
    grain = 10**-digits if read < 10 else 1 if read < 600 else 60 if read < 172_800 else 3600
    assert abs(read - seconds) <= 0.5 * grain + 1e-9
    assert last >= grain or read < 10
    assert len(told.split()) in (2, 4)
    assert not told.startswith("-")


UNITS = {"s": 1, "min": 60, "h": 3600, "d": 86_400, "days": 86_400}


def read_duration(told):
    """Seconds of a text of numbers and units, and those of its last unit."""
    parts = told.split()
    pairs = list(zip(parts[::2], parts[1::2], strict=True))
    sizes = [UNITS[unit] for _, unit in pairs]
    assert sizes == sorted(sizes, reverse=True)
    for (number, unit), larger in zip(pairs[1:], sizes, strict=False):
        assert float(number) * UNITS[unit] < larger  # never 60 s beside minutes
    return sum(float(number) * UNITS[unit] for number, unit in pairs), sizes[-1]


@given(st.floats(-10, 86_400 * 400))
def test_a_countdown_never_says_less_than_is_left_nor_a_unit_more(seconds):
    told = words.countdown(seconds)
    read, last = read_duration(told)
    left = max(0.0, seconds)
    # Seconds are rounded up; the part of a minute or a day that is not told is left out.
    assert left - last < read <= left + 1
    assert read >= left or last > 1


def test_a_countdown_ends_at_nought():
    assert [words.countdown(left) for left in (61, 59.2, 0.1, 0, -5)] == [
        "1 min 01 s", "1 min 00 s", "1 s", "0 s", "0 s",
    ]  # fmt: skip


@given(st.dates(date(1900, 1, 1), date(2052, 12, 31)), st.integers(0, 800))
@example(date(2027, 12, 31), 1)
@example(date(2027, 9, 24), 0)
def test_dates_from_to_are_read_back(first, count):
    last = first + timedelta(days=count)
    told = words.days(first, last)
    begins, _, ends = told.replace("\u2013", " to ").rpartition(" to ")
    assert read_day(ends, "") == last
    assert read_day(begins or ends, ends) == first


def read_day(told, fuller):
    """The date of a text that leaves to a fuller one what it shares with it."""
    parts = told.split()
    day, month, year = [*parts, *fuller.split()[len(parts) :]]
    return date(int(year), MONTHS.index(month) + 1, int(day))


@given(st.dates(date(1900, 1, 1), date(2052, 12, 31)))
def test_weekdays_are_those_of_the_calendar(day):
    assert words.weekday(day)[:3] == words.weekday(day, short=True)
    number = (day - date(1970, 1, 5)).days % 7  # a Monday: the epoch was a Thursday
    order = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]
    assert words.weekday(day) == order[number]


@given(st.floats(-90, 90).map(lambda value: round(value, 4)))
@example(90)
@example(-90)
@example(0)
@example(-78.6)
def test_a_latitude_is_read_back(latitude_deg):
    told = words.latitude(latitude_deg)
    named = {"the equator": 0, "the North Pole": 90, "the South Pole": -90}
    if told in named:
        assert named[told] == latitude_deg
        return
    assert latitude_deg not in named.values()
    degrees, side = told.split("° ")
    assert {"N": 1, "S": -1}[side] * float(degrees) == latitude_deg


def test_there_is_no_latitude_beyond_a_pole():
    with pytest.raises(OutOfRangeError, match="latitude_deg is 91"):
        words.latitude(91)


@given(st.integers(-10_000, 10_000).map(lambda n: n * 0.25))
def test_a_longitude_is_read_back(longitude_deg):
    degrees, _, side = words.longitude(longitude_deg).partition("° ")
    east = {"E": 1, "W": -1, "": 1}[side] * float(degrees.rstrip("°"))
    assert (east - longitude_deg) % 360 == 0
    assert bool(side) == (longitude_deg % 180 != 0)


def test_coordinates_name_their_sides():
    assert words.coordinates(51.5, -10.4) == "51.5000° N, 10.4000° W"
    assert words.coordinates(-34.15, 18.3) == "34.1500° S, 18.3000° E"


@given(st.integers(0, 10**12) | st.integers(0, 4000).map(lambda n: n / 4))
def test_counts_have_the_number_they_count(number):
    figures, noun = words.says("{number} piece", "{number} pieces", number).split()
    assert float(figures) == number
    assert noun == ("piece" if number == 1 else "pieces")


def test_a_sentence_opens_with_a_capital_and_keeps_the_rest():
    assert opened("the North Pole") == "The North Pole"
    assert opened("") == ""


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: words.clock(datetime(2027, 6, 21, 12)), "a naive datetime"),
        (lambda: words.instant(date(2027, 6, 21)), "give an aware datetime"),
        (lambda: words.instant(datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)), "years 2 to 9998"),
        (lambda: words.zone_name(datetime(2027, 6, 21, tzinfo=UTC), "UTC"), "give a time zone"),
        (lambda: words.clock(datetime(2027, 6, 21, tzinfo=UTC), seconds="no"), "True or False"),
        (lambda: words.clock(datetime(2027, 6, 21, tzinfo=UTC), beside=0), "give a datetime.date"),
        (lambda: words.day(datetime(2027, 6, 21, tzinfo=UTC)), "give a datetime.date"),
        (lambda: words.weekday("Monday"), "give a datetime.date"),
        (lambda: words.days(date(2027, 6, 21), None), "last is None; give a datetime.date"),
        (lambda: words.duration(-5.0), "seconds is -5 s; allowed is 0 to"),
        (lambda: words.duration(5.0, digits=2.5), "digits is 2.5; give a whole number"),
        (lambda: words.countdown(float("nan")), "seconds is nan"),
        (lambda: words.bearing("north"), "bearing_deg is 'north', which is not a number"),
        (lambda: words.compass_point(float("nan")), "bearing_deg is nan"),
        (lambda: words.coordinates(91.0, 0.0), "latitude_deg is 91"),
        (lambda: words.longitude(float("inf")), "longitude_deg is inf"),
    ],
)
def test_what_is_no_clock_date_length_or_bearing_is_named(call, said):
    with pytest.raises(LowsunError, match=said):
        call()
