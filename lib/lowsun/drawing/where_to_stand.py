"""Where to stand: how long green is seen from each height, beside the air on the same heights."""

import numpy as np

from lowsun.drawing.look import shown_temperature_c
from lowsun.drawing.picture import BESIDE_ON, Picture
from lowsun.phenomena.green_flash import INFERIOR, MOCK, RIM, SUB_DUCT
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.words import say

LOW_M, HIGH_M = 1.5, 1500.0
LONGEST_S = 15.0
MARKERS = {RIM: "o", INFERIOR: "^", MOCK: "s", SUB_DUCT: "D"}
TICKS_M = (2, 5, 10, 20, 50, 100, 200, 500, 1000)
TICKS_S = (0, 5, 10, 15)
NAME_S = 0.45  # how far to the right of its lowest marker a kind is named
ROOM_S = 3.6  # a kind's name needs so much room
BELOW, LOWEST_NAME_M = 0.82, 1.8  # share of the line through the marker; no name shows lower
NAME_BAND = 1.25  # heights that a name covers, either way


class WhereToStandPicture(Picture):
    """Left seconds against the eye's height, seen and geometric; right temperature."""

    sheets = BESIDE_ON

    def __init__(self, figure, look):
        super().__init__(figure, look)
        flash, air = self.beside()
        for axes in (flash, air):
            axes.set(yscale="log", ylim=(LOW_M, HIGH_M))
            axes.set_yticks(TICKS_M, [str(tick) for tick in TICKS_M])
            axes.set_yticks([], minor=True)
        flash.set(
            xlim=(0, LONGEST_S * 1.02),
            xlabel=say("seconds of green"),
            ylabel=say("your eye above the sea [m]  up →"),
            title=say("how long from each height"),
        )
        flash.set_xticks(TICKS_S, [*(str(tick) for tick in TICKS_S[:-1]), f"{LONGEST_S:.0f}+"])
        air.set(xlabel=say("temperature [°C]"), title=say("the air"))
        self.air = air
        self._draw_curves(flash)
        self._draw_place(flash, air)
        self.profile = self.moving(*air.plot([], [], **look.line("temperature")))

    def _draw_curves(self, flash):
        look = self.look
        self.flash = flash
        self.lost = self.moving(
            flash.fill_betweenx([LOW_M], [0.0], [0.0], color=look.hairline, linewidth=0, alpha=0.7)
        )
        self.geometric = self.moving(
            *flash.plot([], [], color=look.faint, linewidth=1.5, linestyle="--")
        )
        self.line = self.moving(*flash.plot([], [], **look.line("light", linestyle="-")))
        self.kinds = {
            kind: self.moving(*flash.plot([], [], **look.points("light", marker=marker)))
            for kind, marker in MARKERS.items()
        }
        self.names = {
            kind: self.moving(
                flash.text(0, 1, say(kind), color=look.colour("light"), fontsize=14, va="center")
            )
            for kind in MARKERS
        }
        self.geometric_name = self.moving(
            flash.text(0, HIGH_M, say("by geometry alone"), color=look.ink, fontsize=13, va="top")
        )

    def _draw_place(self, flash, air):
        look = self.look
        self.place = self.moving(
            *flash.plot([], [], color=look.colour("apparent"), linewidth=4, solid_capstyle="butt")
        )
        self.best = [
            self.moving(axes.axhline(LOW_M, color=look.colour("apparent"), linewidth=2))
            for axes in (flash, air)
        ]
        self.best_name = self.moving(
            flash.text(
                LONGEST_S - 0.2,
                LOW_M,
                say("stand here"),
                color=look.colour("apparent"),
                ha="right",
                va="bottom",
                fontsize=16,
            )
        )

    def update(self, result):
        """Take over a `scenes.where_to_stand.Result`."""
        height = result.eye_height_m
        seen, geometric = (
            np.minimum(seconds, LONGEST_S) for seconds in (result.duration_s, result.geometric_s)
        )
        self.line.set_data(seen, height)
        self.geometric.set_data(geometric, height)
        self.lost.set_data(height, seen, np.maximum(geometric, seen))
        for kind, points in self.kinds.items():
            these = (result.kind == kind) & (seen > 0.0)
            points.set_data(seen[these], height[these])
            self._name(self.names[kind], these, seen, geometric, height)
        self._name_geometry(geometric, height)
        self._show_place(result)
        self._show_air(result)

    def _name(self, name, these, seen, geometric, height):
        """Beside both curves at its own height, where there is room."""
        name.set_visible(bool(these.any()))
        if these.any():
            longest = np.flatnonzero(these)[seen[these].argmax()]
            up = max(BELOW * height[longest], LOWEST_NAME_M)
            covered = np.geomspace(up / NAME_BAND, up * NAME_BAND, 21)
            curves = np.interp(covered, height, np.maximum(seen, geometric)).max()
            name.set_position((min(curves + NAME_S, LONGEST_S - ROOM_S), up))

    def _name_geometry(self, geometric, height):
        some = np.flatnonzero(geometric > 0.0)
        self.geometric_name.set_visible(some.size > 0)
        if some.size:
            across = min(geometric[some[-1]] + NAME_S, LONGEST_S - ROOM_S)
            self.geometric_name.set_position((across, 0.92 * height[some[-1]]))

    def _show_place(self, result):
        found = result.worth_going
        for line in self.best:
            line.set_ydata([result.best_m] * 2)
            line.set_visible(found)
        self.place.set_data([LONGEST_S] * 2, result.window_m)
        self.place.set_visible(found)
        self.best_name.set_visible(found)
        self.best_name.set_y(result.best_m * 1.03)

    def _show_air(self, result):
        levels = result.atmosphere
        self.profile.set_data(
            levels.temperature_k - ZERO_CELSIUS_K, np.maximum(levels.height_m, 0.1)
        )
        limits = shown_temperature_c(levels, HIGH_M)
        if self.air.get_xlim() != limits:
            self.air.set_xlim(*limits)
            self.redraw_all()
