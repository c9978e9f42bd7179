"""A picture: built once on a figure, then updated in place from results.

A scene's picture is a subclass of `Picture`. Its constructor lays out the axes, draws what never
changes, and names what does: rasters (computed colour pictures) and live artists. `update` gives
these their new data and draws nothing. The stage decides how the figure comes to the screen.
"""

from abc import ABC, abstractmethod
from types import MappingProxyType

import numpy as np
from matplotlib.ticker import ScalarFormatter
from matplotlib.transforms import offset_copy
from PIL import Image

from lowsun.drawing.look import LABEL_PT, SHEETS_IN, TITLE_PAD_PT
from lowsun.drawing.sentence import (
    LINE_WIDTH_PX,
    SENTENCE_LINES,
    QuickText,
    Sentence,
    sentence_lines,
)
from lowsun.words.speech import in_figures

__all__ = ["SENTENCE_LINES", "Picture", "Raster", "sentence_lines"]

# In pixels, a hundred to an inch: left, bottom, width, height.
BESIDE = ((96, 196, 736, 484), (936, 196, 304, 484))
BESIDE_ON = MappingProxyType(
    {
        "square": ((96, 225, 452, 560), (640, 225, 230, 560)),
        "upright": ((96, 680, 614, 520), (96, 375, 614, 210)),
    }
)
STACKED = ((96, 408, 1144, 272), (96, 196, 1144, 132))
_SENTENCE = {  # left, top and width of its lines
    "wide": (40, 124, LINE_WIDTH_PX), "square": (30, 166, 850), "upright": (40, 304, 680),
}  # fmt: skip
_PX_PER_IN = 100
CLEAR_PX = 6.0  # between a line and the names beside it
ALIKE = 0.05  # two shapes that nobody can tell apart


