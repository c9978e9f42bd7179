"""The contact sheet: magnified upper limbs side by side, each with what was measured on it."""

from textwrap import wrap

from matplotlib.figure import Figure

from lowsun.drawing.look import WIDTH_IN

COLUMNS = 3
TILE_IN = (WIDTH_IN / COLUMNS, 3.7)
HEAD_IN = 1.25
PICTURE_SHARE = 0.92  # of a tile's width
NAME_PT, WORDS_PT, HEAD_PT = 13, 11, 17
LETTERS = 46  # of WORDS_PT in a tile's line
HEAD_LETTERS = 92  # of HEAD_PT in a line
MOST_LINES = 6


def contact_sheet(tiles, heading, look):
    """A Figure of tiles in rows of three.

    tiles: [(name, picture (R, C, 3) uint8, measured, advice)], in the order in which they are
    shown; heading: a sentence.
    """
    rows = -(-len(tiles) // COLUMNS)
    high = HEAD_IN + max(rows, 1) * TILE_IN[1]
    with look.applied():
        figure = Figure(figsize=(WIDTH_IN, high), dpi=125)
        lines = "\n".join(wrap(heading, HEAD_LETTERS))
        figure.text(0.013, 1 - 0.15 / high, lines, fontsize=HEAD_PT, va="top", linespacing=1.3)
        for place, tile in enumerate(tiles):
            _draw(figure, tile, *divmod(place, COLUMNS), high, look)
    return figure


def _draw(figure, tile, row, column, high, look):
    name, picture, measured, advice = tile
    left = (column + (1 - PICTURE_SHARE) / 2) / COLUMNS
    top = high - HEAD_IN - row * TILE_IN[1]
    wide = TILE_IN[0] * PICTURE_SHARE
    tall = wide * picture.shape[0] / picture.shape[1]
    axes = figure.add_axes((left, (top - tall) / high, PICTURE_SHARE / COLUMNS, tall / high))
    axes.imshow(picture, interpolation="nearest")
    axes.set_axis_off()
    below = top - tall - 0.06
    figure.text(left, below / high, name, fontsize=NAME_PT, va="top", weight="bold")
    lines = [*wrap(measured, LETTERS), *wrap(advice, LETTERS)][:MOST_LINES]
    figure.text(
        left, (below - 0.24) / high, "\n".join(lines), fontsize=WORDS_PT, va="top", linespacing=1.25
    )
