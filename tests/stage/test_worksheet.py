"""Worksheets, read back by poppler: one page each, every question, answers that are computed."""

import re
import shutil
import subprocess
from datetime import UTC, datetime

import numpy as np
import pytest

from lowsun import scenes
from lowsun.__main__ import main
from lowsun.errors import InputError, LowsunError, OutputFileError
from lowsun.notebook import scene
from lowsun.scenes import caution, questions
from lowsun.scenes.lesson import MINUTES, lesson, with_questions
from lowsun.stage import worksheet
from lowsun.stage.worksheet import sheets
from truths import truth

STAMP = datetime(2027, 3, 20, tzinfo=UTC)
poppler = pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler-utils is not here")


def read(tool, path, *more):
    after = ["-"] if tool == "pdftotext" else []
    return subprocess.run([tool, *more, str(path), *after], capture_output=True, check=True).stdout


def text(path):
    """All words in one line, soft line ends undone."""
    return " ".join(read("pdftotext", path, "-raw").decode().split())


def written(tmp_path, content):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(content)
    return path


def pages(path):
    return int(re.search(rb"Pages:\s+(\d+)", read("pdfinfo", path))[1])


@pytest.fixture(scope="module")
def rims_sheets(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sheets")
    return worksheet.write(scene("rims"), folder, stamp=STAMP)


@poppler
@pytest.mark.parametrize("name", with_questions())
def test_one_page_holds_every_question_of_a_scene(name, tmp_path):
    played = scene(name)
    path = written(tmp_path, sheets.students(played, played.defaults(), "letter"))
    assert pages(path) == 1
    said = text(path)
    for question in questions.about(name):
        assert question.words in said
        for option in getattr(question, "options", ()):
            assert option in said
    assert caution.SHORT in said


@poppler
def test_fonts_lie_inside_and_nothing_is_coloured_but_the_picture(rims_sheets):
    for path in rims_sheets:
        fonts = read("pdffonts", path).decode().splitlines()[2:]
        assert fonts
        for font in fonts:
            assert font.split()[-5:-2] == ["yes", "yes", "yes"], font  # embedded, subset, unicode
        assert pages(path) == 1
    pixels = np.frombuffer(read("pdftoppm", rims_sheets[1], "-r", "50", "-gray"), np.uint8)
    assert np.mean(pixels > 250) > 0.85  # white paper
    colour = read("pdftoppm", rims_sheets[1], "-r", "50").split(b"255\n", 1)[1]
    red, green, blue = np.frombuffer(colour, np.uint8).reshape(-1, 3).T.astype(int)
    assert np.abs(red - green).max() == np.abs(green - blue).max() == 0


@poppler
def test_the_teachers_answers_are_the_questions_truths(rims_sheets):
    students, teacher = (text(path) for path in rims_sheets)
    for question in questions.about("rims"):
        shown = question.shown(truth(question.name))
        assert f"{shown}." in teacher
        assert question.hint in teacher
        assert question.hint not in students
        if not hasattr(question, "options"):
            assert shown not in students


@poppler
def test_the_lesson_stands_on_the_teachers_page(rims_sheets):
    said = text(rims_sheets[1])
    steps = lesson(scene("rims"))
    assert sum(step.minutes for step in steps) == MINUTES
    assert "41 to 45 min What is left" in said
    for step in steps:
        assert step.words in said


@pytest.mark.parametrize("name", with_questions())
def test_a_lesson_lasts_45_minutes(name):
    assert sum(step.minutes for step in lesson(scene(name))) == MINUTES


def test_answers_follow_the_state_and_say_where_there_is_none():
    played, question = scene("rims"), questions.question("three_pixels")
    shown, room = sheets.answer(question, played, played.defaults())
    low, high = (float(number) for number in re.findall(r"\d+\.\d", room))
    assert low < float(shown.rstrip("°")) < high
    assert sheets.answer(question, played, played.check({"focal_length_mm": 800}))[0] != shown
    refused = sheets.answer(question, played, played.check({"focal_length_mm": 50}))
    assert refused[0] == "no answer for these settings"
    assert "no rim fills three pixels" in refused[1]


def test_settings_are_said_and_folded_ones_only_where_they_were_moved():
    played = scene("rims")
    assert sheets.settings(played, played.defaults()).startswith(
        "Set: lower limb above the sea horizon 0°; short wavelength 500 nm;"
    )
    assert "air temperature" not in sheets.settings(played, played.defaults())
    moved = sheets.settings(played, played.check({"temperature_c": -5}))
    assert "air temperature \N{MINUS SIGN}5 °C" in moved.replace("°C", " °C").replace("  ", " ")


def test_the_command_takes_a_saved_state_and_overwrites_nothing(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    scene("rims").save({"focal_length_mm": 800}, "mine.toml")
    asked = ["worksheet", "rims", "--state", "mine.toml", "--paper", "letter"]
    assert main(asked) == 0
    names = ["rims-students.pdf", "rims-teacher.pdf"]
    assert sorted(path.name for path in (tmp_path / "worksheets").iterdir()) == names
    before = (tmp_path / "worksheets" / names[0]).read_bytes()
    assert main(asked) == 1
    assert "is already there" in capsys.readouterr().err
    assert (tmp_path / "worksheets" / names[0]).read_bytes() == before
    assert main([*asked, "--overwrite"]) == 0


def test_the_help_shows_what_comes_out_and_an_example(capsys):
    with pytest.raises(SystemExit):
        main(["worksheet", "--help"])
    said = capsys.readouterr().out
    assert "SCENE-teacher.pdf" in said
    assert "python -m lowsun worksheet rims\n" in said
    assert "Nothing that is there already is overwritten unasked." in said


def test_what_does_not_fit_is_refused(tmp_path):
    with pytest.raises(InputError, match=r"no questions about polar_map; choose one of: setting"):
        worksheet.write(scenes.named("polar_map"), tmp_path)
    with pytest.raises(InputError, match=r"paper is 'a5'; give one of a4, letter"):
        worksheet.write(scene("rims"), tmp_path, paper="a5")
    with pytest.raises(InputError, match=r"a scene, such as"):
        worksheet.write("rims", tmp_path)
    for given, said in (
        ({"state": []}, r"The state is \[\]; give the names"),
        ({"stamp": "now"}, "stamp is 'now'; give an aware datetime"),
        ({"overwrite": "no"}, "give True or False"),
        ({"folder": 5}, "give the name of a file"),
    ):
        with pytest.raises(LowsunError, match=said):
            worksheet.write(**{"scene": scene("rims"), "folder": tmp_path} | given)
    with pytest.raises(OutputFileError, match=r"There is no folder"):
        worksheet.write(scene("rims"), tmp_path / "no" / "where")
    assert list(tmp_path.iterdir()) == []
