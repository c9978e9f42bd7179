"""In another language nothing on a stage is left in English: a tongue made up shows what is.

Sentences at every end of every control are asked in `tests/scenes/test_every_scene.py`.
"""

import errno
import os
import re
from dataclasses import replace
from datetime import date
from html import unescape
from importlib.resources import files
from pathlib import Path

import ipywidgets
import pytest
from matplotlib.text import Text
from PIL import Image

import spoilt
from lowsun import scenes
from lowsun.drawing.frame_series import frame_series
from lowsun.drawing.look import LOOKS
from lowsun.errors import LowsunError
from lowsun.fieldwork import frames, skyline
from lowsun.fieldwork.frames import beside, record
from lowsun.physics import soundings
from lowsun.physics.medium import Air
from lowsun.scenes import questions, sketches
from lowsun.scenes.controls import Choice, Day, File, Number, Switch, UserFile
from lowsun.sky import Place
from lowsun.stage import Segment, ask, film, keeping, live
from lowsun.stage.frame_reader import sheet
from lowsun.words import speech
from tongue import left_in_english, made_up


@pytest.fixture(autouse=True)
def in_the_tongue():
    with made_up():
        yield


def texts_of(picture):
    return [text.get_text() for text in picture.figure.findobj(Text) if text.get_visible()]


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_every_word_and_number_of_a_scene_is_in_its_language(scene):
    stage = live(scene, width_px=640)
    shown = [stage.sentence, stage._screen.caution, *stage._screen.words.values()]
    shown += texts_of(stage._canvas.picture) + texts_on(stage._widget)
    assert {text: left_in_english(text) for text in shown if left_in_english(text)} == {}


def texts_on(widget):
    """The words of a widget and of all inside it."""
    found = [getattr(widget, name, "") for name in ("description", "tooltip", "placeholder")]
    found += getattr(widget, "_options_labels", ())
    for child in getattr(widget, "children", ()):
        found += texts_on(child)
    return [text for text in found if text]


@pytest.mark.parametrize("name", sketches.SKETCHES)
def test_every_word_of_a_sketch_is_in_its_language(name):
    sketch = sketches.sketch(name)
    shown = [sketch.words, sketch.x_name, sketch.y_name, *(line.name for line in sketch.lines)]
    assert {text: left_in_english(text) for text in shown if left_in_english(text)} == {}


@pytest.mark.parametrize("name", dict.fromkeys(each.scene for each in questions.every()))
def test_every_word_of_the_questions_is_in_its_language(name):
    widget = ask(live(name, width_px=640))
    shown = texts_on(widget) + [
        re.sub(r"<[^>]*>", "", each.value) for each in widget.children
        if isinstance(each, ipywidgets.HTML)
    ]  # fmt: skip
    assert {text: left_in_english(text) for text in shown if left_in_english(text)} == {}


def test_the_tongue_made_up_tells_a_word_that_is_no_message():
    assert left_in_english("the Sun") == {"the", "Sun"}
    assert left_in_english(speech.say("{height:.1f} m high", height=1.5)) == set()
    assert left_in_english("1.5 m") == {"1.5"}


# --- what is refused ---------------------------------------------------------------------------

BAD = {
    Number: ("?", "", 1e9, -1e9),
    Choice: ("?",),
    Switch: ("?", 1),
    Day: (None, "?", date(1800, 1, 1)),
    File: (7, "none.csv", "picture.png", UserFile("a.png", b""), {"name": "a.csv"}),
}
FROM_THE_FILE = re.compile(
    r"'[^']*'|\S+\.(?:csv|png)|[a-z]+_[a-z]+|[A-Z1 ]+ \(\d+(-\d+)?\)|\b0x\S+"
)


def refused(ask, *given):
    """What is left of the sentence of a refusal without what it quotes."""
    with pytest.raises(LowsunError) as told:
        ask(*given)
    return FROM_THE_FILE.sub("", str(told.value))


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_every_refusal_of_a_control_is_in_its_language(scene):
    told = [
        refused(control.check, bad)
        for control in scene.controls
        for kind, values in BAD.items()
        if isinstance(control, kind)
        for bad in values
    ]
    assert len(told) >= len(scene.controls)
    assert {text: left_in_english(text) for text in told if left_in_english(text)} == {}


@pytest.mark.parametrize("name", ["any_air", "evening_plan"])
def test_a_file_that_cannot_be_read_is_refused_in_the_language_of_the_page(name):
    stage = live(name, width_px=320)
    (control,) = (each for each in stage.scene.controls if isinstance(each, File))
    for content in (b"\xff\xfe no text", b"", b"one line,of words\n"):
        stage._knobs[control.name].value = UserFile("mine.csv", content)
        assert stage._screen.error_at == control.name or "mine.csv" in stage.error
        assert left_in_english(FROM_THE_FILE.sub("", stage.error)) == set()
        assert stage.error


