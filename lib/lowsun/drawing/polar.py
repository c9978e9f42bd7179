"""The Sun's way over the horizon at any latitude, its portraits, its clock and its upper limb."""

from types import MappingProxyType

import numpy as np
from matplotlib.patches import Polygon

from lowsun.drawing.look import TICK_PT, scale_bar, set_field
from lowsun.drawing.picture import Picture
from lowsun.drawing.polar_field import PATH, around, outlines, way
from lowsun.drawing.view import View
from lowsun.words import say

LIMB_ARCSEC, LIMB_FOOT_ARCSEC = 60.0, 12.0  # height of the magnified field, ground at its foot
STRIP_ARCMIN = (-6.0, 44.0)  # over the level horizon
STRIP = View(96, 262, 736, 112, (STRIP_ARCMIN[1] - STRIP_ARCMIN[0]) / 60)
LIMB, RIM_BOX = View(936, 458, 304, 216, LIMB_ARCSEC / 3600), (936, 196, 304, 190)
PORTRAITS = 7
CELL_ARCMIN = 60 * STRIP.height_deg * STRIP.columns / STRIP.rows / PORTRAITS
RIM_S = (0.7, 2400.0)
RIM_TICKS = {1: "1 s", 10: "10 s", 60: "1 min", 600: "10 min", 1800: "30 min"}
CLOCK_PX = {  # where the three contacts are written
    "wide": ((96, 170), (346, 170), (596, 170)),
    "square": ((90, 375), (90, 308), (90, 241)),
    "upright": ((96, 738), (301, 738), (506, 738)),
}
BLACK = np.zeros((1, 1, 3), np.uint8)


