"""The transfer curve: where light that arrives at an apparent altitude comes from.

`lowsun.physics.rays` traces it; what reads it asks it here.
"""

from dataclasses import dataclass, replace

import numpy as np

from lowsun.errors import OutOfRangeError, quoted, require_range, takes
from lowsun.physics import air
from lowsun.physics.extinction import Haze, ozone_depth, rayleigh_depth
from lowsun.physics.medium import OZONE_DU, Air


@dataclass(frozen=True, eq=False)
class TransferCurve:
    """Where light that arrives at an apparent altitude comes from, and through how much air.

    Arrays are shaped (W, A), wavelength by altitude, or less where a number was asked for.
    air: the `Air` crossed; of a bare atmosphere that of a clear evening.
    true_altitude_deg, air_mass and the columns are NaN where `fate` is not Fate.SPACE.
    air_mass: the air crossed divided by the air above the eye; air_column, ozone_column,
    haze_column: the amounts crossed, each divided by its whole vertical amount above the sea [1].
    """

    air: Air
    eye_height_m: float
    apparent_altitude_deg: np.ndarray
    wavelength_nm: np.ndarray
    true_altitude_deg: np.ndarray
    fate: np.ndarray
    air_mass: np.ndarray
    air_column: np.ndarray
    ozone_column: np.ndarray
    haze_column: np.ndarray

    @property
    def refraction_arcsec(self):
        """Apparent less true altitude [arcsec]."""
        return 3600.0 * (self.apparent_altitude_deg - self.true_altitude_deg)

    @property
    def atmosphere(self):
        """The `Atmosphere` that was traced."""
        return self.air.atmosphere

    @takes(haze=Haze)
    def through(self, haze, ozone_du=OZONE_DU):
        """The same rays in the same atmosphere with another `Haze` and amount of ozone [DU]."""
        return replace(self, air=replace(self.air, haze=haze, ozone_du=ozone_du))

    def transmission(self):
        """Share of the sunlight that comes through the air along each ray [1], (W, A), 0 to 1.

        T = exp(-(tau_air X_air + tau_ozone X_ozone + tau_haze X_haze)), X the ray's columns
        relative to the whole vertical columns above the sea, so nothing is taken from a flat
        Earth's 1/sin. NaN where the ray never reaches space.
        Valid 365 to 835 nm; raises OutOfRangeError outside. Leaves out nitrogen dioxide and the
        narrow bands of oxygen and water vapour, which deepen towards the horizon near 590, 630,
        650, 690, 720 and 760 nm.
        """
        altitudes = np.ndim(self.air_column) - np.ndim(self.wavelength_nm)
        wavelength_nm = np.expand_dims(self.wavelength_nm, tuple(range(-altitudes, 0)))
        depth = (
            rayleigh_depth(wavelength_nm, self.atmosphere.pressure_pa[0]) * self.air_column
            + ozone_depth(wavelength_nm, self.air.ozone_du) * self.ozone_column
            + self.air.haze.depth(wavelength_nm) * self.haze_column
        )
        return np.exp(-depth)

    def read_at(self, values, apparent_altitude_deg):
        """Values of the curve (W, A) read at other apparent altitudes (R,) [deg]: (W, R).

        By straight lines between its own altitudes, which rise; NaN beside them. Raises
        OutOfRangeError for values of another shape.
        """
        rows = require_range(
            "apparent_altitude_deg", apparent_altitude_deg, -90.0, 90.0, unit="deg"
        )
        if np.shape(self.true_altitude_deg) != _shape(values):
            raise OutOfRangeError(f"values is {quoted(values)}; give an array shaped as the curve.")
        return np.stack(
            [
                np.interp(rows, self.apparent_altitude_deg, line, left=np.nan, right=np.nan)
                for line in values
            ]
        )

    def true_at(self, apparent_altitude_deg):
        """True altitude [deg] at apparent altitudes (R,) [deg]: (W, R); NaN where no sky is."""
        return self.read_at(self.true_altitude_deg, apparent_altitude_deg)

    def share_at(self, apparent_altitude_deg):
        """`transmission` at apparent altitudes (R,) [deg]: (W, R), 0 where no sky is seen."""
        share = self.read_at(self.transmission(), apparent_altitude_deg)
        # On the way to nothing a straight line is rounded to a hair below it.
        return np.maximum(np.nan_to_num(share), 0.0)

    def apparent_at(self, true_altitude_deg):
        """Apparent altitude [deg] at which a point of the sky is seen, upright.

        true_altitude_deg [deg] -90 to 90, any shape; returns that shape. In the curve's middle
        wavelength. Of several images the erect one counts; below the curve's end the lift of its
        lowest ray is kept, so that a picture of the Sun that has gone still shows where it went.
        """
        wanted = require_range("true_altitude_deg", true_altitude_deg, -90, 90, unit="deg")
        middle = self.wavelength_nm.size // 2
        seen = np.isfinite(self.true_altitude_deg[middle])
        true = self.true_altitude_deg[middle][seen]
        lift = self.apparent_altitude_deg[seen] - true
        return wanted + np.interp(wanted, *_erect(true, lift))

    def at(self, wavelength_nm):
        """The curve of some of its own wavelengths [nm], one number or (V,), traced already.

        wavelength_nm [nm] 230 to 1690. Raises OutOfRangeError outside.
        """
        wanted = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
        missing = np.setdiff1d(wanted, self.wavelength_nm)
        if missing.size:
            raise OutOfRangeError(
                f"wavelength_nm is {missing[0]:g} nm; this curve was traced at"
                f" {self.wavelength_nm.size} others. Trace it there."
            )
        order = np.argsort(self.wavelength_nm)
        bands = order[np.searchsorted(self.wavelength_nm, wanted, sorter=order)]
        parts = {name: getattr(self, name)[bands] for name in _BY_WAVELENGTH}
        return replace(self, wavelength_nm=wanted, **parts)

    def spread(self, wavelength_nm):
        """The curve of two wavelengths (2, A) drawn out to others (V,) [nm]: a quick likeness.

        Every value follows a straight line in the refractivity of dry air. From 520 and 630 nm to
        400 ... 700 nm true altitudes are within 0.1" in smooth air, within 1" for 98 in 100 rays
        through an inversion, and off by minutes of arc beside a fold. NaN where either is.
        wavelength_nm [nm] 230 to 1690. Raises OutOfRangeError outside.
        """
        wanted = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
        if self.wavelength_nm.size != 2 or wanted.ndim != 1:
            raise OutOfRangeError("A curve of two wavelengths is drawn out to an array of others.")
        (one, other), dry = (air.dispersions(nm)[0] for nm in (self.wavelength_nm, wanted))
        share = (dry - one) / (other - one)
        parts = {name: _along(share, getattr(self, name)) for name in _BY_WAVELENGTH}
        parts["fate"] = self.fate[(share > 0.5).astype(int)]
        return replace(self, wavelength_nm=wanted, **parts)


_BY_WAVELENGTH = (
    "true_altitude_deg",
    "fate",
    "air_mass",
    "air_column",
    "ozone_column",
    "haze_column",
)


def _along(share, values):
    return values[0] + share[:, None] * (values[1] - values[0])


def _erect(true_deg, lift_deg):
    """The curve from the top down to the lowest point of the sky it shows: the erect image.

    Going down, what looks back up is left out: the inverted images of mirages.
    """
    lowest_above = np.minimum.accumulate(true_deg[::-1])[::-1]
    erect = true_deg <= lowest_above
    return true_deg[erect], lift_deg[erect]


def _shape(values):
    plain = isinstance(values, np.ndarray) and values.dtype.kind in "iuf"
    return values.shape if plain else None
