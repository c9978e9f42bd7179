"""Pictures: rasters land where their axes say, and what lies over them stays visible."""

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from lowsun.drawing.look import DARK, LABEL_PT, TICK_PT
from lowsun.drawing.picture import SENTENCE_LINES, Picture, sentence_lines
from lowsun.drawing.sentence import QuickText
from lowsun.stage.canvas import Canvas
from toy_scene import GLOW, SKY, DiscPicture, scene


def canvas_and_pixels(**values):
    canvas = Canvas(scene)
    result = scene.result(**values)
    return canvas, canvas.draw(result, scene.describe(result)).copy()


def pixel_at(canvas, pixels, axes, x, y):
    across, up = axes.transData.transform((x, y))
    return pixels[round(pixels.shape[0] - up), round(across), :3]


@pytest.mark.parametrize("centre", [-10, 20, 40])
def test_the_raster_lies_at_its_coordinates(centre):
    canvas, pixels = canvas_and_pixels(centre=centre, radius=10)
    view = canvas.picture.view
    for up, colour in [(centre, "glow"), (centre + 8, "glow"), (centre - 9.5, "sky")]:
        expected = GLOW["orange"] if colour == "glow" else SKY
        seen = pixel_at(canvas, pixels, view, 1.5, up)
        np.testing.assert_allclose(seen, expected, atol=1, err_msg=f"{up} arcmin up")


def test_the_disc_is_as_wide_and_high_as_it_was_computed():
    canvas, pixels = canvas_and_pixels(centre=20, radius=16)
    view = canvas.picture.view
    glowing = (
        np.abs(pixels[..., :3].astype(int) - GLOW["orange"]).sum(axis=2) < 188
    )  # half way to the sky
    glowing[:, round(view.get_window_extent().x1) :] = False
    rows, columns = np.nonzero(glowing)
    arcmin_px = view.get_window_extent().height / 80.0
    # a raster row and a canvas pixel are 0.17 arcmin: 0.5 covers both edges
    assert (np.ptp(columns) + 1) / arcmin_px == pytest.approx(32.0, abs=0.5)
    assert (np.ptp(rows) + 1) / arcmin_px == pytest.approx(0.84 * 32.0, abs=0.5)


def test_lines_over_the_raster_are_not_covered():
    canvas, pixels = canvas_and_pixels(centre=30)
    above = canvas.picture.view.transData.transform((30, 0))[1]
    row = pixels.shape[0] - above
    column = canvas.picture.view.transData.transform((30, 0))[0]
    near = pixels[round(row) - 2 : round(row) + 3, round(column), :3]
    assert near.max() > 180


def test_drawing_again_leaves_no_trace_of_the_last_state():
    canvas, first = canvas_and_pixels(centre=-10)
    for centre in (40, 15, -10):
        result = scene.result(centre=centre)
        pixels = canvas.draw(result, scene.describe(result))
    np.testing.assert_array_equal(pixels, first)


def test_pasting_agrees_with_matplotlib_itself():
    _, pasted = canvas_and_pixels(centre=20)
    with DARK.applied():
        figure = DARK.figure()
        agg = FigureCanvasAgg(figure)
        picture = DiscPicture(figure, DARK)
        result = scene.result(centre=20)
        picture.show(result, scene.describe(result))
        picture.rasters[0].as_image()
        agg.draw()
    difference = np.abs(np.asarray(agg.buffer_rgba())[..., :3].astype(int) - pasted[..., :3])
    # matplotlib resamples the disc's edge; elsewhere they are the same pixels
    assert (difference.max(axis=2) > 40).mean() < 1e-3
    assert np.median(difference) == 0


class Windowed(Picture):
    """A raster on a part of its axes that sticks out of them."""

    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.view, _ = self.stacked()
        self.view.set(xlim=(0, 10), ylim=(0, 10))
        self.patch = self.raster(self.view)

    def update(self, result):
        self.patch.show(*result)


def draw_windowed(rgb, extent):
    canvas = Canvas(DrawnBy(Windowed))
    return canvas, canvas.draw((rgb, extent), "")


class DrawnBy:
    def __init__(self, picture):
        self.picture = picture


def quarters():
    rgb = np.zeros((200, 200, 3), dtype=np.uint8)
    rgb[:100, :100, 0] = rgb[:100, 100:, 1] = rgb[100:, :100, 2] = 255
    return rgb


def test_a_raster_is_cut_at_its_axes():
    canvas, pixels = draw_windowed(quarters(), (-5, 5, 5, 15))
    # of the four quarters only the lower right one, black, and edges of the others lie inside
    assert tuple(pixel_at(canvas, pixels, canvas.picture.view, 2.5, 7.5)) == (0, 0, 0)
    surround = pixel_at(canvas, pixels, canvas.picture.view, 7.5, 2.5)
    np.testing.assert_array_equal(surround, (0x0B, 0x0D, 0x12))
    box = canvas.picture.view.get_window_extent()
    left_of_axes = pixels[round(720 - box.y1) + 20, round(box.x0) - 6, :3]
    assert tuple(left_of_axes) != (255, 0, 0)


def test_the_extent_places_each_quarter():
    canvas, pixels = draw_windowed(quarters(), (2, 6, 2, 6))
    at = {
        point: tuple(pixel_at(canvas, pixels, canvas.picture.view, *point))
        for point in [(3, 5), (5, 5), (3, 3), (5, 3)]
    }
    assert at == {(3, 5): (255, 0, 0), (5, 5): (0, 255, 0), (3, 3): (0, 0, 255), (5, 3): (0, 0, 0)}


