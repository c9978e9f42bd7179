"""The arch against what Lee 2015 measured, Applied Optics 54, B194: the findings of its abstract.

Its tables of chromaticities were not at hand. What is left to hold the colours to are its words:
colours of the dark segment and of the sky above the arch differ little or not at all, and the
extremes of colour and of brightness stand at different heights.
"""

import numpy as np
import pytest

from lowsun.phenomena import earth_shadow
from lowsun.physics.scattering import Air


def uniform(chromaticity):
    """CIE 1976 u', v' of x, y."""
    x, y = np.moveaxis(chromaticity, -1, 0)
    scale = -2.0 * x + 12.0 * y + 3.0
    return np.stack([4.0 * x / scale, 9.0 * y / scale], axis=-1)


@pytest.mark.parametrize("depression_deg", [1.0, 2.0, 3.0])
def test_colour_and_brightness_have_their_extremes_at_different_heights(depression_deg):
    seen = earth_shadow.seen(Air(), -depression_deg)
    assert abs(seen.bright_peak_deg - seen.pink_peak_deg) > 0.5


@pytest.mark.parametrize("depression_deg", [2.0, 3.0])
def test_segment_and_upper_sky_are_more_alike_than_either_is_to_the_arch(depression_deg):
    seen = earth_shadow.seen(Air(), -depression_deg)
    colour = uniform(seen.chromaticity)

    def at(altitude_deg):
        return colour[np.argmin(np.abs(seen.altitude_deg - altitude_deg))]

    segment, arch = at(seen.edge_deg / 3.0), at(seen.pink_peak_deg)
    above = at(min(4.0 * seen.pink_high_deg, 60.0))
    apart = [np.linalg.norm(one - other) for one, other in ((segment, above), (segment, arch))]
    assert apart[0] < apart[1]
