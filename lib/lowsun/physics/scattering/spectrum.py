"""From light at the table's wavelengths, over the Sun's, to what an eye or a sensor takes in."""

from collections.abc import Callable

import numpy as np

from lowsun.errors import require_kind
from lowsun.kept import KB, kept
from lowsun.physics.colour import weights_of, xyz_weights
from lowsun.physics.scattering.grid import WAVELENGTH_NM, cubic_matrix
from lowsun.physics.sunlight import irradiance

FINE_NM = np.arange(380.0, 721.0, 5.0)  # the step of the Sun's spectrum and of the eye's curves


def sunlit_weights(responses=xyz_weights):
    """The matrix (W, 3) from radiance divided by the Sun's irradiance [1/sr] to what is taken in.

    responses: gives the (N, 3) weights of wavelengths (N,) [nm]: `colour.xyz_weights` for XYZ
    [cd/m2], a `Sensor`'s `weights` for its three channels [cd/m2 of sunlight].
    What the air does to light is smooth and read through the four nearest wavelengths; the Sun's
    lines and the eye's curves are taken at 5 nm. Within 0.4 % of a 5 nm computation. Beyond 400
    and 700 nm, where the eye sees next to nothing, the air is taken as at those ends.
    Raises InputError for what is no such function.
    """
    wanted = "a function of wavelengths such as `xyz_weights`"
    return _sunlit_weights(require_kind("responses", responses, Callable, wanted))


@kept(200 * KB)
def _sunlit_weights(responses):
    air = cubic_matrix(WAVELENGTH_NM, np.clip(FINE_NM, WAVELENGTH_NM[0], WAVELENGTH_NM[-1]))
    return air.T @ (irradiance(FINE_NM)[:, None] * weights_of(responses, FINE_NM))
