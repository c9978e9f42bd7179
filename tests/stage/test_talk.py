"""A talk: its file, its steps, and what the keys of the big view do to its scenes."""

import asyncio
from datetime import date
from pathlib import Path

import pytest

from lowsun import scenes
from lowsun.errors import InputError, InputFileError, OutOfRangeError
from lowsun.scenes import caution
from lowsun.stage import live, steps, talk
from lowsun.stage.presenting import further
from toy_scene import scene

SKY_CLUB = Path(__file__).parents[2] / "notebooks" / "talk" / "sky-club.toml"
TWO_SCENES = """
title = "Two"
[[step]]
card = "Begin"
text = "One line."
cue = "Say hello."
[[step]]
scene = "rims"
state = { lower_limb_deg = 10 }
controls = ["haze", "lower_limb_deg"]
cues = ["First.", "Second."]
[[step]]
scene = "polar_map"
"""


def do(stage, name, value=0):
    stage._presenter.do(name, value)


@pytest.fixture
def stage():
    return live(scene)


@pytest.fixture
def two(tmp_path):
    path = tmp_path / "two.toml"
    path.write_text(TWO_SCENES)
    return talk(path)


# ---- the file


def test_a_talk_begins_with_its_card_and_goes_through_scenes_and_cues(two):
    assert two._screen.card == {"title": "Begin", "text": "One line."}
    assert two._screen.cue == "1 of 5: Say hello."
    assert two._screen.next_cue == "First."
    do(two, "next", 1)
    assert two._screen.card == {}
    assert two.scene.name == "rims"
    assert two.sentence == scenes.named("rims").sentence(lower_limb_deg=10)
    assert two._screen.caution == caution.SHORT
    do(two, "next", 1)
    assert two._screen.cue == "3 of 5: Second."
    do(two, "next", 1)
    assert two.scene.name == "polar_map"
    assert two._screen.cue == f"4 of 5: {two.scene.cues[0]}"
    assert two.error == ""


def test_a_second_cue_leaves_the_scene_as_it_was_moved_and_going_back_begins_it_anew(two):
    do(two, "next", 1)
    two.set(lower_limb_deg=4)
    do(two, "next", 1)
    assert two.state["lower_limb_deg"] == 4
    do(two, "next", 1)
    do(two, "next", -1)
    assert two.scene.name == "rims"
    assert two.state["lower_limb_deg"] == 10


def test_the_first_and_the_last_step_are_ends(two):
    do(two, "next", -1)
    assert two._screen.cue.startswith("1 of")
    for _ in range(9):
        do(two, "next", 1)
    assert two._screen.cue.startswith("5 of")
    assert two._screen.next_cue == "the end"


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ('scene = "rims"\nstate = { lower_limb_deg = 99 }', r"step 2 \(line 6\).*99 °; allowed is"),
        (
            'scene = "sun"',
            r"step 2 \(line 6\): There is no scene 'sun'; choose one of: setting_sun",
        ),
        ('scene = "rims"\nstate = { hazy = 1 }', r"step 2 \(line 6\).*no control hazy; it has"),
        ('scene = "rims"\ncontrols = ["hazy"]', r"step 2 \(line 6\).*no control hazy"),
        (
            'scene = "rims"\ncue = "x"',
            r"step 2 \(line 6\): it holds cue; allowed is: controls, cues",
        ),
        ('card = "x"\nscene = "rims"', r"step 2 \(line 6\): it holds scene; allowed is: card"),
        ("scene = 3", r"step 2 \(line 6\): There is no scene 3"),
    ],
)
def test_a_slip_is_told_with_step_and_line(tmp_path, bad, words):
    path = tmp_path / "slip.toml"
    path.write_text(f'title = "x"\n# a remark\n[[step]]\ncard = "y"\n\n[[step]]\n{bad}\n')
    with pytest.raises(InputFileError, match=rf"slip.toml, {words}"):
        steps.load(path)


@pytest.mark.parametrize("text", ["", 'step = "x"', '[[step]]\ncard = "y"', "speed = 3"])
def test_what_is_no_talk_is_refused(tmp_path, text):
    (tmp_path / "no.toml").write_text(text)
    with pytest.raises(InputFileError, match=r"no\.toml is no talk"):
        steps.load(tmp_path / "no.toml")


def test_a_talk_is_shown_in_a_look_and_a_width_that_there_are(tmp_path):
    path = tmp_path / "talk.toml"
    path.write_text('title = "A talk"\n[[step]]\nscene = "rims"\n', encoding="utf-8")
    with pytest.raises(InputError, match="look is 'dark'; give one of"):
        talk(path, look="dark")
    with pytest.raises(OutOfRangeError, match="width_px is nan"):
        talk(path, width_px=float("nan"))


