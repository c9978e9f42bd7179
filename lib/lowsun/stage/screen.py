"""The picture in the browser: one image with its words, in a widget of its own."""

from pathlib import Path

import anywidget
from traitlets import Bool, Bytes, Dict, Integer, Unicode

_HERE = Path(__file__).parent
_PAGE = ("controls.js", "presenter.js", "big.js", "before.js", "screen.js")


class Screen(anywidget.AnyWidget):
    """One JPEG with its alternative text, an alert, a caution, and what is being computed.

    `shown_px` is how many of the screen's pixels wide the page shows it; 0 until the page says.
    `error_at` names the control that was refused; `typed` holds what was typed beside a slider;
    `readings` are the numbers of sliders that stand between their steps; `poster` names the still
    that the page hides while the picture is there. In the `big` view it shows a `card` instead of
    the picture, the presenter's `cue` and the one after it, and what a key did (`told`), which
    also goes to the clipboard when `copied` counts up. The widget also gives the
    controls around it the names that ipywidgets leaves out, and keeps their keys from Lab.
    """

    _esm = "\n".join((_HERE / name).read_text("utf-8") for name in _PAGE)
    _css = _HERE / "screen.css"

    frame = Bytes().tag(sync=True)
    sentence = Unicode().tag(sync=True)
    error = Unicode().tag(sync=True)
    error_at = Unicode().tag(sync=True)
    typed = Dict().tag(sync=True)
    readings = Dict().tag(sync=True)
    poster = Unicode().tag(sync=True)
    doing = Unicode().tag(sync=True)
    caution = Unicode().tag(sync=True)
    width_px = Integer().tag(sync=True)
    height_px = Integer().tag(sync=True)
    shown_px = Integer().tag(sync=True)
    big = Bool().tag(sync=True)
    card = Dict().tag(sync=True)
    cue = Unicode().tag(sync=True)
    next_cue = Unicode().tag(sync=True)
    told = Unicode().tag(sync=True)
    copied = Integer().tag(sync=True)

    def say(self, words):
        """Tell the player, the same words twice too."""
        self.told = ""
        self.told = words
