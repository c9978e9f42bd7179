"""What a notebook takes from the kit, in the one line that all of them begin with."""

from IPython.display import Markdown

from lowsun.scenes import named as scene
from lowsun.scenes.caution import whole
from lowsun.stage import ask, live, talk
from lowsun.stage.sketching import sketch
from lowsun.words import speak

__all__ = ["ask", "caution", "live", "scene", "sketch", "speak", "talk"]


def caution():
    """The kit's one caution about the Sun, whole, for a notebook's page."""
    return Markdown(whole())
