"""All of an air's sunlight, direct and scattered, in one table."""

from dataclasses import dataclass, fields

import numpy as np

from lowsun.physics.scattering import optics
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    ORDER_LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    WAVELENGTH_NM,
    ZENITH_DISTANCE_DEG,
)
from lowsun.physics.scattering.moments import MOMENTS
from lowsun.physics.scattering.orders import successive_orders
from lowsun.physics.scattering.sunbeam import level_sunbeam, sunbeam

_H, _X, _W = LEVEL_M.size, SUN_ABOVE_HORIZON_DEG.size, WAVELENGTH_NM.size
_L, _Z = ORDER_LEVEL_M.size, ZENITH_DISTANCE_DEG.size
SHAPES = {
    "beam": (_H, _X, _W),
    "moments": (_L, _Z, _W, MOMENTS),
    "level_beam": (_X, _W),
    "level_diffuse": (_Z, _W),
}


@dataclass(frozen=True, eq=False)
class SkyTable:
    """Light at every height for every place of the Sun, over the Sun's irradiance above the air.

    beam (H, X, W) [1]: of a surface held square to the Sun; moments (L, Z, W, M) [1/sr]: of the
    light scattered at least once; level_beam (X, W) and level_diffuse (Z, W) [1]: irradiance of
    a level surface at the sea. All float32, at the nodes of `grid`.
    """

    beam: np.ndarray
    moments: np.ndarray
    level_beam: np.ndarray
    level_diffuse: np.ndarray

    def arrays(self):
        """The arrays by their names."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


def solve(air):
    """The table of an `Air`, computed from nothing: about a second on two cores."""
    depths = optics.depths(air, WAVELENGTH_NM)
    beam, level_beam = sunbeam(air, depths), level_sunbeam(air, depths)
    moments, level_diffuse = successive_orders(air, beam, level_beam, depths)
    parts = (beam, moments, level_beam, level_diffuse)
    return SkyTable(*(part.astype(np.float32) for part in parts))
