"""Where to stand: the flash's duration from each height, beside the air on the same heights."""

import numpy as np

from lowsun.drawing.picture import Picture

LOW_M, HIGH_M = 1.5, 1500.0
LONGEST_S = 12.0
MARKERS = {"rim only": "o", "inferior mirage": "^", "mock mirage": "s", "sub-duct": "D"}
TICKS_M = (2, 5, 10, 20, 50, 100, 200, 500, 1000)


class WhereToStandPicture(Picture):
    """Left duration against the eye's height, one marker a kind; right temperature."""

    def __init__(self, figure, look):
        super().__init__(figure, look)
        flash, air = self.beside()
        for axes in (flash, air):
            axes.set(yscale="log", ylim=(LOW_M, HIGH_M))
            axes.set_yticks(TICKS_M, [str(tick) for tick in TICKS_M])
            axes.set_yticks([], minor=True)
        flash.set(
            xlim=(0, LONGEST_S),
            xlabel="the flash lasts [s]",
            ylabel="your eye above the sea [m]  up →",
            title="how long from each height",
        )
        air.set(xlabel="temperature [°C]", title="the air")
        self.air = air
        self.line = self.moving(*flash.plot([], [], color=look.faint, linewidth=1))
        self.kinds = {
            kind: self.moving(*flash.plot([], [], **look.points("light", marker=marker)))
            for kind, marker in MARKERS.items()
        }
        self.names = {
            kind: self.moving(flash.text(0, 1, kind, color=look.colour("light"), fontsize=14))
            for kind in MARKERS
        }
        self.best = [
            self.moving(axes.axhline(LOW_M, color=look.colour("apparent"), linewidth=2))
            for axes in (flash, air)
        ]
        self.best_name = self.moving(
            flash.text(LONGEST_S, LOW_M, "stand here", color=look.colour("apparent"), ha="right",
                       va="bottom", fontsize=16)
        )  # fmt: skip
        self.profile = self.moving(*air.plot([], [], **look.line("temperature")))

    def update(self, result):
        """Take over a `scenes.where_to_stand.Result`."""
        duration = np.minimum(result.duration_s, LONGEST_S)
        self.line.set_data(duration, result.eye_height_m)
        for kind, points in self.kinds.items():
            self._show_kind(points, self.names[kind], result.kind == kind, duration, result)
        for line in self.best:
            line.set_ydata([result.best_m] * 2)
        self.best_name.set_y(result.best_m * 1.03)
        self._show_air(result)

    def _show_kind(self, points, name, these, duration, result):
        points.set_data(duration[these], result.eye_height_m[these])
        name.set_visible(bool(these.any()))
        if these.any():
            lowest = np.flatnonzero(these)[0]
            at = min(duration[lowest] + 0.3, LONGEST_S - 2.5)
            name.set_position((at, 1.1 * result.eye_height_m[lowest]))

    def _show_air(self, result):
        levels = result.atmosphere
        self.profile.set_data(levels.temperature_k - 273.15, np.maximum(levels.height_m, 0.1))
        if self.air.get_xlim() != result.shown_temperature_c:
            self.air.set_xlim(*result.shown_temperature_c)
            self.redraw_all()
