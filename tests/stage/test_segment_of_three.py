"""The segment that ships: three minutes, and what its captions say is what is shown."""

import re
from importlib.resources import files
from itertools import pairwise

import pytest

from lowsun import scenes
from lowsun.stage import sequence

SEGMENT = sequence.load(files("lowsun.data") / "last_light_segment.toml")


def sentence(name, **state):
    return scenes.named(name).sentence(**state)


def test_it_lasts_three_minutes_and_every_caption_has_its_time():
    assert SEGMENT.length_s == pytest.approx(180.0, abs=5.0)
    spans = sorted(SEGMENT.timed(caption) for caption in SEGMENT.captions)
    assert all(ends <= begins for (_, ends), (begins, _) in pairwise(spans))


def test_without_air_the_sun_would_have_set():
    assert "yet without air the whole Sun would have set" in sentence("setting_sun", seconds=-120)


def test_the_eye_sees_green_and_a_shorter_shutter_keeps_it():
    long, short = (
        sentence("last_light", seconds=-0.5, shutter=shutter) for shutter in ("1/15 s", "1/500 s")
    )
    assert "the light is green" in long
    assert "the camera writes yellow, burnt out" in long
    assert "the camera writes yellow" not in short
    assert re.search(r"the camera writes (yellowish )?green", short)


def test_green_stands_over_red_and_more_so_near_the_sea():
    low, high = (
        scenes.named("rims").result(lower_limb_deg=limb).limb_width_arcsec for limb in (0, 10)
    )
    assert low[0] > high[0] > 0


def test_without_haze_the_last_light_is_bluer_and_still_green():
    # What the lesson in 08-teaching answers to those who expect a blue flash.
    hazy, clear = (sentence("last_light", seconds=-0.5, haze=depth) for depth in (0.05, 0.0))
    nm = [int(re.search(r"the light is green \((\d+) nm\)", told)[1]) for told in (hazy, clear)]
    assert 495 < nm[1] < nm[0]
