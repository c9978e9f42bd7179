"""What a camera should have seen: the limb's places in its own channels, through a traced air.

The limb of a colour channel lies at the mean of its wavelengths' limbs, each counted by the light
it sends and by what the channel makes of it: just what the mean of the line-spread function is of a
sum of sharp edges. So a measured displacement is compared with this, never with a dispersion
between two wavelengths.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.phenomena import low_sun
from lowsun.physics import sunlight
from lowsun.physics.extinction import HAZE


@dataclass(frozen=True)
class Expected:
    """The model's disc, None where the air hides or folds the limb that it needs.

    axis_ratio: height over width; upper_arcsec, lower_arcsec: how far green's limb stands above
    red's; upper_deg, lower_deg: apparent altitude of red's limbs.
    """

    axis_ratio: float | None
    upper_arcsec: float | None
    lower_arcsec: float | None
    upper_deg: float | None
    lower_deg: float | None

    def pixels(self, arcsec_per_px):
        """Displacements (upper, lower) in pixels of that size, None where they are not known."""
        return tuple(
            None if value is None else value / arcsec_per_px
            for value in (self.upper_arcsec, self.lower_arcsec)
        )


def channel_weights(sensor, wavelength_nm, *, developed):
    """What red, green and blue make of each wavelength, (W, 3): raw, or developed linear sRGB."""
    weights = sensor.weights(wavelength_nm)
    return weights * sensor.white_balance @ sensor.matrix.T if developed else weights


def expected(
    curve,
    sun_true_altitude_deg,
    weights,
    *,
    sun_diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN,
    haze=HAZE["very clear"],
    ozone_du=300.0,
):
    """The `Expected` disc at one true altitude of the Sun's centre [deg].

    curve: from `low_sun.curve_for_picture`; weights (W, 3) from `channel_weights`.
    Leaves out limb darkening's own colour, seeing, and clipped channels.
    """
    radius = sun_diameter_arcmin / 120
    light = (curve, weights, haze, ozone_du)
    upper = _limb(sun_true_altitude_deg + radius, *light)
    lower = _limb(sun_true_altitude_deg - radius, *light)
    both = upper is not None and lower is not None
    return Expected(
        axis_ratio=float(upper[0] - lower[0]) / (2 * radius) if both else None,
        upper_arcsec=None if upper is None else 3600 * float(upper[1] - upper[0]),
        lower_arcsec=None if lower is None else 3600 * float(lower[1] - lower[0]),
        upper_deg=None if upper is None else float(upper[0]),
        lower_deg=None if lower is None else float(lower[0]),
    )


def _limb(true_deg, curve, weights, haze, ozone_du):
    """Apparent altitude of a limb in red and green [deg], or None."""
    apparent = np.array([_seen_at(curve, band, true_deg) for band in range(len(weights))])
    if not np.all(np.isfinite(apparent)):
        return None
    share = low_sun.share_at_rows(curve, haze, ozone_du, apparent)
    light = np.diagonal(share) * sunlight.irradiance(curve.wavelength_nm)
    each = light[:, None] * weights[:, :2]
    total = each.sum(axis=0)
    if np.any(total <= 0):
        return None
    return (each * apparent[:, None]).sum(axis=0) / total


def _seen_at(curve, band, true_deg):
    """Where a true altitude is seen in one wavelength; NaN where nowhere, or more than once."""
    true = curve.true_altitude_deg[band]
    seen = np.isfinite(true)
    crossings = np.flatnonzero(np.diff(np.sign(true[seen] - true_deg)))
    if crossings.size != 1:
        return np.nan
    place = slice(crossings[0], crossings[0] + 2)
    return np.interp(true_deg, true[seen][place], curve.apparent_altitude_deg[seen][place])


def over(curve, sun_true_altitudes_deg, weights, **disc):
    """Axis ratios and upper displacements [arcsec] at many altitudes, NaN where not known: (N,)."""
    every = [
        expected(curve, float(altitude), weights, **disc) for altitude in sun_true_altitudes_deg
    ]
    pairs = [(each.axis_ratio, each.upper_arcsec) for each in every]
    return np.array([[np.nan if value is None else value for value in pair] for pair in pairs]).T


__all__ = ["Expected", "channel_weights", "expected", "over"]
