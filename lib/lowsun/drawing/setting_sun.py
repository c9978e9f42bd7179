"""The setting Sun in its sky over its sea, and the clock of its limbs beside it."""

from dataclasses import dataclass

import numpy as np
from matplotlib.patches import Circle
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Bbox, TransformedBbox

from lowsun.drawing.look import ARCMIN, altitude_axis, set_field
from lowsun.drawing.picture import BESIDE, BESIDE_ON, Picture
from lowsun.drawing.sentence import QuickText
from lowsun.drawing.view import View
from lowsun.words import say, term

VIEW = View(*BESIDE[0])
WHOLE_ARCMIN = 60.0  # height of the field at magnification 1, while the Sun is in it
WIDEST_ARCMIN = 960.0  # a Sun over its upper edge is out of the picture
SEA_SHARE = 0.4  # share of the field's height below the sea horizon
OVER_SUN = 0.06  # share of the field's height kept free over the Sun
FOOT_SHARE = 0.08  # share of the field's height at its foot that is the bearing's alone
BARS_ARCMIN = (0.5, 1, 2, 5, 10, 30, 60)
NAME_SHARE = 0.45  # share of the clock's width that a name takes
LIMBS = (term("upper limb"), term("centre"), term("lower limb"))
NEAR_S, FAR_S = (-240.0, 15.0), (-2400.0, 1800.0)  # what the clock shows, close and from afar
NEAR_TICKS_S, FAR_TICKS_S = (-240, -180, -120, -60, 0), (-2400, -1200, 0, 1200)
SECONDS, MINUTES = term("seconds from the last sliver"), term("minutes from the last sliver")


@dataclass(frozen=True)
class Field:
    """The part of the sky that is shown: its lower and upper edge over the sea horizon [arcmin]."""

    low_arcmin: float
    high_arcmin: float

    @property
    def height_arcmin(self):
        """Its height [arcmin]."""
        return self.high_arcmin - self.low_arcmin

    def frame(self, horizon_deg):
        """The `low_sun.Frame` of this field over a sea horizon at an apparent altitude [deg]."""
        return VIEW.frame(horizon_deg + self.high_arcmin / 60.0, self.height_arcmin / 60.0)


def field_for(upper_limb_arcmin, magnification=1.0):
    """The `Field` that holds an upper limb so high over the sea horizon [arcmin].

    Unmagnified it is doubled in height until the limb is in it, sea and all; magnified it glides
    down with the limb until the sea is in it. Below the horizon nothing is followed.
    """
    height = WHOLE_ARCMIN / magnification
    free = 1.0 - SEA_SHARE - OVER_SUN
    if magnification > 1.0:
        low = max(0.0, float(upper_limb_arcmin) - free * height) - SEA_SHARE * height
        return Field(low, low + height)
    while upper_limb_arcmin > free * height and height < WIDEST_ARCMIN:
        height *= 2.0
    return Field(-SEA_SHARE * height, (1.0 - SEA_SHARE) * height)


