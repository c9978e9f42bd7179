"""Where the Sun stands in the frame of a camera that is aimed and left alone."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import LARGEST, keep_number, require_kind, require_number, require_range, takes
from lowsun.fieldwork.camera import Camera

HORIZON_SHARE = 1 / 3  # of the frame's height below the horizon, unless another aim is given


@dataclass(frozen=True)
class Framing:
    """A camera held level, its optical axis at a bearing and an apparent altitude [deg]."""

    camera: Camera
    azimuth_deg: float
    altitude_deg: float

    def __post_init__(self):
        require_kind("camera", self.camera, Camera, "a Camera (lowsun.fieldwork.camera)")
        keep_number(self, "azimuth_deg", 0, 360, unit="deg")
        keep_number(self, "altitude_deg", -60, 60, unit="deg")

    def pixel(self, azimuth_deg, altitude_deg):
        """Column and row of a direction [px], from the upper left corner, for arrays (N,).

        Gnomonic: x = (f / pixel) east / ahead, y = -(f / pixel) up / ahead, from the middle.
        NaN for what lies behind the camera. For a lens that keeps straight lines straight.
        azimuth_deg [deg] -720 to 720, altitude_deg [deg] -90 to 90, or NaN. Raises OutOfRangeError.
        """
        bearing = require_range("azimuth_deg", azimuth_deg, -720, 720, unit="deg", nan=True)
        height = require_range("altitude_deg", altitude_deg, -90, 90, unit="deg", nan=True)
        turn = np.radians(bearing - self.azimuth_deg)
        altitude, tilt = np.radians(height), np.radians(self.altitude_deg)
        level = np.cos(altitude) * np.cos(turn)
        ahead = level * np.cos(tilt) + np.sin(altitude) * np.sin(tilt)
        up = np.sin(altitude) * np.cos(tilt) - level * np.sin(tilt)
        scale = np.where(ahead > 0, self._focal_px, np.nan) / ahead
        wide, high = self.camera.frame_px
        column = wide / 2 + scale * np.cos(altitude) * np.sin(turn)
        return column[()], (high / 2 - scale * up)[()]

    def direction(self, column, row):
        """Azimuth and altitude [deg] of points of the frame [px], (N,): `pixel` backwards."""
        wide, high = self.camera.frame_px
        right = (_pixels("column", column) - wide / 2) / self._focal_px
        above = (high / 2 - _pixels("row", row)) / self._focal_px
        tilt = np.radians(self.altitude_deg)
        level = np.cos(tilt) - above * np.sin(tilt)
        up = np.sin(tilt) + above * np.cos(tilt)
        azimuth = self.azimuth_deg + np.degrees(np.arctan2(right, level))
        return azimuth % 360, np.degrees(np.arctan2(up, np.hypot(right, level)))

    @property
    def outline(self):
        """Azimuths and altitudes [deg] along the frame's edge, closed, (81,) each."""
        wide, high = self.camera.frame_px
        share = np.linspace(0, 1, 21)[:-1]
        column = np.concatenate([share, np.ones(20), 1 - share, np.zeros(20), [0]]) * wide
        row = np.concatenate([np.zeros(20), share, np.ones(20), 1 - share, [0]]) * high
        return self.direction(column, row)

    def inside(self, column, row, margin_px=0.0):
        """Whether points lie in the frame, so far from its edges or farther.

        margin_px [px] 0 or more. Raises OutOfRangeError for less.
        """
        column, row = _pixels("column", column), _pixels("row", row)
        margin_px = require_number("margin_px", margin_px, 0, LARGEST, unit="px")
        wide, high = self.camera.frame_px
        across = (column >= margin_px) & (column <= wide - margin_px)
        return across & (row >= margin_px) & (row <= high - margin_px)

    @property
    def _focal_px(self):
        return 1000 * self.camera.focal_length_mm / self.camera.pixel_um


def _pixels(name, value):
    return require_range(name, value, -LARGEST, LARGEST, unit="px", nan=True)


@takes(camera=Camera)
def framing_of_horizon(camera, azimuth_deg, horizon_deg, share=HORIZON_SHARE):
    """The `Framing` with a point of the horizon in the middle column, a share up from the foot.

    azimuth_deg, horizon_deg [deg]: the point, apparent; share 0 to 1 of the frame's height.
    azimuth_deg [deg] -360 to 360, horizon_deg [deg] -10 to 50. Raises OutOfRangeError outside.
    """
    azimuth_deg = require_number("azimuth_deg", azimuth_deg, -360, 360, unit="deg")
    horizon_deg = require_number("horizon_deg", horizon_deg, -10, 50, unit="deg")
    below = (0.5 - require_number("share", share, 0, 1)) * camera.frame_px[1]
    tilt = np.degrees(np.arctan(below * camera.pixel_um / 1000 / camera.focal_length_mm))
    return Framing(camera, azimuth_deg % 360, float(horizon_deg + tilt))
