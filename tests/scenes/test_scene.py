"""Scenes and their controls: what fits, what is refused, and that a state replays."""

import dataclasses
from datetime import date, datetime

import numpy as np
import pytest

from lowsun.errors import InputFileError, OutOfRangeError, OutputFileError
from lowsun.scenes.controls import (
    Choice,
    File,
    Number,
    Range,
    SceneError,
    StateError,
    Switch,
    UserFile,
)
from toy_scene import CONTROLS, scene


def changed(**values):
    return dataclasses.replace(scene, **values)


def test_defaults_are_a_good_state():
    assert scene.check({}) == scene.check(scene.defaults()) == scene.defaults()


def test_every_end_of_every_control_is_a_good_state():
    swept = list(scene.sweep())
    assert len(swept) == 2 + 2 + 2 + 2 + 2 + 1
    for control, state in swept:
        assert scene.check(state)[control.name] == state[control.name]


@pytest.mark.parametrize(
    ("state", "error", "words"),
    [
        (
            {"centre": 41},
            OutOfRangeError,
            r"height of the centre is 41 arcmin; allowed is -10 to 40",
        ),
        ({"centre": float("nan")}, OutOfRangeError, r"height of the centre is nan"),
        ({"centre": "20"}, OutOfRangeError, r"centre is '20', which is not a number"),
        ({"centre": True}, OutOfRangeError, r"centre is True, which is not a number"),
        ({"centre": None}, OutOfRangeError, r"centre is None, which is not a number"),
        ({"centre": [1.0, 2.0]}, OutOfRangeError, r"centre holds 2 numbers; give one"),
        ({"radius": 0}, OutOfRangeError, r"radius is 0 arcmin; allowed is 1 to 30 arcmin"),
        ({"colour": "red"}, StateError, r"colour is 'red'; choose one of: orange, green"),
        ({"colour": ["green"]}, StateError, r"colour is \['green'\]; choose one of"),
        ({"round_disc": 1}, StateError, r"without air is 1; it is a switch"),
        ({"day": "2027-03-20"}, StateError, r"give a day: date\(\d+, \d+, \d+\) in Python"),
        ({"day": datetime(2027, 3, 20)}, StateError, r"give a day: .* without quotes in a file"),
        ({"day": date(2060, 1, 1)}, StateError, r"day is 2060-01-01; allowed is 1900-01-01 to"),
        ({"sounding": 7}, StateError, r"sounding is 7; give the path of a file, or nothing"),
        ({"sounding": "no/such.csv"}, InputFileError, r"no/such.csv cannot be read \(No such file"),
        ({"sounding": {"name": "a.csv"}}, StateError, r"without a good `name` and `base64`"),
        ({"sounding": {"name": "a.csv", "base64": "?"}}, StateError, r"without a good `name`"),
        ({"speed": 1}, StateError, r"Scene toy has no control speed; it has: centre, colour"),
    ],
)
def test_a_state_that_does_not_fit_is_refused(state, error, words):
    with pytest.raises(error, match=words):
        scene.check(state)


def test_numbers_of_numpy_become_plain_floats():
    centre = scene.check({"centre": np.float32(12.5)})["centre"]
    assert type(centre) is float
    assert centre == 12.5


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Number(name="a", label="a", low=0, high=1, default=2), r"default of control a is"),
        (lambda: Number(name="a b", label="a", low=0, high=1, default=1), r"cannot name a control"),
        (
            lambda: Range(name="a", label="a", low=0, high=1, step=0.3, default=0.3),
            r"high of control a, 1, is not a whole number of steps of 0.3 above 0",
        ),
        (
            lambda: Range(name="a", label="a", low=0, high=1, step=0.1, default=0.25),
            r"default of control a, 0.25, is not a whole number",
        ),
        (
            lambda: Range(name="a", label="a", low=0, high=1, step=0, default=0),
            r"step of control a",
        ),
        (lambda: Choice(name="a", label="a", options=("x",), default="y"), r"default of control a"),
        (
            lambda: changed(controls=(CONTROLS[0], CONTROLS[0])),
            r"two controls named centre",
        ),
    ],
)
def test_a_wrong_description_is_refused_at_once(make, words):
    with pytest.raises(SceneError, match=words):
        make()


def test_a_caption_carries_the_unit():
    assert scene.control("centre").caption == "height of the centre [arcmin]"
    assert scene.control("colour").caption == "colour"


