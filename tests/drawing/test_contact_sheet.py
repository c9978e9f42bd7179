"""The contact sheet read back: each picture over its own name, measures, model and advice."""

import numpy as np
import pytest

from lowsun.drawing.contact_sheet import OUTLINES, Tile, contact_sheet
from lowsun.drawing.look import PRINT


def tile(number):
    shade = np.full((40, 60, 3), 20 * number, np.uint8)
    outline = {"red": np.array([[0.0, 59.0], [10.0, 10.0]]),
               "green": np.array([[0.0, 59.0], [8.0, 8.0]])}  # fmt: skip
    return Tile(f"{number}.png", shade, f"measured {number}", f"advice {number}",
                f"model {number}", outline)  # fmt: skip


@pytest.fixture(scope="module")
def sheet():
    tiles = [tile(number) for number in range(1, 6)]
    return tiles, contact_sheet(tiles, "Five frames.", PRINT)


def test_pictures_stand_in_rows_of_three_in_their_order(sheet):
    tiles, figure = sheet
    boxes = [axes.get_position() for axes in figure.axes]
    for one, axes in zip(tiles, figure.axes, strict=True):
        assert np.array_equal(axes.images[0].get_array(), one.picture)
    assert [round(box.y0, 3) for box in boxes[:3]] == [round(boxes[0].y0, 3)] * 3
    assert boxes[0].x0 < boxes[1].x0 < boxes[2].x0
    assert boxes[3].y1 < boxes[0].y0
    assert boxes[3].x0 == boxes[0].x0


def test_under_each_picture_stand_its_own_words_in_their_order(sheet):
    tiles, figure = sheet
    for one, axes in zip(tiles, figure.axes, strict=True):
        box = axes.get_position()
        under = [text for text in figure.texts if abs(text.get_position()[0] - box.x0) < 1e-6
                 and box.y0 - 0.2 < text.get_position()[1] < box.y0]  # fmt: skip
        name, words = sorted(under, key=lambda text: -text.get_position()[1])
        assert name.get_text() == one.name
        assert words.get_text().split("\n") == [one.measured, one.model, one.advice]


def test_the_models_limbs_are_drawn_where_they_are_and_told_apart(sheet):
    tiles, figure = sheet
    for one, axes in zip(tiles, figure.axes, strict=True):
        for channel, line in zip(one.outlines, axes.lines, strict=True):
            assert np.array_equal(line.get_xydata().T, one.outlines[channel])
            assert line.get_linestyle() == OUTLINES[channel][0]
