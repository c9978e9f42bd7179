"""The coloured rims: the disc, its two limbs through a magnifier, and the width against height."""

from types import MappingProxyType

import numpy as np

from lowsun.drawing.look import ARCMIN, altitude_axis, scale_bar, set_field
from lowsun.drawing.picture import Picture
from lowsun.drawing.view import View
from lowsun.words import figures, say, term

DISC_ARCMIN = 40.0
LIMB_ARCSEC = 120.0  # height of the magnified fields
DISC = View(96, 196, 400, 484, DISC_ARCMIN / 60)
UPPER, LOWER = (View(528, foot, 300, 200, LIMB_ARCSEC / 3600) for foot in (452, 196))
WIDTH_BOX = (936, 196, 304, 484)
WIDTH_LIMIT_ARCSEC = 50.0
TICKS_DEG = (0.25, 1, 5, 20)


class RimsPicture(Picture):
    """Disc, upper and lower limb magnified, width of the rim over altitude with outside values."""

    sheets = MappingProxyType({
        "square": ((96, 458, 270, 327), (500, 545, 360, 240), (500, 250, 360, 240),
                   (96, 265, 330, 120)),
        "upright": ((260, 850, 285, 345), (96, 600, 295, 197), (415, 600, 295, 197),
                    (96, 380, 614, 140)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        disc, upper, lower, width = self.places(DISC, UPPER, LOWER, WIDTH_BOX)
        set_field(disc, -DISC_ARCMIN / 2, DISC_ARCMIN / 2)
        disc.set_xticks([])
        altitude_axis(disc, ARCMIN, term("from the disc's centre"))
        scale_bar(disc, 10, say("{length} arcmin", length=10), look)
        self.disc = self.raster(disc)
        self.upper = self._limb(upper, say("upper limb, magnified"), bar_foot=0.78)
        self.lower = self._limb(lower, say("lower limb, magnified"), bar_foot=0.1)
        self._draw_width(width)

    def _limb(self, axes, title, bar_foot):
        set_field(axes, -LIMB_ARCSEC / 2, LIMB_ARCSEC / 2)
        axes.set(xticks=[], yticks=[], title=title)
        bar_words = say("{length} arcsec", length=30)
        scale_bar(axes, 30, bar_words, self.look, foot=bar_foot, left=0.12)
        return self.raster(axes)

    def _draw_width(self, axes):
        look = self.look
        axes.set(
            xscale="log",
            xlim=(0.2, 20),
            ylim=(0, WIDTH_LIMIT_ARCSEC),
            xlabel=say("apparent altitude [deg]"),
            title=say("width of the rim [arcsec]"),
        )
        axes.set_xticks(TICKS_DEG, [figures(tick) for tick in TICKS_DEG])
        axes.set_xticks([], minor=True)
        self.curve = self.moving(*axes.plot([], [], **look.line("apparent")))
        self.outside = self.moving(*axes.plot([], [], **look.points("measured")))
        self.outside_name = self.moving(
            axes.text(0, 0, "", color=look.colour("measured"), fontsize=13, ha="left", va="bottom")
        )
        self.marks = self.moving(*axes.plot([], [], **look.points("sun")))

    def update(self, result):
        """Take over a `scenes.rims.Result`."""
        self.disc.show(result.disc.rgbx)
        self.upper.show(result.upper.rgbx)
        self.lower.show(result.lower.rgbx)
        self.curve.set_data(result.altitude_deg, result.width_arcsec)
        self.marks.set_data(result.limb_altitude_deg, result.limb_width_arcsec)
        self.outside.set_data(result.outside_altitude_deg, result.outside_width_arcsec)
        self._name_outside(result)

    def _name_outside(self, result):
        has = np.size(result.outside_width_arcsec) > 0
        self.outside_name.set_text(say("outside values") if has else "")
        if has:
            self.outside_name.set_position(
                (result.outside_altitude_deg[-3] * 1.15, result.outside_width_arcsec[-3])
            )
