"""The command line: what it writes, what it refuses, and what it answers."""

import dataclasses
import subprocess
import sys

import av
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.__main__ import main
from lowsun.errors import InputError, InputFileError, OutOfRangeError
from lowsun.scenes.controls import StateError
from lowsun.stage import Segment
from lowsun.stage.figures import figures
from toy_scene import refusing, scene

SEGMENT = """\
scene = "toy"
rest_s = 0.2
start = { centre = 0 }
[[move]]
values = { centre = 10, colour = "green" }
seconds = 0.5
rest_s = 0.3
eased = false
"""


@pytest.fixture(autouse=True)
def only_the_toy(monkeypatch):
    def named(name):
        if name != "toy":
            raise InputError(f"There is no scene {name!r}; choose one of: toy.")
        return scene

    monkeypatch.setattr(scenes, "NAMES", ("toy",))
    monkeypatch.setattr(scenes, "named", named)


def test_figures_have_captions_and_alternative_texts(tmp_path, capsys):
    assert main(["figures", "--folder", str(tmp_path)]) == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["README.md", "toy-print.png", "toy.png"]
    index = (tmp_path / "README.md").read_text()
    assert f"![{scene.sentence()}](toy.png)" in index
    assert "## A toy disc" in index
    assert Image.open(tmp_path / "toy.png").text["Description"] == scene.sentence()
    assert capsys.readouterr().out.split() == [str(tmp_path / "toy.png")]


def test_figures_made_twice_are_the_same_and_replaced_only_when_told(tmp_path, capsys):
    arguments = ["figures", "toy", "--folder", str(tmp_path)]
    main(arguments)
    first = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert main(arguments) == 1
    assert "toy.png is already there and was left as it is" in capsys.readouterr().err
    assert main([*arguments, "--overwrite"]) == 0
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == first


def test_figures_want_a_folder_and_a_scene_that_exist(tmp_path, capsys):
    assert main(["figures", "--folder", str(tmp_path / "none")]) == 1
    assert "There is no folder" in capsys.readouterr().err
    assert main(["figures", "moonrise", "--folder", str(tmp_path)]) == 1
    assert "There is no scene 'moonrise'; choose one of: toy." in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_scene_that_fails_leaves_no_index(tmp_path):
    failing = dataclasses.replace(scene, compute=refusing, name="failing")
    failing = dataclasses.replace(
        failing,
        controls=(dataclasses.replace(scene.controls[0], default=-5), *scene.controls[1:]),
    )
    with pytest.raises(OutOfRangeError, match=r"below the horizon"):
        list(figures([scene, failing], tmp_path))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["toy-print.png", "toy.png"]


def test_a_segment_becomes_a_film(tmp_path, capsys):
    (tmp_path / "a.toml").write_text(SEGMENT)
    path = tmp_path / "a.mp4"
    settings = ["--width-px", "640", "--frames-per-second", "10", "--look", "print"]
    assert main(["film", str(tmp_path / "a.toml"), str(path), *settings]) == 0
    assert capsys.readouterr().out == f"{path}: 10 frames\n"
    with av.open(path) as container:
        assert len(list(container.decode(video=0))) == 10


def test_a_segment_is_read_as_it_is_written(tmp_path):
    (tmp_path / "a.toml").write_text(SEGMENT)
    states = Segment.load(tmp_path / "a.toml").states(10)
    assert [state["centre"] for state in states] == [0, 0, 2, 4, 6, 8, 10, 10, 10, 10]
    assert states[-1]["colour"] == "green"


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ("rest_s = 1", InputFileError, r"is no segment: 'scene'. It holds a scene, rest_s"),
        ('scene = "toy"\nspeed = 1', InputFileError, r"is no segment: .*'speed'"),
        ('scene = "toy"\n[[move]]\nvalues = {}', InputFileError, r"is no segment: .*'seconds'"),
        ('scene = "toy"\nmove = 3', InputFileError, r"is no segment"),
        ('scene = "moonrise"', InputError, r"There is no scene 'moonrise'"),
        ('scene = "toy"\nstart = { warp = 1 }', StateError, r"has no control warp"),
        ('scene = "toy"\nstart = 3', StateError, r"The state is 3; give the names"),
        ("scene = ", InputFileError, r"is not TOML"),
    ],
)
def test_a_file_that_is_no_segment_is_refused(tmp_path, text, error, words):
    (tmp_path / "a.toml").write_text(text)
    with pytest.raises(error, match=words):
        Segment.load(tmp_path / "a.toml")


def test_a_refused_film_says_why_and_leaves_nothing(tmp_path, capsys):
    (tmp_path / "a.toml").write_text(SEGMENT)
    assert main(["film", str(tmp_path / "a.toml"), str(tmp_path / "a.avi")]) == 1
    assert "a film ends in .mp4 or .mkv" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["a.toml"]


def test_check_names_every_part(capsys):
    assert main(["check"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in lines] == [
        "good  widgets for notebooks", "good  H.264 encoder for films", "good  scene toy",
    ]  # fmt: skip
    assert lines[-1].endswith(scene.sentence())


def test_check_fails_where_a_part_does(capsys, monkeypatch):
    sinking = dataclasses.replace(scene, describe=lambda result: 1 / 0)
    monkeypatch.setattr(scenes, "named", lambda name: sinking)
    assert main(["check"]) == 1
    assert "FAILED  scene toy: ZeroDivisionError: division by zero" in capsys.readouterr().out


def test_it_runs_as_a_module():
    run = subprocess.run(
        [sys.executable, "-m", "lowsun", "--help"], capture_output=True, text=True, check=True
    )
    assert "python -m lowsun" in run.stdout
    assert all(command in run.stdout for command in ("figures", "film", "check"))
