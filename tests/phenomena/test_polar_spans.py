"""Spans of time, single instants of a track, and portraits: each held to what it is made of."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from lowsun.phenomena.low_sun import Frame
from lowsun.phenomena.polar_sunset import (
    Span,
    contacts,
    delay,
    has_polar_night,
    last_passage,
    polar_air,
    portrait,
    portraits,
    rim_span,
    shipped_map,
    track,
    track_at,
    whole,
    whole_descent,
)
from lowsun.sky import Place

CAMP = Place("ice camp", 89.0, 0.0)  # invented
AUTUMN, DAY = datetime(2027, 9, 25, tzinfo=UTC), timedelta(days=1)


def test_one_instant_of_a_track_is_that_instant_alone():
    found = track(CAMP, AUTUMN, AUTUMN + DAY, count=25)
    for alone, one in ((track_at(CAMP, found.when[k]), found[k]) for k in (0, 11, 24)):
        assert alone.when == one.when
        assert alone.limb_altitude_deg.shape == one.limb_altitude_deg.shape
        for name in ("true_altitude_deg", "bearing_deg", "limb_bearing_deg", "limb_altitude_deg"):
            assert_allclose(getattr(alone, name), getattr(one, name), rtol=0, atol=1e-9)


def test_the_span_of_a_passage_holds_it_with_a_margin():
    passage = contacts(38, date(2027, 3, 20))
    span = whole(passage)
    assert_allclose(span.length.total_seconds(), 1.08 * passage.length_s, rtol=1e-6)
    assert span.at(0) == span.begins < passage.first_contact
    assert passage.last_sliver < span.ends == span.at(1)
    assert rim_span(passage).begins < passage.first_contact
    assert rim_span(passage).ends > passage.last_sliver


def test_the_span_of_a_date_without_a_sunset_is_a_day_around_its_lowest_sun():
    passage = contacts(78, date(2027, 6, 21))
    assert whole(passage) == Span.around(passage.day.lowest.when, DAY)
    assert whole(passage).at(0.5) == passage.day.lowest.when


@pytest.mark.parametrize(("latitude", "has"), [(90, True), (78, True), (66.5, False), (0, False)])
def test_a_whole_descent_leads_from_polar_day_to_polar_night(latitude, has):
    # Polar night begins at 67.4 deg in standard air, polar day at 65.7.
    place = Place("x", latitude, 0)
    assert has_polar_night(place, 2027, None) == has
    found = whole_descent(place, 2027)
    assert (found is not None) == has
    assert (delay(place, 2027, polar_air(243.15)) is not None) == has
    if has:
        assert found.first_contact < found.centre < found.last_sliver
        assert last_passage(found).last_sliver == found.last_sliver


def test_portraits_are_the_single_pictures_side_by_side_and_black_where_the_sun_is_down():
    air, passage = polar_air(288.15), contacts(0, date(2027, 3, 20))
    span = whole(passage)
    steps = track(passage.place, span.begins, span.ends, air, 3)
    row = portraits(steps, air, 44.0, 60.0, 50, 120)
    frame = Frame(steps.horizon_deg + 44 / 60, 60.0, 50, 40)
    assert row.shape == (50, 120, 3)
    for k, one in enumerate(steps):
        assert_array_equal(row[:, 40 * k : 40 * (k + 1)], portrait(one, air, frame))
    assert row[:, :80].max() > 200
    assert row[:, 80:].max() == 0


def test_rims_by_latitude_are_the_rows_of_the_map():
    charts, day = shipped_map(), date(2027, 9, 20)
    north, south = (charts.rims(latitude, day) for latitude in (52, -52))
    assert_array_equal(north.latitude_deg, np.arange(91))
    assert_array_equal(np.sort(south.latitude_deg), np.arange(91))
    assert north.day_s[60] == charts.rim_s[150, charts.column(day)]
    assert south.day_s[south.latitude_deg == 60] == charts.rim_s[30, charts.column(day)]
