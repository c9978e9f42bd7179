"""Stills: right size, alternative text inside, the same bytes twice, nothing half-written."""

import dataclasses
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from lowsun.drawing.look import DARK, PRINT
from lowsun.errors import OutOfRangeError, OutputFileError
from lowsun.stage.canvas import Canvas
from lowsun.stage.stills import still
from toy_scene import refusing, scene

SVG = "{http://www.w3.org/2000/svg}"


def test_png_has_the_size_and_the_sentence(tmp_path):
    sentence = still(scene, {"centre": 10}, tmp_path / "a.png", width_px=1600)
    image = Image.open(tmp_path / "a.png")
    assert image.size == (1600, 900)
    assert image.text["Description"] == sentence == scene.sentence(centre=10)
    assert image.text["Title"] == "A toy disc"


def test_png_shows_what_the_live_stage_shows(tmp_path):
    still(scene, {"centre": 10}, tmp_path / "a.png", width_px=1280)
    result = scene.result(centre=10)
    live = Canvas(scene).draw(result, scene.describe(result))[..., :3].astype(int)
    printed = np.asarray(Image.open(tmp_path / "a.png").convert("RGB")).astype(int)
    # matplotlib and Pillow resample the edge of the disc differently, and nothing else
    assert (np.abs(live - printed).max(axis=2) > 40).mean() < 1e-3


def test_svg_is_described_and_drawn_without_fonts(tmp_path):
    sentence = still(scene, {}, tmp_path / "a.svg")
    root = ET.parse(tmp_path / "a.svg").getroot()
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").text == "A toy disc"
    assert root.find(f"{SVG}desc").text == sentence
    assert root.findall(f".//{SVG}image")
    assert not root.findall(f".//{SVG}text")


def test_svg_escapes_the_sentence(tmp_path):
    spoken = dataclasses.replace(scene, describe=lambda result: "a < b & c")
    still(spoken, {}, tmp_path / "a.svg")
    assert ET.parse(tmp_path / "a.svg").getroot().find(f"{SVG}desc").text == "a < b & c"


@pytest.mark.parametrize("suffix", [".png", ".svg"])
def test_the_same_state_gives_the_same_bytes(tmp_path, suffix):
    for name in ("a", "b"):
        still(scene, {}, tmp_path / (name + suffix))
    assert (tmp_path / f"a{suffix}").read_bytes() == (tmp_path / f"b{suffix}").read_bytes()


@pytest.mark.parametrize(("look", "corner"), [(DARK, (11, 13, 18)), (PRINT, (255, 255, 255))])
def test_the_look_sets_the_surround(tmp_path, look, corner):
    still(scene, {}, tmp_path / "a.png", look=look)
    assert Image.open(tmp_path / "a.png").convert("RGB").getpixel((2, 2)) == corner


def test_nothing_is_overwritten_unless_told(tmp_path):
    path = tmp_path / "a.png"
    path.write_text("mine")
    with pytest.raises(OutputFileError, match=r"a.png is already there and was left as it is"):
        still(scene, {}, path)
    assert path.read_text() == "mine"
    still(scene, {}, path, overwrite=True)
    assert Image.open(path).format == "PNG"


def test_a_sized_scene_is_computed_for_the_still(tmp_path):
    asked = []
    sized = dataclasses.replace(
        scene, compute=lambda state, fine: asked.append(fine) or scene.compute(state), sized=True
    )
    still(sized, {}, tmp_path / "a.png", width_px=1920)
    assert asked == [1.5]


def test_a_failure_leaves_nothing_behind(tmp_path):
    with pytest.raises(OutOfRangeError, match=r"below the horizon"):
        still(dataclasses.replace(scene, compute=refusing), {"centre": -5}, tmp_path / "a.png")
    unspeakable = dataclasses.replace(scene, picture=lambda figure, look: figure.no_such_part)
    with pytest.raises(AttributeError, match=r"no_such_part"):
        still(unspeakable, {}, tmp_path / "a.png")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["a.gif", "a", "a.PNG.txt"])
def test_an_unknown_ending_is_refused(tmp_path, name):
    with pytest.raises(OutputFileError, match=r"a still ends in .png or .svg"):
        still(scene, {}, tmp_path / name)
