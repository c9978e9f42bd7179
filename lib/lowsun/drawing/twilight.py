"""The twilight panorama, the cut through the Earth's shadow, and the climb of edge and arch."""

from dataclasses import dataclass
from datetime import UTC, timedelta
from types import MappingProxyType

import numpy as np
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke

from lowsun import words
from lowsun.drawing.picture import Picture
from lowsun.words import figures, say, term

TO_SHADOW, TO_SUN, ALL_ROUND = (
    term("towards the shadow"),
    term("towards the Sun"),
    term("all round"),
)
PANORAMA, CUT, CLIMB = (96, 420, 1144, 256), (96, 200, 620, 156), (820, 216, 420, 132)
SKY_ROWS, SKY_COLUMNS = 90, 360  # computed: the sky is smooth, and is drawn out to its place
BOTTOM_DEG = -4.0  # room for the sea, and for a mountain's shadow on it
REACH_KM, CUT_LOW_KM, CUT_HIGH_KM = (-300.0, 700.0), -46.0, 79.8  # heights twice as large
NAME_SHARE = 0.35  # share of the climb's width that a name takes
HIGHEST_DEG = 25.0
TICK_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240)


@dataclass(frozen=True)
class Field:
    """What part of the sky a direction shows [deg]; the middle counted from the Sun."""

    facing_deg: float
    width_deg: float
    high_deg: float
    tick_deg: float


# The first two have one scale both ways; all round, altitudes are stretched.
FIELDS = {
    TO_SHADOW: Field(180.0, 140.0, 27.3, 20.0),
    TO_SUN: Field(0.0, 140.0, 27.3, 20.0),
    ALL_ROUND: Field(180.0, 360.0, 45.0, 45.0),
}


