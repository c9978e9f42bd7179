"""One frame with the model's outline over it, and the evening's measures with the model's lines."""

from types import MappingProxyType

import numpy as np

from lowsun.drawing.picture import Picture
from lowsun.words import say

FRAME_BOX = (96, 196, 506, 470)  # shaped as the frames are: a round Sun is drawn round
SHAPE_BOX = (790, 480, 440, 186)
RIM_BOX = (790, 236, 440, 170)
ALTITUDES_DEG = (7.6, -0.9)  # from left to right: time runs as the Sun sinks
RATIOS = (0.74, 1.0)
UPPER_PX = (0.0, 4.6)


class CaughtPicture(Picture):
    """Left the frame; right the disc's shape and the upper rim, all frames against altitude."""

    sheets = MappingProxyType({  # the frame keeps its shape
        "square": ((96, 330, 425, 395), (610, 565, 260, 160), (610, 330, 260, 150)),
        "upright": ((96, 625, 614, 570), (96, 408, 265, 105), (445, 408, 265, 105)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        frame, shape, rim = self.places(FRAME_BOX, SHAPE_BOX, RIM_BOX)
        self._draw_frame(frame)
        self.ratio = self._chart(shape, RATIOS, say("height over width"))
        self.upper = self._chart(rim, UPPER_PX, self.narrow(say("green over red, upper limb [px]")))
        side_by_side = self.sheet == "upright"
        for axes in (shape, rim) if side_by_side else (rim,):
            axes.set_xlabel(self.narrow(say("true altitude of the Sun [°]")))
        if not side_by_side:
            shape.set_xticklabels([])

    def _draw_frame(self, axes):
        self.frame_axes = axes
        self.frame = self.raster(axes)
        axes.set(
            title=say("the frame; dashed: the disc in this air"), xlabel=say("from the middle [′]")
        )
        self.outline = self.moving(
            *axes.plot([], [], color=self.look.over, linestyle="--", linewidth=1.5)
        )

    def _chart(self, axes, limits, title):
        look = self.look
        axes.set(xlim=ALTITUDES_DEG, ylim=limits, title=title)
        line = self.moving(*axes.plot([], [], **look.line("sun")))
        spread = self.moving(*axes.plot([], [], color=look.colour("measured"), linewidth=1.5))
        points = self.moving(*axes.plot([], [], **look.points("measured")))
        now = self.moving(*axes.plot([], [], **look.points("measured", markersize=14, zorder=5)))
        return line, spread, points, now

    def update(self, result):
        """Take over a `scenes.caught.Result`."""
        self._update_frame(result)
        self._update_chart(self.ratio, result, "axis_ratio", result.line_ratio, None)
        sigma = result.measured("upper_sigma_px")
        self._update_chart(
            self.upper, result, "upper_green_over_red_px", result.line_upper_px, sigma
        )

    def _update_frame(self, result):
        reading, rgb = result.shot.reading, result.shot.rgb
        scale = reading.arcsec_per_px / 60
        left, top = -reading.column_px * scale, reading.top_px * scale
        extent = (left, left + rgb.shape[1] * scale, top - rgb.shape[0] * scale, top)
        if self.frame.extent != extent:
            self.frame_axes.set(xlim=extent[:2], ylim=extent[2:])
            self.redraw_all()
        self.frame.show(rgb, extent)
        self.outline.set_data(*result.outline_arcmin)

    def _update_chart(self, artists, result, name, model, sigma):
        line, spread, points, now = artists
        at, measured = result.altitudes_deg, result.measured(name)
        line.set_data(result.line_altitudes_deg, model)
        points.set_data(at, measured)
        now.set_data(at[[result.number - 1]], measured[[result.number - 1]])
        if sigma is not None:
            spread.set_data(*_bars(at, measured, 2 * sigma))


def _bars(at, middle, half):
    """Upright strokes as one line, broken between them."""
    gap = np.full(at.size, np.nan)
    across = np.stack([at, at, gap]).T.ravel()
    up = np.stack([middle - half, middle + half, gap]).T.ravel()
    return across, up