@pytest.mark.parametrize("extent", [(2, 6, 2, 6), (-5, 5, 5, 15), None])
def test_pixels_of_four_bytes_are_laid_down_as_those_of_three(extent):
    four = np.dstack([quarters(), np.full((200, 200), 255, np.uint8)])
    _, pasted = draw_windowed(four, extent)
    canvas, wanted = draw_windowed(quarters(), extent)
    np.testing.assert_array_equal(pasted, wanted)
    assert (pasted[..., 3] == 255).all()
    exact = canvas.picture.view.get_window_extent()
    own = np.full((round(exact.height), round(exact.width), 4), 255, np.uint8)
    own[..., 1] = 7
    canvas, pasted = draw_windowed(own, None)
    np.testing.assert_array_equal(
        pixel_at(canvas, pasted, canvas.picture.view, 5, 5), (255, 7, 255)
    )


def test_a_raster_wholly_outside_shows_nothing():
    _, empty = draw_windowed(quarters(), (20, 30, 2, 6))
    canvas, none = draw_windowed(quarters(), (20, 30, 20, 30))
    np.testing.assert_array_equal(empty, none)
    np.testing.assert_array_equal(
        pixel_at(canvas, none, canvas.picture.view, 5, 5), (0x0B, 0x0D, 0x12)
    )


def test_axes_that_run_backwards_are_refused():
    canvas = Canvas(DrawnBy(Windowed))
    canvas.picture.view.set_ylim(10, 0)
    with pytest.raises(ValueError, match=r"must rise to the right and upwards"):
        canvas.draw((quarters(), None), "")


@pytest.mark.parametrize(
    "rgb", [np.zeros((4, 4, 3)), np.zeros((4, 4), np.uint8), np.zeros((4, 4, 5), np.uint8)]
)
def test_a_raster_of_the_wrong_kind_is_refused(rgb):
    with pytest.raises(TypeError, match=r"uint8 of shape \(rows, columns, 3\) or"):
        draw_windowed(rgb, None)


def test_limits_may_change_when_the_picture_says_so():
    canvas, before = canvas_and_pixels(centre=20)
    canvas.picture.why.set_xlim(0, 80)
    result = scene.result(centre=20)
    np.testing.assert_array_equal(canvas.draw(result, scene.describe(result))[600:], before[600:])
    canvas.picture.redraw_all()
    redrawn = canvas.draw(result, scene.describe(result))
    assert (redrawn[524:560, 936:] != before[524:560, 936:]).any()


def test_the_sentence_is_on_the_picture_and_never_read_as_mathematics():
    canvas = Canvas(scene)
    canvas.draw(scene.result(), "It costs $5 and 5$ more.")
    assert canvas.picture.sentence.get_text() == "It costs $5 and 5$ more."


def test_the_longest_sentence_stays_on_the_picture():
    canvas = Canvas(scene)
    words = "refraction " * (8 * SENTENCE_LINES)
    assert len(sentence_lines(words)) == SENTENCE_LINES
    canvas.draw(scene.result(), words)
    written = np.argwhere(canvas.draw(scene.result(), words)[600:, :, 0] > 100)
    (top, left), (bottom, right) = written.min(axis=0), written.max(axis=0)
    assert left >= 40
    assert right <= 1240
    assert bottom < 120 - 4
    assert bottom - top > 80  # three lines


def test_a_sentence_in_pixels_lies_where_matplotlib_would_set_it():
    canvas = Canvas(scene)
    words = "The upper limb stands 22.8′ high."
    quick = canvas.draw(scene.result(), words)[:, :, 0].astype(float)
    canvas.picture.sentence.draw = lambda renderer: Text.draw(canvas.picture.sentence, renderer)
    slow = canvas.draw(scene.result(), words)[:, :, 0].astype(float)
    rows = [ink(image[590:]).sum(axis=1) for image in (quick, slow)]
    assert np.corrcoef(rows)[0, 1] > 0.9  # upright, and at the same height
    widths = [np.ptp(np.nonzero(ink(image[590:]).sum(axis=0) > 50)) for image in (quick, slow)]
    assert widths[0] == pytest.approx(widths[1], rel=0.02)  # letters on whole pixels


def ink(image):
    return image - image.min()


def test_type_is_large_enough_for_the_back_row():
    canvas, _ = canvas_and_pixels()
    texts = [t for axes in canvas.figure.axes for t in axes.get_xticklabels() + axes.texts]
    assert {text.get_fontsize() for text in texts} == {TICK_PT, LABEL_PT}
    assert canvas.picture.sentence.get_fontsize() * 100 / 72 > 26  # pixels at 1280 x 720


def test_two_canvases_do_not_touch_each_other():
    one, first = canvas_and_pixels(centre=5)
    two, _ = canvas_and_pixels(centre=30)
    result = scene.result(centre=5)
    np.testing.assert_array_equal(one.draw(result, scene.describe(result)), first)
    assert two.figure is not one.figure


@pytest.mark.parametrize("ha", ["left", "center", "right"])
@pytest.mark.parametrize("va", ["top", "baseline", "bottom"])
def test_quick_words_stand_where_matplotlib_would_set_them(ha, va):
    def ink(kind):
        figure = DARK.figure(1280)
        text = kind(0.5, 0.5, *(["w"] if kind is QuickText else []), ha=ha, va=va, fontsize=14)
        text.set(text="bearing 270.8° W", color="w", figure=figure)
        figure.add_artist(text)
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        rows, columns = np.nonzero(np.asarray(canvas.buffer_rgba())[..., 0] > 128)
        return np.array([rows.min(), rows.max(), columns.min(), columns.max()])

    def plain(x, y, **how):
        return Text(x, y, "", **how)

    assert np.abs(ink(QuickText) - ink(plain)).max() <= 5  # of letters 19 pixels high
