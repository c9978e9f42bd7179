"""Kept texts look like set ones, wherever they go and whatever becomes of them."""

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patheffects import withStroke

from lowsun.drawing.look import DARK
from lowsun.stage.letters import Letters

OUTLINE = [withStroke(linewidth=5, foreground="#ffff00")]
CHANGES = {
    "words": lambda text: text.set_text("lower limb"),
    "two lines": lambda text: text.set_text("lower\nlimb"),
    "colour": lambda text: text.set_color("#ff0000"),
    "alpha": lambda text: text.set_alpha(0.4),
    "size": lambda text: text.set_fontsize(24),
    "weight": lambda text: text.set_fontweight("bold"),
    "turn": lambda text: text.set_rotation(90),
    "side": lambda text: text.set_horizontalalignment("right"),
    "height": lambda text: text.set_verticalalignment("top"),
    "place": lambda text: text.set_position((0.65, 0.25)),
    "beyond the edge": lambda text: text.set_position((1.05625, 0.5)),
    "hidden": lambda text: text.set_visible(False),
    "outline": lambda text: text.set(path_effects=OUTLINE, color="#010203"),
    "nothing": lambda text: text.set_text(""),
    "cut": lambda text: text.set_clip_on(True),
}


@pytest.fixture
def drawn():
    """A figure with one text over a grey patch, and what draws it, quick or slow."""
    with DARK.applied():
        figure = DARK.figure()
        agg = FigureCanvasAgg(figure)
        axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
        axes.set_facecolor("#446688")
        text = axes.text(0.4, 0.5, "upper limb")
        letters = Letters(figure)

    def draw(quick):
        with DARK.applied():
            text_visible = text.get_visible()
            text.set_visible(False)
            agg.draw()
            text.set_visible(text_visible)
            (letters.draw if quick else type(text).draw)(text, agg.get_renderer())
        return np.asarray(agg.buffer_rgba())[..., :3].astype(int)

    return text, draw


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_kept_text_is_what_matplotlib_sets(drawn, change):
    text, draw = drawn
    draw(quick=True)
    change(text)
    for _ in range(2):  # made, then kept
        quick = draw(quick=True)
        slow = draw(quick=False)
        # blending through a picture rounds once more; all places differ by whole pixels
        assert np.abs(quick - slow).max() <= 3


def test_a_text_is_set_once_for_all_its_places(drawn, monkeypatch):
    text, draw = drawn
    made = []
    monkeypatch.setattr(Letters, "_set", lambda *a, real=Letters._set: made.append(1) or real(*a))
    for place in (0.2, 0.3, 0.4, 0.2):
        text.set_position((place, 0.5))
        draw(quick=True)
    assert len(made) == 1


def test_what_is_kept_does_not_grow_without_end(drawn):
    text, _ = drawn
    letters = Letters(text.figure)
    renderer = FigureCanvasAgg(text.figure).get_renderer()
    for number in range(1200):
        text.set_text(f"{number}")
        letters.draw(text, renderer)
    assert 0 < len(letters._kept) <= 500
