"""In another language nothing on a stage is left in English: a tongue made up shows what is.

It says every message in small Greek letters, so that a Latin word on the screen is one that no
message holds, and it writes a comma before decimals.
"""

import re
from dataclasses import replace
from gettext import NullTranslations
from html import unescape
from importlib.resources import files

import ipywidgets
import pytest
from matplotlib.text import Text
from PIL import Image

from lowsun import scenes
from lowsun.drawing.frame_series import frame_series
from lowsun.drawing.look import LOOKS
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import beside, record
from lowsun.physics.medium import Air
from lowsun.scenes import questions, sketches
from lowsun.sky import Place
from lowsun.stage import ask, live
from lowsun.stage.frame_reader import sheet
from lowsun.words import speech

LATIN, GREEK = "abcdefghijklmnopqrstuvwxyz", "αβψδεφγηιξκλμνοπθρστυϋωχψζ"
LETTERS = str.maketrans(LATIN + LATIN.upper(), GREEK + GREEK.upper())
FIELD = re.compile(r"(\{[^}]*\})")
# Symbols of units, time zones, formats of files, and names of commands and of controls in code.
SYMBOLS = {
    "min", "nm", "mm", "km", "hPa", "ISO", "DU", "px", "csv", "txt", "ND", "lx", "cm",
    "UTC", "GMT", "IST", "HDT", "DMT",
}  # fmt: skip
MONTHS = {
    "jan",
    "fev",
    "mar",
    "abr",
    "mai",
    "jun",
    "jul",
    "ago",
    "set",
    "out",
    "nov",
    "dez",
}  # CLDR
WORD = re.compile(r"[A-Za-z]{2,}")
POINT = re.compile(r"(\d)\.(\d)")


class MadeUp(NullTranslations):
    """Says every message in Greek letters, its fields kept."""

    def gettext(self, message):
        return "".join(
            part if FIELD.fullmatch(part) else POINT.sub(r"\1,\2", part).translate(LETTERS)
            for part in FIELD.split(message)
        )

    def ngettext(self, one, several, number):
        return self.gettext(one if number == 1 else several)


@pytest.fixture(autouse=True)
def made_up(monkeypatch):
    portuguese = speech.language("pt").locale
    monkeypatch.setitem(speech.LOCALES, "xx", "pt_PT")
    monkeypatch.setattr(
        speech, "language", lambda code: speech.Language(code, MadeUp(), portuguese)
        if code == "xx" else speech_language(code),
    )  # fmt: skip
    with speech.speaking("xx"):
        yield


speech_language = speech.language


def left_in_english(text):
    words = {word for word in WORD.findall(text) if word not in SYMBOLS | MONTHS}
    return words | {found[0] for found in POINT.finditer(text)}


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


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_every_sentence_at_every_end_is_in_its_language(scene):
    said = {state[control.name]: scene.sentence(**state) for control, state in scene.sweep()}
    assert {text: left_in_english(text) for text in said.values() if left_in_english(text)} == {}


@pytest.mark.parametrize("name", sketches.SKETCHES)
def test_every_word_of_a_sketch_is_in_its_language(name):
    sketch = sketches.sketch(name)
    shown = [sketch.words, sketch.x_name, sketch.y_name, *(line.name for line in sketch.lines)]
    assert {text: left_in_english(text) for text in shown if left_in_english(text)} == {}


@pytest.mark.parametrize("name", dict.fromkeys(each.scene for each in questions.QUESTIONS))
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
