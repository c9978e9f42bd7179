"""The sentence under a picture: broken into lines, and set fast enough to change at each move."""

import re
from functools import cache
from math import ceil

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.font_manager import findfont
from matplotlib.text import Text
from PIL import Image, ImageDraw, ImageFont

from lowsun.drawing.look import SENTENCE_PT
from lowsun.kept import KB, MB, kept

SENTENCE_LINES = 3  # so many fit under a picture
LINE_WIDTH_PX = 1200  # in a picture of 1280 x 720
_PX_PER_PT = 100 / 72  # in a picture of 1280 x 720
_LEADING = 1.3  # distance of lines in sizes of the type
_BEFORE = {"left": 0.0, "center": 0.5, "right": 1.0}  # share of a text that lies before its place
_PIECES = re.compile(r"\d|\D+")  # words stay where numbers change, and digits come back


def sentence_lines(sentence, line_px=LINE_WIDTH_PX):
    """The lines of a sentence as it stands under a picture; SENTENCE_LINES of them fit."""
    lines, room_px = [], 0.0
    for word in sentence.split():
        room_px -= _width_px(f" {word}")
        if lines and room_px >= 0:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
            room_px = line_px - _width_px(word)
    return lines


@kept(500 * KB)
def _width_px(text):
    return _font(SENTENCE_PT * _PX_PER_PT).getlength(text)


class QuickText(Text):
    """A text for words that are new at each update: put together from pictures of its pieces.

    It hangs from its place (va="top") or stands on it (va="baseline" or "bottom"), to the right of
    it, to the left (ha="right") or in the middle (ha="center"). Matplotlib sets letter by letter:
    7 ms for a sentence, half of a live update, against 0.5 ms here.
    """

    def __init__(self, x, y, colour, **how):
        super().__init__(x, y, "", color=colour, parse_math=False, **how)

    def draw(self, renderer):
        """Draw on the figure; in vector formats as matplotlib does."""
        if not self.get_visible() or not self.get_text():
            return
        if isinstance(renderer, RendererAgg):
            self._draw_pixels(renderer)
        else:
            super().draw(renderer)

    def _draw_pixels(self, renderer):
        size_px = renderer.points_to_pixels(self.get_fontsize())
        image = self._image(size_px)
        x, y = self.get_transform().transform(self.get_position())
        left = x - _BEFORE[self.get_horizontalalignment()] * image.shape[1]
        above, below = _font(size_px).getmetrics()
        rise = {"top": 0, "baseline": above, "bottom": above + below}
        top = y + rise[self.get_verticalalignment()]
        gc = renderer.new_gc()  # Agg takes images from their lowest row up
        renderer.draw_image(gc, round(left), round(top) - image.shape[0], image[::-1])
        gc.restore()

    def _image(self, size_px):
        lines = self.get_text().split("\n")
        leading = _LEADING * size_px
        width = ceil(max(_font(size_px).getlength(line) for line in lines)) + 2
        image = np.empty((round(leading * len(lines) + 0.3 * size_px), width, 4), dtype=np.uint8)
        image.view(np.uint32)[...] = _clear(to_rgb(self.get_color()))
        for row, line in enumerate(lines):
            _set(image[round(row * leading) :, :, 3], line, size_px)
        return image


class Sentence(QuickText):
    """The sentence of a picture: its lines, so wide at the most, hang from its place."""

    def __init__(self, x, y, colour, line_px=LINE_WIDTH_PX):
        super().__init__(x, y, colour, fontsize=SENTENCE_PT, va="top", linespacing=_LEADING)
        self._line_px = line_px

    def say(self, sentence):
        """Take over a sentence, broken into lines."""
        self.set_text("\n".join(sentence_lines(sentence, self._line_px)))


def _clear(rgb):
    """A colour that lets everything through, as the four bytes of a pixel."""
    return np.array([*np.rint(255 * np.array(rgb)), 0], dtype=np.uint8).view(np.uint32)


def _set(mask, line, size_px):
    """Write a line into the corner of a mask, piece by piece."""
    begin_px = 0.0
    for piece in _PIECES.findall(line):
        letters, length_px = _piece(piece, size_px)
        left = round(begin_px)
        place = mask[: letters.shape[0], left : left + letters.shape[1]]
        np.maximum(place, letters[: place.shape[0], : place.shape[1]], out=place)
        begin_px += length_px


@kept(4 * MB)
def _piece(letters, size_px):
    """A piece of a line as a mask (rows from the top of the line, columns), and its length."""
    font = _font(size_px)
    length_px = font.getlength(letters)
    mask = Image.new("L", (ceil(length_px) + 2, sum(font.getmetrics())))
    ImageDraw.Draw(mask).text((0, 0), letters, fill=255, font=font)
    return np.asarray(mask), length_px


@cache
def _font(size_px):
    return ImageFont.truetype(
        findfont("DejaVu Sans"), size_px, layout_engine=ImageFont.Layout.BASIC
    )
