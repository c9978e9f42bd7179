"""How wide a lens takes in a sight that spans much of the sky."""

from math import ceil

import numpy as np

from lowsun.errors import require_number, require_range, require_vectors

FULL_FRAME_MM = (36.0, 24.0)  # 35 mm film and the sensors of its size
OVERLAP = 0.3  # of a picture with the next, so that they can be joined; common practice, no source


def pictures_across(wide_deg, focal_length_mm, frame_mm=FULL_FRAME_MM):
    """How many pictures side by side, each overlapping the next by 0.3, take in a width.

    wide_deg [deg] 1 to 360; focal_length_mm [mm] 5 to 2000.
    """
    wide = require_number("wide_deg", wide_deg, 1.0, 360.0, unit="deg")
    focal = require_number("focal_length_mm", focal_length_mm, 5.0, 2000.0, unit="mm")
    one = 2.0 * np.degrees(np.arctan(_frame(frame_mm)[0] / (2.0 * focal)))
    return max(1, ceil((wide - one) / (one * (1.0 - OVERLAP)) + 1.0 - 1e-9))


def _frame(frame_mm):
    sides = require_vectors("frame_mm", frame_mm, 2)
    return require_range("frame_mm", sides, 1.0, 1000.0, unit="mm").reshape(-1)[:2]