class Picture(ABC):
    """Base of all pictures: axes in the house layout, one sentence set large under them.

    sheets: the axes' boxes on a square and on an upright sheet, for a picture that is laid out for
    them; `sheet` is the shape of this one's figure, "wide" for 16:9.
    """

    sheets = MappingProxyType({})

    def __init__(self, figure, look):
        self.figure = figure
        self.sheet = _sheet_of(figure)
        self.look = look
        self.rasters = []
        self.stale = False
        self._moving = []
        self.sentence = self.moving(self._sentence())

    # ---- for the constructor of a subclass

    def beside(self):
        """Axes of the phenomenon, large, and of the diagram that explains it, to its right."""
        return self._axes(self.sheets.get(self.sheet, BESIDE))

    def stacked(self):
        """Axes of a wide phenomenon and, under it, of the diagram that explains it."""
        return self._axes(STACKED)

    def places(self, *boxes):
        """Axes at boxes of (left, bottom, width, height), in pixels of a 1280 x 720 figure.

        Keep to 96..1240 across and 196..680 up, as the other layouts do. On another sheet they are
        those of `sheets`.
        """
        return self._axes(self.sheets.get(self.sheet, boxes))

    def raster(self, axes):
        """A colour picture that fills `axes` or a part of them, under everything else there."""
        axes.spines[:].set_visible(False)
        raster = Raster(axes)
        self.rasters.append(raster)
        return raster

    def moving(self, *artists):
        """Name artists that `update` changes; returns the artist, or the tuple of several."""
        self._moving.extend(artists)
        return artists[0] if len(artists) == 1 else artists

    def words_over(self, axes):
        """A text at the right over axes, level with their title, for words new at each update."""
        over = offset_copy(axes.transAxes, self.figure, 0, TITLE_PAD_PT, units="points")
        place = {"transform": over, "ha": "right", "va": "baseline", "fontsize": LABEL_PT}
        return self.moving(self.figure.add_artist(QuickText(1, 1, self.look.ink, **place)))

    def clear_of(self, cursor, *names):
        """Move names that an upright line would strike through to its right, or to its left."""
        at = cursor.get_transform().transform((cursor.get_xdata()[0], 0.0))[0]
        for name in names:
            box = name.get_window_extent()
            if box.x0 - CLEAR_PX < at < box.x1 + CLEAR_PX:
                room = cursor.axes.bbox.x1 - at > box.width + 2 * CLEAR_PX
                aside = at + CLEAR_PX - box.x0 if room else at - CLEAR_PX - box.x1
                scale = name.get_transform()
                place = np.add(scale.transform(name.get_position()), (aside, 0.0))
                name.set_position(scale.inverted().transform(place))

    # ---- for a subclass to write

    @abstractmethod
    def update(self, result):
        """Give rasters and moving artists the data of a result."""

    def redraw_all(self):
        """Call in `update` after changing what does not move, such as limits (slow: 60 ms)."""
        self.stale = True

    # ---- for the stage

    def show(self, result, sentence):
        """Take over a result and the sentence that says it."""
        self.update(result)
        self.sentence.say(sentence)

    @property
    def live_artists(self):
        """What is redrawn at each update, from back to front.

        Everything that lies over a raster belongs to it: pasting the raster covers it.
        """
        over = [artist for raster in self.rasters for artist in raster.overlays()]
        every = dict.fromkeys([*over, *self._moving])
        return sorted(every, key=_depth)

    def narrow(self, words):
        """The words as they stand; on a sheet that is not wide in two lines, broken in the middle.

        For the name of narrow axes.
        """
        if self.sheet == "wide":
            return words
        gaps = [at for at, letter in enumerate(words) if letter == " "]
        middle = min(gaps, key=lambda at: abs(at - len(words) / 2))
        return f"{words[:middle]}\n{words[middle + 1 :]}"

    def _axes(self, places):
        made = tuple(self.figure.add_axes(self._fractions(*place)) for place in places)
        for axis in (axis for axes in made for axis in (axes.xaxis, axes.yaxis)):
            axis.set_major_formatter(Figures())
        return made

    def _sentence(self):
        left, top, wide = _SENTENCE[self.sheet]
        x, y, _, _ = self._fractions(left, top, 0, 0)
        return self.figure.add_artist(Sentence(x, y, self.look.ink, wide))

    def _fractions(self, left_px, bottom_px, width_px, height_px):
        across, up = (_PX_PER_IN * side for side in self.figure.get_size_inches())
        return (left_px / across, bottom_px / up, width_px / across, height_px / up)


class Figures(ScalarFormatter):
    """Numbers of ticks as matplotlib writes them, with the signs of the language."""

    def __call__(self, x, pos=None):
        """The text of a tick."""
        return in_figures(super().__call__(x, pos))


