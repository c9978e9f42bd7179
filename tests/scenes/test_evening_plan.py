"""The evening plan's scene: what it says and draws, against the sky and the plan."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun import scenes, sky
from lowsun.drawing.look import DARK
from lowsun.scenes import plan_words

SCENE = scenes.named("evening_plan")


@pytest.fixture(scope="module")
def picture():
    return SCENE.picture(DARK.figure(), DARK)


def _shown(picture, **values):
    result = SCENE.result(**values)
    picture.show(result, SCENE.describe(result))
    return result


@pytest.mark.parametrize("minutes", [-60, -9, -2])
def test_the_sun_is_drawn_where_it_is(picture, minutes):
    result = _shown(picture, minutes=minutes)
    (turn,), (height,) = picture.horizon.now.get_data()
    path_turn, path_height = picture.horizon.path.get_data()
    assert_allclose(np.interp(turn, path_turn, path_height), height, rtol=0, atol=0.005)
    sun = sky.sun(result.plan.place, result.when)
    assert_allclose((turn + result.plan.framing.azimuth_deg) % 360, sun.azimuth_deg, atol=1e-6)


def test_once_gone_it_is_drawn_no_more(picture):
    _shown(picture, minutes=30)
    assert np.isnan(picture.horizon.now.get_data()).all()
    assert "the Sun is gone" in SCENE.sentence(minutes=30)


@pytest.mark.parametrize("minutes", [-90, -9, 0, 20, 119])
def test_the_line_round_the_next_step_and_its_countdown(picture, minutes):
    result = _shown(picture, minutes=minutes)
    coming = next((step for step in result.plan.timeline.steps if step.when > result.when), None)
    if coming is None:
        assert picture.marker.get_xydata().size == 0
        assert picture.countdown.get_text() == ""
        return
    rows = picture.marker.get_xydata()[:, 1]
    row = round(float(np.mean([rows.min(), rows.max()])))
    assert plan_words.label(coming) in picture.lines[row].get_text()
    assert plan_words.label(coming) in picture.coming.get_text()
    left = coming.when - result.when
    hours, minutes_, seconds = (
        int(part) for part in str(timedelta(seconds=np.ceil(left.total_seconds()))).split(":")
    )
    told = picture.countdown.get_text().split()
    assert int(told[0]) == (hours or minutes_ or seconds)


def test_every_step_has_its_line(picture):
    result = _shown(picture)
    assert len(picture.lines) == len(result.plan.timeline.steps)
    for text, step in zip(picture.lines, result.plan.timeline.steps, strict=True):
        local = (step.when + timedelta(seconds=0.5)).astimezone(result.plan.place.timezone)
        assert text.get_text().startswith(f"{local:%H:%M:%S}")


def test_another_lens_another_frame(picture):
    wide = []
    for focal in (200, 400):
        _shown(picture, focal_length_mm=focal)
        wide.append(np.ptp(picture.horizon.frame.get_data()[0]))
    assert_allclose(wide[0] / wide[1], 2, rtol=0.01)


def test_countdowns_in_words():
    step = SCENE.result().plan.timeline.steps[-1]
    told = {
        61.0: "1 min 01 s",
        59.2: "1 min 00 s",
        7.0: "7 s",
        3600.0 * 5 + 60 * 7: "5 h 07 min",
        86400.0 * 3.5: "3 days",
    }
    for seconds, words in told.items():
        assert plan_words.countdown(step.when - timedelta(seconds=seconds), step) == words
    assert plan_words.countdown(step.when, None) == ""


def test_at_an_instant_is_as_at_its_minutes():
    state = SCENE.check({"minutes": -9})
    by_minutes = SCENE.compute(state)
    by_clock = SCENE.at(state, by_minutes.when)
    assert SCENE.describe(by_clock) == SCENE.describe(by_minutes)
    long_before = SCENE.at(state, datetime(2027, 3, 1, tzinfo=UTC))
    assert "Next, in 19 days: set up by." in SCENE.describe(long_before)


def test_the_cameras_clock_is_told_where_it_differs():
    assert "camera's clock" not in SCENE.sentence()
    assert "(camera's clock 18:47:30)" in SCENE.sentence(clock_ahead_s=3)


def test_hills_hide_the_sun_earlier_and_are_drawn(picture):
    sea = _shown(picture)
    assert picture.horizon.land.get_xy().shape[0] == 0
    hills = _shown(picture, horizon="invented hills")
    (last_over_sea, last_over_hills) = (
        one.plan.timeline.step("last sliver").when for one in (sea, hills)
    )
    assert last_over_hills < last_over_sea
    corners = picture.horizon.land.get_xy()
    aim = hills.plan.framing.azimuth_deg
    height = hills.plan.skyline.altitude_at(aim) - hills.plan.evening.horizon_apparent_altitude_deg
    crest = corners[:-3]
    assert_allclose(np.interp(0.0, crest[:, 0], crest[:, 1]), height, rtol=0, atol=0.01)