class PolarPicture(Picture):
    """Above the path, to scale; under it portraits at even steps; right the limb and its rim."""

    sheets = MappingProxyType({  # the strip keeps its shape
        "square": ((90, 584, 460, 204), (90, 447, 460, 70), (640, 595, 230, 163),
                   (640, 240, 230, 230)),
        "upright": ((96, 990, 614, 200), (96, 825, 614, 93), (96, 445, 250, 178),
                    (460, 400, 250, 230)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        boxes = PATH, STRIP, LIMB, RIM_BOX
        self.path, self.strip, self.limb, self.rim = self.places(*boxes)
        self._shown = self._steps = None
        self._draw_path()
        self._draw_strip()
        self._draw_portraits()
        self._draw_limb()
        self._draw_rim()
        self._name_rims()
        self._write_clock()

    # ---- what stays

    def _draw_path(self):
        look, path = self.look, self.path
        path.set(facecolor="black", ylabel=say("apparent altitude  up →"))
        self.sky = self.raster(path)
        self.way, self.limbs, self.now = self.moving(
            *path.plot([], [], color=look.over, linewidth=2),
            *path.plot([], [], color=look.over, linewidth=1.2),
            *path.plot([], [], **look.points("sun", markerfacecolor="none")),
        )
        self.land = self.moving(_land(path, look))
        self.where = self.moving(path.text(
            0.5, 0.9, "", transform=path.transAxes, color=look.over, ha="center", va="top",
        ))  # fmt: skip

    def _draw_strip(self):
        strip = self.strip
        strip.set(xlim=(0, CELL_ARCMIN * PORTRAITS), ylim=STRIP_ARCMIN, facecolor="black")
        strip.set_xticks(_middles())
        strip.set_yticks([0, 30])
        strip.set_ylabel(say("arcmin"))
        strip.tick_params(length=0)
        for edge in np.arange(1, PORTRAITS) * CELL_ARCMIN:
            strip.axvline(edge, color=self.look.over, linewidth=0.6)

    def _draw_portraits(self):
        look, strip = self.look, self.strip
        self.portraits = self.raster(strip)
        self.strip_land = self.moving(_land(strip, look))
        write = {"color": look.over, "ha": "center", "va": "center", "fontsize": TICK_PT}
        self.notes = self.moving(*(strip.text(x, 32, "", **write) for x in _middles()))
        (self.mark,) = strip.plot([], [], **look.points("sun", marker="^", clip_on=False))
        self.moving(self.mark)

    def _draw_limb(self):
        look, limb = self.look, self.limb
        set_field(limb, 0.0, LIMB_ARCSEC)
        limb.set(xticks=[], yticks=[], title=say("upper limb, magnified"), facecolor="black")
        scale_bar(limb, 20, say("{length} arcsec", length=20), look, foot=0.8, left=0.08)
        self.upper = self.raster(limb)
        self.limb_land = self.moving(_land(limb, look))
        self.limb_note = self.moving(
            limb.text(
                0.5, 0.5, "", transform=limb.transAxes, color=look.over, ha="center", va="center",
            )
        )  # fmt: skip

    def _draw_rim(self):
        look, rim = self.look, self.rim
        rim.set(
            xlim=(0, 91),
            yscale="log",
            ylim=RIM_S,
            title=self.narrow(say("how long the rim is green alone")),
        )
        rim.set_yticks(list(RIM_TICKS), list(RIM_TICKS.values()))
        rim.minorticks_off()
        rim.grid(axis="y")
        rim.set_xticks([0, 30, 60, 90], [say("equator"), "30°", "60°", say("pole")])
        self.year, self.day, self.here, self.ragged = self.moving(
            *rim.plot([], [], color=look.faint, linewidth=1.5),
            *rim.plot([], [], color=look.wavelength(520.0), linewidth=2.5),
            *rim.plot([], [], **look.points("sun", markersize=12, clip_on=False)),
            *rim.plot([], [], **look.points("apparent", markersize=11, clip_on=False)),
        )

    def _name_rims(self):
        look, rim = self.look, self.rim
        green, low, high = look.words_of_wavelength(520.0), 0.36, 0.90  # clear of the curves
        for line, (words, colour) in enumerate((
            (say("standard air,"), look.ink),
            (say("on this day"), green),
            (say("median of the year"), look.faint),
        )):  # fmt: skip
            rim.text(0.04, low + 0.12 * (2 - line), words, color=colour, transform=rim.transAxes)
        self.here_words, self.ragged_words = self.moving(
            *(rim.text(0.04, height, "", color=look.colour(kind), transform=rim.transAxes)
              for height, kind in ((high, "sun"), (high - 0.12, "apparent")))
        )  # fmt: skip

    def _write_clock(self):
        across, up = 100 * self.figure.get_size_inches()
        self.clock = self.moving(*(
            self.figure.text(
                left / across, middle / up, "", va="center", linespacing=1.35, fontsize=TICK_PT
            )
            for left, middle in CLOCK_PX[self.sheet]
        ))  # fmt: skip

    # ---- what moves

    def update(self, result):
        """Take over a `scenes.polar_sunset.Result`."""
        self._turn(result)
        self._update_path(result)
        self._update_strip(result)
        self._update_limb(result)
        self._update_rim(result)
        for text, lines in zip(self.clock, result.clock, strict=True):
            text.set_text("\n".join(lines))

    def _turn(self, result):
        shown = result.centre_deg, result.path.horizon_deg, result.path.bearing_is
        if (result.field, shown) != self._shown:
            self._shown = result.field, shown
            result.field.show(self.path, *shown)
            self.redraw_all()

    def _update_path(self, result):
        field, path, moment, centre = result.field, result.path, result.moment, result.centre_deg
        here = around(moment.bearing_deg, centre)
        across = np.linspace(*self.path.get_xlim(), PATH.columns + 1)
        every = field.outline_every
        self.way.set_data(way(path, centre) if field.shows_way else ([], []))
        self.limbs.set_data(outlines(path[::every], centre) if every else ([], []))
        self.now.set_data([here], [np.nan if field.shows_disc else _seen_altitude(moment)])
        self.sky.show(*self._placed(result.sky, here))
        self.land.set_xy(
            _ground(across, path.horizon_deg + result.ridges.at(across) / 60, self.path)
        )
        self.where.set_text(result.where)

    def _placed(self, rgb, bearing_deg):
        """The sky about the Sun of the moment and its extent, or black."""
        if rgb is None:
            return BLACK, None
        low, high = self.path.get_ylim()
        half = 0.5 * (high - low) * rgb.shape[1] / rgb.shape[0]
        return rgb, (bearing_deg - half, bearing_deg + half, low, high)

    def _update_strip(self, result):
        self.portraits.show(result.portraits)
        self.strip_land.set_xy(_ground(*_strip_skyline(result), self.strip))
        for text, note in zip(self.notes, result.notes, strict=True):
            text.set_text(note)
        self.mark.set_data([(0.5 + result.share * (PORTRAITS - 1)) * CELL_ARCMIN], [-3])
        if result.step_labels != self._steps:
            self._steps = result.step_labels
            self.strip.set_xticklabels(result.step_labels)
            self.redraw_all()

    def _update_limb(self, result):
        limb = result.limb
        self.upper.show(BLACK if limb is None else limb.rgb)
        self.limb_note.set_text(result.limb_note)
        foot = -1.0
        if limb is not None:
            foot = 3600.0 * (result.moment.horizon_deg - limb.lit.frame.low_deg)
        across = np.array(self.limb.get_xlim())
        self.limb_land.set_xy(_ground(across, np.full(2, foot), self.limb))

    def _update_rim(self, result):
        rims, here = result.rims, abs(result.passage.place.latitude_deg)
        self.year.set_data(rims.latitude_deg, rims.median_s)
        self.day.set_data(rims.latitude_deg, rims.day_s)
        self.here.set_data([here], [result.rim.longest_s or np.nan])
        self.ragged.set_data([here], [result.ragged.total_s or np.nan])
        self.here_words.set_text(result.here_words)
        self.ragged_words.set_text(result.ragged_words)


def _middles():
    return (np.arange(PORTRAITS) + 0.5) * CELL_ARCMIN


def _seen_altitude(moment):
    """Where the centre is seen; the horizon where only the upper part of the disc is left."""
    if moment.shown == 0:
        return np.nan
    return np.nan_to_num(moment.apparent_altitude_deg, nan=moment.horizon_deg)


def _strip_skyline(result):
    """The horizon under each of the portraits [arcmin]."""
    across = np.linspace(-0.5, 0.5, 60) * CELL_ARCMIN
    bearing = result.steps.bearing_deg[:, None] + across / 60
    return (_middles()[:, None] + across).ravel(), result.ridges.at(bearing).ravel()


def _land(axes, look):
    land = Polygon([(0, 0), (0, 0), (0, 0)], closed=True, facecolor=look.land, edgecolor=look.faint)
    return axes.add_patch(land)


def _ground(across, height, axes):
    """The outline of what lies under a skyline, down to below the foot of the axes."""
    foot = axes.get_ylim()[0] - 1.0
    across = np.concatenate([across[:1], across, across[-1:]])
    return np.column_stack([across, np.concatenate([[foot], height, [foot]])])