class Raster:
    """An RGB picture in axes: pasted into a canvas by the live stage, an image in stills."""

    def __init__(self, axes):
        self.axes = axes
        self.extent = None
        self._pixels = None
        self._image = None

    @property
    def rgb(self):
        """What it shows, uint8 (rows, columns, 3); None before it shows anything."""
        return None if self._pixels is None else self._pixels[..., :3]

    def show(self, pixels, extent=None):
        """Take over an array (rows from high to low, columns, 3) of uint8.

        Pixels of four bytes, as a screen holds them, are laid down in a third of the time; the
        fourth is not looked at. extent = (left, right, bottom, top) in data units; the whole axes
        where it is None.
        """
        pixels = np.ascontiguousarray(pixels)
        if pixels.dtype != np.uint8 or pixels.ndim != 3 or pixels.shape[2] not in (3, 4):
            raise TypeError(
                "A raster takes uint8 of shape (rows, columns, 3) or (rows, columns, 4), not"
                f" {pixels.dtype} of {pixels.shape}."
            )
        self._pixels, self.extent = pixels, extent

    def overlays(self):
        """The artists inside the axes that lie over the raster."""
        axes = self.axes
        legend = [] if axes.get_legend() is None else [axes.get_legend()]
        inside = [
            *axes.lines,
            *axes.patches,
            *axes.collections,
            *axes.texts,
            *axes.artists,
            *legend,
        ]
        return inside + [image for image in axes.images if image is not self._image]

    def paste(self, pixels):
        """Write the picture into the pixels (rows from the top, columns, 4) of a canvas.

        One that is as large as its place to a pixel is laid down as it is; any other is resampled.
        """
        if self._pixels is None:
            return
        window, source = self._window(pixels.shape[0])
        left, top, right, bottom = window
        if right > left and bottom > top:
            own = self._resized((right - left, bottom - top), source)
            _lay(own, pixels[top : top + own.shape[0], left : left + own.shape[1]])

    def as_image(self):
        """Show the picture as an artist of the axes, for figures saved by matplotlib itself."""
        if self._image is not None:
            self._image.remove()
            self._image = None
        if self._pixels is not None:
            limits = self.axes.get_xlim(), self.axes.get_ylim()
            self._image = self.axes.imshow(
                self.rgb, extent=self._extent(), aspect="auto", zorder=-10, interpolation="bilinear"
            )
            self.axes.set(xlim=limits[0], ylim=limits[1])

    def _extent(self):
        """Its own, or that of the axes: as high as they are, and as wide as its shape asks."""
        if self.extent:
            return self.extent
        left, right = self.axes.get_xbound()
        box, (rows, columns, _) = self.axes.get_window_extent(), self.rgb.shape
        wider = columns / rows / (box.width / box.height)
        if abs(wider - 1.0) < ALIKE or rows == columns == 1:  # one pixel is a colour for all
            wider = 1.0
        middle, half = (left + right) / 2, wider * (right - left) / 2
        return (middle - half, middle + half, *self.axes.get_ybound())

    def _window(self, canvas_height):
        """The pixels covered, (left, top, right, bottom), and the part of the picture they show."""
        left, right, bottom, top = self._extent()
        low, high = self.axes.transData.transform([(left, bottom), (right, top)])
        if np.any(high <= low):
            raise ValueError("The axes of a raster must rise to the right and upwards.")
        picture = np.array([low[0], canvas_height - high[1], high[0], canvas_height - low[1]])
        box = self.axes.get_window_extent()
        frame = (box.x0, canvas_height - box.y1, box.x1, canvas_height - box.y0)
        window = np.rint(np.clip(picture, np.tile(frame[:2], 2), np.tile(frame[2:], 2)))
        return window.astype(int), self._source(window, picture)

    def _source(self, window, picture):
        rows, columns, _ = self.rgb.shape
        size = np.array([columns, rows, columns, rows])
        span = np.tile(picture[2:] - picture[:2], 2)
        return np.clip((window - np.tile(picture[:2], 2)) / span, 0.0, 1.0) * size

    def _resized(self, size, source):
        (left, top), shown = np.rint(source[:2]).astype(int), source[2:] - source[:2]
        if np.abs(shown - size).max() <= 1.5:  # computed for this canvas, to a pixel of rounding
            return self._pixels[top : top + size[1], left : left + size[0]]
        image = Image.fromarray(np.ascontiguousarray(self.rgb))
        return np.asarray(image.resize(size, Image.Resampling.BILINEAR, box=tuple(source)))


def _lay(pixels, place):
    """Lay pixels of three bytes or four over a place of a canvas, as far as it reaches."""
    rows, columns, _ = place.shape
    own = pixels[:rows, :columns]
    if own.shape[2] == 4:
        place.view(np.uint32)[:] = own.view(np.uint32)
        return
    for channel in range(3):  # one by one: five times as fast as all at once
        place[..., channel] = own[..., channel]


def _depth(artist):
    axes = artist.axes
    return (axes.get_zorder() if axes is not None else 1e9, artist.get_zorder())


def _sheet_of(figure):
    """The name of the sheet of that shape; other figures are laid out as the wide one."""
    size = figure.get_size_inches()
    shapes = [name for name, sides in SHEETS_IN.items() if np.allclose(size, sides, rtol=0.01)]
    return shapes[0] if shapes else "wide"
