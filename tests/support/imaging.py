"""The setting Sun's image row by row, from rays integrated step by step: the kit's tracer, tables
of pictures and sums of light are not used. What it shares with the kit: the air's levels and
refractivity, the vertical depths and profiles, the Sun's spectrum and limb darkening, the CIE's
curves.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from lowsun.physics import sunlight
from lowsun.physics.colour import colour_matching
from lowsun.physics.extinction import (
    haze_share_above,
    ozone_depth,
    ozone_share_above,
    rayleigh_depth,
)
from ray_integration import SPACE, follow_through

BANDS_NM = np.array([450.0, 490.0, 520.0, 545.0, 570.0, 600.0, 635.0, 670.0])
RADIUS_DEG = 959.63 / 3600.0  # semidiameter at 1 au, Auwers 1891
STEP_M = 10.0  # over which densities are taken from what lies above
TOP_M = 99_000.0


@dataclass(frozen=True)
class Rows:
    """Apparent altitudes of rows (R,), rising; true altitudes and transmission (W, R)."""

    apparent_deg: np.ndarray
    true_deg: np.ndarray
    transmission: np.ndarray


def rows_through(atmosphere, eye_height_m, haze, apparent_deg, ozone_du=300.0):
    """What rows of the sky at apparent altitudes (R,) show: `Rows`."""
    altitude, wavelength = np.meshgrid(apparent_deg, BANDS_NM)
    densities = (
        _air_density(atmosphere),
        partial(_density, ozone_share_above),
        partial(_density, haze_share_above),
    )
    refraction, fate, crossed = follow_through(
        atmosphere, eye_height_m, altitude.ravel(), wavelength.ravel(), densities
    )
    depths = (
        rayleigh_depth(wavelength.ravel(), atmosphere.pressure_pa[0]),
        ozone_depth(wavelength.ravel(), ozone_du),
        haze.depth(wavelength.ravel()),
    )
    lost = np.where(fate == SPACE, 0.0, np.nan)
    true = altitude.ravel() - refraction / 3600.0 + lost
    share = np.exp(-sum(depth * amount for depth, amount in zip(depths, crossed, strict=True)))
    return Rows(apparent_deg, true.reshape(altitude.shape), share.reshape(altitude.shape))


def _air_density(atmosphere):
    """Density of the air over that of its whole vertical column [1/m], a function of height."""
    heights = np.arange(0.0, atmosphere.height_m[-1], STEP_M)
    temperature, pressure, _ = atmosphere.at(heights)
    column = np.trapezoid(pressure / temperature, heights)

    def density(height_m):
        temperature, pressure, _ = atmosphere.at(np.clip(height_m, 0.0, heights[-1]))
        return pressure / temperature / column

    return density


def _density(share_above, height_m):
    low = np.clip(height_m, 0.0, TOP_M)
    return (share_above(low) - share_above(low + STEP_M)) / STEP_M


def topmost_piece(rows, sun_true_deg, step_arcsec=2.0):
    """XYZ [lx] and height [arcsec] of the topmost piece of the Sun, and its brightest point.

    Of the rows that show any of the disc, the highest unbroken run.
    """
    fine = np.arange(rows.apparent_deg[0], rows.apparent_deg[-1], step_arcsec / 3600.0)
    rise = np.stack([np.interp(fine, rows.apparent_deg, true) for true in rows.true_deg])
    share = np.stack([np.interp(fine, rows.apparent_deg, one) for one in rows.transmission])
    off = (rise - sun_true_deg) / RADIUS_DEG
    half_chord = np.sqrt(np.clip(1.0 - np.nan_to_num(off, nan=9.0) ** 2, 0.0, None))
    lamp = sunlight.centre_radiance(BANDS_NM)[:, None] * np.nan_to_num(share)
    piece = _highest_run(half_chord.max(axis=0) > 0.0)
    line = lamp * _across(half_chord) * np.radians(RADIUS_DEG) * piece
    middle = (
        lamp * sunlight.limb_darkening(half_chord, BANDS_NM[:, None]) * (half_chord > 0) * piece
    )
    to_xyz = 683.002 * np.gradient(BANDS_NM)[:, None] * colour_matching(BANDS_NM)
    light = line.sum(axis=1) * np.radians(step_arcsec / 3600.0) @ to_xyz
    return light, piece.sum() * step_arcsec, float((middle.T @ to_xyz[:, 1]).max())


def _across(half_chord):
    """Limb-darkened width of chords [radii], by 24 points across each."""
    points = (np.arange(24) + 0.5) / 24.0
    mu = half_chord[..., None] * np.sqrt(1.0 - points**2)
    dark = sunlight.limb_darkening(mu, BANDS_NM[:, None, None])
    return 2.0 * half_chord * dark.mean(axis=-1)


def _highest_run(lit):
    run = np.zeros(lit.size, dtype=bool)
    for row in range(lit.size - 1, -1, -1):
        if lit[row]:
            run[row] = True
        elif run.any():
            break
    return run
