"""The Sun's way over the horizon at any latitude, its portraits, its clock and its green rim."""

import numpy as np
from matplotlib.patches import Polygon

from lowsun.drawing.look import TICK_PT, compass_point
from lowsun.drawing.picture import Picture

PATH_BOX, STRIP_BOX, RIM_BOX = (96, 436, 736, 244), (96, 262, 736, 112), (936, 196, 304, 484)
PORTRAITS = 7
STRIP_ARCMIN = (-6.0, 44.0)  # over the level horizon
CELL_ARCMIN = (STRIP_ARCMIN[1] - STRIP_ARCMIN[0]) * STRIP_BOX[2] / STRIP_BOX[3] / PORTRAITS
RIM_S = (0.7, 2400.0)
RIM_TICKS = {1: "1 s", 10: "10 s", 60: "1 min", 600: "10 min", 1800: "30 min"}
CLOCK_LEFT_PX, CLOCK_TOP_PX, CLOCK_STEP_PX = 96, 208, 250


class PolarPicture(Picture):
    """Above the path, to scale; under it portraits at even steps; right the rim by latitude."""

    def __init__(self, figure, look):
        super().__init__(figure, look)
        path, strip, rim = self.places(PATH_BOX, STRIP_BOX, RIM_BOX)
        self._window = None
        self._draw_path(path)
        self._draw_strip(strip)
        self._draw_rim(rim)
        self._write_clock()

    # ---- what stays

    def _draw_path(self, path):
        look = self.look
        self.path = path
        path.set_facecolor("black")
        path.set_ylabel("apparent altitude  up →")
        self.sky = self.raster(path)
        self.way = self.moving(*path.plot([], [], **look.line("sun", linewidth=1.2)))
        self.limbs = self.moving(*path.plot([], [], **look.line("sun", linewidth=1.2)))
        self.now = self.moving(*path.plot([], [], **look.points("sun", markerfacecolor="none")))
        self.land = self.moving(_land(path, look))
        self.where = self.moving(path.text(
            0.5, 0.9, "", transform=path.transAxes, color=look.over, ha="center", va="top",
        ))  # fmt: skip

    def _draw_strip(self, strip):
        look = self.look
        self.strip = strip
        width = CELL_ARCMIN * PORTRAITS
        strip.set(xlim=(0, width), ylim=STRIP_ARCMIN, facecolor="black")
        strip.set_xticks((np.arange(PORTRAITS) + 0.5) * CELL_ARCMIN)
        strip.set_yticks([0, 30])
        strip.set_ylabel("arcmin")
        strip.tick_params(length=0)
        self.portraits = self.raster(strip)
        self.strip_land = self.moving(_land(strip, look))
        for edge in np.arange(1, PORTRAITS) * CELL_ARCMIN:
            strip.axvline(edge, color=look.over, linewidth=0.6)
        self.notes = [
            self.moving(strip.text(
                (k + 0.5) * CELL_ARCMIN, 32, "", color=look.over, ha="center", va="center",
                fontsize=TICK_PT,
            ))
            for k in range(PORTRAITS)
        ]  # fmt: skip
        self.mark = self.moving(*strip.plot(
            [], [], color=look.colour("sun"), marker="v", markersize=9, clip_on=False,
            linestyle="none",
        ))  # fmt: skip

    def _draw_rim(self, rim):
        look = self.look
        green = look.wavelength(520.0)
        rim.set(xlim=(0, 91), yscale="log", ylim=RIM_S, title="how long the rim is green alone")
        rim.set_yticks(list(RIM_TICKS), list(RIM_TICKS.values()))
        rim.minorticks_off()
        rim.grid(axis="y")
        rim.set_xticks([0, 30, 60, 90], ["equator", "30°", "60°", "pole"])
        for text, height, colour in (
            ("on this day", 0.52, green),
            ("on the year's median day", 0.465, look.faint),
            ("in standard air", 0.41, look.ink),
        ):
            rim.text(0.05, height, text, color=colour, transform=rim.transAxes)
        self.year = self.moving(*rim.plot([], [], color=look.faint, linewidth=1.5))
        self.day = self.moving(*rim.plot([], [], color=green, linewidth=2.5))
        self.here, self.ragged = self.moving(
            *rim.plot([], [], **look.points("sun", markersize=12, clip_on=False)),
            *rim.plot([], [], **look.points("apparent", markersize=11, clip_on=False)),
        )
        self.rim_words = self.moving(rim.text(
            0.03, 0.97, "", transform=rim.transAxes, va="top", linespacing=1.5,
        ))  # fmt: skip

    def _write_clock(self):
        self.clock = [
            self.moving(self.figure.text(
                (CLOCK_LEFT_PX + k * CLOCK_STEP_PX) / 1280, CLOCK_TOP_PX / 720, "",
                va="top", linespacing=1.35, fontsize=TICK_PT,
            ))
            for k in range(3)
        ]  # fmt: skip

    # ---- what moves

    def update(self, result):
        """Take over a `scenes.polar_sunset.Result`."""
        self._set_window(result.window)
        self._update_path(result)
        self._update_strip(result)
        self._update_rim(result)
        for text, lines in zip(self.clock, result.clock, strict=True):
            text.set_text("\n".join(lines))

    def _set_window(self, window):
        if window == self._window:
            return
        self._window = window
        path = self.path
        path.set(xlim=(window.left, window.right), ylim=(window.low, window.high))
        first = np.ceil(window.left / window.tick_deg) * window.tick_deg
        ticks = np.arange(first, window.right + 1e-9, window.tick_deg)
        path.set_xticks(ticks, [_bearing(tick, window.bearing_is) for tick in ticks])
        path.set_xlabel(window.label)
        path.set_yticks(window.altitude_ticks, [f"{tick:g}°" for tick in window.altitude_ticks])
        self.redraw_all()

    def _update_path(self, result):
        self.sky.show(*result.sky)
        self.way.set_data(result.way_deg)
        self.limbs.set_data(result.limbs_deg)
        self.way.set_linewidth(result.window.line_pt)
        self.now.set_data(*result.now_deg)
        self.land.set_xy(_ground(*result.skyline_deg, result.window.low))
        self.where.set_text(result.where)

    def _update_strip(self, result):
        self.portraits.show(result.portraits)
        self.strip_land.set_xy(_ground(*result.strip_skyline_arcmin, STRIP_ARCMIN[0]))
        for text, note in zip(self.notes, result.notes, strict=True):
            text.set_text(note)
        at = (0.5 + result.share * (PORTRAITS - 1)) * CELL_ARCMIN
        self.mark.set_data([at], [STRIP_ARCMIN[1]])
        labels = [label.get_text() for label in self.strip.get_xticklabels()]
        if labels != list(result.step_labels):
            self.strip.set_xticklabels(result.step_labels)
            self.redraw_all()

    def _update_rim(self, result):
        self.year.set_data(result.map_latitude_deg, result.year_rim_s)
        self.day.set_data(result.map_latitude_deg, result.day_rim_s)
        self.here.set_data(*result.here_rim)
        self.ragged.set_data(*result.ragged_rim)
        self.rim_words.set_text("\n".join(result.rim_words))


def _land(axes, look):
    land = Polygon([(0, 0), (0, 0), (0, 0)], closed=True, facecolor=look.land, edgecolor=look.faint)
    return axes.add_patch(land)


def _ground(across, height, low):
    """The outline of what lies under a skyline, down to below the foot of the axes."""
    foot = low - 1.0
    across = np.concatenate([across[:1], across, across[-1:]])
    return np.column_stack([across, np.concatenate([[foot], height, [foot]])])


def _bearing(tick_deg, bearing_is):
    around = tick_deg % 360
    if bearing_is == "longitude":
        east = (around + 180) % 360 - 180
        return f"{abs(east):g}°" + ("" if east % 180 == 0 else " E" if east > 0 else " W")
    point = f" {compass_point(around)}" if around % 22.5 == 0 else ""
    return f"{around:g}°{point}"