@pytest.mark.parametrize(("content", "english"), [*spoilt.TEXTS, *spoilt.ARCHIVES])
def test_every_refusal_of_an_ascent_is_in_its_language(content, english):
    assert left_in_english(refused(soundings.parse, content, "ascent.csv")) == set(), english


@pytest.mark.parametrize(("content", "english"), spoilt.SKYLINES)
def test_every_refusal_of_a_skyline_is_in_its_language(content, english):
    assert left_in_english(refused(skyline.parse, content, "hills.csv")) == set(), english


def test_the_report_of_an_ascent_is_in_its_language():
    head = "height_m,pressure_hpa,temperature_c,wind_m_per_s\n"
    (ascent,) = soundings.parse(f"{head}-5,1020,15,1\n,1013,15,1\n,950,12,1\n,800,2,1\n", "a.csv")
    told = FROM_THE_FILE.sub("", ascent.report.sentence()).replace("_per_s", "")
    assert left_in_english(told) == set()


STATES = {  # in which a scene has nothing to show
    "last_light": {"latitude_deg": 90.0, "day": date(2053, 1, 1)},
    "exposure_ladder": {"fastest": "1/125 s", "slowest": "1/250 s"},
    "shadow_evening": {"latitude_deg": 90.0, "day": date(2053, 1, 1)},
    "evening_plan": {"focal_length_mm": 1500.0, "pixel_um": 1.0},
}


@pytest.mark.parametrize(("name", "state"), STATES.items(), ids=STATES)
def test_what_a_scene_cannot_show_is_said_in_its_language(name, state):
    scene = scenes.named(name)
    assert left_in_english(refused(scene.compute, scene.check(state))) == set()


def test_why_a_picture_could_not_be_saved_is_said_in_its_language(tmp_path, monkeypatch):
    stage = live("rims", width_px=320)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(Path, "open", no_room)
    stage._keep(keeping.state_file)
    assert stage._screen.told
    assert left_in_english(stage._screen.told.replace("rims-state-1.toml", "")) == set()


def no_room(path, *given, **named):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_the_progress_of_a_film_is_told_in_its_language(tmp_path, capsys):
    segment = Segment(scene=scenes.named("rims"), rest_s=0.1)
    film(segment, tmp_path / "a.mp4", frames_per_second=24, width_px=320)
    told = capsys.readouterr().err
    assert speech.say("frame") in told
    assert "frame" not in told
    assert "rim" not in told.lower()


REMNANT = re.compile(r"\S+\.(?:png|jpg|csv)|--[\w-]+|sRGB|[\d-]+T[\d:.]+Z?")


def words_of_page(page):
    """What a page shows or reads out: its text, and what stands for its pictures."""
    body = re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    told = [*re.findall(r'alt="([^"]*)"', body), re.sub(r"<[^>]*>", " ", body)]
    return REMNANT.sub("", unescape(" ".join(told)))


@pytest.fixture(scope="module")
def read_frames():
    folder = files("lowsun.data") / "evening"
    names = ("evening-3.jpg", "evening-7.jpg")
    found = [(name, frames.readings(folder / name)[0][1]) for name in names]
    burnt = replace(
        found[0][1], stops_over=1.3, clipped_red=0.4, disc_width_px=70.0,
        reasons=("burnt out: 40 % of the disc, 5 % are allowed", "tone curve unknown"),
    )  # fmt: skip
    missing = frames.Reading(reasons=("no capture time in the header", "no Sun found"))
    found += [("evening-4.jpg", burnt), ("evening-1.jpg", missing)]
    setting = beside.Setting(Place("p", 52.1, -10.4, 95), Air())
    return folder, found, beside.evening(found, setting)


def test_every_word_of_a_contact_sheet_is_in_its_language(read_frames, tmp_path):
    folder, found, evening = read_frames
    earlier = [record.Line(date="2027-01-31", flattest="0.8123", widest_rim_px="2.31")]
    sheet.write(folder, tmp_path, found, earlier=earlier, evening=evening)
    page = words_of_page((tmp_path / "frames.html").read_text(encoding="utf-8"))
    assert left_in_english(page) == set()
    for name in ("frames.png", "frames-series.png"):
        with Image.open(tmp_path / name) as picture:
            assert left_in_english(REMNANT.sub("", picture.info["Description"])) == set()


def test_a_contact_sheet_names_its_language(read_frames, tmp_path):
    folder, found, evening = read_frames
    with speech.speaking("pt"):
        sheet.write(folder, tmp_path, found, evening=evening)
    page = (tmp_path / "frames.html").read_text(encoding="utf-8")
    assert '<html lang="pt">' in page
    assert "Queimado por 1,3 stops: expõe 1,8 stops menos." in page
    assert "Modelo, altura verdadeira do Sol" in page


def test_the_ticks_of_the_series_are_in_its_language(read_frames):
    figure = frame_series(read_frames[2], "", LOOKS["dark"])
    figure.draw_without_rendering()
    told = [text.get_text() for text in figure.findobj(Text) if text.get_visible()]
    assert {text: left_in_english(text) for text in told if left_in_english(text)} == {}
    assert any("," in text for text in told)
