"""A scene played live, filmed, printed."""

from lowsun.stage.guessing import ask
from lowsun.stage.player import live, talk
from lowsun.stage.recorder import film
from lowsun.stage.segment import Move, Segment
from lowsun.stage.stills import still

__all__ = ["Move", "Segment", "ask", "film", "live", "still", "talk"]
