"""Starting in a folder of one's own: all is copied, and nothing that was there is lost."""

from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from lowsun.__main__ import main
from lowsun.stage import start_command

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


def test_notebooks_talk_and_segments_are_copied(tmp_path, capsys):
    folder = tmp_path / "mine" / "evening"
    assert main(["start", str(folder)]) == 0
    for path in NOTEBOOKS.glob("*.ipynb"):
        assert (folder / path.name).read_bytes() == path.read_bytes()
    assert (folder / "talk" / "sky-club.toml").is_file()
    assert (folder / "segments" / "polar_descent.toml").is_file()
    assert capsys.readouterr().out == f"Next: jupyter lab {folder / '00-start-here.ipynb'}\n"


def test_what_is_there_is_left_and_what_is_missing_is_added(tmp_path, capsys):
    main(["start", str(tmp_path)])
    (tmp_path / "01-dispersion.ipynb").write_text("my own notes")
    (tmp_path / "02-refraction.ipynb").unlink()
    capsys.readouterr()
    assert main(["start", str(tmp_path)]) == 0
    assert (tmp_path / "01-dispersion.ipynb").read_text() == "my own notes"
    assert (tmp_path / "02-refraction.ipynb").is_file()
    printed = capsys.readouterr().out
    assert printed.count("was left as it is") == 1
    assert "01-dispersion.ipynb was there already" in printed


def test_what_a_notebook_server_leaves_beside_notebooks_is_not_copied(monkeypatch, tmp_path):
    used = tmp_path / "used"
    copytree(NOTEBOOKS, used, ignore=ignore_patterns(".*"))
    for place in ("", "talk", "pt/talk"):
        (used / place / ".ipynb_checkpoints").mkdir()
    monkeypatch.setattr(start_command, "SHIPPED", used)
    assert main(["start", str(tmp_path / "mine")]) == 0
    copied = {str(path.relative_to(tmp_path / "mine")) for path in tmp_path.glob("mine/**/*")}
    talks = {
        f"{talk}/sky-club.{kind}" for talk in ("talk", "pt/talk") for kind in ("ipynb", "toml")
    }
    assert talks <= copied
    assert not [name for name in copied if "checkpoint" in name]


def test_a_file_in_the_way_is_answered(tmp_path, capsys):
    (tmp_path / "notes").write_text("mine")
    assert main(["start", str(tmp_path / "notes")]) == 1
    told = capsys.readouterr().err
    assert "The system refused" in told
    assert str(tmp_path / "notes") in told
    assert (tmp_path / "notes").read_text() == "mine"


def test_an_installation_without_notebooks_says_so(monkeypatch, tmp_path, capsys):
    for place in ("SHIPPED", "BESIDE"):
        monkeypatch.setattr(start_command, place, tmp_path / "nothing")
    assert main(["start", str(tmp_path / "mine")]) == 1
    assert "did not come along" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["evening_lighthouse.toml", "evening_valley.toml"])
def test_presets_come_along(name):
    assert f"segments/{name}" in dict(start_command.sources())
