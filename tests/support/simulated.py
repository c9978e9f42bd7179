"""The kit's own simulated frame as a `Picture`, to be measured as one that a camera took."""

import numpy as np

from lowsun.fieldwork.frames.picture import Picture
from lowsun.fieldwork.frames.profile import srgb_curve


def raw_picture(frame):
    """The numbers of a `frame.RawFrame`'s file: every pixel has all three channels."""
    return Picture(
        codes=np.moveaxis(frame.level, 0, -1),
        curve=(np.arange(65536) / frame.full_level).astype(np.float32),
        full_code=frame.full_level,
        balance=frame.sensor.white_balance / frame.sensor.white_balance[1],
        is_developed=False,
    )


def developed_picture(frame):
    """The picture that a `frame.RawFrame` is developed into."""
    return Picture(codes=frame.rgb, curve=srgb_curve(256), full_code=255)
