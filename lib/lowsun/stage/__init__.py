"""A scene played live, filmed, printed."""

from importlib import import_module

_HOMES = {
    "Move": "segment",
    "Segment": "segment",
    "ask": "guessing",
    "film": "recorder",
    "live": "player",
    "still": "stills",
    "talk": "player",
}

__all__ = ["Move", "Segment", "ask", "film", "live", "still", "talk"]


def __getattr__(name):
    """Each is imported when it is asked for: a command needs few of them, widgets least of all."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
