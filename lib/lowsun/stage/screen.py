"""The picture in the browser: one image with its words, in a widget of its own."""

from pathlib import Path

import anywidget
from traitlets import Bool, Bytes, Dict, Integer, Unicode

from lowsun.words import say, spoken, term
from lowsun.words.speech import in_figures

_HERE = Path(__file__).parent
_WORDS = (  # of the page itself, as its files write them
    term("Page down, n"), term("next cue, scene or card"), term("Page up, p"),
    term("the one before"), term("move the main control a step"), term("move it ten steps"),
    term("another main control"), term("Space"), term("let it run by itself; stop it"),
    term("run in half, in twice the time"), term("run back and forth"),
    term("keep this state under the next digit"), term("1 to 9"), term("go to a kept state"),
    term("Home, 0"), term("back to where this scene began"), term(". or b"), term("black screen"),
    term("the presenter's line"), term("a window for the presenter alone"),
    term("the whole screen again"), term("the controls"), term("these keys"), term("q, Esc"),
    term("leave"), term("big view"),
    term("No second window was allowed here: l shows the line below."), term("For the presenter"),
    term("what to say now"), term("what comes then"), term("the time, and how much has gone"),
    term("Then:"), term("gone"), term("more controls"), term("fewer controls"),
    term("line between before, at its left, and now"), term("let go"), term("hold as before"),
    term("Before:"),
)  # fmt: skip
_PAGE = ("controls.js", "presenter.js", "big.js", "before.js", "screen.js")


class Screen(anywidget.AnyWidget):
    """One JPEG with its alternative text, an alert, a caution, and what is being computed.

    `shown_px` is how many of the screen's pixels wide the page shows it; 0 until the page says.
    `error_at` names the control that was refused; `typed` holds what was typed beside a slider;
    `readings` are the numbers of sliders that stand between their steps; `poster` names the still
    that the page hides while the picture is there. In the `big` view it shows a `card` instead of
    the picture, the presenter's `cue` and the one after it, and what a key did (`told`), which
    also goes to the clipboard when `copied` counts up. `words` are those the page writes itself, as
    the kernel's `language` says them; `decimal` is the sign it writes before decimals. The widget
    also gives the controls around it the names that ipywidgets leaves out, and keeps their keys
    from Lab.
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
    language = Unicode().tag(sync=True)
    decimal = Unicode(".").tag(sync=True)
    words = Dict().tag(sync=True)

    def __init__(self, **traits):
        told = {message: say(message) for message in _WORDS}
        super().__init__(language=spoken(), decimal=in_figures("."), words=told, **traits)

    def say(self, words):
        """Tell the player, the same words twice too."""
        self.told = ""
        self.told = words
