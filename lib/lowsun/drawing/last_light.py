"""The last minute: the eye's picture, the camera's, its histograms, the seconds of the flash."""

from types import MappingProxyType

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.patches import Rectangle

from lowsun.drawing.look import set_field
from lowsun.drawing.picture import Picture
from lowsun.drawing.view import View
from lowsun.words import say, term

EYE, CAMERA = (View(96, foot, 640, 224) for foot in (444, 180))  # at one scale
WIDEST_ARCMIN = 38.0  # as wide as the whole chord of the Sun
FOOT_SHARE, HEAD_SHARE = 0.16, 0.2  # shares of the field under the horizon, over the limb
HISTOGRAM_BOX = (820, 496, 420, 152)
CLOCK_BOX = (820, 246, 420, 148)
CHANNELS = ((620.0, "-"), (535.0, "--"), (462.0, ":"))  # middles [nm] and dashes
STOPS = 8
MOST_PIXELS = 1e6
RGB = (term("R"), term("G"), term("B"))
CLIPPED_AT = (0.6, 1.6, 2.6)  # where the three bars of burnt-out pixels stand, in stops
FIRST_S, LAST_S, EVEN_S = -60.0, 6.0, 3.0  # the clock's ends, and its evenly drawn middle
NAMES_NM = (
    (term("orange"), 607.0), (term("yellow"), 577.0), (term("green"), 532.0), (term("cyan"), 492.0)
)  # fmt: skip
LIMITS_NM = (480.0, 625.0)
SCALE_BARS_ARCSEC = (600.0, 300.0, 120.0, 60.0, 30.0, 10.0, 5.0, 1.0)


