"""Sea water as light meets it: its refractive index, its mirror, the slopes of its waves.

Slopes are tangents, along the wind and across it; a facet's share of what an eye sees follows from
them alone, since waves are far larger than a wave of light.
"""

from math import erfc

import numpy as np

from lowsun.errors import LARGEST, require_range

WIND_RANGE_M_PER_S = (0.5, 15.0)  # Cox & Munk 1954 measured 1 to 14
SALINITY_PER_MILLE, TEMPERATURE_C = 35.0, 15.0  # the open sea's at middle latitudes
_erfc = np.vectorize(erfc, otypes=[float])
LEAVING_REFLECTANCE = 0.012  # light from below, of that which falls on it; 6SV output, transcribed


def water_index(wavelength_nm, temperature_c=TEMPERATURE_C, salinity_per_mille=SALINITY_PER_MILLE):
    """Refractive index of sea water against air.

    n = n0 + (n1 + n2 T + n3 T^2) S + n4 T^2 + (n5 + n6 S + n7 T) / w + n8 / w^2 + n9 / w^3.
    wavelength_nm [nm] 400 to 700, temperature_c [degC] 0 to 30, salinity_per_mille 0 to 40
    broadcast. Raises OutOfRangeError outside these.
    Source: Quan & Fry 1995, Appl. Opt. 34, 3477, eq. 3.
    >>> round(float(water_index(550.0)), 5)
    1.34127
    """
    w = require_range("wavelength_nm", wavelength_nm, 400.0, 700.0, unit="nm")
    t = require_range("temperature_c", temperature_c, 0.0, 30.0, unit="degC")
    s = require_range("salinity_per_mille", salinity_per_mille, 0.0, 40.0)
    salt = (1.779e-4 - 1.05e-6 * t + 1.6e-8 * t**2) * s - 2.02e-6 * t**2
    return (
        1.31405 + salt + (15.868 + 0.01155 * s - 0.00423 * t) / w - 4382.0 / w**2 + 1.1455e6 / w**3
    )


def fresnel_reflectance(cos_incidence, index):
    """Share of unpolarised light that a smooth surface mirrors, 0 to 1.

    R = (rs^2 + rp^2) / 2, rs = (c - g) / (c + g), rp = (n^2 c - g) / (n^2 c + g), g^2 = n^2 - 1 +
    c^2. cos_incidence 0 to 1 and index [1] 1 to 3 broadcast. Raises OutOfRangeError outside these.
    """
    c = require_range("cos_incidence", cos_incidence, 0.0, 1.0)
    square = require_range("index", index, 1.0, 3.0) ** 2
    g = np.sqrt(square - 1.0 + c**2)
    across, along = (c - g) / (c + g), (square * c - g) / (square * c + g)
    return (across**2 + along**2) / 2.0


def slope_variances(wind_m_per_s):
    """Mean squares of the sea's slopes along and across the wind, (upwind, crosswind).

    upwind 0.000 + 0.00316 U, crosswind 0.003 + 0.00192 U; wind_m_per_s [m/s] 0.5 to 15, at 12.5 m.
    Raises OutOfRangeError outside. Accuracy: 0.004 and 0.002, the authors' scatter.
    Leaves out the skew of the slopes and slicks, which calm the sea two or three times.
    Source: Cox & Munk 1954, J. Opt. Soc. Am. 44, 838.
    """
    wind = require_range(
        "wind_m_per_s", wind_m_per_s, *WIND_RANGE_M_PER_S, unit="m/s",
        remedy="For a calm sea take wind None.",
    )  # fmt: skip
    return 0.00316 * wind, 0.003 + 0.00192 * wind


def hidden_over_seen(rise, variance):
    """How many of the waves' facets a low line of sight misses for each that it reaches [1].

    L = (exp(-v^2) / (v sqrt(pi)) - erfc(v)) / 2, v = tan(e) / sqrt(2 s^2), s^2 the mean square
    slope along the line of sight; the share that is reached is 1 / (1 + L). Infinite for rise 0.
    rise: tan(e) [1], 0 or more; variance: s^2 [1] 1e-9 to 1; they broadcast. Raises
    OutOfRangeError outside.
    Source: Smith 1967, IEEE Trans. Antennas Propag. 15, 668.
    """
    tangent = require_range("rise", rise, 0.0, LARGEST)
    v = tangent / np.sqrt(2.0 * require_range("variance", variance, 1e-9, 1.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        hidden = (np.exp(-(v**2)) / (v * np.sqrt(np.pi)) - _erfc(v)) / 2.0
    return np.where(v > 0.0, np.maximum(hidden, 0.0), np.inf)
