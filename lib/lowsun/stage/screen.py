"""The picture in the browser: one image with its words, in a widget of its own."""

from pathlib import Path

import anywidget
from traitlets import Bytes, Integer, Unicode

_HERE = Path(__file__).parent


class Screen(anywidget.AnyWidget):
    """One JPEG with its alternative text, an alert, a caution, and what is being computed.

    `shown_px` is how many of the screen's pixels wide the page shows it; 0 until the page says.
    It also gives the slider handles around it the names that ipywidgets leaves out.
    """

    _esm = _HERE / "screen.js"
    _css = _HERE / "screen.css"

    frame = Bytes().tag(sync=True)
    sentence = Unicode().tag(sync=True)
    error = Unicode().tag(sync=True)
    doing = Unicode().tag(sync=True)
    caution = Unicode().tag(sync=True)
    width_px = Integer().tag(sync=True)
    height_px = Integer().tag(sync=True)
    shown_px = Integer().tag(sync=True)
