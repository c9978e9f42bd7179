"""Reads a drawn picture back: what its axes, bars, names and rasters say, in data units."""

import re
from pathlib import Path

import numpy as np
from scipy.ndimage import uniform_filter

from lowsun.drawing.look import DARK
from lowsun.stage.canvas import Canvas

FIGURES = Path(__file__).parents[2] / "figures"
MEAN_LEVELS = 0.2  # of 255, over all pixels: a raster 3 % darker changes it by 0.3
LEVELS, MOST_PX = 14, 12  # after a blur of 3 x 3: letters differ by 12, a moved line by 60 or more


def unlike(kept, now):
    """Why two pictures (rows, columns, 3) are not the same to the eye; empty where they are.

    Blurred over 3 x 3 pixels first: letters and edges that another library smooths otherwise keep
    their ink there, while a line that stands a pixel (of 1280 across) elsewhere does not.
    """
    if kept.shape != now.shape:
        return f"{now.shape} instead of {kept.shape}"
    off = np.abs(_blurred(kept) - _blurred(now)).max(axis=2)
    moved = int((off > LEVELS).sum())
    if moved > MOST_PX:
        rows, columns = np.nonzero(off > LEVELS)
        where = f"rows {rows.min()} to {rows.max()}, columns {columns.min()} to {columns.max()}"
        return f"{moved} pixels differ by more than {LEVELS} levels: {where}"
    mean = float(np.abs(kept.astype(float) - now).mean())
    return f"a mean of {mean:.3f} levels" if mean > MEAN_LEVELS else ""


def _blurred(rgb):
    return uniform_filter(rgb.astype(np.float32), size=(3, 3, 1))


def drawn(scene, width_px=1280, **state):
    """The picture of a scene in a state, drawn as the stage draws it, and its result."""
    canvas = Canvas(scene, DARK, width_px)
    result = scene.result(**state)
    canvas.draw(result, scene.describe(result))
    return canvas.picture, result


def number(text):
    """The number a label holds, its minus sign typographic or not; None where it holds none."""
    found = re.search(r"[-−]?\d+(?:[.,]\d+)?", text.replace(" ", ""))
    return float(found[0].replace("−", "-").replace(",", ".")) if found else None


def assert_ticks_say_what_they_mark(axis, scale=1.0):
    """Every label of an axis is its tick's place times `scale`; labels without digits are left."""
    labels = [label.get_text() for label in axis.get_ticklabels()]
    compared = 0
    for place, text in zip(axis.get_ticklocs(), labels, strict=True):
        said = number(text)
        if said is None:
            continue
        np.testing.assert_allclose(said, place * scale, rtol=1e-6, atol=1e-9, err_msg=text)
        compared += 1
    return compared


def texts(axes):
    """The visible texts of axes by their words."""
    return {each.get_text(): each for each in axes.texts if each.get_visible() and each.get_text()}


def bar_of(axes, words):
    """Length in data units of the scale bar that bears these words, beside their number."""
    name = texts(axes)[words]
    x, y = name.get_position()
    bars = [
        line
        for line in axes.lines
        if len(line.get_xdata()) == 2
        and np.ptp(line.get_ydata()) == 0
        and abs(np.mean(line.get_xdata()) - x) < 1e-6
        and abs(np.mean(line.get_ydata()) - y) < 0.1 * np.ptp(axes.get_ylim())
    ]
    assert len(bars) == 1, f"{len(bars)} bars stand under {words!r}"
    return float(np.ptp(bars[0].get_xdata()))


def row_altitudes(raster):
    """The heights of a raster's rows in the units of its axes, from the top."""
    low, high = raster.extent[2:] if raster.extent else raster.axes.get_ylim()
    rows = raster.rgb.shape[0]
    return high - (np.arange(rows) + 0.5) * (high - low) / rows


def column_places(raster):
    """The places of a raster's columns in the units of its axes, from the left."""
    left, right = raster.extent[:2] if raster.extent else raster.axes.get_xlim()
    columns = raster.rgb.shape[1]
    return left + (np.arange(columns) + 0.5) * (right - left) / columns


def disc_rows(luminance):
    """Rows (R,) in whose middle column a picture (R, C) shows the disc: far brighter than its edge.

    Not sky, nor the glitter on the sea: at sunset they are thousands of times fainter.
    """
    return luminance[:, luminance.shape[1] // 2] > 3.0 * luminance[:, 0]


def brightness(raster):
    """Sum of the channels, (rows, columns)."""
    return raster.rgb.astype(int).sum(axis=2)
