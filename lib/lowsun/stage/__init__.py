"""A scene played live, filmed, printed."""

from lowsun.stage.live import live
from lowsun.stage.still import still

__all__ = ["live", "still"]