class LastLightPicture(Picture):
    """Eye over camera on the left, at one scale; histograms over the clock of the flash."""

    sheets = MappingProxyType({
        "square": (
                (190, 605, 520, 182),
                (190, 372, 520, 182),
                (110, 225, 400, 80),
                (620, 225, 250, 80),
            ),
            "upright": ((96, 975, 614, 215), (96, 710, 614, 215), (96, 550, 614, 90),
                    (96, 375, 614, 90)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        eye, camera, histogram, clock = self.places(EYE, CAMERA, HISTOGRAM_BOX, CLOCK_BOX)
        self.eye, self.eye_words, self.eye_horizon = self._field(eye, say("the eye"))
        self.camera, self.camera_words, self.camera_horizon = self._field(camera, say("the camera"))
        self.bar, self.bar_words = self._bar(eye)
        self.horizon_name = self._name_horizon(eye)
        self._draw_histogram(histogram)
        self._draw_clock(clock)

    def _field(self, axes, title):
        look = self.look
        set_field(axes, 0, EYE.rows, EYE.columns / 2)
        axes.set(xticks=[], yticks=[])
        axes.set_title(title)
        words = self.words_over(axes)
        (horizon,) = axes.plot([], [], color=look.over, linewidth=1, linestyle=":")
        self.moving(horizon)
        return self.raster(axes), words, horizon

    def _name_horizon(self, axes):
        return self.moving(
            axes.text(
                EYE.columns - 8, 0, "", color=self.look.over, ha="right", va="top", fontsize=13
            )
        )

    def _bar(self, axes):
        look = self.look
        (bar,) = axes.plot(
            [], [], color=look.over, linewidth=2, marker="|", markersize=10, markeredgewidth=2
        )
        name = axes.text(0, 0, "", color=look.over, ha="left", va="center", fontsize=13)
        return self.moving(bar, name)

    def _draw_histogram(self, axes):
        look = self.look
        axes.set(
            xlim=(-STOPS, CLIPPED_AT[-1] + 0.6),
            ylim=(1, MOST_PIXELS),
            yscale="log",
            xlabel=say("stops under saturation"),
            title=say("pixels in each channel"),
        )
        axes.set_xticks([-8, -6, -4, -2, 0, *CLIPPED_AT], ["8", "6", "4", "2", "0", *map(say, RGB)])
        axes.set_yticks([1, 100, 10_000], ["1", "100", "10 000"])
        axes.set_yticks([], minor=True)
        axes.axvspan(0, CLIPPED_AT[-1] + 0.6, color=look.hairline, linewidth=0)
        axes.text(
            CLIPPED_AT[1], MOST_PIXELS, say("burnt out [%]"), ha="center", va="bottom", fontsize=13
        )
        self.counts, self.bars, self.shares = [], [], []
        for (nm, dash), at in zip(CHANNELS, CLIPPED_AT, strict=True):
            colour = look.wavelength(nm)
            (line,) = axes.step([], [], where="mid", color=colour, linestyle=dash, linewidth=2.5)
            bar = axes.add_patch(Rectangle((at - 0.3, 1), 0.6, 0, color=colour))
            share = axes.text(at, 1, "", ha="center", va="bottom", fontsize=13)
            self.moving(line, bar, share)
            self.counts.append(line)
            self.bars.append(bar)
            self.shares.append(share)

    def _draw_clock(self, axes):
        look = self.look
        axes.set_xscale("symlog", linthresh=EVEN_S, linscale=1.0)
        axes.set(xlim=(FIRST_S, LAST_S), ylim=LIMITS_NM, xlabel=say("seconds to the last sliver"))
        axes.set_xticks([-60, -20, -6, -3, -2, -1, 0, 1, 2, 3],
                        ["60", "20", "6", "3", "2", "1", "0", "", "+2", ""])  # fmt: skip
        axes.set_xticks([], minor=True)
        axes.set_yticks([nm for _, nm in NAMES_NM], [say(name) for name, _ in NAMES_NM])
        axes.set_title(say("colour of what is left"))
        self.flash = axes.add_patch(Rectangle((0, LIMITS_NM[0]), 0, np.ptp(LIMITS_NM)))
        self.flash.set_color(look.hairline)
        (self.lost,) = axes.plot([], [], color=look.faint, linewidth=1.5, linestyle=(0, (2, 2)))
        self.colours = axes.add_collection(LineCollection([], linewidths=6, capstyle="round"))
        self.flash_words = self.moving(axes.text(0, LIMITS_NM[0] + 6, "", ha="right", fontsize=14))
        self.now = self.moving(axes.axvline(0, color=look.colour("sun"), linewidth=2))

    def update(self, result):
        """Take over a `scenes.last_light.Result`."""
        self.eye.show(result.eye.rgbx)
        self.camera.show(enlarged(result.shot.rgb, *result.eye.rgb.shape[1::-1]))
        self.eye_words.set_text(result.eye_words)
        self.camera_words.set_text(result.camera_words)
        self._update_horizon(result.horizon_px)
        self._update_bar(result.arcsec_per_px)
        self._update_histogram(result)
        self._update_clock(result)

    def _update_horizon(self, row):
        inside = 2 < row < EYE.rows - 2
        for line in (self.eye_horizon, self.camera_horizon):
            line.set_data([0, EYE.columns] if inside else [], [row, row] if inside else [])
        self.horizon_name.set_text(say("sea horizon") if inside and row > 20 else "")
        self.horizon_name.set_y(row - 3)

    def _update_bar(self, arcsec_per_px):
        arcsec, px = scale_bar_px(arcsec_per_px)
        self.bar.set_data([10, 10 + px], [14, 14])
        self.bar_words.set_text(angle_words(arcsec))
        self.bar_words.set_position((20 + px, 14))

    def _update_histogram(self, result):
        edges, counts, clipped = result.shot.histogram(STOPS)
        middle = (edges[1:] + edges[:-1]) / 2
        for k in range(len(CHANNELS)):
            self.counts[k].set_data(middle, np.maximum(counts[k], 0.5))
            self.bars[k].set_height(max(float(clipped[k]) - 1, 0.0))
            self.shares[k].set_text(f"{100 * result.shot.clipped_share[k]:.0f}")
            self.shares[k].set_y(max(float(clipped[k]), 1.0) * 1.15)

    def _update_clock(self, result):
        self.now.set_xdata([result.seconds_now] * 2)
        self.flash_words.set_text(result.flash_words)
        self.flash_words.set_x((result.flash_span or (0.0, 0.0))[0] - 0.1)
        self.clear_of(self.now, self.flash_words)
        if np.array_equal(self.lost.get_ydata(), result.dominant_nm, equal_nan=True):
            return  # the same air: its course is drawn already
        self._draw_course(result)
        self.redraw_all()

    def _draw_course(self, result):
        points = np.stack([result.seconds, result.dominant_nm], axis=-1)
        seen = result.seen[:-1] & result.seen[1:]
        self.colours.set_segments(np.stack([points[:-1], points[1:]], axis=1)[seen])
        self.colours.set_color([self.look.wavelength(nm) for nm in points[:-1, 1][seen]])
        self.lost.set_data(result.seconds, result.dominant_nm)
        begin, end = result.flash_span or (0.0, 0.0)
        self.flash.set(x=begin, width=end - begin)


def scale_arcsec(camera_arcsec_per_px, magnification):
    """Seconds of arc a pixel of the views: the camera's magnified, no more than the whole Sun."""
    return min(camera_arcsec_per_px, 60 * WIDEST_ARCMIN / EYE.columns) / magnification


def field(arcsec_per_px, horizon_deg, limb_deg):
    """The `low_sun.Frame` of both views at a scale: it holds the upper limb, and then the horizon.

    horizon_deg, limb_deg: apparent altitudes [deg].
    """
    height_deg = EYE.rows * arcsec_per_px / 3600
    above_sea, above_limb = (1 - FOOT_SHARE) * height_deg, HEAD_SHARE * height_deg
    return EYE.frame(max(horizon_deg + above_sea, limb_deg + above_limb), height_deg)


def enlarged(rgb, columns, rows):
    """A picture at another size, every pixel kept as a block: nothing smooths what a sensor saw."""
    down = (np.arange(rows) * rgb.shape[0]) // rows
    across = (np.arange(columns) * rgb.shape[1]) // columns
    return rgb.take(across, axis=1).take(down, axis=0)  # half the time of rgb[down][:, across]


def scale_bar_px(arcsec_per_px):
    """The longest round angle [arcsec] within a quarter of the field, and its length [px]."""
    fits = [a for a in SCALE_BARS_ARCSEC if a / arcsec_per_px <= EYE.columns / 4]
    arcsec = fits[0] if fits else SCALE_BARS_ARCSEC[-1]
    return arcsec, arcsec / arcsec_per_px


def angle_words(arcsec):
    """An angle as a label: '5 arcmin', '30 arcsec'."""
    if arcsec >= 60:
        return say("{length} arcmin", length=arcsec / 60)
    return say("{length} arcsec", length=arcsec)
