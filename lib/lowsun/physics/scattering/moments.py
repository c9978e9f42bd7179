"""The few shapes in which light from all sides is kept at every point of the air.

Radiance I(v) is kept as its means over all directions with the basis B: 1; then vertical and
sunward; then the five of second degree that are symmetric about the Sun's vertical plane. The
addition theorem sum B(v) B(v') = P_l(v.v') makes scattering a multiplication of each degree.
"""

import numpy as np

DEGREE = np.array([0, 1, 1, 2, 2, 2])
ORDER = np.array([0, 0, 1, 0, 1, 2])
MOMENTS = DEGREE.size
ROOT3 = np.sqrt(3.0)


def profile(sine):
    """The basis without its cos(m azimuth), for directions of that sine of altitude (..., 6)."""
    sine = np.asarray(sine)
    cosine = np.sqrt(np.maximum(1.0 - sine**2, 0.0))
    parts = (
        np.ones_like(sine),
        sine,
        cosine,
        (3.0 * sine**2 - 1.0) / 2.0,
        ROOT3 * sine * cosine,
        ROOT3 / 2.0 * cosine**2,
    )
    return np.stack(parts, axis=-1)


def basis(sine, cos_azimuth):
    """The basis for directions given by sine of altitude and cosine of azimuth from the Sun."""
    waves = np.stack([np.ones_like(cos_azimuth), cos_azimuth, 2.0 * cos_azimuth**2 - 1.0], -1)
    return profile(sine) * waves[..., ORDER]
