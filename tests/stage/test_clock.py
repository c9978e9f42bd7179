"""A stage that follows the clock: on the second, by whatever the clock shows, without load."""

import asyncio
from datetime import UTC, datetime, timedelta
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.errors import InputError, LowsunError
from lowsun.stage.clock import Clock
from lowsun.stage.player import live

ZERO = datetime(2027, 3, 20, 18, 56, 27, tzinfo=UTC)  # the lighthouse's last sliver


class _Loop:
    """An event loop's `call_later`, run by hand, with a clock that moves along."""

    def __init__(self, now):
        self.now, self.calls, self.monotonic = now, [], 0.0

    def call_later(self, delay_s, call):
        self.calls.append((delay_s, call))
        return self

    def cancel(self):
        self.calls.clear()

    def pass_second(self):
        ((delay_s, call),) = self.calls
        self.calls.clear()
        self.now += timedelta(seconds=delay_s)
        call()


@pytest.fixture
def loop(monkeypatch):
    made = _Loop(ZERO - timedelta(minutes=10, milliseconds=300))
    monkeypatch.setattr(asyncio, "get_running_loop", lambda: made)
    return made


def test_ticks_on_the_full_second_until_stopped(loop):
    ticks = []
    clock = Clock(ticks.append, lambda: loop.now)
    clock.run(True)
    for _ in range(5):
        loop.pass_second()
    assert [tick.microsecond for tick in ticks[1:]] == [0] * 5
    assert np.diff(ticks[1:]).tolist() == [timedelta(seconds=1)] * 4
    clock.run(False)
    assert loop.calls == []


def test_a_clock_set_back_is_read_as_it_is(loop):
    ticks = []
    clock = Clock(ticks.append, lambda: loop.now)
    clock.run(True)
    loop.now -= timedelta(hours=1)
    loop.pass_second()
    assert ticks[1] < ticks[0]


def test_without_a_loop_it_ticks_once():
    ticks = []
    Clock(ticks.append).run(True)
    assert len(ticks) == 1
    assert ticks[0].utcoffset() == timedelta(0)


def _following(loop):
    stage = live(scenes.named("evening_plan"))
    stage._clock.read = lambda: loop.now
    stage.follow()
    return stage


def test_an_hour_by_the_clock_names_every_step_as_it_comes(loop):
    stage = _following(loop)
    told = [stage.sentence]
    for _ in range(60):
        loop.now += timedelta(seconds=59)  # the machine sleeps, or the clock is put forward
        loop.pass_second()
        told.append(stage.sentence)
        assert stage.error == ""
    coming = [sentence.split("Next, in ")[1] for sentence in told if "Next" in sentence]
    names = list(dict.fromkeys(words.split(": ")[1].rstrip(".") for words in coming))
    assert names[:3] == ["Sun 1° up", "Sun 0.5° up", "shadow rises behind"]
    assert "LAST SLIVER" in names or "flash begins" in names
    assert names[-1] == "nautical dusk"
    assert told[0].startswith("18:46:27 GMT")


def test_moving_a_control_meanwhile_keeps_the_clock(loop):
    stage = _following(loop)
    stage.set(focal_length_mm=200)
    assert stage.sentence.startswith("18:46:27 GMT")
    stage.follow(False)
    assert stage.sentence.startswith("18:47:27 GMT")  # nine minutes before the last sliver


def test_red_on_black_holds_no_other_colour(loop):
    stage = _following(loop)
    plain = np.asarray(Image.open(BytesIO(stage._screen.frame)).convert("RGB")).astype(int)
    stage.in_red()
    red = np.asarray(Image.open(BytesIO(stage._screen.frame)).convert("RGB")).astype(int)
    assert plain[..., 1].max() > 200
    assert red[..., 1:].max() < 60  # what JPEG leaves beside the sharpest letters
    assert np.percentile(red[..., 1:], 99.9) < 25
    assert red[..., 0].max() > 200


def test_other_scenes_offer_no_clock_and_stop_it(loop):
    stage = _following(loop)
    offered = {button.description for button in stage._buttons.children}
    stage.play("rims")
    left = {button.description for button in stage._buttons.children}
    assert offered - left == {"follow the clock", "red on black"}
    assert loop.calls == []
    assert stage.error == ""


@pytest.mark.parametrize("value", [None, 1, "yes", np.array([True, False])])
def test_following_and_red_are_on_or_off(loop, value):
    stage = _following(loop)
    for told in (stage.follow, stage.in_red):
        with pytest.raises(InputError, match="give True or False"):
            told(value)
    assert len(loop.calls) == 1  # it follows still


@pytest.mark.parametrize(
    ("scene", "state", "words"),
    [
        (None, None, "scene is None; give a scene or its name"),
        ("no such", None, "There is no scene 'no such'"),
        ("rims", 0, "The state is 0; give the names and values of controls"),
        ("rims", np.ones(2), "give the names and values of controls"),
    ],
)
def test_what_is_no_scene_or_no_state_is_not_played(loop, scene, state, words):
    stage = _following(loop)
    before = stage.scene, stage.sentence
    with pytest.raises(LowsunError, match=words):
        stage.play(scene, state)
    assert (stage.scene, stage.sentence) == before
