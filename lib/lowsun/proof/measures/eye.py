"""What an eye notices."""

import numpy as np

from lowsun.physics import eye
from lowsun.proof.measures.register import measure

ZERO_MAGNITUDE = -13.99  # of 1 lx; Crumey 2014, section 1.2
MAG_PER_ARCSEC2_OF_1_CD_PER_M2 = 12.58  # mag/arcsec2 of 1 cd/m2; the same


@measure("faintest star noticed, by the luminance of its sky", "mag")
def faintest_star(background_cd_per_m2):
    return ZERO_MAGNITUDE - 2.5 * np.log10(eye.point_threshold_lx(background_cd_per_m2))


@measure("contrast of a large target noticed")
def large_contrast(background_cd_per_m2):
    return eye.large_contrast(background_cd_per_m2, eye.FORCED_CHOICE)


@measure("contrast of a round target chosen right half the time")
def round_target_contrast(across_arcmin, background_mag_per_arcsec2):
    area = np.pi / 4.0 * np.radians(across_arcmin / 60.0) ** 2
    background = 10.0 ** (0.4 * (MAG_PER_ARCSEC2_OF_1_CD_PER_M2 - background_mag_per_arcsec2))
    return eye.threshold_contrast(area, background, eye.FORCED_CHOICE)
