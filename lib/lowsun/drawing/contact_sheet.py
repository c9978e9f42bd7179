"""The contact sheet: magnified upper limbs side by side, each with what was measured on it."""

from dataclasses import dataclass
from textwrap import wrap

import numpy as np
from matplotlib.figure import Figure

from lowsun.drawing.look import WIDTH_IN

COLUMNS = 3
TILE_IN = (WIDTH_IN / COLUMNS, 4.1)  # a tile with FEWEST_LINES under its picture
LINE_IN = 0.193  # a line of WORDS_PT
HEAD_IN, HEAD_LINE_IN = 0.35, 0.31
PICTURE_SHARE = 0.92  # a tile's picture takes this share of its width
NAME_PT, WORDS_PT, HEAD_PT = 13, 11, 17
LETTERS = 46  # so many letters of WORDS_PT fit into a tile's line
HEAD_LETTERS = 92  # so many letters of HEAD_PT fit into a line
FEWEST_LINES = 8
OUTLINES = {"red": ("--", "#ffffff"), "green": (":", "#7dff9a")}  # over the picture, in any look


@dataclass(frozen=True, eq=False)
class Tile:
    """One frame on the sheet: its upper limb and what is said under it.

    picture (R, C, 3) uint8; outlines: {"red" or "green": (2, N)} places of the model's limb in the
    picture's pixels, columns and rows.
    """

    name: str
    picture: np.ndarray
    measured: str
    advice: str = ""
    model: str = ""
    outlines: dict | None = None


def contact_sheet(tiles, heading, look):
    """A Figure of tiles in rows of three.

    tiles: `Tile`s in the order in which they are shown; heading: a sentence or two.
    """
    rows = -(-len(tiles) // COLUMNS)
    lines = wrap(heading, HEAD_LETTERS)
    head = HEAD_IN + HEAD_LINE_IN * max(len(lines), 3)
    each = _tile_in(tiles)
    high = head + max(rows, 1) * each
    with look.applied():
        figure = Figure(figsize=(WIDTH_IN, high), dpi=125)
        words = "\n".join(lines)
        figure.text(0.013, 1 - 0.15 / high, words, fontsize=HEAD_PT, va="top", linespacing=1.3)
        for place, tile in enumerate(tiles):
            row, column = divmod(place, COLUMNS)
            _draw(figure, tile, column, high, high - head - row * each)
    return figure


def _tile_in(tiles):
    """The height of a tile that holds the longest words, so that none is cut off [in]."""
    most = max((len(_lines(tile)) for tile in tiles), default=0)
    return TILE_IN[1] + LINE_IN * max(most - FEWEST_LINES, 0)


def _lines(tile):
    return [
        line for words in (tile.measured, tile.model, tile.advice) for line in wrap(words, LETTERS)
    ]


def _draw(figure, tile, column, high, top):
    left = (column + (1 - PICTURE_SHARE) / 2) / COLUMNS
    wide = TILE_IN[0] * PICTURE_SHARE
    tall = wide * tile.picture.shape[0] / tile.picture.shape[1]
    axes = figure.add_axes((left, (top - tall) / high, PICTURE_SHARE / COLUMNS, tall / high))
    axes.imshow(tile.picture, interpolation="nearest")
    axes.set_axis_off()
    _draw_outlines(axes, tile)
    below = top - tall - 0.06
    figure.text(left, below / high, tile.name, fontsize=NAME_PT, va="top", weight="bold")
    words = "\n".join(_lines(tile))
    figure.text(left, (below - 0.24) / high, words, fontsize=WORDS_PT, va="top", linespacing=1.25)


def _draw_outlines(axes, tile):
    """The model's limb over the frame's: red's dashed, green's dotted."""
    rows, columns = tile.picture.shape[:2]
    axes.set(xlim=(-0.5, columns - 0.5), ylim=(rows - 0.5, -0.5))
    for name, place in (tile.outlines or {}).items():
        dash, colour = OUTLINES[name]
        axes.plot(*place, color=colour, linestyle=dash, linewidth=1.3)
