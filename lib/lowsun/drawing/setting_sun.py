"""The setting Sun over the sea horizon, and the clock of its limbs beside it."""

import numpy as np
from matplotlib.patches import Circle

from lowsun.drawing.look import altitude_axis, scale_bar, set_field
from lowsun.drawing.picture import Picture

LOW_ARCMIN, HIGH_ARCMIN = -24.0, 36.0  # of the field, from the sea horizon
LIMBS = ("upper limb", "centre", "lower limb")


class SettingSunPicture(Picture):
    """Left the disc through the air with its airless place dashed; right its limbs against time."""

    def __init__(self, figure, look):
        super().__init__(figure, look)
        view, clock = self.beside()
        self._draw_view(view)
        self._draw_clock(clock)

    def _draw_view(self, view):
        look = self.look
        set_field(view, LOW_ARCMIN, HIGH_ARCMIN)
        altitude_axis(view, "arcmin", "above the sea horizon")
        view.set_xticks([])
        view.axhspan(LOW_ARCMIN, 0, color=look.sea, linewidth=0)
        view.axhline(0, color=look.over, linewidth=1)
        scale_bar(view, 10, "10 arcmin", look, foot=0.9)
        self.disc = self.raster(view)
        self.airless = view.add_patch(
            Circle((0, 0), 16, fill=False, linestyle="--", linewidth=2, color=look.colour("true"))
        )
        self.airless_name = view.text(
            0, 0, "", color=look.colour("true"), ha="left", va="bottom", fontsize=14
        )
        self.bearing = view.text(
            0, LOW_ARCMIN + 1.2, "", color=look.over, ha="center", va="bottom", fontsize=14
        )
        self.screen_note = view.text(
            view.get_xlim()[1] - 1, HIGH_ARCMIN - 1, "", color=look.over, ha="right", va="top",
            fontsize=13,
        )  # fmt: skip
        self.moving(self.airless, self.airless_name, self.bearing, self.screen_note)

    def _draw_clock(self, clock):
        look = self.look
        clock.set(
            xlim=(-240, 15),
            ylim=(LOW_ARCMIN, HIGH_ARCMIN),
            xlabel="seconds to the last sliver",
            title="when each limb goes",
        )
        clock.set_xticks([-240, -180, -120, -60, 0], ["240", "180", "120", "60", "0"])
        clock.axhline(0, color=look.faint, linewidth=1)
        self.limbs = [
            self.moving(*clock.plot([], [], **look.line("apparent", linewidth=width)))
            for width in (2.5, 1.2, 2.5)
        ]
        self.airless_limb = self.moving(*clock.plot([], [], **look.line("true")))
        self.names = [
            self.moving(clock.text(0, 0, name, color=look.colour("apparent"), fontsize=13))
            for name in LIMBS
        ]
        self.now = self.moving(clock.axvline(0, color=look.colour("sun"), linewidth=2))

    def update(self, result):
        """Take over a `scenes.setting_sun.Result`."""
        picture = result.picture
        half = picture.rgb.shape[1] * picture.arcsec_per_px / 120.0
        self.disc.show(picture.rgb, (-half, half, LOW_ARCMIN, HIGH_ARCMIN))
        self.airless.set(center=(0, result.airless_arcmin), radius=result.diameter_arcmin / 2)
        self._name_airless(result)
        self.bearing.set_text(result.bearing)
        self.screen_note.set_text(result.screen_note)
        self._update_clock(result)

    def _name_airless(self, result):
        top = result.airless_arcmin + result.diameter_arcmin / 2
        inside = LOW_ARCMIN + 2 < top < HIGH_ARCMIN
        self.airless_name.set_text("the Sun without air" if inside else "")
        self.airless_name.set_position((9, np.clip(top, LOW_ARCMIN, HIGH_ARCMIN - 4)))

    def _update_clock(self, result):
        for line, name, track in zip(self.limbs, self.names, result.limbs_arcmin, strict=True):
            line.set_data(result.seconds, track)
            at = np.searchsorted(result.seconds, -225)
            name.set_position((-225, track[at] + 1.0))
            name.set_visible(bool(LOW_ARCMIN < track[at] < HIGH_ARCMIN - 4))
        self.airless_limb.set_data(result.seconds, result.airless_upper_limb_arcmin)
        self.now.set_xdata([result.seconds_now] * 2)
