"""What a polar sunset costs: one passage, a day's track, and the map on one worker and on two."""

from datetime import UTC, date, datetime, timedelta
from time import perf_counter

import numpy as np

from lowsun.phenomena.polar_sunset import contacts, sunset_map, track
from lowsun.sky import Place, crossings
from timing import median_ms, report

LATITUDES = (-90, -78, -40, 0, 38, 66.56, 78, 89, 90)
DATES = (date(2027, 3, 21), date(2027, 6, 21), date(2027, 9, 24), date(2027, 12, 22))
WEEK = datetime(2027, 9, 20, tzinfo=UTC), datetime(2027, 9, 27, tzinfo=UTC)


def test_contacts_at_any_latitude_and_date():
    cases = [(latitude, day) for latitude in LATITUDES for day in DATES]
    times = [median_ms(lambda case=case: contacts(*case).reason, repeats=3) for case in cases]
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
    def seconds(workers):
        begins = perf_counter()
        found = sunset_map(latitude_deg=np.arange(-90.0, 91.0, 2), workers=workers, progress=False)
        assert found.kind.shape == (91, 365)
        return perf_counter() - begins

    one, two = seconds(1), seconds(2)
    report("map of 91 latitudes x 365 days", one_s=one, two_s=two, gain_of_two_workers=one / two)
