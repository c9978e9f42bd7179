"""Once a second, on the second: what makes a stage follow the clock."""

import asyncio
from datetime import UTC, datetime


class Clock:
    """Calls `tick(when)` with the aware UTC time at each full second, while it runs.

    read: what tells the time. A clock set forward or back is read as it is: nothing is counted up.
    Without a running event loop it ticks once when started.
    """

    def __init__(self, tick, read=lambda: datetime.now(UTC)):
        self.read = read
        self.running = False
        self._tick = tick
        self._next = None

    def run(self, running):
        """Start or stop it."""
        if running == self.running:
            return
        self.running = running
        if self._next is not None:
            self._next.cancel()
            self._next = None
        if running:
            self._beat()

    def _beat(self):
        self._tick(self.read())
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return
        left_s = 1 - self.read().microsecond / 1e6
        self._next = loop.call_later(left_s, self._beat)
