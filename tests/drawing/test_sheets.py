"""Pictures laid out for square and upright sheets: large, round, nothing over anything else."""

from itertools import combinations

import numpy as np
import pytest
from matplotlib.text import Text

from lowsun import scenes
from lowsun.drawing.look import DARK, SHEETS_IN
from lowsun.drawing.picture import Picture
from lowsun.stage.canvas import Canvas

LAID_OUT = (
    "setting_sun", "rims", "any_air", "where_to_stand", "last_light", "exposure_ladder",
    "earth_shadow", "polar_sunset", "polar_map", "caught", "evening_plan",
    "which_evenings",
)  # fmt: skip
WIDTH_PX = 1080


@pytest.fixture(scope="module")
def drawn():
    """Draws the picture of a scene on a sheet, once for all tests."""
    kept = {}

    def draw(name, sheet):
        if (name, sheet) not in kept:
            scene = scenes.named(name)
            canvas = Canvas(scene, DARK, WIDTH_PX, sheet)
            result = scene.computed(scene.defaults(), 1.0)
            pixels = canvas.draw(result, scene.describe(result)).copy()
            kept[name, sheet] = canvas, pixels
        return kept[name, sheet]

    return draw


every = pytest.mark.parametrize("name", LAID_OUT)
on_both = pytest.mark.parametrize("sheet", ["square", "upright"])


def test_the_scenes_named_here_are_those_that_are_laid_out():
    with_sheets = {scene.name for scene in scenes.every() if getattr(scene.picture, "sheets", ())}
    assert with_sheets >= set(LAID_OUT)
    for name in with_sheets:
        assert set(scenes.named(name).picture.sheets) == {"square", "upright"}


@every
@on_both
def test_the_phenomenon_is_large_and_axes_lie_apart(drawn, name, sheet):
    canvas, _ = drawn(name, sheet)
    whole = canvas.figure.bbox
    boxes = [axes.get_window_extent() for axes in canvas.figure.axes]
    seen = [raster.axes.get_window_extent() for raster in canvas.picture.rasters] or boxes[:1]
    assert sum(box.width * box.height for box in seen) > 0.2 * whole.width * whole.height
    for box in boxes:
        assert box.x0 > 0.03 * whole.width
        assert box.x1 < 0.98 * whole.width
        assert box.y0 > 0.2 * whole.height
        assert box.y1 < 0.93 * whole.height
    for one, other in combinations(boxes, 2):
        assert not one.padded(2).overlaps(other)


@every
@on_both
def test_letters_are_large_and_none_leaves_the_sheet(drawn, name, sheet):
    canvas, pixels = drawn(name, sheet)
    sizes = [text.get_fontsize() for text in canvas.figure.findobj(Text) if text.get_text()]
    px_per_pt = canvas.figure.dpi / 72
    assert min(sizes) * px_per_pt > WIDTH_PX / 55  # 20 px: read on a telephone held upright
    empty = pixels[-1, -1, :3].astype(int)
    lit = np.abs(pixels[..., :3].astype(int) - empty).max(axis=2) > 30
    assert not lit[:, :3].any()
    assert not lit[:, -3:].any()
    title_room = lit[: round(0.04 * lit.shape[0])]
    assert not title_room.any()


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_a_back_row_reads_every_letter(scene):
    # A wide picture is watched from up to six times its height: 1/45 of it is then 13 arcmin.
    # Square and upright sheets are held in a hand: see above.
    canvas = Canvas(scene, DARK, 1280)
    result = scene.result()
    canvas.draw(result, scene.describe(result))
    least_px = canvas.figure.bbox.height / 45
    words = [text for text in canvas.figure.findobj(Text) if text.get_text().strip()]
    words += [text for axes in canvas.figure.axes for text in axes.texts]  # empty ones too
    small = [text.get_text() for text in words if _height_px(text, canvas) < least_px]
    assert len(words) > 5
    assert not small


def _height_px(text, canvas):
    return text.get_fontsize() * canvas.figure.dpi / 72


@on_both
def test_the_sun_keeps_its_shape(drawn, sheet):
    sun, rims = (drawn(name, sheet)[0].picture for name in ("setting_sun", "rims"))
    for axes in (sun.view, rims.disc.axes):
        origin, one = axes.transData.transform([(0, 0), (1, 1)])
        across, up = one - origin
        assert across == pytest.approx(up, rel=1e-6)


@on_both
def test_a_raster_is_cropped_to_its_axes_and_never_stretched(drawn, sheet):
    for raster in drawn("rims", sheet)[0].picture.rasters:
        left, right, bottom, top = raster._extent()
        rows, columns, _ = raster.rgb.shape
        scales = (right - left) / columns, (top - bottom) / rows
        assert scales[0] == pytest.approx(scales[1], rel=0.06)


@on_both
def test_the_arch_is_shown_larger_than_on_a_wide_sheet(drawn, sheet):
    def px_per_deg(sheet):
        axes = drawn("earth_shadow", sheet)[0].picture.view
        return np.diff(axes.transData.transform([(180, 0), (180, 1)])[:, 1])[0]

    wide = px_per_deg("wide")
    assert px_per_deg(sheet) > 1.4 * wide


def test_a_sheet_is_told_by_the_figures_shape():
    class Bare(Picture):
        def update(self, result):
            """Nothing changes."""

    for sheet in SHEETS_IN:
        assert Bare(DARK.figure(640, sheet), DARK).sheet == sheet


@every
@on_both
def test_numbers_along_an_axis_do_not_run_into_each_other(drawn, name, sheet):
    canvas, _ = drawn(name, sheet)
    for axes in canvas.figure.axes:
        if not axes.axison:
            continue
        boxes = [label.get_window_extent() for label in axes.get_xticklabels()
                 if label.get_text() and label.get_visible()]  # fmt: skip
        for one, other in combinations(boxes, 2):
            assert not one.overlaps(other), axes.get_title()
