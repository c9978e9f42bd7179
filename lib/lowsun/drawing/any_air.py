"""Any air in three views that move together: temperature, transfer curve, the Sun's picture."""

from types import MappingProxyType

import numpy as np

from lowsun.drawing.look import ARCMIN, altitude_axis, scale_bar, set_field, shown_temperature_c
from lowsun.drawing.picture import Picture
from lowsun.drawing.view import View
from lowsun.phenomena.flash_light import RIM_NM
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.words import say, term

AIR_BOX, CURVE_BOX = (96, 196, 200, 484), (392, 196, 300, 484)
LOW_ARCMIN, HIGH_ARCMIN = -6.0, 60.0  # ends of curve and picture, counted from the sea horizon
VIEW = View(760, 196, 480, 484, (HIGH_ARCMIN - LOW_ARCMIN) / 60)
SHOWN_TOPS_M = (50, 100, 150, 250, 500, 750, 1000, 1500, 2000, 3000, 8000)
RADIUS_ARCMIN = 16.0  # the Sun's, to the width of a line
FROM_SUN_ARCMIN = (-45.0, 45.0)  # true altitudes of the curve, from the Sun's centre


def frame_over(horizon_deg):
    """The `low_sun.Frame` of the view over a sea horizon at an apparent altitude [deg]."""
    return VIEW.frame(horizon_deg + HIGH_ARCMIN / 60)


class AnyAirPicture(Picture):
    """Left temperature with height, middle the transfer curve, right the picture on its rows."""

    sheets = MappingProxyType({  # curve and picture on the same rows there too
        "square": ((96, 285, 105, 495), (305, 285, 145, 495), (515, 285, 355, 495)),
        "upright": ((96, 390, 614, 150), (96, 665, 165, 520), (322, 665, 388, 520)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        air, curve, view = self.places(AIR_BOX, CURVE_BOX, VIEW)
        self._draw_air(air)
        self._draw_curve(curve)
        self._draw_view(view)
        self.air = air

    def _draw_air(self, air):
        look = self.look
        air.set(
            xlabel=say("temperature [°C]"), ylabel=say("height [m]  up →"), title=say("the air")
        )
        self.profile = self.moving(*air.plot([], [], **look.line("temperature")))
        self.eye = self.moving(air.axhline(0, color=look.colour("apparent"), linewidth=1.5))
        self.eye_name = self.moving(
            air.text(
                0.98, 0, say("your eye"), color=look.colour("apparent"), ha="right", va="bottom",
                fontsize=13, transform=air.get_yaxis_transform(),
            )
        )  # fmt: skip
        self.ducts = [
            self.moving(air.axhspan(0, 0, color=look.colour("shadow"), alpha=0.45, linewidth=0))
            for _ in range(3)
        ]

    def _draw_curve(self, curve):
        look = self.look
        curve.set(
            xlim=FROM_SUN_ARCMIN,
            ylim=(LOW_ARCMIN, HIGH_ARCMIN),
            xlabel=self.narrow(say("true, from the Sun's centre [arcmin]")),
            title=self.narrow(say("where each row looks")),
        )
        altitude_axis(curve, ARCMIN, term("above the horizon"))
        curve.axhline(0, color=look.faint, linewidth=1)
        curve.set_xticks([-30, 0, 30])
        curve.axvspan(
            -RADIUS_ARCMIN, RADIUS_ARCMIN, color=look.colour("sun"), alpha=0.2, linewidth=0
        )
        curve.text(
            0,
            HIGH_ARCMIN - 1,
            say("the disc"),
            color=look.colour("sun"),
            ha="center",
            va="top",
            fontsize=13,
        )
        self.straight = self.moving(*curve.plot([], [], **look.line("true", linewidth=1.5)))
        self.straight_name = self.moving(
            curve.text(0, 0, say("no air"), color=look.colour("true"), fontsize=13, clip_on=True)
        )
        self.curves = [
            self.moving(*curve.plot([], [], linewidth=2, color=look.wavelength(nm)))
            for nm in reversed(RIM_NM)
        ]

    def _draw_view(self, view):
        look = self.look
        set_field(view, LOW_ARCMIN, HIGH_ARCMIN)
        view.set_xticks([])
        view.set_yticks(np.arange(0, HIGH_ARCMIN, 10))
        view.set_title(say("what you see"))
        view.axhline(0, color=look.over, linewidth=1)
        scale_bar(view, 10, say("{length} arcmin", length=10), look, foot=0.88)
        self.disc = self.raster(view)

    def update(self, result):
        """Take over a `scenes.any_air.Result`."""
        picture = result.picture
        half = picture.rgb.shape[1] * picture.arcsec_per_px / 120.0
        self.disc.show(picture.rgbx, (-half, half, LOW_ARCMIN, HIGH_ARCMIN))
        self._update_air(result)
        for line, true in zip(self.curves, result.from_sun_arcmin, strict=True):
            line.set_data(true, result.above_horizon_arcmin)
        lift = result.sun_above_horizon_direction_arcmin
        self.straight.set_data(FROM_SUN_ARCMIN, np.add(FROM_SUN_ARCMIN, lift))
        self.straight_name.set_position((20.0, 22.0 + lift))
        self.straight_name.set_visible(bool(LOW_ARCMIN < 22.0 + lift < HIGH_ARCMIN - 3.0))

    def _name_eye(self, height_m, cold, warm):
        """On the side of its line that the profile leaves free."""
        here = np.interp(height_m, self.profile.get_ydata(), self.profile.get_xdata())
        left = here > (cold + warm) / 2.0
        self.eye_name.set(x=0.02 if left else 0.98, y=height_m, ha="left" if left else "right")

    def _update_air(self, result):
        levels = result.atmosphere
        self.profile.set_data(levels.temperature_k - ZERO_CELSIUS_K, levels.height_m)
        top, cold, warm = _shown(result)
        if (*self.air.get_ylim(), *self.air.get_xlim()) != (0.0, top, cold, warm):
            self.air.set(ylim=(0.0, top), xlim=(cold, warm))
            self.redraw_all()
        self.eye.set_ydata([result.eye_height_m] * 2)
        self._name_eye(result.eye_height_m, cold, warm)
        for patch, (low, high) in zip(self.ducts, _padded(result.ducts_m, 3), strict=True):
            patch.set_bounds(0.0, low, 1.0, high - low)


def _shown(result):
    """Height and temperatures shown, in round numbers: the eye and the layers are in them."""
    least = 1.25 * max(result.eye_height_m, result.layers_top_m, 30.0)
    top = next(limit for limit in SHOWN_TOPS_M if limit >= least)
    cold, warm = shown_temperature_c(result.atmosphere, top)
    return float(top), cold - 0.5, warm + 0.5


def _padded(pairs, count):
    return [*pairs[:count], *[(0.0, 0.0)] * (count - len(pairs[:count]))]
