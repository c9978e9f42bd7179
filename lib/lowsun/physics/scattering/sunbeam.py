"""Direct sunlight at every height: bent, dimmed and cut off by the Earth."""

from dataclasses import dataclass

import numpy as np

from lowsun.kept import MB, kept
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    between,
    linear,
    straight_dip_deg,
)
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.shells import shells
from lowsun.physics.sunlight import ASTRONOMICAL_UNIT_M, SUN_RADIUS_M

SUN_RADIUS_DEG = np.degrees(SUN_RADIUS_M / ASTRONOMICAL_UNIT_M)
STRIPS = 15  # horizontal strips of the disc, each of its own altitude
PATH_NODES = 64
RAYS_DEG = np.concatenate(  # above the sea horizon: close where refraction and dimming change
    [np.arange(0.0, 4.0, 0.05), np.arange(4.0, 12.0, 0.25), np.arange(12.0, 101.0, 2.0)]
)


def sunbeam(air, depths):
    """Irradiance of a surface held square to the Sun, over that above the air, shaped (H, X, W).

    F(h, x) = sum over the disc's strips of w exp(-tau) da/da_true: refraction flattens the disc,
    which then sends less light. Heights LEVEL_M, Sun's true altitude above the straight horizon
    SUN_ABOVE_HORIZON_DEG. depths (3, W): vertical depth of molecules, ozone and haze.
    Leaves out limb darkening: it narrows the shadow's blurred edge by about 1'.
    """
    strips = _strips(air.atmosphere, air.refraction)
    return np.einsum("hxq,hxqw->hxw", strips.weight, np.exp(-strips.columns @ depths))


def level_sunbeam(air, depths):
    """Direct irradiance of a level surface at the sea, over that above the air, shaped (X, W)."""
    strips = _strips(air.atmosphere, air.refraction)
    level = strips.weight[0] * np.sin(np.radians(np.maximum(strips.seen_deg[0], 0.0)))
    return np.einsum("xq,xqw->xw", level, np.exp(-strips.columns[0] @ depths))


@dataclass(frozen=True, eq=False)
class _Strips:
    """Strips of the disc seen from every node, (H, X, Q); columns (H, X, Q, 3)."""

    weight: np.ndarray
    seen_deg: np.ndarray
    columns: np.ndarray


@kept(4 * MB)
def _strips(atmosphere, refraction):
    here = shells(atmosphere, refraction)
    offset, share = _disc()
    levels = [_from_level(here, height, offset) for height in LEVEL_M]  # all at once take 120 MB
    flattening, seen, columns = (np.stack(part) for part in zip(*levels, strict=True))
    return _Strips(flattening * share, seen, columns)


def _from_level(here, height_m, offset_deg):
    """`_seen` of the disc's strips under every Sun from one level."""
    seen = np.minimum(horizon_altitude_deg(here, height_m) + RAYS_DEG, 90.0)
    rays = paths(here, height_m, seen, PATH_NODES)
    centre = SUN_ABOVE_HORIZON_DEG - straight_dip_deg(height_m)
    strip = np.minimum(centre[:, None] + offset_deg, 90.0)
    return _seen(strip, seen - rays.bending_deg, seen, rays.columns[:, -1])


def _seen(strip_deg, true_deg, seen_deg, columns):
    """da/da_true (0 where it has set), apparent altitude and columns of strips of the disc."""
    rising = np.concatenate([[True], np.diff(true_deg) > 0.0])  # the zenith may stand twice
    true, seen = true_deg[rising], seen_deg[rising]
    place = between(true, strip_deg)
    slope = np.where(strip_deg >= true[0], linear(np.gradient(seen, true), place), 0.0)
    return slope, linear(seen, place), linear(columns[rising], place)


def _disc():
    """Offsets of the strips from the disc's centre [deg] and their share of its light."""
    edges = np.linspace(-1.0, 1.0, STRIPS + 1)
    area = (edges * np.sqrt(1.0 - edges**2) + np.arcsin(edges)) / np.pi
    return SUN_RADIUS_DEG * (edges[1:] + edges[:-1]) / 2.0, np.diff(area)
