"""What a player keeps: pictures, states, code and marks; numbered, and read back."""

import numpy as np
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.notebook import live, scene
from lowsun.stage import keeping, sequence
from lowsun.stage.takes import next_take


@pytest.fixture
def stage(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    played = live(scene("rims"))
    played.set(lower_limb_deg=3, haze="none")
    return played


def press(stage, name):
    buttons = stage._buttons.children
    next(each for each in buttons if each.description == name).click()
    return stage._screen.told


def test_a_picture_is_saved_under_the_next_number(stage, tmp_path):
    assert press(stage, "save picture").endswith("rims-1.png and rims-1.svg.")
    press(stage, "save picture")
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["rims-1.png", "rims-1.svg", "rims-2.png", "rims-2.svg"]
    with Image.open(tmp_path / "rims-1.png") as picture:
        assert picture.text["Description"] == stage.sentence
        assert np.asarray(picture).shape[:2] == (1080, 1920)


def test_a_state_is_saved_and_read_back(stage, tmp_path):
    assert "rims-state-1.toml" in press(stage, "save state")
    assert scene("rims").load(tmp_path / "rims-state-1.toml") == stage.state


def test_the_code_brings_the_scene_to_its_state(stage):
    line = press(stage, "copy as code")
    assert stage._screen.copied == 1
    found = {}
    exec(line, {"live": live, "scene": scene}, found)
    assert found["stage"].state == stage.state
    assert line.count("=") == 3


def test_a_day_is_code_too():
    state = scene("setting_sun").defaults()
    day = state["day"].replace(year=2030)
    assert "day=date(2030, 3, 20)" in keeping.code(scene("setting_sun"), state | {"day": day})


def test_marks_become_a_segment_that_plays_them(stage, tmp_path):
    assert press(stage, "mark here").startswith("Mark 1 in segment-1.toml")
    stage.set(lower_limb_deg=1)
    assert press(stage, "mark here").startswith("Mark 2 in segment-1.toml")
    stage.play(scenes.named("polar_map"), {"day_of_year": 100})
    press(stage, "mark here")
    played = sequence.load(tmp_path / "segment-1.toml")
    assert list(played.marks) == ["mark 1", "mark 2", "mark 3"]
    frames = list(played.each_frame(10))
    assert frames[0].state == scene("rims").check({"lower_limb_deg": 3, "haze": "none"})
    first = [frame for frame in frames if frame.scene == "rims"]
    assert first[-1].state["lower_limb_deg"] == 1
    assert frames[-1].scene == "polar_map"
    assert frames[-1].state["day_of_year"] == 100


def test_what_cannot_be_written_is_said(stage, tmp_path, monkeypatch):
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    assert "Choose another" in press(stage, "save state") or "no folder" in stage._screen.told
    assert stage.error == ""


def test_a_name_is_taken_by_any_of_its_endings(tmp_path):
    (tmp_path / "a-1.svg").touch()
    assert next_take(tmp_path / "a.png", ".png", ".svg").name == "a-2.png"
    assert next_take(tmp_path / "a.png").name == "a-1.png"
