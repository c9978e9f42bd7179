"""What a polar sunset costs: one passage, a day's track, and the map on one worker and on two."""

from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, date, datetime, timedelta
from multiprocessing import get_context

import numpy as np

from lowsun.phenomena.polar_sunset import contacts, sunset_map, track
from lowsun.sky import Place, crossings
from timing import median_ms, report

LATITUDES = (-90, -78, -40, 0, 38, 66.56, 78, 89, 90)
DATES = (date(2027, 3, 21), date(2027, 6, 21), date(2027, 9, 24), date(2027, 12, 22))
WEEK = datetime(2027, 9, 20, tzinfo=UTC), datetime(2027, 9, 27, tzinfo=UTC)


def test_contacts_at_any_latitude_and_date():
    cases = [(latitude, day) for latitude in LATITUDES for day in DATES]
    times = [median_ms(lambda case=case: contacts(*case).reason, repeats=1) for case in cases]
    week = median_ms(lambda: crossings(Place("x", 38, 0), *WEEK, -0.6, False))
    report(
        "contacts of a date, 9 latitudes x 4 dates",
        median_ms=float(np.median(times)),
        slowest_ms=max(times),
        median_over_a_week_of_crossings=float(np.median(times)) / week,
    )
    assert len(times) == len(cases)


def test_track_of_a_day():
    start = datetime(2027, 9, 24, tzinfo=UTC)
    camp = Place("ice camp", 89, 0)
    end = start + timedelta(days=1)
    day = median_ms(lambda: track(camp, start, end))
    few = median_ms(lambda: track(camp, start, end, count=36))
    report("refracted discs of a day, 288", track_ms=day, over_36_discs=day / few)
    assert track(camp, start, end).limb_altitude_deg.shape[0] == 288


def test_map_on_one_worker_and_on_two():
    one, two = map_ms(1), map_ms(2)
    report("map of 32 latitudes x 90 days", one_ms=one, two_ms=two, gain_of_two_workers=one / two)


def map_ms(workers):
    """On processes that run already: starting one takes a second, for a map of any size."""
    asked = {"latitude_deg": np.linspace(-90.0, 90.0, 32), "days": 90, "progress": False}
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        return median_ms(lambda: sunset_map(**asked, executor=pool), repeats=3)
