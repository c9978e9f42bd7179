"""Every latitude and every day of a year in one picture, and one day of it beside."""

from dataclasses import dataclass

import matplotlib
import numpy as np

from lowsun.drawing.look import TICK_PT
from lowsun.drawing.picture import BESIDE_ON, Picture
from lowsun.words import say, term
from lowsun.words.speech import month

COLOURS = matplotlib.colormaps["cividis"]  # rises evenly for every kind of colour vision
STAYS_UP, STAYS_DOWN = (150, 150, 150), (24, 24, 24)
MONTH_STARTS = (1, 32, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335)
LATITUDE_TICKS = {
    90: term("N pole"), 60: term("60° N"), 30: term("30° N"), 0: term("equator"),
    -30: term("30° S"), -60: term("60° S"), -90: term("S pole"),
}  # fmt: skip
UP, DOWN = term("stays up"), term("stays down")
WORDS = (
    (172, 80, UP), (172, -80, DOWN), (30, 80, DOWN), (30, -80, UP), (330, 80, DOWN), (330, -80, UP)
)  # fmt: skip

MINUTE_S, HOUR_S = 60, 3600
DISC, RIM = term("the disc, first contact to last sliver"), term("the green rim, alone")


@dataclass(frozen=True)
class Scale:
    """How a time is shown: its title, and round times [s] with their words, to tick and to trace.

    The first and the last of the ticks are the ends of the colours.
    """

    title: str
    ticks: tuple
    levels: tuple


SCALES = {
    DISC: Scale(
        term("the disc takes"),
        ((2 * MINUTE_S, "2 min"), (10 * MINUTE_S, "10"), (HOUR_S, "1 h"), (33 * HOUR_S, "33 h")),
        ((150, "2½ min"), (180, "3 min"), (300, "5 min"), (600, "10 min")),
    ),
    RIM: Scale(
        term("the rim is green alone for"),
        ((1, "1 s"), (10, "10 s"), (MINUTE_S, "1 min"), (15 * MINUTE_S, "15 min")),
        ((1.25, "1¼ s"), (1.5, "1½ s"), (2, "2 s"), (4, "4 s"), (10, "10 s")),
    ),
}


class PolarMapPicture(Picture):
    """Left the map, with lines of equal time; right the chosen day, pole to pole."""

    sheets = BESIDE_ON | {"square": ((96, 225, 516, 560), (672, 225, 196, 560))}

    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.view, self.profile = self.beside()
        self._shown = None
        self._lines = None
        self._draw_view()
        self._draw_profile()

    def _draw_view(self):
        view, look = self.view, self.look
        view.set(xlim=(0.5, 365.5), ylim=(-90.5, 90.5))
        view.set_xticks(MONTH_STARTS, [month(number) for number in range(1, 13)])
        view.set_yticks(list(LATITUDE_TICKS), list(map(say, LATITUDE_TICKS.values())))
        self.map = self.raster(view)
        for day, latitude, does in WORDS:
            grey = np.divide(STAYS_UP if does == UP else STAYS_DOWN, 255)
            view.text(day, latitude, say(does), color=look.over, ha="center", va="center",
                      fontsize=TICK_PT, bbox=_patch(grey))  # fmt: skip
        self.cross = self.moving(
            view.axvline(0, color=look.over, linewidth=1),
            view.axhline(0, color=look.over, linewidth=1),
        )
        self.here = self.moving(*view.plot([], [], **look.points("sun", markersize=11)))

    def _draw_profile(self):
        profile, look = self.profile, self.look
        profile.set(ylim=(-90.5, 90.5), xscale="log")
        profile.set_yticks(list(LATITUDE_TICKS), [""] * len(LATITUDE_TICKS))
        profile.minorticks_off()
        profile.grid(axis="x")
        self.line = self.moving(*profile.plot([], [], **look.line("light", linestyle="-")))
        self.dot = self.moving(
            *profile.plot([], [], **look.points("sun", markersize=11, clip_on=False))
        )

    def update(self, result):
        """Take over a `scenes.polar_map.Result`."""
        if result.what != self._shown:
            self._show_map(result)
        self.cross[0].set_xdata([result.day_of_year] * 2)
        self.cross[1].set_ydata([result.latitude_deg] * 2)
        self.here.set_data([result.day_of_year], [result.latitude_deg])
        self.line.set_data(result.seconds[:, result.column], result.map_latitude_deg)
        self.dot.set_data([result.here_s], [result.latitude_deg])

    def _show_map(self, result):
        self._shown = result.what
        self.map.show(_coloured(result), (0.5, 365.5, -90.5, 90.5))
        self._draw_equal_times(result)
        scale = SCALES[result.what]
        low, high = scale.ticks[0][0] / 1.5, scale.ticks[-1][0] * 1.5
        self.profile.set(xlim=(low, high), title=say(scale.title))
        seconds, words = zip(*scale.ticks, strict=True)
        self.profile.set_xticks(seconds, words)
        self.profile.minorticks_off()
        self.redraw_all()

    def _draw_equal_times(self, result):
        if self._lines is not None:
            self._lines.remove()
        seconds, words = zip(*SCALES[result.what].levels, strict=True)
        with self.look.applied():
            self._lines = self.view.contour(
                np.arange(1, 366), result.map_latitude_deg, result.seconds, levels=seconds,
                colors=self.look.over, linewidths=1.2,
            )  # fmt: skip
            names = dict(zip(seconds, words, strict=True))
            self.view.clabel(self._lines, fmt=names, fontsize=TICK_PT)


def _patch(grey):
    """Behind words, of what they stand on: a line that crosses them is not drawn through them."""
    return {"facecolor": grey, "edgecolor": "none", "boxstyle": "square,pad=0.1"}


def _coloured(result):
    """The map as pixels, from the north pole down; greys where there is no sunset."""
    ticks = SCALES[result.what].ticks
    low, high = ticks[0][0], ticks[-1][0]
    share = np.log(result.seconds / low) / np.log(high / low)
    rgb = np.rint(255 * COLOURS(np.nan_to_num(share))[..., :3]).astype(np.uint8)
    rgb[result.stays_up] = STAYS_UP
    rgb[result.stays_down] = STAYS_DOWN
    rgb[np.isnan(result.seconds) & ~result.stays_up & ~result.stays_down] = STAYS_UP
    return rgb[::-1]
