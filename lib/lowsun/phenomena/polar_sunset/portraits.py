"""Portraits of the disc: computed pictures of one instant, or of several side by side."""

from functools import lru_cache

import numpy as np

from lowsun.phenomena import low_sun

HIGHEST_DEG = 2.5  # up to which the air is traced; the Sun's lower limb over it is not pictured


def portrait(moment, atmosphere, frame):
    """The disc of a one-instant `Track` in a `low_sun.Frame`: uint8 sRGB (rows, columns, 3).

    Exposed for itself, and black where the Sun is down or above the frame.
    """
    lower_limb = moment.true_altitude_deg - moment.semidiameter_deg
    if moment.shown == 0 or lower_limb > frame.high_deg:
        return np.zeros((frame.rows, frame.columns, 3), np.uint8)
    return low_sun.picture(
        _curve(atmosphere, moment.place.eye_height_m),
        float(moment.true_altitude_deg),
        frame,
        sun_diameter_arcmin=float(120 * moment.semidiameter_deg),
    ).rgb


@lru_cache(maxsize=16)
def portraits(track, atmosphere, high_arcmin, arcsec_per_px, rows, columns):
    """The discs of a `Track` side by side, (rows, columns, 3), each in its share of the columns.

    high_arcmin [arcmin]: the upper edge over the level horizon.
    """
    high_deg = track.horizon_deg + high_arcmin / 60
    edges = np.rint(np.linspace(0, columns, track.when.size + 1)).astype(int)
    frames = (low_sun.Frame(high_deg, arcsec_per_px, rows, int(w)) for w in np.diff(edges))
    return np.hstack(
        [portrait(one, atmosphere, frame) for one, frame in zip(track, frames, strict=True)]
    )


@lru_cache(maxsize=64)
def _curve(atmosphere, eye_height_m):
    return low_sun.curve_for_picture(atmosphere, eye_height_m, HIGHEST_DEG)
