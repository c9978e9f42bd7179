"""Texts that say the same as before, put down as small pictures instead of letter by letter."""

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_hex
from matplotlib.text import Text

_KEPT = 500  # texts of some 10 kB each
_MARGIN_PX = 6  # room for an outline


class Letters:
    """Draws the texts of one figure, each set once for all its places.

    Matplotlib takes 0.7 ms for a short label; a picture of it takes 0.1 ms.
    """

    def __init__(self, figure):
        self._size = np.rint(figure.bbox.size).astype(int)
        self._paper = RendererAgg(*self._size, figure.dpi)
        self._kept = {}

    def draw(self, text, renderer):
        """Draw as `text.draw` does, on whole pixels."""
        kept = self._kept_picture(text) if _is_plain(text) else None
        if kept is None:
            text.draw(renderer)
            return
        offset, image = kept
        gc = renderer.new_gc()
        renderer.draw_image(gc, *(_place(text) + offset), image)
        gc.restore()

    def _kept_picture(self, text):
        key = _says(text)
        if key not in self._kept:
            low, high = self._box(text)
            if np.any(low < 0) or np.any(high > self._size):
                return None
            if len(self._kept) >= _KEPT:
                self._kept.clear()
            self._kept[key] = (low - _place(text), self._set(text, low, high))
        return self._kept[key]

    def _box(self, text):
        box = text.get_window_extent(self._paper)
        low = np.floor([box.x0, box.y0]).astype(int) - _MARGIN_PX
        return low, np.ceil([box.x1, box.y1]).astype(int) + _MARGIN_PX

    def _set(self, text, low, high):
        self._paper.clear()
        text.draw(self._paper)
        upwards = np.asarray(self._paper.buffer_rgba())[::-1]  # as Agg takes images
        return upwards[low[1] : high[1], low[0] : high[0]].copy()


def _is_plain(text):
    """Neither an annotation, nor a sentence with a drawing of its own, nor cut or boxed."""
    return (
        type(text) is Text
        and text.get_visible()
        and bool(text.get_text())
        and not text.get_clip_on()
        and text.get_bbox_patch() is None
    )


def _says(text):
    """All that changes in a text during a scene, its place apart."""
    return (
        id(text), text.get_text(), to_hex(text.get_color(), keep_alpha=True), text.get_alpha(),
        text.get_fontsize(), text.get_fontweight(), text.get_rotation(),
        text.get_horizontalalignment(), text.get_verticalalignment(),
    )  # fmt: skip


def _place(text):
    return np.rint(text.get_transform().transform(text.get_position())).astype(int)
