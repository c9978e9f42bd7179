"""What an eye can tell from its background: the least light of a point, and of anything larger.

Crumey 2014, MNRAS 442, 2600, fitted to 50 % forced choices of trained young observers with
unlimited time, who knew where a white target might stand (Blackwell 1946, Taylor 1960). Whoever is
not told so needs more by a field factor. An elongated target is taken to count by its area alone.

Against Blackwell's own table the contrast is within 9 % above 20 cd/m2 and within 0.07 in its
decimal logarithm at the root mean square over all; targets of a degree in dusk (0.1 to 5 cd/m2)
are taken to be seen at down to 0.59 of the contrast that they need.
"""

import numpy as np

from lowsun.errors import require_range

# The data reach from 3e-5 to 3426 cd/m2; beyond, the fit runs on along Weber's law.
BACKGROUND_RANGE_CD_PER_M2 = (1e-5, 1e5)
AREA_RANGE_SR = (1e-16, 10.0)
FIELD_FACTOR_RANGE = (0.5, 100.0)

# Field factors (Crumey 2014, section 3.1): how much more light than at a forced choice.
FORCED_CHOICE = 1.0
NOTICED = 2.0  # typical of looking without being told
# Lights at sea, known by their colour, must reach 2e-7 lx by night (Collision Regulations 1972,
# annex I, 8): 12 times the forced choice on 0.1 cd/m2, 14 times that on 0.01.
TOLD_BY_COLOUR = 12.0
DAYLIGHT_CD_PER_M2 = 5.0  # from here up cones alone see; CIE 191:2010

POINT = (5.949e-8, -2.389e-7, 2.459e-7, 4.120e-4, -4.225e-4)  # eq. 28; cd/m2 to lx
LARGE = (7.633e-3, -7.174e-3)  # eq. 37
WEBER = 2.720e-3  # eq. 38: contrast of large targets by day
WEBER_ABOVE_CD_PER_M2 = 0.354  # where eqs. 37 and 38 meet
NIGHT_BEND, DUSK_BEND, DAY_BEND = 0.6, (0.8861, 0.4), (1.146, -0.0885)  # eqs. 42 to 44
DUSK_CD_PER_M2 = (0.193, 3.40)  # between these holds DUSK_BEND


def point_threshold_lx(background_cd_per_m2, field_factor=NOTICED):
    """The least light of a point that is seen on a background [lx at the eye].

    I = F (sqrt(a1 B^0.5 + a2 B^0.75 + a3 B) + a4 B^0.25 + a5 B^0.5)^2
    background_cd_per_m2 [cd/m2] 1e-5 to 1e5 and field_factor [1] 0.5 to 10 broadcast.
    Holds for what is smaller than about a minute of arc by day, ten by night. The fit dips by 3 %
    between 0.02 and 0.07 cd/m2. Leaves out age, averted looking and the light's colour by night.
    Source: Crumey 2014, MNRAS 442, 2600, eq. 34.
    >>> round(float(point_threshold_lx(1000.0)) * 1e6)
    22
    """
    background, factor = _background(background_cd_per_m2), _field_factor(field_factor)
    return factor * background * _per_contrast_sr(background)


def large_contrast(background_cd_per_m2, field_factor=NOTICED):
    """The least contrast of a large target, its own light divided by the background's [1].

    C = F (0.007633 B^-0.25 - 0.007174) below 0.354 cd/m2, F 0.00272 above.
    Parameters as in `point_threshold_lx`. For targets of a degree and more.
    Source: Crumey 2014, MNRAS 442, 2600, eqs. 35 to 38.
    """
    background, factor = _background(background_cd_per_m2), _field_factor(field_factor)
    slope, offset = LARGE
    dim = np.minimum(background, WEBER_ABOVE_CD_PER_M2)
    by_night = slope * dim**-0.25 + offset
    return factor * np.where(background < WEBER_ABOVE_CD_PER_M2, by_night, WEBER)


def threshold_contrast(area_sr, background_cd_per_m2, field_factor=NOTICED):
    """The least contrast of a target of any area, its own light divided by the background's [1].

    C = F ((R / A)^q + C_large^q)^(1/q), R = `point_threshold_lx` / (F B): small targets count by
    their whole light (Ricco's law), large ones by their contrast.
    area_sr [sr] 1e-16 to 10; it and the parameters of `point_threshold_lx` broadcast.
    Source: Crumey 2014, MNRAS 442, 2600, eqs. 41 to 44.
    """
    area = require_range("area_sr", area_sr, *AREA_RANGE_SR, unit="sr")
    background, factor = _background(background_cd_per_m2), _field_factor(field_factor)
    bend = _bend(background)
    small = (_per_contrast_sr(background) / area) ** bend
    return factor * (small + large_contrast(background, FORCED_CHOICE) ** bend) ** (1.0 / bend)


def threshold_lx(area_sr, background_cd_per_m2, field_factor=NOTICED):
    """The least light of a target of any area that is seen on a background [lx at the eye].

    I = C B A; parameters as in `threshold_contrast`.
    """
    contrast = threshold_contrast(area_sr, background_cd_per_m2, field_factor)
    return contrast * np.asarray(background_cd_per_m2) * np.asarray(area_sr)


def pupil_mm(background_cd_per_m2):
    """Diameter of the eye's pupil [mm] before a wide field of that luminance.

    d = 4.9 - 3 tanh(0.4 log10 B); background_cd_per_m2 [cd/m2] 1e-5 to 1e5, any shape.
    Young eyes; a fifth either way between people and between published formulas.
    Source: Moon & Spencer 1944, J. Opt. Soc. Am. 34, 319, as in Watson & Yellott 2012, J. Vision
    12 (10), 12 (both from memory).
    """
    return 4.9 - 3.0 * np.tanh(0.4 * np.log10(_background(background_cd_per_m2)))


def _per_contrast_sr(background):
    """Area [sr] at which a small target's forced-choice contrast would be 1: R in Crumey."""
    a1, a2, a3, a4, a5 = POINT
    quarter = background**-0.25
    return (np.sqrt(a1 * quarter**2 + a2 * quarter + a3) + a4 * quarter + a5) ** 2


def _bend(background):
    """How sharply small targets give way to large ones: q in Crumey."""
    log = np.log10(background)
    dusk, day = (offset + slope * log for offset, slope in (DUSK_BEND, DAY_BEND))
    begins, ends = DUSK_CD_PER_M2
    return np.where(background < begins, NIGHT_BEND, np.where(background < ends, dusk, day))


def _background(background_cd_per_m2):
    return require_range(
        "background_cd_per_m2",
        background_cd_per_m2,
        *BACKGROUND_RANGE_CD_PER_M2,
        unit="cd/m2",
        remedy="Less is as good as dark to an eye; more blinds it.",
    )


def _field_factor(field_factor):
    return require_range("field_factor", field_factor, *FIELD_FACTOR_RANGE)
