"""The command line: what it writes, what it refuses, and what it answers."""

import dataclasses
import os
import re
import subprocess
import sys
from pathlib import Path

import av
import pytest
from PIL import Image

from lowsun import scenes, stage
from lowsun.__main__ import COMMANDS, main
from lowsun.errors import InputError, InputFileError, LowsunError, OutOfRangeError
from lowsun.scenes.controls import StateError
from lowsun.stage import Move, Segment
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
    assert capsys.readouterr().out == f"{path}: 10 frames for 1 s\n"
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
        ('scene = "toy"\nstart = 3', InputError, r"The state is 3; give the names"),
        ("scene = ", InputFileError, r"is not TOML"),
    ],
)
def test_a_file_that_is_no_segment_is_refused(tmp_path, text, error, words):
    (tmp_path / "a.toml").write_text(text)
    with pytest.raises(error, match=words):
        Segment.load(tmp_path / "a.toml")


@pytest.mark.parametrize(
    ("text", "option", "words"),
    [
        (SEGMENT, "--size=1280x720", "of one scene: give --width-px instead of --size"),
        ("[[shot]]\n" + SEGMENT, "--width-px=1280", "of shots: give --size instead of --width-px"),
    ],
)
def test_a_size_that_would_not_be_heeded_is_refused(tmp_path, capsys, text, option, words):
    (tmp_path / "a.toml").write_text(text)
    assert main(["film", str(tmp_path / "a.toml"), str(tmp_path / "a.mp4"), option]) == 1
    assert words in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["a.toml"]


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


@pytest.mark.parametrize("asked", [[], ["frames"]])
def test_help_waits_for_nothing_heavy(asked):
    # Processes that read frames or render films begin with this module too.
    run = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "lowsun", *asked, "--help"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    imported = {line.rpartition("|")[2].strip() for line in run.stderr.splitlines()}
    assert "argparse" in imported
    assert not imported & {"scipy", "matplotlib", "av", "rawpy", "ipywidgets", "IPython", "fpdf"}


def test_every_command_says_what_it_takes(capsys):
    for name in COMMANDS:
        with pytest.raises(SystemExit, match="0"):
            main([name, "--help"])
        assert f"usage: python -m lowsun {name} [-h]" in capsys.readouterr().out


def test_what_the_stage_does_not_have_is_refused_as_anywhere():
    with pytest.raises(AttributeError, match=r"lowsun\.stage.*'nothing'"):
        stage.nothing  # noqa: B018


def test_an_index_keeps_its_other_entries(tmp_path):
    assert main(["figures", "--folder", str(tmp_path)]) == 0
    index = tmp_path / "README.md"
    kept = "## Another picture\n\nMade by the kit before.\n"
    index.write_text(f"{index.read_text()}\n{kept}")
    before = index.read_text()
    assert main(["figures", "toy", "--overwrite", "--folder", str(tmp_path)]) == 0
    assert index.read_text() == before


def test_an_index_that_is_not_the_kits_is_refused_before_a_picture_is_made(tmp_path, capsys):
    mine = "# My holidays\n\nAll of them.\n"
    (tmp_path / "README.md").write_text(mine)
    assert main(["figures", "--overwrite", "--folder", str(tmp_path)]) == 1
    assert "README.md is not the kit's index of figures and was left" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["README.md"]
    assert (tmp_path / "README.md").read_text() == mine


def test_a_picture_in_the_way_is_told_before_another_is_made(tmp_path):
    (tmp_path / "toy-print.png").write_text("mine")
    assert main(["figures", "--folder", str(tmp_path)]) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["toy-print.png"]


def test_a_colon_in_a_name_is_no_protocol(tmp_path, monkeypatch):
    (tmp_path / "at 18:56").mkdir()
    monkeypatch.chdir(tmp_path / "at 18:56")
    Path("a.toml").write_text(SEGMENT)
    settings = ["--width-px", "320", "--frames-per-second", "5"]
    assert main(["film", "a.toml", "18:56.mp4", *settings]) == 0
    assert sorted(path.name for path in Path().iterdir()) == ["18:56.mp4", "a.toml"]


@pytest.mark.parametrize(
    ("failure", "words"),
    [
        (KeyboardInterrupt, "Stopped. What was being written was removed."),
        (MemoryError, "There is not enough memory for this."),
        (PermissionError(13, "Permission denied"), "Permission denied"),
    ],
)
def test_what_stops_a_command_is_one_line(tmp_path, capsys, monkeypatch, failure, words):
    def stopped(*_, **__):
        raise failure

    (tmp_path / "a.toml").write_text(SEGMENT)
    monkeypatch.setattr("lowsun.stage.canvas.Canvas.draw", stopped)
    assert main(["film", str(tmp_path / "a.toml"), str(tmp_path / "a.mp4")]) == 1
    told = capsys.readouterr().err.splitlines()[-1]
    assert words in told
    assert [path.name for path in tmp_path.iterdir()] == ["a.toml"]


def unmeasured():
    """The environment without coverage, whose own data file would not fit on so small a disk."""
    return {name: value for name, value in os.environ.items() if not name.startswith("COV")}


LITTLE_ROOM = """
import resource, sys
from lowsun.__main__ import main
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
sys.exit(main(sys.argv[1:]))
"""