def test_the_talk_of_the_sky_club_plays_to_its_end():
    played = talk(SKY_CLUB)
    _, all_steps = steps.load(SKY_CLUB)
    minutes = [step.cue for step in all_steps if "minute" in step.cue.lower()]
    assert len(minutes) >= 6
    for _ in all_steps:
        assert played.error == ""
        do(played, "next", 1)
    assert played._screen.card["title"] == "Tonight"


# ---- the keys


def test_a_scene_alone_shows_its_cues(stage):
    assert stage._screen.cue == "1 of 1: Move the centre."
    assert stage._screen.card == {}


def test_arrows_move_the_main_control_no_further_than_its_end(stage):
    do(stage, "step", 1)
    assert stage.state["centre"] == 20.5
    do(stage, "step", -10)
    assert stage.state["centre"] == 15.5
    for _ in range(9):
        do(stage, "step", 10)
    assert stage.state["centre"] == 40
    assert stage.sentence == scene.sentence(centre=40)


def test_another_control_can_be_the_main_one(stage):
    do(stage, "main", 1)
    assert stage._screen.told == "The arrows move: colour."
    do(stage, "step", 1)
    assert stage.state["colour"] == "green"
    do(stage, "step", 1)
    assert stage.state["colour"] == "green"


def test_a_day_moves_by_days():
    control = scene.control("day")
    assert further(control, date(2027, 3, 31), 1) == date(2027, 4, 1)
    assert further(control, date(1900, 1, 1), -10) == date(1900, 1, 1)


def test_digits_bring_back_the_states_that_were_kept(stage):
    do(stage, "state", 1)
    assert stage._screen.told == "No state is kept under 1: s keeps one."
    stage.set(centre=7)
    do(stage, "keep")
    stage.set(centre=9, colour="green")
    do(stage, "keep")
    do(stage, "state", 1)
    assert stage.state == scene.defaults() | {"centre": 7}
    do(stage, "reset")
    assert stage.state == scene.defaults()
    do(stage, "state", 2)
    assert stage.state == scene.defaults() | {"centre": 9, "colour": "green"}


def test_a_state_of_another_scene_brings_its_scene(two):
    do(two, "next", 1)
    two.set(lower_limb_deg=3)
    do(two, "keep")
    do(two, "next", 2)
    do(two, "state", 1)
    assert (two.scene.name, two.state["lower_limb_deg"]) == ("rims", 3)


@pytest.mark.parametrize("back_and_forth", [False, True])
def test_the_main_control_runs_by_itself(back_and_forth):
    async def play():
        stage = live(scene)
        seen = []
        stage._screen.observe(lambda change: seen.append(stage.state["centre"]), names="sentence")
        do(stage, "pace", -2)
        if back_and_forth:
            do(stage, "back")
        do(stage, "run")
        await asyncio.sleep(1.6)
        do(stage, "run")
        return seen, stage.state["centre"]

    seen, last = asyncio.run(play())
    assert len(seen) > 5  # on a busy machine too
    top = seen.index(max(seen))
    assert seen[: top + 1] == sorted(seen[: top + 1])
    assert max(seen) > 39
    assert (last < 40) is back_and_forth


def test_what_the_kernel_does_not_know_is_left(stage):
    do(stage, "fly", 3)
    assert stage.state == scene.defaults()


def test_in_the_big_view_it_draws_as_fine_as_a_screen_is_wide(stage):
    stage._screen.big = True
    stage._screen.shown_px = 1920
    assert stage._width_px == 1920
    stage._screen.big = False
    stage._screen.shown_px = 1921
    assert stage._width_px == 1280


# ---- the talk that ships

HEIGHT = {  # how high the Sun stands, in no unit but rising with it, by the scene's main control
    "setting_sun": lambda state: -state["seconds"],
    "rims": lambda state: state["lower_limb_deg"],
    "earth_shadow": lambda state: -state["depression_deg"],
}
PRESSES_A_SECOND = 30  # of a key that is held, as systems repeat it


def test_the_arrow_that_a_cue_names_lowers_the_sun_slowly_enough_to_watch():
    named = 0
    for step in steps.load(SKY_CLUB)[1]:
        arrows = [arrow for arrow in ("left", "right") if f"{arrow} arrow" in step.cue]
        for arrow in arrows:
            state = step.scene.check(step.state)
            control = step.scene.control(step.controls[0])
            by = {"left": -1, "right": 1}[arrow] * PRESSES_A_SECOND
            later = state | {control.name: further(control, state[control.name], by)}
            fallen = HEIGHT[step.scene.name](state) - HEIGHT[step.scene.name](later)
            assert fallen > 0, step.cue
            if step.scene.name == "setting_sun":
                assert 3 < -state["seconds"] / fallen < 15, step.cue  # seconds until it has gone
            named += 1
    assert named == 3


def test_no_cue_lets_the_setting_sun_run_by_itself():
    # From end to end in ten seconds, its slider passes the last 200 s in half a second.
    for step in steps.load(SKY_CLUB)[1]:
        assert step.scene is None or step.scene.name != "setting_sun" or "space" not in step.cue
