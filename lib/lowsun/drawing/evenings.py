"""Bearings of the last sliver through the days, the gap among them, and the evenings that fit."""

from types import MappingProxyType

import numpy as np
from matplotlib.dates import date2num, num2date

from lowsun import words
from lowsun.drawing.picture import Picture
from lowsun.words import say

MOST_LINES = 20
ROOM_DEG = 3.0  # left free over and under the bearings


class EveningsPicture(Picture):
    """Left the bearing through the days with the gap as a band; right the evenings in it."""

    sheets = MappingProxyType({
        "square": ((120, 260, 370, 520), (510, 200, 360, 600)),
        "upright": ((120, 780, 580, 400), (110, 290, 590, 400)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.course, self.list = self.places((130, 236, 720, 430), (900, 196, 340, 484))
        self.course.set_title(say("where the last sliver goes"))
        (self.bearings,) = self.course.plot([], [], **look.line("sun", linewidth=1.5))
        (self.inside,) = self.course.plot([], [], **look.points("sun", markersize=7), zorder=4)
        self.edges = [
            self.course.plot([], [], color=look.ink, linewidth=1, linestyle="--")[0]
            for _ in range(2)
        ]
        self.list.axis("off")
        self.list.set(
            xlim=(0, 1), ylim=(MOST_LINES + 0.5, -0.5), title=say("into the gap, local time")
        )
        self.lines = []

    def update(self, result):
        """Take over a `scenes.which_evenings.Result`."""
        found = result.found
        days = date2num(found.day) if found.day.size else np.empty(0)
        middle = _middle_deg(found)
        turned = (found.azimuth_deg - middle + 180) % 360 - 180 + middle
        self.bearings.set_data(days, turned)
        self.inside.set_data(days[found.inside], turned[found.inside])
        self._limit(result, turned, middle)
        for line in self.lines:
            line.remove()
        self.lines = [
            self.list.text(0.02, row, words, color=self.look.ink, fontsize=13, va="center")
            for row, words in enumerate(_shortened(result.lines))
        ]
        self.redraw_all()

    def _limit(self, result, turned, middle):
        found = result.found
        low, high = (
            (edge - middle + 180) % 360 - 180 + middle for edge in (found.low_deg, found.high_deg)
        )
        span = date2num([result.first_day, result.last_day])
        self.course.set_xlim(*span)
        for line, edge in zip(self.edges, (low, high), strict=True):
            line.set_data(span, [edge, edge])
        shown = np.concatenate([turned[np.isfinite(turned)], [low, high]])
        self.course.set_ylim(shown.min() - ROOM_DEG, shown.max() + ROOM_DEG)
        self._tick(span)

    def _tick(self, span):
        low, high = self.course.get_ylim()
        step = next(s for s in (1, 2, 5, 10, 20, 45, 90) if (high - low) / s <= 8 or s == 90)
        bearings = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
        self.course.set_yticks(bearings, [words.bearing_tick(b) for b in bearings])
        days = np.arange(span[0], span[1] + 1)
        firsts = [day for day in days if num2date(day).day == 1]
        shown = firsts if len(firsts) > 2 else list(days[:: max(1, len(days) // 5)])
        shown = shown[:: max(1, len(shown) // 6)]
        self.course.set_xticks(
            shown, [words.day(num2date(day).date(), year=False) for day in shown]
        )


def _shortened(lines):
    """No more lines than there is room for, the last then saying how many are left out."""
    if len(lines) <= MOST_LINES:
        return lines
    return (*lines[: MOST_LINES - 1], say("and {lines} more", lines=len(lines) - MOST_LINES + 1))


def _middle_deg(found):
    """The bearing in the middle of all, so that north cuts nothing in two."""
    if not np.isfinite(found.azimuth_deg).any():
        return 270.0
    turn = np.radians(found.azimuth_deg[np.isfinite(found.azimuth_deg)])
    return float(np.degrees(np.arctan2(np.sin(turn).mean(), np.cos(turn).mean())) % 360)
