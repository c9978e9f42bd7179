"""What an eye notices."""

import numpy as np

from lowsun.physics import eye
from lowsun.proof.measures.register import measure

ZERO_MAGNITUDE = -13.99  # of 1 lx; Crumey 2014, section 1.2


@measure("faintest star noticed, by the luminance of its sky", "mag")
def faintest_star(background_cd_per_m2):
    return ZERO_MAGNITUDE - 2.5 * np.log10(eye.point_threshold_lx(background_cd_per_m2))


@measure("contrast of a large target noticed")
def large_contrast(background_cd_per_m2):
    return eye.large_contrast(background_cd_per_m2, eye.FORCED_CHOICE)
