"""Several evenings: bearings, gaps and the Moon, against single sunsets and handbook light."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import LowsunError, OutOfRangeError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork import skyline
from lowsun.fieldwork.plan.gaps import _moonlight_lx
from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere

LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
YEAR = date(2027, 1, 1), date(2027, 12, 31)


@pytest.fixture(scope="module")
def year():
    return planning.evenings(LIGHTHOUSE, *YEAR, 268, 273)


@pytest.mark.parametrize("day", [date(2027, 1, 1), date(2027, 3, 28), date(2027, 10, 31)])
def test_each_is_the_sunset_of_its_date(year, day):
    (row,) = np.flatnonzero(year.day == day)
    alone = sky.sunset(LIGHTHOUSE, day)
    assert abs(year.last_sliver[row] - alone.last_sliver) < timedelta(milliseconds=1)
    assert_allclose(year.azimuth_deg[row], alone.last_sliver_azimuth_deg, atol=1e-5)


def test_the_bearing_turns_at_the_solstices(year):
    north, south = (year.day[at(year.azimuth_deg)] for at in (np.argmax, np.argmin))
    assert abs(north - date(2027, 6, 21)) <= timedelta(days=1)
    assert abs(south - date(2027, 12, 22)) <= timedelta(days=1)


def test_the_gap_holds_what_lies_in_it_and_nothing_else(year):
    inside = (year.azimuth_deg >= 268) & (year.azimuth_deg <= 273)
    assert np.array_equal(year.inside, inside)
    assert 0 < inside.sum() < 30  # twice a year, 0.65 deg a day
    across = planning.evenings(LIGHTHOUSE, *YEAR, 300, 250)  # clockwise over north
    assert np.array_equal(across.inside, (across.azimuth_deg >= 300) | (across.azimuth_deg <= 250))


def test_dates_without_a_sunset_are_named():
    fell = planning.evenings(sky.Place("the fell", 68.0, 20.0, 10.0), *YEAR, 0, 360)
    assert date(2027, 6, 21) in fell.without
    assert date(2027, 12, 21) in fell.without
    assert fell.day.size + len(fell.without) == 365
    assert fell.inside.all()


def test_moonlight_is_that_of_the_handbooks(year):
    # Full and overhead it gives 0.2 to 0.3 lx on level ground (Allen, from memory), half of it a
    # tenth of that; none when down. At sunset a full Moon is never high.
    assert 0.2 < _moonlight_lx(90.0, -12.73) < 0.3
    half_and_high = (np.abs(year.moon_lit - 0.5) < 0.05) & (year.moon_altitude_deg > 50)
    assert np.all((year.moon_lx[half_and_high] > 0.01) & (year.moon_lx[half_and_high] < 0.03))
    assert half_and_high.any()
    full = np.argmax(year.moon_lit)
    assert year.moon_lit[full] > 0.99
    assert np.all(year.moon_lx[year.moon_altitude_deg <= 0] == 0)
    # New moons stand beside the Sun: 12 or 13 in a year.
    new = (year.moon_lit[1:-1] < year.moon_lit[:-2]) & (year.moon_lit[1:-1] < year.moon_lit[2:])
    assert new.sum() in (12, 13)


def test_behind_land_each_is_the_lands_sunset():
    hills = skyline.Skyline(np.arange(200.0, 330.0), np.full(130, 2.0))
    span = date(2027, 3, 20), date(2027, 3, 22)
    with ThreadPoolExecutor(2) as pool:
        found = planning.evenings(LIGHTHOUSE, *span, 0, 360, skyline=hills, executor=pool)
    alone = skyline.land_sunset(evening(LIGHTHOUSE, span[1], Atmosphere.standard()), hills)
    assert found.last_sliver[2] == alone.last_sliver
    assert found.day.tolist() == [span[0], date(2027, 3, 21), span[1]]


def test_too_long_a_span_and_a_wrong_order_are_refused():
    with pytest.raises(OutOfRangeError, match="are 731 days; allowed is 1 to 366"):
        planning.evenings(LIGHTHOUSE, date(2027, 1, 1), date(2028, 12, 31), 0, 10)
    with pytest.raises(OutOfRangeError, match="Give the earlier date first"):
        planning.evenings(LIGHTHOUSE, date(2027, 2, 1), date(2027, 1, 1), 0, 10)
    with pytest.raises(OutOfRangeError, match="low_deg is 400"):
        planning.evenings(LIGHTHOUSE, *YEAR, 400, 10)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"first_day": "March"}, "give a datetime.date"),
        ({"low_deg": "west"}, "low_deg is 'west', which is not a number"),
        ({"place": "the lighthouse"}, "give a Place"),
        ({"skyline": [1, 2]}, "give a Skyline"),
        ({"executor": 2}, "executor is 2; give a concurrent.futures executor"),
        ({"workers": 0}, "workers is 0"),
        ({"progress": "no"}, "give True or False"),
    ],
)
def test_what_is_no_day_place_or_executor_is_named(given, said):
    good = {"place": LIGHTHOUSE, "first_day": YEAR[0], "last_day": YEAR[0]}
    with pytest.raises(LowsunError, match=said):
        planning.evenings(**good | {"low_deg": 268, "high_deg": 273} | given)