class SettingSunPicture(Picture):
    """Left disc, sky and sea, the airless Sun dashed; right the limbs against time."""

    sheets = BESIDE_ON

    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.view, self.clock = self.beside()
        self._field = self._near = None
        self._draw_view(self.view)
        self._draw_clock(self.clock)

    def _draw_view(self, view):
        look = self.look
        altitude_axis(view, ARCMIN, term("above the sea horizon"))
        view.set_xticks([])
        self.disc = self.raster(view)
        self.bar = self.moving(*view.plot(
            [], [], color=look.over, linewidth=2, marker="|", markersize=10, markeredgewidth=2,
        ))  # fmt: skip
        self.bar_name = view.text(0, 0, "", color=look.over, ha="center", va="bottom", fontsize=14)
        self.airless = view.add_patch(
            Circle((0, 0), 16, fill=False, linestyle="--", linewidth=2, color=look.colour("true"))
        )
        self.airless_name = view.text(
            0,
            0,
            "",
            color=look.colour("true"),
            va="bottom",
            fontsize=14,
            ha="left" if self.sheet == "wide" else "center",
            path_effects=[withStroke(linewidth=3, foreground=look.surround)],  # on any sky or sea
        )
        self.bearing = self._quick(ha="center", va="bottom", fontsize=14)
        self.screen_note = self._quick(ha="right", va="top", fontsize=13)
        self.moving(
            self.bar_name, self.airless, self.airless_name, self.bearing, self.screen_note
        )  # fmt: skip

    def _quick(self, **how):
        """A text over the picture whose words are new at each update."""
        how["transform"] = self.view.transData
        return self.figure.add_artist(QuickText(0, 0, self.look.over, **how))

    def _draw_clock(self, clock):
        look = self.look
        clock.set(title=say("when each limb goes"))
        clock.axhline(0, color=look.faint, linewidth=1)
        self.limbs = [
            self.moving(*clock.plot([], [], **look.line("apparent", linewidth=width)))
            for width in (2.5, 1.2, 2.5)
        ]
        self.airless_limb = self.moving(*clock.plot([], [], **look.line("true")))
        self.names = [
            self.moving(clock.text(0, 0, say(name), color=look.colour("apparent"), fontsize=13))
            for name in LIMBS
        ]
        self.now = self.moving(clock.axvline(0, color=look.colour("sun"), linewidth=2))

    def update(self, result):
        """Take over a `scenes.setting_sun.Result`."""
        self._frame(result.field, NEAR_S[0] <= result.seconds_now <= NEAR_S[1])
        picture, field = result.picture, result.field
        half = picture.rgb.shape[1] * picture.arcsec_per_px / 120.0
        self.disc.show(picture.rgbx, (-half, half, field.low_arcmin, field.high_arcmin))
        self.airless.set(center=(0, result.airless_arcmin), radius=result.diameter_arcmin / 2)
        self._name_airless(result)
        self.bearing.set_text(result.bearing)
        self.screen_note.set_text(result.screen_note)
        self._update_clock(result)

    def _frame(self, field, near):
        """Limits, ticks and scale bar of a field, and the clock's span, where they are new."""
        if (field, near) == (self._field, self._near):
            return
        self._field, self._near = field, near
        left, right = set_field(self.view, field.low_arcmin, field.high_arcmin)
        height = field.height_arcmin
        bar = max(each for each in BARS_ARCMIN if each <= max(height / 5, BARS_ARCMIN[0]))
        start, top = left + 0.05 * (right - left), field.low_arcmin + 0.9 * height
        self.bar.set_data([start, start + bar], [top, top])
        self.bar_name.set_text(say("{length} arcmin", length=bar))
        self.bar_name.set_position((start + bar / 2, top + 0.015 * height))
        self.bearing.set_position((0, field.low_arcmin + 0.02 * height))
        foot = field.low_arcmin + FOOT_SHARE * height  # no line strikes the bearing through
        over = Bbox([[left, foot], [right, field.high_arcmin]])
        self.airless.set_clip_box(TransformedBbox(over, self.view.transData))
        self.screen_note.set_position((right - 0.01 * height, field.high_arcmin - 0.016 * height))
        self._frame_clock(field, near)
        self.redraw_all()

    def _frame_clock(self, field, near):
        span, ticks = (NEAR_S, NEAR_TICKS_S) if near else (FAR_S, FAR_TICKS_S)
        unit, name = (1, SECONDS) if near else (60, MINUTES)
        self.clock.set(
            xlim=span,
            ylim=(field.low_arcmin, field.high_arcmin),
            xlabel=say(name),
        )
        self.clock.set_xticks(ticks, [f"{tick // unit}".replace("-", "−") for tick in ticks])

    def _name_airless(self, result):
        low, high = result.field.low_arcmin, result.field.high_arcmin
        height = high - low
        top = result.airless_arcmin + result.diameter_arcmin / 2
        inside = low + FOOT_SHARE * height < top < high
        self.airless_name.set_text(say("the Sun without air") if inside else "")
        aside = 0.15 if self.sheet == "wide" else 0.0  # elsewhere the field is no wider than high
        self.airless_name.set_position((aside * height, np.clip(top, low, high - 0.07 * height)))

    def _clear_of(self, now):
        """Where on the clock names begin, so that the cursor does not strike them through."""
        start, end = self.clock.get_xlim()
        begin = start + 0.06 * (end - start)
        return (
            now + 0.03 * (end - start)
            if begin < now < begin + NAME_SHARE * (end - start)
            else begin
        )

    def _update_clock(self, result):
        low, high = result.field.low_arcmin, result.field.high_arcmin
        at = np.searchsorted(result.seconds, self._clear_of(result.seconds_now))
        for line, name, track in zip(self.limbs, self.names, result.limbs_arcmin, strict=True):
            line.set_data(result.seconds, track)
            name.set_position((result.seconds[at], track[at] + 0.017 * (high - low)))
            name.set_visible(bool(low < track[at] < high - 0.07 * (high - low)))
        self.airless_limb.set_data(result.seconds, result.airless_upper_limb_arcmin)
        self.now.set_xdata([result.seconds_now] * 2)