class TwilightPicture(Picture):
    """Above the sky, below left the side view that explains it, below right the climb."""

    sheets = MappingProxyType(
        {
            "square": ((96, 475, 774, 310), (96, 230, 370, 150), (590, 250, 280, 130)),
            "upright": ((96, 800, 614, 395), (96, 570, 614, 154), (150, 380, 560, 110)),
        }
    )

    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.view, self.cut, self.climb = self.places(PANORAMA, CUT, CLIMB)
        self._field = self._axis = None
        self._draw_view()
        self._draw_cut()
        self._draw_climb()

    def _draw_view(self):
        look, view = self.look, self.view
        view.set_ylabel(say("altitude [deg]  up →"))
        self.sky = self.raster(view)
        self.sea = view.axhspan(BOTTOM_DEG, 0.0, color=look.sea, linewidth=0)
        self.edge = view.plot([], [], **look.line("shadow", linewidth=3, linestyle="-"))[0]
        self.arch = view.plot([], [], **look.line("light", linewidth=3, linestyle="-"))[0]
        self.tip = view.plot([], [], **look.points("true"))[0]
        self.sides = [view.plot([], [], **look.line("true", linewidth=2))[0] for _ in range(2)]
        self.edge_name, self.arch_name, self.tip_name = (
            view.text(0, 0, "", color=look.over, fontsize=13, ha=side, va="center")
            for side in ("right", "left", "left")
        )
        self.middle = view.text(0, 0, "", color=look.ink, fontsize=13, ha="center", va="bottom")
        rim = [withStroke(linewidth=4, foreground="#0b0d12", alpha=0.55)]  # on any sky
        for artist in (self.edge, self.arch, self.edge_name, self.arch_name, self.tip_name):
            artist.set_path_effects(rim)

    def _draw_cut(self):
        look, cut = self.look, self.cut
        cut.set(xlim=REACH_KM, ylim=(CUT_LOW_KM, CUT_HIGH_KM))
        cut.set_xlabel(say("from you, away from the Sun [km]"))
        cut.set_ylabel(say("height [km]"))
        cut.set_yticks([0, 30, 60])
        cut.set_title(say("from the side, heights stretched twofold"))
        blank = np.zeros((3, 2))
        self.air = cut.add_patch(
            Polygon(blank, color=look.colour("light"), alpha=0.35, linewidth=0)
        )
        self.dark = cut.add_patch(Polygon(blank, color=look.surround, alpha=0.7, linewidth=0))
        self.ground = cut.add_patch(Polygon(blank, color=look.land, linewidth=0))
        self.last_ray = cut.plot([], [], **look.line("ray"))[0]
        kinds = ("shadow", "light")
        self.sights = [cut.plot([], [], **look.line(kind, linewidth=2))[0] for kind in kinds]
        cut.plot([0], [0], **look.points("apparent"))
        cut.annotate(
            say("you"), (0, 0), (-8, 4), textcoords="offset points", color=look.colour("apparent"),
            fontsize=13, ha="right", va="bottom",
        )  # fmt: skip
        self.ray_name = cut.text(0, 0, say("last ray"), color=look.ink, fontsize=13)
        self.dark_name = cut.text(0, 0, "", color=look.ink, fontsize=13, ha="right", va="center")
        self.moving(
            self.air, self.dark, self.ground, self.last_ray, *self.sights, *cut.lines, *cut.texts
        )

    def _draw_climb(self):
        look, climb = self.look, self.climb
        climb.set(ylim=(0, HIGHEST_DEG), ylabel=say("altitude [deg]"))
        self.band = climb.add_patch(
            Polygon(np.zeros((3, 2)), color=look.colour("light"), alpha=0.25, linewidth=0)
        )
        self.edges = climb.plot([], [], **look.line("shadow"))[0]
        self.peaks = climb.plot([], [], **look.line("light"))[0]
        self.opposite = climb.plot([], [], **look.line("true"))[0]
        self.now = climb.axvline(0, color=look.colour("sun"), linewidth=2)
        self.names = [
            climb.text(0, 0, name, color=look.colour(kind), fontsize=13, va="center")
            for name, kind in (
                (say("pink arch"), "light"),
                (say("shadow's edge"), "shadow"),
                (say("opposite the Sun"), "true"),
            )
        ]
        self.moving(self.band, self.edges, self.peaks, self.opposite, self.now, *self.names)

    # ---- a result

    def update(self, result):
        """Take over a `scenes.twilight_sky.Moment`."""
        self._update_view(result)
        self._update_cut(result.side, result.seen)
        self._update_climb(result.curve)

    def _update_view(self, result):
        field = FIELDS[result.facing]
        if field is not self._field:
            self._set_field(field)
        left, right, low, high = result.picture.extent
        self.sky.show(result.picture.rgb, (left, right, low, high))
        self.sea.set_bounds(0.0, BOTTOM_DEG, 1.0, low - BOTTOM_DEG)
        aside = 0.0 if result.mountain is None else 0.25 * field.width_deg
        where = (field.facing_deg - aside, BOTTOM_DEG + 0.3)
        self.middle.set(text=result.middle, position=where)
        away = result.facing != TO_SUN
        self._mark(result.seen if away else None)
        self._update_mountain(result.mountain if away else None)

    def _share_shown(self, field):
        """Of the field's width: on a narrower sheet its middle, as large as the height allows."""
        if field is FIELDS[ALL_ROUND]:
            return 1.0
        box = self.view.get_window_extent()
        return box.width / box.height / (PANORAMA[2] / PANORAMA[3])

    def _set_field(self, field):
        width = field.width_deg * self._share_shown(field)
        left = field.facing_deg - width / 2.0
        right = left + width
        self.view.set(xlim=(left, right), ylim=(BOTTOM_DEG, field.high_deg))
        ticks = np.arange(np.ceil(left / field.tick_deg), np.floor(right / field.tick_deg) + 1)
        ticks = ticks * field.tick_deg
        self.view.set_xticks(ticks, [f"{figures(abs(t - field.facing_deg))}°" for t in ticks])
        self.view.set_title(say("left and right of the middle, in degrees of azimuth"), loc="right")
        self._field = field
        self.redraw_all()

    def _mark(self, seen):
        """Left of the middle where the edge stands, right of it from where to where it is pink."""
        step = 0.015 * self._field.width_deg
        middle = self._field.facing_deg
        edge = seen is not None and seen.shows_edge
        self.edge.set_data(
            *_if(edge, lambda: ([middle - 3 * step, middle - step], [seen.edge_deg] * 2))
        )
        self.edge_name.set_text(say("edge") if edge else "")
        self.edge_name.set_position((middle - 3.5 * step, seen.edge_deg if edge else 0.0))
        pink = seen is not None and seen.shows_pink
        band = _if(pink, lambda: ([middle + step] * 2, [seen.pink_low_deg, seen.pink_high_deg]))
        self.arch.set_data(*band)
        self.arch_name.set_text(say("pink arch") if pink else "")
        self.arch_name.set_position((middle + 1.7 * step, seen.pink_peak_deg if pink else 0.0))

    def _update_mountain(self, mountain):
        shown = mountain is not None and mountain.apex_altitude_deg > BOTTOM_DEG
        on_sea = shown and not mountain.in_the_air
        tip = (180.0, mountain.apex_altitude_deg if shown else 0.0)
        self.tip.set_data(*_if(shown, lambda: ([tip[0]], [tip[1]])))
        self.tip_name.set_text("    " + say("tip of your mountain's shadow") if shown else "")
        self.tip_name.set_position((tip[0], max(tip[1], 0.0) + 1.0))
        for side, line in enumerate(self.sides):
            line.set_data(
                *_if(on_sea, lambda: (180.0 + mountain.azimuth_deg[side], mountain.altitude_deg))  # noqa: B023
            )

    def _update_cut(self, side, seen):
        self.cut.set_visible(side is not None)
        if side is None:  # broad day: there is no shadow to cut
            return
        below = [[REACH_KM[1], CUT_LOW_KM], [REACH_KM[0], CUT_LOW_KM]]
        self.air.set_xy(np.concatenate([side.air_top.T, side.ground.T[::-1]]))
        self.dark.set_xy(side.shadow.T)
        self.ground.set_xy(np.concatenate([side.ground.T, below]))
        self.last_ray.set_data(*side.edge)
        self._name_cut(side)
        shown = [] if seen is None else [seen.edge_deg, seen.pink_peak_deg]
        sights = iter(side.sights)
        for line, altitude in zip(self.sights, shown or [np.nan] * 2, strict=True):
            line.set_data(*(next(sights) if np.isfinite(altitude) else ([], [])))

    def _name_cut(self, side):
        inside = np.flatnonzero(side.edge[1] < CUT_HIGH_KM - 16.0)
        at = side.edge[:, inside[-1]] if inside.size else (0.0, 0.0)
        self.ray_name.set(position=(at[0], at[1] + 3.0), ha="right", va="bottom")
        ground, depth = side.ground[1, -8], side.edge[1, -8] - side.ground[1, -8]
        self.dark_name.set_text(say("air in the shadow") if depth > 16.0 else "")
        self.dark_name.set_position((side.ground[0, -4], ground + min(depth, 26.0) / 2.0))

    def _update_climb(self, curve):
        axis = (curve.begins, curve.x[0], curve.x[-1])
        if axis != self._axis:
            self._axis = axis
            self._set_climb(*axis)
        shows = np.isfinite(curve.pink_low_deg)
        low = np.stack([curve.x, curve.pink_low_deg], axis=1)[shows]
        high = np.stack([curve.x, np.minimum(curve.pink_high_deg, 2 * HIGHEST_DEG)], axis=1)[shows]
        self.band.set_xy(np.concatenate([low, high[::-1]]) if shows.any() else np.zeros((3, 2)))
        self.edges.set_data(curve.x, curve.edge_deg)
        self.peaks.set_data(curve.x, curve.pink_peak_deg)
        self.opposite.set_data(curve.x, curve.opposite_deg)
        self.now.set_xdata([curve.now] * 2)
        self._name_curves(curve)
        self.clear_of(self.now, *self.names)

    def _set_climb(self, begins, first, last):
        label = say("depression of the Sun [deg]") if begins is None else say("local time")
        self.climb.set(xlim=(first, last), xlabel=label)
        if begins is None:
            self.climb.set_xticks(np.arange(0, 9, 2))
        else:
            self.climb.set_xticks(*clock_ticks(begins, last))
        self.redraw_all()

    def _name_curves(self, curve):
        """Where the curves leave room: beside where they fade, or else above their lower ends."""
        ends = curve.x[[0, -1]]
        sinks = curve.opposite_deg[-1] > curve.opposite_deg[0]  # in the morning the Sun rises
        lower, upper = ends if sinks else ends[::-1]
        fading = curve.x[np.isfinite(curve.pink_high_deg)][-1 if sinks else 0 :][:1]
        beside = fading.size and abs(upper - fading[0]) > NAME_SHARE * np.ptp(ends)
        places = ((upper, 21.0), (upper, 14.0)) if beside else ((lower, 22.0), (lower, 17.5))
        for name, (end, y) in zip(self.names, (*places, (upper, 1.7)), strict=True):
            side = "left" if end == ends[0] else "right"
            name.set(
                position=(end + np.copysign(0.02, ends.mean() - end) * np.ptp(ends), y), ha=side
            )


def clock_ticks(begins, span_min):
    """A few round clock times in a span: minutes from the aware instant it begins, and texts."""
    step = next((s for s in TICK_STEPS_MIN if span_min / s <= 5), TICK_STEPS_MIN[-1])
    past = (60 * begins.hour + begins.minute) % step + begins.second / 60.0
    minutes = np.arange(step - past, span_min, step)
    zero = begins.astimezone(UTC)  # on the night clocks are changed, minutes go on
    instants = [zero + timedelta(minutes=float(each)) for each in minutes]
    return minutes, [words.clock(each, begins.tzinfo, seconds=False) for each in instants]


def _if(shown, data):
    """Data for a line, or none."""
    return data() if shown else ([], [])
