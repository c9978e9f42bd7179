"""A place: what it refuses, and the time zone that follows from coordinates."""

from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lowsun.errors import InputError, LowsunError, OutOfRangeError
from lowsun.sky import Place, sun, sunset
from tally import Tally, mostly


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "zone"),
    [
        (51.5, -3.0, "Europe/London"),
        (-34.9, -56.2, "America/Montevideo"),
        (27.7, 85.3, "Asia/Kathmandu"),
        (-43.9, -176.5, "Pacific/Chatham"),
        (45.0, -30.0, "Etc/GMT+2"),  # open sea: the nautical zone, two hours west
        (0.0, 180.0, "Etc/GMT-12"),
        (0.0, -180.0, "Etc/GMT+12"),
        (90.0, 0.0, "UTC"),  # all meridians meet: none decides
        (-90.0, 45.0, "UTC"),
    ],
)
def test_timezone_follows_from_coordinates(latitude_deg, longitude_deg, zone):
    assert Place("here", latitude_deg, longitude_deg).timezone == ZoneInfo(zone)


def test_every_part_of_the_globe_has_a_timezone():
    for latitude in np.linspace(-90, 90, 25):
        for longitude in np.linspace(-180, 180, 49):
            assert isinstance(Place("x", latitude, longitude).timezone, ZoneInfo)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("x", 91, 0), r"latitude_deg is 91 deg; allowed is -90 to 90 deg\. Give degrees, north"),
        (("x", 0, 200), r"longitude_deg is 200 deg; .* take 360 away: 200 is -160\."),
        (("x", float("nan"), 0), r"latitude_deg is nan deg"),
        (("x", "north", 0), r"latitude_deg is 'north', which is not a number"),
        (("x", 0, 0, -1), r"eye_height_m is -1 m; allowed is 0 to 20000 m\. Give metres above"),
        (("x", 0, 0, 20_001), r"eye_height_m is 20001 m"),
    ],
)
def test_numbers_outside_are_refused_with_the_remedy(arguments, message):
    with pytest.raises(OutOfRangeError, match=message):
        Place(*arguments)


def test_a_place_has_one_latitude():
    with pytest.raises(OutOfRangeError, match="latitude_deg holds 2 numbers; give one"):
        Place("x", [1, 2], 0)


@pytest.mark.parametrize("name", [5, "x" * 101, "a\0b", "two\nlines", "\udcff"])
def test_a_name_is_a_line_of_text(name):
    with pytest.raises(InputError, match=r"name is .*; give the place's name as text, one line of"):
        Place(name, 0, 0)
    assert Place("The old quay, à beira-mar", 0, 0).name.endswith("mar")


def test_a_place_keeps_plain_numbers_and_cannot_be_changed():
    place = Place("x", np.float32(10), 20)
    assert (type(place.latitude_deg), place.longitude_deg) == (float, 20.0)
    with pytest.raises(AttributeError, match="cannot assign"):
        place.latitude_deg = 3.0


@pytest.mark.parametrize("ask", [lambda place: sun(place, None), lambda place: sunset(place, None)])
def test_what_is_not_a_place_is_refused(ask):
    with pytest.raises(LowsunError, match=r"is None; give|place is 'here'; give a Place"):
        ask("here")


def test_bad_places_raise_only_typed_errors():
    tally = Tally(LowsunError)

    @given(
        mostly(st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=5)),
        mostly(st.floats(-90, 90)),
        mostly(st.floats(-180, 180)),
        mostly(st.floats(0, 20_000)),
    )
    def every(name, latitude_deg, longitude_deg, eye_height_m):
        with tally.example():
            place = Place(name, latitude_deg, longitude_deg, eye_height_m)
            assert (place.latitude_deg, place.longitude_deg) == (latitude_deg, longitude_deg)
            assert abs(place.latitude_deg) <= 90
            assert abs(place.longitude_deg) <= 180
            assert 0 <= place.eye_height_m <= 20_000

    every()
    tally.require(accepted=8, refused=8)
