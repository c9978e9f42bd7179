"""The sentence under a picture: broken into lines, and set fast enough to change at each move."""

from functools import cache, lru_cache

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.font_manager import findfont
from matplotlib.text import Text
from PIL import Image, ImageDraw, ImageFont

from lowsun.drawing.look import SENTENCE_PT

SENTENCE_LINES = 3  # so many fit under a picture
LINE_WIDTH_PX = 1200  # at 1280 x 720
_PX_PER_PT = 100 / 72  # at 1280 x 720
_LEADING = 1.3  # distance of lines in sizes of the type


def sentence_lines(sentence):
    """The lines of a sentence as it stands under a picture; SENTENCE_LINES of them fit."""
    lines, room_px = [], 0.0
    for word in sentence.split():
        room_px -= _width_px(f" {word}")
        if lines and room_px >= 0:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
            room_px = LINE_WIDTH_PX - _width_px(word)
    return lines


@lru_cache(maxsize=4096)
def _width_px(text):
    return _font(SENTENCE_PT * _PX_PER_PT).getlength(text)


class Sentence(Text):
    """A text whose lines hang from its place; whole lines are set at once where pixels are drawn.

    Matplotlib sets letter by letter: 7 ms for a sentence, half of a live update, against 1 ms here.
    """

    def __init__(self, x, y, colour):
        super().__init__(
            x, y, "", color=colour, fontsize=SENTENCE_PT, verticalalignment="top",
            linespacing=_LEADING, parse_math=False,
        )  # fmt: skip

    def say(self, sentence):
        """Take over a sentence, broken into lines."""
        self.set_text("\n".join(sentence_lines(sentence)))

    def draw(self, renderer):
        """Draw on the figure; in vector formats as matplotlib does."""
        if not self.get_visible() or not self.get_text():
            return
        if isinstance(renderer, RendererAgg):
            self._draw_pixels(renderer)
        else:
            super().draw(renderer)

    def _draw_pixels(self, renderer):
        image = self._image(renderer.points_to_pixels(self.get_fontsize()))
        x, y = self.get_transform().transform(self.get_position())
        gc = renderer.new_gc()  # Agg takes images from their lowest row up
        renderer.draw_image(gc, round(x), round(y) - image.shape[0], image[::-1])
        gc.restore()

    def _image(self, size_px):
        font, lines = _font(size_px), self.get_text().split("\n")
        width = max(font.getlength(line) for line in lines)
        leading = _LEADING * size_px
        mask = Image.new("L", (round(width) + 2, round(leading * len(lines) + 0.3 * size_px)))
        for row, line in enumerate(lines):
            ImageDraw.Draw(mask).text((0, round(row * leading)), line, fill=255, font=font)
        colour = np.rint(255 * np.array(to_rgb(self.get_color()))).astype(np.uint8)
        image = np.empty((*mask.size[::-1], 4), dtype=np.uint8)
        image[..., :3], image[..., 3] = colour, mask
        return image


@cache
def _font(size_px):
    return ImageFont.truetype(
        findfont("DejaVu Sans"), size_px, layout_engine=ImageFont.Layout.BASIC
    )
