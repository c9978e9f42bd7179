"""The pictures of a film at its size: scenes as they are laid out for it, cards, cross-fades."""

from functools import lru_cache

import numpy as np
from matplotlib.colors import to_rgb
from matplotlib.font_manager import findfont
from PIL import Image, ImageDraw, ImageFont

from lowsun import scenes
from lowsun.drawing.look import LOOKS, fineness
from lowsun.stage.canvas import Canvas
from lowsun.words import say

SIZES = {
    "1920x1080": (1920, 1080), "3840x2160": (3840, 2160), "1280x720": (1280, 720),
    "640x360": (640, 360), "square": (1080, 1080), "upright": (1080, 1920),
}  # fmt: skip
_PICTURE_SHARE = 590 / 720  # of a scene's height above its sentence
_BLOCKS = 0.64  # of an upright page's height: title and sentence take the rest
_MARGIN, _TITLE, _TEXT = 0.06, 0.06, 0.042  # of the shorter side
_LEADING = 1.35
_TITLE_TOP = 0.02  # of the height, over a picture that is laid out for the page
_FINENESS = {"square": 1.4, "upright": 1.6}  # of pictures that are as large as the page


class Page:
    """Draws frames of (width, height) pixels in a look.

    A wide page is the scene's own picture, and so is a square or upright one where the picture has
    a layout for it. Elsewhere title and sentence are set large above and below the wide picture;
    on an upright page what explains stands under what is seen.
    """

    def __init__(self, size, look):
        self.size, self._look = size, LOOKS[look]
        self._canvases = {}
        self._last = None, None

    def pixels(self, frame):
        """The pixels (rows from the top, columns, 4) of a frame."""
        whole = self._shown(frame)
        if frame.under is None:
            return whole
        under = self._shown(frame.under).astype(np.float32)
        return np.rint(under + frame.share * (whole - under)).astype(np.uint8)

    def _shown(self, frame):
        """A frame without what lies under it; one that rests is drawn once."""
        asked = frame.scene, frame.state, frame.card
        if self._last[0] != asked:
            drawn = self._scene(frame) if frame.scene else self._card(*frame.card)
            self._last = asked, drawn.copy()
        return self._last[1]

    def _scene(self, frame):
        scene = scenes.named(frame.scene)
        if scene.name not in self._canvases:
            self._canvases = {scene.name: self._canvas_of(scene)}
        canvas, cut = self._canvases[scene.name]
        width_px = round(canvas.figure.bbox.width)
        fine = _FINENESS.get(canvas.picture.sheet) or fineness(width_px)
        result = scene.computed(scene.check(frame.state), fine)
        sentence = scene.describe(result)
        drawn = canvas.draw(result, sentence)
        if self._is_wide:
            return drawn
        if canvas.picture.sheet != "wide":
            return self._titled(drawn, say(scene.title))
        blocks = (drawn,) if cut is None else (drawn[:, :cut], drawn[:, cut:])
        return self._laid_out(say(scene.title), blocks, sentence)

    @property
    def _sheet(self):
        """The shape of the page."""
        if self._is_wide:
            return "wide"
        return "square" if self.size[0] == self.size[1] else "upright"

    @property
    def _is_wide(self):
        return self.size[0] * 9 == self.size[1] * 16

    def _canvas_of(self, scene):
        """The scene's canvas, and the column at which an upright page cuts it in two, or None.

        The larger block then fills the width, so that letters stay readable on a small screen.
        """
        width_px = self.size[0]
        if self._sheet in getattr(scene.picture, "sheets", ()):
            return Canvas(scene, self._look, width_px, self._sheet), None
        canvas = Canvas(scene, self._look, width_px)
        gap = _gap(canvas.figure) if self.size[1] > self.size[0] else None
        if gap is None:
            return canvas, None
        fits_px = _BLOCKS * self.size[1] / 2 / _PICTURE_SHARE * 16 / 9
        wider_px = round(min(width_px / max(gap, 1 - gap), fits_px) / 16) * 16
        return Canvas(scene, self._look, wider_px), round(gap * wider_px)

    def _laid_out(self, title, blocks, sentence):
        """Title, blocks one under the other, and the sentence, spread over the height."""
        blocks = [block[: round(block.shape[0] * _PICTURE_SHARE), : self.size[0]]
                  for block in blocks]  # fmt: skip
        page = self._empty()
        filled = sum(block.shape[0] for block in blocks) / self.size[1]
        above = 0.05 if filled > 0.4 else 0.2
        top = self._write(page, title, _TITLE, round(above * self.size[1]))
        top += round(0.02 * self.size[1])
        for block in blocks:
            page.paste(Image.fromarray(np.ascontiguousarray(block[..., :3])), (0, top))
            top += block.shape[0]
        self._write(page, sentence, _TEXT, top + round(0.015 * self.size[1]))
        return _rgba(page)

    def _titled(self, drawn, title):
        """A picture laid out for this page, its title in the room kept free over it."""
        page = Image.fromarray(np.ascontiguousarray(drawn[..., :3]))
        room = self.size[0] * (1 - 2 * _MARGIN)
        wide = _font(round(_TITLE * min(self.size))).getlength(title)
        share = _TITLE * min(1.0, 0.98 * room / wide)  # one line
        self._write(page, title, share, round(_TITLE_TOP * self.size[1]))
        return _rgba(page)

    def _card(self, title, text):
        page = self._empty()
        below = self._write(page, title, 1.3 * _TITLE, round(0.3 * self.size[1]))
        for paragraph in text.strip().splitlines():
            below = self._write(page, paragraph, _TEXT, below + round(0.02 * min(self.size)))
        return _rgba(page)

    def _empty(self):
        return Image.new("RGB", self.size, self._look.surround)

    def _write(self, page, text, share, top):
        """Write lines from `top` down; returns where they end."""
        font = _font(round(share * min(self.size)))
        lines = _lines(text, font, self.size[0] * (1 - 2 * _MARGIN))
        step = round(font.size * _LEADING)
        for number, line in enumerate(lines):
            place = (self.size[0] * _MARGIN, top + number * step)
            ImageDraw.Draw(page).text(place, line, fill=_ink(self._look), font=font)
        return top + step * len(lines)


def _gap(figure):
    """Where across the figure (0..1), near its middle, nothing stands between axes; or None."""
    figure.canvas.draw()
    boxes = [axes.get_tightbbox() for axes in figure.axes]
    spans = sorted((box.x0 / figure.bbox.width, box.x1 / figure.bbox.width) for box in boxes if box)
    gaps, right = [], spans[0][1]
    for low, high in spans[1:]:
        if low > right:
            gaps.append(0.5 * (low + right))
        right = max(right, high)
    middle = [gap for gap in gaps if 0.35 < gap < 0.8]
    return min(middle, key=lambda gap: abs(gap - 0.6), default=None)


def _lines(text, font, room_px):
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= room_px or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


@lru_cache(maxsize=16)
def _font(size_px):
    return ImageFont.truetype(findfont("DejaVu Sans"), size_px)


def _ink(look):
    return tuple(round(255 * part) for part in to_rgb(look.ink))


def _rgba(image):
    return np.asarray(image.convert("RGBA"))
