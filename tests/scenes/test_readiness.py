"""The list to tick: its numbers, and what it says where they do not suffice."""

import re
from datetime import date

import numpy as np
import pytest

from lowsun import sky
from lowsun.__main__ import _parser
from lowsun.errors import InputError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.scenes import plan_words, readiness

LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
CAMERA = Camera(400.0, 5.6, 4.0, (6000, 4000))
KIT = planning.Kit(CAMERA)


def _plan(**kit):
    return planning.plan(LIGHTHOUSE, date(2027, 3, 20), kit=planning.Kit(CAMERA, **kit))


def test_the_list_holds_the_numbers_of_the_kit():
    filled, lacking = readiness.readiness(_plan(card_gb=64, frame_mb=32, frames_planned=600))
    assert "holds 2000 frames, 600 are planned" in filled[0]
    assert "lasts 112 min at 15 °C" in filled[1]  # 120 min, 5 of the 40 degrees to half of it
    assert "Focused on the Moon" in filled[2]
    assert lacking == []


def test_what_is_missing_is_shouted():
    plan = _plan(card_gb=2, frame_mb=40, battery_minutes=30)
    _, lacking = readiness.readiness(plan)
    assert "CARD TOO SMALL by 550 frames." in lacking
    assert any("BATTERY TOO SMALL" in one for one in lacking)
    assert "[!] CARD TOO SMALL" in plan_words.text(plan)


def test_the_filter_stays_on_until_the_disc_fits():
    plan = _plan()
    told = readiness.readiness(plan)[0][3]
    fits = plan.timeline.step("disc fits")
    assert told == f"Filter on until {fits.when.astimezone(LIGHTHOUSE.timezone):%H:%M}."
    slow = Camera(400.0, 5.6, 4.0, (6000, 4000), fastest_shutter_s=1 / 15)
    never = planning.plan(LIGHTHOUSE, date(2027, 3, 20), kit=planning.Kit(slow))
    assert readiness.readiness(never)[0][3] == "Filter on until the end, and longer."


def test_the_list_leads_to_the_frame_reader():
    day, ranges = date(2027, 3, 20), planning.Ranges((8, 12), (995, 995), (6.5, 6.5), (-5, -5))
    airs = planning.spread(LIGHTHOUSE, day, ranges, 1)
    filled, _ = readiness.readiness(planning.plan(LIGHTHOUSE, day, kit=KIT, spread=airs))
    (command,) = (one for one in filled if "python -m lowsun frames" in one)
    asked = [word for word in command.split() if word.startswith("--")]
    options = _parser().parse_args(["frames", "FOLDER", *asked])
    assert (options.latitude, options.longitude) == (52.1, -10.4)
    assert options.eye_height == 95
    assert (options.temperature, options.pressure, options.sea_excess) == (10, 995, -5)
    assert any("clock and its time zone set to the second" in one for one in filled)
    assert any("straight edge" in one for one in filled)


def test_a_list_of_ones_own():
    filled, _ = readiness.readiness(_plan(), ["Tea for {minutes} minutes."])
    assert filled[0].startswith("Tea for ")
    assert filled[0].endswith(" minutes.")


@pytest.mark.parametrize(
    ("items", "answer"),
    [
        ("tea", "give a list of sentences"),
        (["{tea}"], "asks for tea; there are frames_held"),
        (["{"], "a brace stands alone"),
        ([3], "give a list of sentences"),
    ],
)
def test_a_damaged_list_is_refused(items, answer):
    with pytest.raises(InputError, match=answer):
        readiness.require_items(items)


def test_the_battery_lacks_what_the_list_says_it_does():
    compared = 0
    for battery_minutes in np.linspace(30, 60, 16):
        filled, lacking = readiness.readiness(_plan(battery_minutes=float(battery_minutes)))
        lasts = int(re.search(r"lasts (\d+) min", filled[1])[1])
        planned = int(re.search(r"(\d+) are planned", filled[1])[1])
        short = re.search(r"BATTERY TOO SMALL by (\d+) minute", " ".join(lacking))
        assert int(short[1]) == planned - lasts
        compared += 1
    assert compared == 16
