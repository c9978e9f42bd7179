"""Words on every picture, in every language: no line runs through them, and none lies on others."""

from itertools import combinations

import numpy as np
import pytest

from lowsun import scenes
from lowsun.words import speaking
from read_back import drawn

LEAST_PX = 2.0  # by which boxes must meet: a letter does not fill its box


@pytest.mark.parametrize("language", ["en", "pt"])
@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_words_lie_apart_from_lines_and_from_each_other(scene, language):
    with speaking(language):
        picture, _ = drawn(scene)
        for axes in picture.figure.axes:
            named = words_in(axes)
            struck = [t.get_text() for t in named for line in axes.lines if strikes(line, t)]
            met = [
                (one.get_text(), other.get_text())
                for one, other in combinations(named, 2)
                if meet(one, other)
            ]
            assert not struck
            assert not met


def words_in(axes):
    """The words in axes that are shown, but for numbers on their scales."""
    titles = [axes.title, axes._left_title, axes._right_title]
    shown = [text for text in (*axes.texts, *titles) if text.get_text().strip()]
    return [text for text in shown if text.get_visible() and axes.get_visible()]


def meet(one, other):
    """Do two words lie on each other?"""
    a, b = one.get_window_extent(), other.get_window_extent()
    across = min(a.x1, b.x1) - max(a.x0, b.x0)
    up = min(a.y1, b.y1) - max(a.y0, b.y0)
    return across > LEAST_PX and up > LEAST_PX


def strikes(line, text):
    """Does a line run through words, with no patch of their own between?"""
    if not line.get_visible() or text.get_bbox_patch() is not None:
        return False
    given = np.broadcast_arrays(*np.atleast_1d(*line.get_data(orig=False)))
    corners = line.get_transform().transform(np.column_stack(given).astype(float))
    corners = corners[np.isfinite(corners).all(axis=1)]
    if len(corners) < 2:
        return False
    along = np.linspace(0, len(corners) - 1, 4000)
    x, y = (np.interp(along, np.arange(len(corners)), each) for each in corners.T)
    box, field = text.get_window_extent().padded(-LEAST_PX), line.axes.bbox
    inside = (box.x0 < x) & (x < box.x1) & (box.y0 < y) & (y < box.y1)
    shown = (field.x0 <= x) & (x <= field.x1) & (field.y0 <= y) & (y <= field.y1)
    return bool((inside & shown).any())


def test_a_struck_name_and_two_on_each_other_are_found():
    picture, _ = drawn(scenes.named("rims"))
    axes, line = picture.figure.axes[-1], picture.curve
    x, y = line.get_xydata()[len(line.get_xydata()) // 2]
    on_it, other = (axes.text(x, y, words, ha="center", va="center") for words in ("it", "both"))
    aside = axes.text(0.9, 0.9, "aside", transform=axes.transAxes)
    assert strikes(line, on_it)
    assert not strikes(line, aside)
    assert meet(on_it, other)
    assert not meet(on_it, aside)
