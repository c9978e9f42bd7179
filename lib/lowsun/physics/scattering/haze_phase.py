"""Where clean marine haze sends light: Mie's theory for its drops, kept as a table.

Near the Sun it counts: at 1 degree from it the drops' forward peak is several times brighter than
a one-number phase function of the same mean cosine has it.
"""

from functools import cache

import numpy as np

from lowsun.data import table
from lowsun.errors import require_range

WAVELENGTH_NM = (400, 475, 550, 625, 700)  # the columns of the table


def marine_phase(cosine, wavelength_nm):
    """Share of light that marine haze scatters into a steradian [1/sr]; one over the sphere.

    ln p joined by straight lines in the logarithm of the angle and in wavelength.
    cosine of the scattering angle -1 to 1, (...); wavelength_nm [nm] 380 to 780, (W,): beyond the
    table's 400 to 700 the nearest column is taken. Returns (..., W).
    Raises OutOfRangeError outside these. Accuracy: within 2 % of Mie's sums between the table's
    angles. Leaves out dry dust and smoke, whose grains are no drops.
    Source: Hess, Koepke & Schult 1998, Bull. Am. Meteorol. Soc. 79, 831, clean maritime at 80 %
    relative humidity, by miepython.
    """
    along = require_range("cosine", cosine, -1.0, 1.0)
    wavelength = require_range("wavelength_nm", wavelength_nm, 380.0, 780.0, unit="nm")
    angle, column, log_phase = _log_table()
    by_angle = _joined(_stretched(np.degrees(np.arccos(along))), angle, log_phase)
    return np.exp(_joined(wavelength, column, by_angle.swapaxes(0, -1)).swapaxes(0, -1))


def _joined(where, nodes, values):
    """Values (N, ...) at nodes read at `where` (...) by straight lines; the ends beyond them."""
    place = np.clip(np.searchsorted(nodes, where) - 1, 0, nodes.size - 2)
    share = np.clip((where - nodes[place]) / (nodes[place + 1] - nodes[place]), 0.0, 1.0)
    share = share.reshape(share.shape + (1,) * (values.ndim - 1))
    return values[place] * (1.0 - share) + values[place + 1] * share


def _stretched(angle_deg):
    """Angles on a scale on which the forward peak takes its room: ln(angle + 0.1 deg)."""
    return np.log(angle_deg + 0.1)


@cache
def _log_table():
    rows = table("haze_phase_marine")
    phase = np.stack([rows[f"nm{nm}"] for nm in WAVELENGTH_NM], axis=1)
    return _stretched(rows["angle_deg"]), np.array(WAVELENGTH_NM, dtype=float), np.log(phase)
