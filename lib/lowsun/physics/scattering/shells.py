"""The air as thin spherical shells, in the radius that makes refracted rays straight.

Along a ray n r cos(altitude) keeps its value p. Drawn in a plane whose radius is not r but
rho = n r, that is the equation of a straight line at the distance p from the centre. With t the
distance along it from its lowest point, rho^2 = p^2 + t^2, the real path is ds = (dr/drho) dt
long and bends by -(d ln n/drho)(p/rho) dt. Refraction then costs nothing.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import OutOfRangeError
from lowsun.kept import KB, kept
from lowsun.physics.air import refractivity
from lowsun.physics.extinction import ozone_share_above
from lowsun.physics.rays import EARTH_RADIUS_M

TOP_M = 85_000.0  # five millionths of the molecules lie above
STEP_M = 100.0
REFRACTION_NM = 550.0  # one bending for all colours: dispersion moves the shadow by under 2'
SMOOTHED_M = 500.0  # thinner ducts than this do not move the shadow of the Earth


@dataclass(frozen=True, eq=False)
class Shells:
    """Levels rising from the sea to 85 km, shaped (N,).

    radius_m and rho_m (= n r) [m]; stretch: dr/drho [1]; bending_per_m: -d(ln n)/drho [1/m];
    species_per_m (N, 3) [1/m]: share of the whole vertical column of molecules, ozone and haze
    that a metre of height holds.
    """

    radius_m: np.ndarray
    rho_m: np.ndarray
    stretch: np.ndarray
    bending_per_m: np.ndarray
    species_per_m: np.ndarray

    def at(self, rho_m):
        """radius [m], stretch, bending [1/m] and species (..., 3) [1/m] where n r is rho_m."""
        place = np.interp(rho_m, self.rho_m, np.arange(self.rho_m.size, dtype=float))
        below = np.minimum(place.astype(np.intp), self.rho_m.size - 2)
        rest = place - below
        values = [
            column[below] + rest * (column[below + 1] - column[below]) for column in self._columns()
        ]
        return *values[:3], np.stack(values[3:], axis=-1)

    def rho_at(self, height_m):
        """n r [m] at a height above the sea [m]."""
        return np.interp(EARTH_RADIUS_M + np.asarray(height_m), self.radius_m, self.rho_m)

    def _columns(self):
        return self.radius_m, self.stretch, self.bending_per_m, *self.species_per_m.T


@kept(500 * KB)
def shells(atmosphere, refraction=True):
    """The shells of an atmosphere; refraction=False keeps all rays straight."""
    height = np.linspace(0.0, TOP_M, round(TOP_M / STEP_M) + 1)
    radius = EARTH_RADIUS_M + height
    log_index = refraction * np.log1p(_smooth_refractivity(atmosphere, height))
    rho = radius * np.exp(log_index)
    _require_no_duct(height, rho)
    shares = (
        _air_per_m(atmosphere, height),
        -np.gradient(ozone_share_above(height), height),
        -np.gradient(atmosphere.haze_share_above(height), height),
    )
    return Shells(
        radius_m=radius,
        rho_m=rho,
        stretch=np.gradient(radius, rho),
        bending_per_m=-np.gradient(log_index, rho),
        species_per_m=np.column_stack(shares),
    )


def _smooth_refractivity(atmosphere, height):
    coarse = np.arange(0.0, TOP_M + 1.0, SMOOTHED_M)
    log_refractivity = np.log(refractivity(REFRACTION_NM, *atmosphere.at(coarse)))
    return np.exp(np.interp(height, coarse, log_refractivity))


def _air_per_m(atmosphere, height):
    temperature, pressure, _ = atmosphere.at(height)
    density = pressure / temperature
    return density / np.trapezoid(density, height)


def _require_no_duct(height, rho):
    if np.any(np.diff(rho) <= 0.0):
        base = height[int(np.argmax(np.diff(rho) <= 0.0))]
        raise OutOfRangeError(
            f"The air traps rays in a duct about {SMOOTHED_M:g} m thick at {base:g} m; the"
            " twilight sky allows only thinner ones. Weaken the inversion."
        )