@pytest.mark.parametrize(("step", "decimals"), [(10, 0), (1, 0), (0.5, 1), (0.1, 1), (0.05, 2)])
def test_decimals_show_one_step(step, decimals):
    assert Range(name="a", label="a", low=0, high=10, step=step, default=0).decimals == decimals


# ---- files of the user's own


@pytest.fixture
def sounding(tmp_path):
    path = tmp_path / "evening.csv"
    path.write_text("height_m,temperature_k\n", encoding="utf-8")
    return path


def test_a_file_is_read_once_and_kept(sounding):
    state = scene.check({"sounding": str(sounding)})
    sounding.unlink()
    assert state["sounding"].name == "evening.csv"
    assert scene.compute(state).sounding == "height_m,temperature_k"


def test_an_empty_file_choice_is_none():
    assert scene.check({"sounding": ""})["sounding"] is None


def test_a_file_of_another_kind_is_refused():
    with pytest.raises(
        InputFileError, match=r"the file 'a.exe'; allowed are names that end in .csv"
    ):
        scene.check({"sounding": UserFile("a.exe", b"")})


def test_a_file_that_is_not_text_names_the_byte():
    with pytest.raises(InputFileError, match=r"a.csv is not UTF-8 text: byte 1 is 0xff"):
        UserFile("a.csv", b"a\xff").text  # noqa: B018


# ---- saving


def test_a_saved_state_replays(tmp_path, sounding):
    state = scene.check(
        {"centre": 7.5, "colour": "green", "round_disc": True, "day": date(2030, 9, 23),
         "radius": 3, "sounding": sounding}
    )  # fmt: skip
    scene.save(state, tmp_path / "a.toml")
    assert scene.load(tmp_path / "a.toml") == state


def test_defaults_replay_with_no_file(tmp_path):
    scene.save({}, tmp_path / "a.toml")
    assert scene.load(tmp_path / "a.toml") == scene.defaults()


def test_nothing_is_overwritten_unless_told(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text("mine")
    with pytest.raises(OutputFileError, match=r"a.toml is already there and was left as it is"):
        scene.save({}, path)
    assert path.read_text() == "mine"
    scene.save({}, path, overwrite=True)
    assert scene.load(path) == scene.defaults()
    assert [each.name for each in tmp_path.iterdir()] == ["a.toml"]


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(OutputFileError, match=r"There is no folder .*nowhere"):
        scene.save({}, tmp_path / "nowhere" / "a.toml")


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ('scene = "rims"\n[state]\n', StateError, r"state of scene 'rims', not of 'toy'"),
        ('scene = "toy"\n', InputFileError, r"has no \[state\] table"),
        ("scene = \n", InputFileError, r"is not TOML"),
        ('scene = "toy"\n[state]\ncentre = 99\n', OutOfRangeError, r"centre is 99 arcmin"),
        ('scene = "toy"\n[state]\nwarp = 9\n', StateError, r"has no control warp"),
    ],
)
def test_a_file_that_is_no_state_is_refused(tmp_path, text, error, words):
    path = tmp_path / "a.toml"
    path.write_text(text)
    with pytest.raises(error, match=words):
        scene.load(path)


# ---- paths of states


def test_between_moves_numbers_and_days_and_steps_the_rest_at_the_end():
    start = scene.defaults()
    end = scene.check({"centre": 30, "colour": "green", "round_disc": True,
                       "day": date(2027, 3, 30), "radius": 20})  # fmt: skip
    half = scene.between(start, end, 0.5)
    assert half["centre"] == 25
    assert half["radius"] == 18
    assert half["day"] == date(2027, 3, 25)
    assert (half["colour"], half["round_disc"]) == ("orange", False)
    assert scene.between(start, end, 0.0) == start
    assert scene.between(start, end, 1.0) == end


def test_switch_and_file_have_sensible_ends():
    assert Switch(name="a", label="a").ends == (False, True)
    mine = UserFile("a.csv", b"")
    assert File(name="a", label="a", suffixes=(".csv",), default=mine).ends == (None, mine)


def test_sentence_is_what_describe_says_of_the_result():
    assert scene.sentence(centre=5) == (
        "On 2027-03-20 the orange disc stands 5 arcmin up, 0.84 as high as wide; sounding: none."
    )
