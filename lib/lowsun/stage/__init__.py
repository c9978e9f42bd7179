"""A scene played live, filmed, printed."""

from lowsun.stage.film import film
from lowsun.stage.live import live, talk
from lowsun.stage.segment import Move, Segment
from lowsun.stage.still import still

__all__ = ["Move", "Segment", "film", "live", "still", "talk"]
