"""What a camera should have seen: the limb's places in its own channels, through a traced air.

The model's disc is cut along its upright middle, wavelength by wavelength, each wavelength counted
by what the channels make of it; the cut is blurred, and its limbs are measured as those of a frame.
So a measured displacement is compared with what the same measuring finds in the model, never with a
dispersion between two wavelengths.
"""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from lowsun.fieldwork.frames import limb
from lowsun.phenomena import low_sun
from lowsun.physics import sunlight

BLUR_ARCSEC = 2.2  # illustrative: one standard deviation, seeing of 5" at half height
REACH_ARCSEC = 45.0  # light is computed so far inside and outside of a limb
STEPS = 4  # of the cut in a bin of the limb's measuring
OUTLINE_NM = 610.0  # the middle of the red channel, for the outline
OUTLINE_POINTS = 121


@dataclass(frozen=True)
class Expected:
    """The model's disc, None where the air hides or folds the limb that it needs.

    axis_ratio: height divided by width; upper_arcsec, lower_arcsec: how far green's limb stands
    above red's.
    """

    axis_ratio: float | None
    upper_arcsec: float | None
    lower_arcsec: float | None

    def pixels(self, arcsec_per_px):
        """Displacements (upper, lower) in pixels of that size, None where they are not known.

        arcsec_per_px [arcsec].
        """
        return tuple(
            None if value is None else value / arcsec_per_px
            for value in (self.upper_arcsec, self.lower_arcsec)
        )


def channel_weights(sensor, wavelength_nm, *, developed):
    """What red, green and blue make of each wavelength, (W, 3): raw, or developed linear sRGB.

    wavelength_nm [nm].
    """
    weights = sensor.weights(wavelength_nm)
    return weights * sensor.white_balance @ sensor.matrix.T if developed else weights


def expected(
    curve,
    sun_true_altitude_deg,
    weights,
    *,
    sun_diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN,
    blur_arcsec=BLUR_ARCSEC,
):
    """The `Expected` disc at one true altitude of the Sun's centre [deg].

    curve: from `low_sun.curve_for_picture`; weights (W, 3) from `channel_weights`; blur_arcsec:
    one standard deviation of the lens's and the air's blur [arcsec].
    Leaves out clipped channels, the sky's own light, and the limb away from the upright middle.
    """
    disc = (sun_true_altitude_deg, sun_diameter_arcmin / 120, curve, weights)
    upper, lower = (_limb(outwards, blur_arcsec, *disc) for outwards in (1, -1))
    both = upper is not None and lower is not None
    return Expected(
        axis_ratio=float(upper[0] - lower[0]) * 60 / sun_diameter_arcmin if both else None,
        upper_arcsec=None if upper is None else 3600 * float(upper[1] - upper[0]),
        lower_arcsec=None if lower is None else 3600 * float(lower[1] - lower[0]),
    )


def _limb(outwards, blur_arcsec, sun_deg, radius_deg, curve, weights):
    """Apparent altitude of a limb in red and green [deg], or None; outwards: 1 up, -1 down."""
    edge_deg = sun_deg + outwards * radius_deg
    apparent = np.array(
        [_seen_at(curve, band, edge_deg) for band in range(curve.wavelength_nm.size)]
    )
    if not np.all(np.isfinite(apparent)):
        return None
    middle = float(np.median(apparent))
    step_arcsec = REACH_ARCSEC / limb.FINE_REACH_PX * limb.BIN_PX / STEPS
    count = round(2 * REACH_ARCSEC / step_arcsec)
    outside = (np.arange(count) + 0.5) * step_arcsec - REACH_ARCSEC
    row_deg = middle + outwards * outside / 3600
    planes = gaussian_filter1d(
        _cut(row_deg, sun_deg, radius_deg, curve, weights), blur_arcsec / step_arcsec, axis=1,
        mode="nearest",
    )  # fmt: skip
    places = _places(np.maximum(planes, 0), 3600 * radius_deg)
    return None if places is None else middle + outwards * places / 3600


def _cut(row_deg, sun_deg, radius_deg, curve, weights):
    """Light of red and green along the disc's upright middle, (2, R)."""
    true = curve.true_at(row_deg)
    mu2 = 1 - ((np.nan_to_num(true, nan=99.0) - sun_deg) / radius_deg) ** 2
    disc = sunlight.disc_radiance(np.sqrt(np.maximum(mu2, 0)), curve.wavelength_nm[:, None])
    share = curve.share_at(row_deg)
    return weights[:, :2].T @ np.where(mu2 > 0, disc * share, 0.0)


def _places(planes, depth_arcsec):
    """Places of red and green outside the middle [arcsec], as `limb.edges` finds them, or None."""
    scale = REACH_ARCSEC / limb.FINE_REACH_PX
    mean = planes.reshape(2, -1, STEPS).mean(axis=2) / max(planes.max(), 1e-30)
    band = limb.Band(
        np.empty(0), np.empty(0, int), np.empty((3, 0)), limb.FINE_REACH_PX,
        np.full(1, depth_arcsec / scale),
    )  # fmt: skip
    count = np.ones((1, mean.shape[1]))
    found = [limb.edges(light[None], count, band).place_px[0] for light in mean]
    return scale * np.array(found) if np.all(mean[:, 0] > 0) else None


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
    """The model's disc at many altitudes, NaN where it is not known: (3, N).

    Rows: height divided by width, upper and lower displacement [arcsec].
    """
    every = [
        expected(curve, float(altitude), weights, **disc) for altitude in sun_true_altitudes_deg
    ]
    rows = [(each.axis_ratio, each.upper_arcsec, each.lower_arcsec) for each in every]
    return np.array([[np.nan if value is None else value for value in row] for row in rows]).T


def outline_arcmin(curve, sun_true_altitude_deg, sun_diameter_arcmin):
    """The disc's edge in red light through the traced air (2, M): right and up of its top [arcmin].

    Clockwise from the top and back. Leaves out where the edge is seen more than once.
    """
    band = int(np.argmin(np.abs(curve.wavelength_nm - OUTLINE_NM)))
    true, radius_deg = curve.true_altitude_deg[band], sun_diameter_arcmin / 120
    seen = np.isfinite(true)
    angle = np.linspace(0, 2 * np.pi, OUTLINE_POINTS)
    edge = sun_true_altitude_deg + radius_deg * np.cos(angle)
    apparent = np.interp(edge, true[seen], curve.apparent_altitude_deg[seen])
    return 60 * np.stack([radius_deg * np.sin(angle), apparent - apparent[0]])


__all__ = ["Expected", "channel_weights", "expected", "outline_arcmin", "over"]
