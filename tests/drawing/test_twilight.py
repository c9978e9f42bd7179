"""The twilight picture shows the numbers of its result."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing.look import DARK
from lowsun.drawing.twilight import ALL_ROUND, BOTTOM_DEG, FIELDS, TO_SHADOW, TO_SUN, clock_ticks
from lowsun.scenes.earth_shadow import scene
from lowsun.scenes.shadow_evening import scene as evening


def shown(play=scene, **state):
    picture = play.picture(DARK.figure(), DARK)
    result = play.result(**state)
    picture.show(result, play.describe(result))
    return picture, result


def test_edge_and_arch_are_marked_where_they_stand():
    picture, result = shown(depression_deg=2)
    assert_allclose(picture.edge.get_ydata(), result.seen.edge_deg)
    low, high = picture.arch.get_ydata()
    assert (low, high) == (result.seen.pink_low_deg, result.seen.pink_high_deg)
    assert_allclose(picture.edges.get_ydata(), result.curve.edge_deg)
    assert picture.now.get_xdata()[0] == 2.0


@pytest.mark.parametrize("facing", [TO_SHADOW, TO_SUN])
def test_towards_one_side_a_degree_is_as_wide_as_high(facing):
    picture, _ = shown(facing=facing)
    box = picture.view.get_window_extent()
    field = FIELDS[facing]
    across = box.width / field.width_deg
    assert_allclose(box.height / (field.high_deg - BOTTOM_DEG), across, rtol=5e-3)


def test_heights_of_the_side_view_are_stretched_as_it_says():
    picture, _ = shown()
    box = picture.cut.get_window_extent()
    per_km = (
        box.width / np.diff(picture.cut.get_xlim()),
        box.height / np.diff(picture.cut.get_ylim()),
    )
    assert "twofold" in picture.cut.get_title(loc="left") + picture.cut.get_title()
    assert_allclose(per_km[1] / per_km[0], 2.0, rtol=0.01)


def test_nothing_is_marked_where_nothing_stands():
    for state in ({"depression_deg": 7.5}, {"depression_deg": -1}, {"facing": TO_SUN}):
        picture, _ = shown(**state)
        assert picture.edge_name.get_text() == ""
        assert picture.arch.get_xdata() == []


def test_mountain_shadow_is_outlined_on_the_sea():
    picture, result = shown(eye_height_m=3000, depression_deg=-1.9)
    assert picture.tip.get_ydata() == [result.mountain.apex_altitude_deg]
    left, right = (line.get_xdata() for line in picture.sides)
    assert_allclose(np.add(left, right), 360.0)
    assert picture.tip_name.get_text()
    picture, _ = shown(eye_height_m=3000, depression_deg=1)
    assert picture.sides[0].get_xdata() == []


def test_broad_day_has_no_side_view():
    picture, _ = shown(evening, latitude_deg=80, day=date(2027, 6, 10))
    assert not picture.cut.get_visible()


def test_only_another_direction_or_clock_draws_anew():
    picture, _ = shown()
    assert picture.stale
    picture.stale = False
    picture.update(scene.result(depression_deg=3, haze=0.03))
    assert not picture.stale
    picture.update(scene.result(facing=ALL_ROUND))
    assert picture.stale


def test_clock_times_stand_under_the_climb():
    picture, result = shown(evening)
    minutes = picture.climb.get_xticks()
    told = [label.get_text() for label in picture.climb.get_xticklabels()]
    assert len(set(np.diff(minutes).round(6))) == 1
    assert all(word.endswith(("0", "5")) for word in told)
    for place, word in zip(minutes, told, strict=True):
        at = result.watch.when[0] + timedelta(minutes=float(place))
        local = (at + timedelta(seconds=1)).astimezone(result.watch.place.timezone)
        assert word == f"{local:%H:%M}"
    assert picture.climb.get_xlabel() == "local time"


def test_on_the_night_of_the_change_the_clock_is_told_as_it_shows():
    # From 01:00 GMT to 02:00 IST no clock in Ireland shows 01:30, on 28 March 2027.
    begins = datetime(2027, 3, 28, 0, 40, tzinfo=UTC).astimezone(ZoneInfo("Europe/Dublin"))
    minutes, told = clock_ticks(begins, 60.0)
    assert told == ["00:45", "02:00", "02:15", "02:30"]
    assert_allclose(minutes, [5, 20, 35, 50])


@pytest.mark.parametrize(
    ("play", "state"),
    [
        (scene, {}),
        (scene, {"depression_deg": 4.0}),
        (scene, {"haze": "sea air"}),
        (evening, {}),
        (evening, {"share_percent": 80}),
        (evening, {"morning": True}),
    ],
)
def test_no_name_of_the_climb_lies_on_a_curve(play, state):
    picture, _ = shown(play, **state)
    to_px = picture.climb.transData.transform
    for name in picture.names:
        box = name.get_window_extent()
        for line in (picture.edges, picture.peaks, picture.now):
            x, y = to_px(line.get_xydata()).T
            finite = np.isfinite(x) & np.isfinite(y)
            along = np.linspace(0.0, 1.0, 2000) * max(finite.sum() - 1, 0)
            x, y = (np.interp(along, np.arange(finite.sum()), each[finite]) for each in (x, y))
            assert not inside(box, x, y).any(), (name.get_text(), line)


def inside(box, x, y):
    """Which points lie in a box."""
    return (box.x0 < x) & (x < box.x1) & (box.y0 < y) & (y < box.y1)
