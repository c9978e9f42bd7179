"""One at a time: what a page sends may be answered in several threads, and a stage bears one."""

from functools import wraps
from threading import RLock

_ALONE = RLock()  # one for all stages, since the drawing's settings are one for all figures


def alone(does):
    """A function that waits until nothing else runs that was made so; it may call another such."""

    @wraps(does)
    def waits(*args, **kwargs):
        with _ALONE:
            return does(*args, **kwargs)

    return waits
