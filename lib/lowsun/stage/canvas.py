"""A scene's picture on a canvas of pixels: what stays is drawn once, what moves at each update."""

from contextlib import contextmanager
from functools import cache

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from lowsun.drawing.look import DARK
from lowsun.stage.letters import Letters

LARGEST_KEPT_BYTES = 31 * 2**20  # a little under glibc's DEFAULT_MMAP_THRESHOLD_MAX


class Canvas:
    """The picture of one scene in memory, ready for a screen or a film."""

    def __init__(self, scene, look=DARK, width_px=1280, sheet="wide"):
        keep_freed_memory()
        self._look = look
        self.figure = look.figure(width_px, sheet)
        self._agg = FigureCanvasAgg(self.figure)
        with look.applied():
            self.picture = scene.picture(self.figure, look)
        self._letters = Letters(self.figure)
        self._background = None

    def draw(self, result, sentence):
        """The pixels (rows from the top, columns, 4) of a result; valid until the next draw."""
        with self._look.applied():
            self.picture.show(result, sentence)
            if self._background is None or self.picture.stale:
                self._draw_what_stays()
            self._agg.restore_region(self._background)
            return self._draw_what_moves()

    def _draw_what_stays(self):
        with hidden(self.picture.live_artists):
            self._agg.draw()
        self._background = self._agg.copy_from_bbox(self.figure.bbox)
        self.picture.stale = False

    def _draw_what_moves(self):
        pixels = np.asarray(self._agg.buffer_rgba())
        for raster in self.picture.rasters:
            raster.paste(pixels)
        renderer = self._agg.get_renderer()
        for artist in self.picture.live_artists:
            if isinstance(artist, Text):
                self._letters.draw(artist, renderer)
            else:
                artist.draw(renderer)
        return pixels


@cache
def keep_freed_memory():
    """Have the C library keep what a picture frees, for the next picture.

    The library that Linux has gives free memory back and fetches it again, page by page: 6 ms of a
    picture of 30. Of what is as large as the largest block once freed, 32 MB at most, it keeps
    twice as much. Elsewhere this does nothing.
    """
    np.empty(LARGEST_KEPT_BYTES, dtype=np.uint8)


@contextmanager
def hidden(artists):
    """Draw without these artists."""
    seen = [artist for artist in artists if artist.get_visible()]
    for artist in seen:
        artist.set_visible(False)
    try:
        yield
    finally:
        for artist in seen:
            artist.set_visible(True)
