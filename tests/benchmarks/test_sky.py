"""What the sparse ephemeris saves beside Skyfield asked directly, and what a sunset costs."""

from datetime import UTC, date, datetime, timedelta
from itertools import count

import numpy as np
import pytest
from skyfield.api import load, load_file, wgs84
from skyfield_data import get_skyfield_data_path

from lowsun.sky import Place, crossings_by_latitude, geocentric, seen_from, sun, sunset
from timing import median_ms, report

CLIFF = Place("cliff", 53.3, -9.9, 95.0)
START = datetime(2025, 3, 1, tzinfo=UTC)
DAY = [START + timedelta(minutes=5 * n) for n in range(288)]


@pytest.fixture(scope="module")
def direct():
    """A function of datetimes that asks Skyfield for the altitude at CLIFF, instant by instant."""
    kernel, scale = load_file(f"{get_skyfield_data_path()}/de421.bsp"), load.timescale(builtin=True)
    eye = kernel["earth"] + wgs84.latlon(CLIFF.latitude_deg, CLIFF.longitude_deg, elevation_m=95)

    def altitude_deg(times):
        seen = eye.at(scale.from_datetimes(times)).observe(kernel["sun"])
        return seen.apparent().altaz()[0].degrees

    return altitude_deg


@pytest.mark.filterwarnings("ignore:The file finals2000A:RuntimeWarning")
def test_a_day_of_altitudes(direct):
    one_ms, slow_one_ms = (
        median_ms(lambda look=look: look(DAY[:1]))
        for look in (lambda times: sun(CLIFF, times).true_altitude_deg, direct)
    )
    day_ms, slow_day_ms = (
        median_ms(lambda look=look: look(DAY))
        for look in (lambda times: sun(CLIFF, times).true_altitude_deg, direct)
    )
    report(
        "288 altitudes of a day",
        day_ms=day_ms,
        direct_over_ours_day=slow_day_ms / day_ms,
        direct_over_ours_one=slow_one_ms / one_ms,
    )
    assert sun(CLIFF, DAY).true_altitude_deg == pytest.approx(direct(DAY), abs=0.002 / 3600)


@pytest.mark.filterwarnings("ignore:The file finals2000A:RuntimeWarning")
def test_contacts_of_an_evening(direct):
    """A date not asked before each time; beside one day of altitudes by Skyfield directly."""
    days = (date(2000, 1, 1) + timedelta(days=9 * n) for n in count())
    fresh_ms = median_ms(lambda: sunset(CLIFF, next(days)))
    polar_ms = median_ms(lambda: sunset(Place("camp", 89.0, 10.0), date(2025, 3, 20)))
    report(
        "sunset, all contacts",
        fresh_ms=fresh_ms,
        polar_ms=polar_ms,
        fresh_over_direct_day=fresh_ms / median_ms(lambda: direct(DAY)),
    )
    assert sunset(CLIFF, date(2025, 3, 1)).reason is None


def test_all_latitudes_through_a_year():
    hours = [START + timedelta(hours=n) for n in range(24 * 365)]
    latitudes = np.linspace(-90, 90, 181)
    read_ms = median_ms(lambda: geocentric("sun", hours), repeats=3)
    year = geocentric("sun", hours)
    grid_ms = median_ms(lambda: seen_from(year, latitudes[:, None], 0).true_altitude_deg, repeats=3)
    month = START, START + timedelta(days=32)
    month_ms = median_ms(
        lambda: crossings_by_latitude(latitudes, 0, *month, -0.6, rising=False), repeats=3
    )
    found = crossings_by_latitude(latitudes, 0, *month, -0.6, rising=False)
    report(
        "181 latitudes x 8760 hours",
        read_ms=read_ms,
        ns_per_altitude=grid_ms * 1e6 / (latitudes.size * len(hours)),
        us_per_sunset=month_ms * 1e3 / found.tt_s.size,
    )
    assert np.unique(found.index).size > 150
