"""From light at the table's wavelengths, over the Sun's, to what the eye sees."""

from functools import cache

import numpy as np

from lowsun.physics.colour import xyz_weights
from lowsun.physics.scattering.grid import WAVELENGTH_NM, cubic_matrix
from lowsun.physics.sunlight import irradiance

FINE_NM = np.arange(380.0, 721.0, 5.0)  # the step of the Sun's spectrum and of the eye's curves


@cache
def sunlit_xyz_weights():
    """The matrix (W, 3) from radiance over the Sun's irradiance [1/sr] to XYZ [cd/m2].

    What the air does to light is smooth and read through the four nearest wavelengths; the Sun's
    lines and the eye's curves are taken at 5 nm. Within 0.4 % of a 5 nm computation. Beyond 400
    and 700 nm, where the eye sees next to nothing, the air is taken as at those ends.
    """
    air = cubic_matrix(WAVELENGTH_NM, np.clip(FINE_NM, WAVELENGTH_NM[0], WAVELENGTH_NM[-1]))
    return air.T @ (irradiance(FINE_NM)[:, None] * xyz_weights(FINE_NM))
