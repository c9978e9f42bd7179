"""The plan's text: its width, its columns, and what it says where something is missing."""

from datetime import date, timedelta
from math import radians, tan

import pytest

from lowsun import sky
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.scenes import caution, plan_words
from lowsun.words import languages, say, speaking

KIT = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
PLACES = {
    "lighthouse": (sky.Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 3, 20)),
    "southern coast": (sky.Place("the far cape", -34.5, 20.0, 40.0), date(2027, 12, 21)),
    "midsummer": (sky.Place("the fell", 66.0, 20.0, 10.0), date(2027, 6, 21)),
    "ice camp": (sky.Place("the ice camp", 89.0, 0.0, 2.0), date(2027, 9, 24)),
    "pole": (sky.Place("the pole", 90.0, 0.0, 2.0), date(2027, 9, 24)),
}


@pytest.fixture(scope="module", params=PLACES)
def plan(request):
    place, day = PLACES[request.param]
    return planning.plan(place, day, kit=KIT, spread=planning.spread(place, day, count=4))


def test_no_line_is_wider_than_eighty_columns_or_holds_nonsense(plan):
    text = plan_words.text(plan)
    assert max(map(len, text.splitlines())) <= 80
    for nonsense in ("nan", "None", "inf ", "e+", "e-0", "_"):
        assert nonsense not in text
    assert caution.SHORT.split(".")[0] in " ".join(text.split())


@pytest.mark.parametrize("language", languages())
def test_names_and_headings_leave_a_gap_in_their_columns(language):
    with speaking(language):
        names = [say(name) for name in plan_words.LABELS.values()]
        headings = {say(name): int(width.lstrip(">")) for name, width in plan_words.HEADINGS}
    assert [name for name in names if len(name) >= 22] == []
    assert [name for name, width in headings.items() if name and len(name) >= width] == []


def test_every_step_has_a_line_with_its_two_clocks(plan):
    for step in plan.timeline.steps:
        (line,) = [
            line
            for line in plan_words.table(plan)[1:]
            if line.startswith(f"{plan_words.label(step):22}")
        ]
        local, universal = line[22:30], line[35:43]
        exact = step.when.astimezone(plan.place.timezone)
        near = [f"{exact + timedelta(seconds=s):%H:%M:%S}" for s in (0, 0.5)]
        assert local in near
        hours = (int(local[:2]) - int(universal[:2])) % 24
        assert hours == exact.utcoffset().total_seconds() / 3600 % 24


def test_every_missing_step_is_explained(plan):
    told = " ".join(plan_words.missing(plan))
    for name in plan.timeline.missing:
        assert plan_words.LABELS.get(name, name) in told


def test_the_short_text_fits_a_code_that_telephones_read(plan):
    # Version 40, level L holds 2953 bytes; half of that is still read from a hand's distance.
    assert len(plan_words.short_text(plan).encode()) < 1400


def test_directions_are_the_right_way_round():
    north, south = (
        planning.plan(*PLACES[name], kit=KIT) for name in ("lighthouse", "southern coast")
    )
    assert "to the right along the horizon" in plan_words.text(north)
    assert "to the left along the horizon" in plan_words.text(south)
    told = " ".join(plan_words.moving(north))
    assert "west 3.5 s later" in told
    assert "east 3.5 s earlier" in told


def test_a_mark_shifts_by_the_tangent():
    told = list(plan_words.moving(planning.plan(*PLACES["lighthouse"], kit=KIT)))[-1]
    assert f"{1000 * tan(radians(1)):.1f} m aside" in told


def test_the_zone_is_named_and_its_change_shouted():
    fjord = sky.Place("a fjord", 64.18, -51.7, 10.0)
    changed = planning.plan(fjord, date(2022, 3, 26), kit=KIT)
    assert "CLOCKS CHANGE. Go by UTC." in plan_words.zone_line(changed)
    kept = planning.plan(*PLACES["southern coast"], kit=KIT)
    assert plan_words.zone_line(kept) == "Local time: SAST = UTC+02:00"
