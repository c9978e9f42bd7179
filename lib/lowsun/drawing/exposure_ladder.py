"""The exposure ladder: rung by rung as a sheet, and beside it against the limits of the shutter."""

from types import MappingProxyType

import numpy as np

from lowsun.drawing.picture import Picture
from lowsun.words import say

SHEET_BOX = (96, 196, 716, 484)
CHART_BOX = (936, 236, 304, 410)
ROWS = 12
STILL_COLUMNS = 2  # the camera does not change them
# Where the sheet's columns begin, in shares of its width.
LEFT_SHARES = (0.0, 0.14, 0.31, 0.59, 0.88)
NARROW_SHARES = (0.0, 0.13, 0.30, 0.56, 0.83)  # the same on a sheet no wider than high
FASTEST_S, SLOWEST_S = 1e-7, 30.0  # the chart reaches from one to the other
FIRST_S, LAST_S, EVEN_S = -600.0, 0.0, 3.0
NAMED_RUNG = 7  # where the disc's line bears its name
RIM_RUNG = 8  # and where the rim's does, to the right of the words on the line of a sunlit scene


class ExposureLadderPicture(Picture):
    """Left the sheet, one line an instant; right shutter times against the time that is left."""

    sheets = MappingProxyType({
        "square": ((96, 465, 774, 320), (210, 240, 660, 170)),
        "upright": ((60, 740, 664, 455), (210, 390, 500, 290)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        sheet, chart = self.places(SHEET_BOX, CHART_BOX)
        self._draw_sheet(sheet)
        self._draw_chart(chart)

    def _draw_sheet(self, axes):
        look = self.look
        cell_pt = 13 if self.sheet == "upright" else 15
        shares = LEFT_SHARES if self.sheet == "wide" else NARROW_SHARES
        axes.set_axis_off()
        axes.set(xlim=(0, 1), ylim=(ROWS + 1, 0))
        self.cells = [
            [axes.text(left, row, "", fontsize=cell_pt, va="center") for left in shares]
            for row in (0.4, *np.arange(ROWS) + 1.5)
        ]
        for heading in self.cells[0]:
            heading.set(color=look.faint, fontsize=min(cell_pt, 14))
        for cells in self.cells[1:]:
            self.moving(*cells[STILL_COLUMNS:])

    def _draw_chart(self, axes):
        look = self.look
        axes.set_xscale("symlog", linthresh=EVEN_S, linscale=0.6)
        axes.set(
            xlim=(FIRST_S, LAST_S + 0.4),
            ylim=(FASTEST_S, SLOWEST_S),
            yscale="log",
            xlabel=say("time to go"),
            title=say("longest shutter time [s]"),
        )
        axes.set_xticks([-600, -60, -10, 0], ["10 min", "1 min", "10 s", "0"])
        axes.set_xticks([], minor=True)
        axes.set_yticks([1e-6, 1e-4, 1e-2, 1], ["1/1 000 000", "1/10 000", "1/100", "1"])
        axes.set_yticks([], minor=True)
        self.fastest = self.moving(axes.axhspan(FASTEST_S, FASTEST_S, color=look.hairline))
        self.slowest = self.moving(axes.axhline(1, color=look.faint, linewidth=1))
        self.beyond = self.moving(
            axes.text(
                0.05, 0.03, say("faster than the shutter"), transform=axes.transAxes, fontsize=13
            )
        )
        self.sunlit = self.moving(axes.axhline(1, color=look.faint, linewidth=1.5, linestyle="--"))
        self.sunlit_name = self.moving(
            axes.text(
                0.02,  # at the left end, where both curves lie far under it
                1,
                say("sunlit scene"),
                transform=axes.get_yaxis_transform(),
                fontsize=13,
                va="bottom",
                color=look.faint,
            )
        )
        self.disc = self.moving(*axes.plot([], [], **look.line("sun", marker="o")))
        self.rim = self.moving(*axes.plot([], [], color=look.wavelength(532), linestyle="-.",
                                          linewidth=2.5, marker="s"))  # fmt: skip
        self.disc_name = self._name(axes, look.colour("sun"), "top", -12)
        self.rim_name = self._name(axes, look.words_of_wavelength(532), "bottom", 12)

    def _name(self, axes, colour, side, up_pt):
        name = axes.annotate("", (0, 1), (0, up_pt), textcoords="offset points", color=colour,
                             ha="center", va=side, fontsize=14)  # fmt: skip
        return self.moving(name)

    def update(self, result):
        """Take over a `scenes.exposure_ladder.Result`; no ladder leaves the sheet empty."""
        still = self._still_words()
        blank = [("",) * len(LEFT_SHARES)] * (1 + ROWS - len(result.table))
        for cells, words in zip(self.cells, [*result.table, *blank], strict=True):
            for cell, word in zip(cells, words, strict=True):
                cell.set_text(word)
        if self._still_words() != still:
            self.redraw_all()
        self._update_chart(result)

    def _still_words(self):
        """Headings, instants and altitudes: another evening's, not another camera's."""
        first = [cell.get_text() for cells in self.cells for cell in cells[:STILL_COLUMNS]]
        return first + [cell.get_text() for cell in self.cells[0]]

    def _update_chart(self, result):
        self._update_rungs(result.ladder.rungs if result.ladder else ())
        camera, sunlit_s = result.camera, result.sunlit_s
        self.fastest.set(y=FASTEST_S, height=camera.fastest_shutter_s - FASTEST_S)
        self.slowest.set_ydata([camera.slowest_shutter_s] * 2)
        self.sunlit.set_ydata([sunlit_s] * 2)
        self.sunlit_name.set_y(sunlit_s)

    def _update_rungs(self, rungs):
        seconds = np.array([rung.seconds for rung in rungs])
        for line, name, words, at, times in (
            (self.disc, self.disc_name, say("disc"), NAMED_RUNG, [_shown(r.disc) for r in rungs]),
            (self.rim, self.rim_name, say("green rim"), RIM_RUNG, [_shown(r.rim) for r in rungs]),
        ):
            line.set_data(seconds, times)
            named = len(times) > at and np.isfinite(times[at])
            name.set_text(words if named else "")
            if named:
                name.xy = (seconds[at], times[at])


def _shown(setting):
    return setting.longest_s if setting.exists else np.nan
