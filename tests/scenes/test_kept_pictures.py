"""The pictures in figures/ are what the scenes draw today, pixel by pixel.

They are the kept pictures of the tests too: whatever moves, changes its colour or vanishes in a
scene's first picture, on the screen or in print, is seen here. Where a change is meant:
`python -m lowsun figures SCENE --overwrite`, and look at it.
"""

import re

import numpy as np
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.drawing.look import DARK, PRINT
from lowsun.scenes import named
from lowsun.stage.figures import WIDTH_PX, _entry
from lowsun.stage.stills import still
from read_back import FIGURES, unlike

EVERY = pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)


def rgb(path):
    return np.asarray(Image.open(path).convert("RGB"))


@EVERY
@pytest.mark.parametrize(("look", "end"), [(DARK, ""), (PRINT, "-print")], ids=["dark", "print"])
def test_figure_is_what_the_scene_draws(scene, look, end, tmp_path):
    still(scene, {}, tmp_path / "now.png", look=look, width_px=WIDTH_PX)
    kept = FIGURES / f"{scene.name}{end}.png"
    assert not unlike(rgb(kept), rgb(tmp_path / "now.png")), f"{kept.name} is another picture"


@EVERY
def test_figure_is_told_by_the_sentence_of_today(scene):
    sentence = scene.sentence()
    for end in ("", "-print"):
        assert Image.open(FIGURES / f"{scene.name}{end}.png").text["Description"] == sentence
    told = (FIGURES / "README.md").read_text(encoding="utf-8").split(f"## {scene.title}\n\n")[1]
    told = told.split("\n## ")[0]
    assert f"\n{sentence} For paper: [" in told
    linked = re.findall(r"\]\(([^)]+)\)", told)
    assert linked == [f"{scene.name}.png", f"{scene.name}-print.png"]
    assert _entry(scene, sentence).strip() == f"## {scene.title}\n\n{told}".strip()


# --- what the comparison sees -----------------------------------------------------------------


def drawn(tmp_path, change=lambda picture: None):
    """The rims as a still after a change to the picture."""

    scene, figure = named("rims"), DARK.figure(WIDTH_PX)
    with DARK.applied():
        picture = scene.picture(figure, DARK)
        result = scene.computed(scene.defaults(), WIDTH_PX / 1280)
        picture.show(result, scene.describe(result))
        change(picture)
        for raster in picture.rasters:
            raster.as_image()
        figure.savefig(tmp_path / "changed.png")
    return rgb(tmp_path / "changed.png")


def a_bar_one_pixel_on(picture):
    axes = picture.figure.axes[0]
    bar = next(line for line in axes.lines if np.ptp(line.get_ydata()) == 0)
    px = np.ptp(axes.get_xlim()) / 400  # at 1280 x 720 the field is 400 pixels wide
    bar.set_xdata(bar.get_xdata() + px)


def a_marker_one_pixel_up(picture):
    axes = picture.figure.axes[3]
    picture.marks.set_ydata(picture.marks.get_ydata() + np.ptp(axes.get_ylim()) / 484)


def a_title_gone(picture):
    picture.figure.axes[1].set_title("", loc="left")


def a_raster_a_shade_darker(picture):
    picture.disc.show((0.97 * picture.disc.rgb).astype(np.uint8))


def test_nothing_changed_is_the_same_picture(tmp_path):
    assert not unlike(rgb(FIGURES / "rims.png"), drawn(tmp_path))


@pytest.mark.parametrize(
    "change", [a_bar_one_pixel_on, a_marker_one_pixel_up, a_title_gone, a_raster_a_shade_darker]
)
def test_a_small_change_is_seen(change, tmp_path):
    assert unlike(rgb(FIGURES / "rims.png"), drawn(tmp_path, change))


def test_letters_smoothed_in_another_way_are_not_seen():
    # Half-covered pixels at the edges of letters and lines, an eighth fuller: another gamma.
    kept = rgb(FIGURES / "rims.png")
    surround = np.array([0x0B, 0x0D, 0x12])
    cover = np.clip((kept[..., :3] - surround) / 225.0, 0.0, 1.0)
    page = np.where(cover < 1.0, np.rint(surround + 225.0 * cover**0.88), kept).astype(np.uint8)
    page[50:660, 120:1040] = kept[50:660, 120:1040]  # the rasters are no letters
    assert not np.array_equal(page, kept)
    assert not unlike(kept, page)