@pytest.mark.parametrize("name", ["a.mp4", "figures"])
def test_no_room_on_the_disk_is_one_line(tmp_path, name):
    (tmp_path / "a.toml").write_text('scene = "rims"\nrest_s = 1')
    (tmp_path / "figures").mkdir()
    asked = {"a.mp4": ["film", "a.toml", "a.mp4"], "figures": ["figures", "rims"]}[name]
    run = subprocess.run(
        [sys.executable, "-c", LITTLE_ROOM, *asked],
        capture_output=True, text=True, check=False, cwd=tmp_path, timeout=120,
        env=unmeasured(),
    )  # fmt: skip
    assert run.returncode == 1
    assert "cannot be written (File too large)" in run.stderr.splitlines()[-1]
    assert "Traceback" not in run.stderr
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["a.toml", "figures"]


def test_a_segments_files_lie_beside_it(tmp_path):
    (tmp_path / "mine.csv").write_text("1000,100,10\n")
    (tmp_path / "a.toml").write_text('scene = "toy"\nstart = { sounding = "mine.csv" }')
    assert Segment.load(tmp_path / "a.toml").start["sounding"].endswith("mine.csv")
    assert Segment.load(tmp_path / "a.toml").states(10)[0]["sounding"].name == "mine.csv"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('scene = "toy"\nstart = { sounding = "/dev/zero" }', r"is the file 'zero'; allowed are"),
        ('scene = "toy"\nstart = { sounding = "pipe.csv" }', r"pipe.csv is no regular file"),
        ('scene = "toy"\nstart = { sounding = "/etc/passwd" }', r"allowed are names that end in"),
        ('scene = "toy"\n[[move]]\nvalues = {}\nseconds = 1\neased = "no"', r"eased is 'no'; give"),
        ('scene = "toy"\n[[move]]\nvalues = 1\nseconds = 1', r"The state is 1; give the names"),
        ('scene = "toy"\nmove = ["a"]', r"is no segment"),
        ('scene = "toy"\nrest_s = "long"', r"rest_s is 'long', which is not a number"),
        ('scene = "toy"\nrest_s = 4000', r"rest_s is 4000 s; allowed is 0 to 3600 s"),
        ('scene = ["toy"]', r"There is no scene \['toy'\]"),
        ('scene = "toy"\nrest_s = 1' + "0" * 5000, r"is not TOML: Exceeds the limit"),
        (
            'scene = "toy"\n' + "[[move]]\nvalues = {}\nseconds = 3600\nrest_s = 0\n" * 2,
            r"length is 7201 s; allowed is 0 to 3600 s. Shorten its moves",
        ),
    ],
)
def test_a_malformed_segment_is_told_at_once(tmp_path, text, words):
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "a.toml").write_text(text)
    with pytest.raises(LowsunError, match=words):
        Segment.load(tmp_path / "a.toml")


def test_a_film_asks_for_a_state_when_it_draws_it(monkeypatch):
    made = []
    between = type(scene).between
    monkeypatch.setattr(type(scene), "between", lambda *a: made.append(1) or between(*a))
    path = Segment(scene=scene, moves=(Move(values={"centre": 40}, seconds=3500),))
    assert path.frames(120) == 120 + 3500 * 120 + 120
    states = path.each_state(120)
    for _ in range(130):
        next(states)
    assert len(made) == 10


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("--gap=nan", "argument --gap"),
        ("--latitude=inf", "argument --latitude: invalid number value: 'inf'"),
        ("--reach-km=1e999", "argument --reach-km: invalid number value: '1e999'"),
        ("--frames=nan", "argument --frames: invalid number value: 'nan'"),
        ("--date=--", "argument --date: expected a value, not two dashes"),
        ("--folder=--", "argument --folder: expected a value, not two dashes"),
    ],
)
def test_what_is_no_number_is_none_on_a_command_line(capsys, option, words):
    with pytest.raises(SystemExit) as ended:
        main(["plan", option])
    assert ended.value.code == 2
    assert words in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--reach-km", "1000"], "--reach-km is 1000 km; allowed is 1 to 300 km"),
        (["--gap", "400", "10"], "--gap is 400 deg; allowed is 0 to 360 deg"),
        (["--frames", "2.5", "--airs=1"], "frames_planned is 2.5; give a whole number"),
        (["--aim", "1e300", "--airs=1"], "aim_azimuth_deg is 1e[+]300 deg; allowed is -360 to 360"),
    ],
)
def test_options_of_a_plan_that_fit_nothing_are_refused(tmp_path, capsys, options, words):
    assert main(["plan", "--date=2027-03-20", "--folder", str(tmp_path / "a"), *options]) == 1
    assert re.search(words, capsys.readouterr().err)
    assert not (tmp_path / "a").exists()


def test_what_is_for_the_model_alone_is_refused_without_a_place(tmp_path, capsys):
    for option in ("--sounding=a.csv", "--pressure=1e300", "--camera-curves=b.csv"):
        assert main(["frames", str(tmp_path), option]) == 1
        name = option.partition("=")[0]
        assert f"{name} is for the model beside the frames, which has no place" in (
            capsys.readouterr().err
        )
