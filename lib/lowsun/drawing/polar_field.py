"""What part of the horizon the Sun's way is drawn in, and its way as lines that fit in there."""

from dataclasses import dataclass

import numpy as np

from lowsun import words
from lowsun.drawing.look import set_field
from lowsun.drawing.view import View
from lowsun.phenomena.low_sun import Frame
from lowsun.words import figures, say, term

PATH = View(96, 436, 736, 244)
SKY_DEG = 15.9  # to either side of the Sun, where its sky ends
COARSE_DEG = 10.0  # a field this high shows the disc as a point
FINE_DEG = 1.0  # a field this low holds discs, and no way to speak of


@dataclass(frozen=True)
class Field:
    """A height of the sky [deg] with a strip of ground at its foot, one scale both ways.

    outline_every: of the points of the way, each so many are drawn as the outline of the disc.
    """

    height_deg: float
    foot_deg: float
    bearing_step_deg: float
    altitude_step_deg: float
    outline_every: int = 0

    @property
    def shows_disc(self):
        """Whether the disc is more than a point."""
        return self.height_deg < COARSE_DEG

    @property
    def shows_way(self):
        """Whether the centre's way is long enough to be drawn."""
        return self.height_deg > FINE_DEG

    def high_deg(self, horizon_deg):
        """Altitude of the upper edge over a horizon."""
        return horizon_deg - self.foot_deg + self.height_deg

    def centre_deg(self, bearing_deg):
        """The bearing in the middle: the one asked for, in a panorama the nearest tick."""
        if self.shows_disc:
            return float(bearing_deg)
        return self.bearing_step_deg * float(np.rint(bearing_deg / self.bearing_step_deg))

    def frame(self, horizon_deg, off_centre_deg):
        """The `Frame` about a Sun so far aside that fills this field, as far as the sky reaches."""
        rows, scale = PATH.rows, self.height_deg / PATH.rows
        half = min(0.5 * PATH.columns * scale + abs(off_centre_deg), SKY_DEG)
        return Frame(self.high_deg(horizon_deg), 3600 * scale, rows, int(2 * half / scale) + 2)

    def show(self, axes, centre_deg, horizon_deg, bearing_is):
        """Set limits, ticks and the name of the bearing."""
        high = self.high_deg(horizon_deg)
        left, right = set_field(axes, high - self.height_deg, high, centre_deg)
        bearings = _ticks(left, right, self.bearing_step_deg)
        altitudes = _ticks(*axes.get_ylim(), self.altitude_step_deg)
        axes.set_xticks(bearings, [TICKS[bearing_is](tick) for tick in bearings])
        axes.set_yticks(altitudes, [f"{figures(tick)}°" for tick in altitudes])
        axes.set_xlabel(say(LABELS[bearing_is]))


CLOSE = Field(0.83, 0.12, 0.5, 0.2, outline_every=10)
FOLLOWING = Field(0.83, 0.12, 0.5, 0.2)
NEAR = Field(5.5, 0.55, 5.0, 2.0, outline_every=10)  # in an hour the Sun stays in its own sky
ALL_ROUND = Field(360 * PATH.rows / PATH.columns, 18.0, 45.0, 30.0)
TICKS = {"azimuth": words.bearing_tick, "longitude": words.longitude}
LABELS = {"azimuth": term("bearing"), "longitude": term("longitude of the meridian ahead")}


def around(bearing_deg, centre_deg):
    """Bearings as they lie nearest to a centre."""
    return centre_deg + (bearing_deg - centre_deg + 180) % 360 - 180


def way(track, centre_deg):
    """The centre's way as one line, with gaps where it leaves on one side and comes in again."""
    bearing = around(track.bearing_deg, centre_deg)
    leaves = np.flatnonzero(np.abs(np.diff(bearing)) > 90) + 1
    return tuple(np.insert(p, leaves, np.nan) for p in (bearing, track.apparent_altitude_deg))


def outlines(track, centre_deg):
    """The limbs of all discs as one line with gaps."""
    middle = track.bearing_deg[:, None]
    across = track.limb_bearing_deg - middle + around(middle, centre_deg)
    return tuple(_closed(part) for part in (across, track.limb_altitude_deg))


def _closed(part):
    return np.hstack([part, part[:, :1], np.full_like(part[:, :1], np.nan)]).ravel()


def _ticks(low, high, step):
    first, last = np.ceil(low / step - 1e-9), np.floor(high / step + 1e-9)
    return step * np.arange(first, last + 1) + 0.0  # no -0
