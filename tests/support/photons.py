"""Backward Monte Carlo in a spherical atmosphere, to hold the kit's sky against.

Photons run from the eye to the Sun along straight lines, many at once. It shares nothing with the
kit's own solution but the depths, the profiles and the phase functions: no shells, no tables, no
moments. Each photon is forced to scatter inside the air, sends a share of its weight to a random
point of the Sun's disc at every scattering, and chooses half of its new directions towards the
glow over the Sun, with the weight that makes up for the choice. Polarisation is left out.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.physics.extinction import (
    ozone_depth,
    ozone_share_above,
    rayleigh_depth,
)
from lowsun.physics.scattering.optics import haze_phase

EARTH_M, TOP_M, BIN_M, STEPS = 6_371_000.0, 85_000.0, 10.0, 160
SUN_RADIUS_RAD = 695_700e3 / 149_597_870_700.0
GLOW_ASYMMETRY = 0.6
COSINES = np.cos(np.radians(np.concatenate([[0.0], np.geomspace(0.01, 180.0, 4000)])))


class TableHaze:
    """Haze that scatters by any phase function of the cosine, one over the sphere."""

    @classmethod
    def of(cls, haze, wavelength_nm):
        """That of an `extinction.Haze` at one wavelength."""
        nm = np.array([wavelength_nm])
        return cls(lambda cosine: haze_phase(haze, cosine, nm)[..., 0])

    def __init__(self, phase):
        self.phase = phase
        density = phase(COSINES)
        steps = (density[1:] + density[:-1]) / 2.0 * -np.diff(COSINES)
        self._share = np.concatenate([[0.0], np.cumsum(steps)])
        self._share /= self._share[-1]

    def cosine(self, rng, count):
        return np.interp(rng.uniform(size=count), self._share, COSINES)


@dataclass(frozen=True)
class Column:
    """Scattering by molecules and by haze, and extinction [1/m], in bins of height."""

    molecules: np.ndarray
    haze: np.ndarray
    extinction: np.ndarray
    kind: object

    @classmethod
    def of(cls, air, wavelength_nm):
        edges = np.arange(0.0, TOP_M + BIN_M, BIN_M)
        middle = (edges[1:] + edges[:-1]) / 2.0
        temperature, pressure, _ = air.atmosphere.at(middle)
        share = pressure / temperature / np.sum(pressure / temperature)
        molecules = rayleigh_depth(wavelength_nm, air.atmosphere.pressure_pa[0]) * share / BIN_M
        ozone = ozone_depth(wavelength_nm, air.ozone_du) * -np.diff(ozone_share_above(edges))
        haze = (
            air.haze.depth(wavelength_nm) * -np.diff(air.atmosphere.haze_share_above(edges)) / BIN_M
        )
        kind = TableHaze.of(air.haze, wavelength_nm)
        return cls(molecules, air.haze.albedo * haze, molecules + ozone / BIN_M + haze, kind)

    def bin_at(self, radius_m):
        height = np.clip((radius_m - EARTH_M) / BIN_M, 0, self.extinction.size - 1)
        return height.astype(np.int32)


@dataclass
class Photons:
    """Place, direction and Sun of each photon (N, 3) and its weight (N,)."""

    place: np.ndarray
    way: np.ndarray
    sun: np.ndarray
    weight: np.ndarray


def radiance_over_sun(air, wavelength_nm, eye_m, views, photons, orders, rng):
    """Radiance over the Sun's irradiance [1/sr] of each view and its standard error.

    views: rows of Sun's altitude, view's altitude, view's azimuth from the Sun [deg].
    """
    column = Column.of(air, wavelength_nm)
    cloud = _launch(views, photons, eye_m)
    total = np.zeros(cloud.weight.size)
    strata = np.tile(np.arange(photons), len(views))
    for order in range(orders):
        spread = rng.uniform(size=total.size)
        # The first scatterings are spread evenly along the line of sight.
        share = (strata + spread) / photons if order == 0 else spread
        on_sea = _travel(cloud, column, share, rng)
        total += _towards_sun(cloud, column, on_sea, air.sea_albedo, rng)
        _scatter(cloud, column, on_sea, air.sea_albedo, rng)
    by_view = total.reshape(len(views), photons)
    return by_view.mean(axis=1), by_view.std(axis=1, ddof=1) / np.sqrt(photons)


def _launch(views, photons, eye_m):
    sun, altitude, azimuth = np.radians(np.asarray(views, dtype=float)).T
    flat = np.cos(altitude)
    way = np.stack([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(altitude)], axis=1)
    sun = np.stack([np.cos(sun), np.zeros_like(sun), np.sin(sun)], axis=1)
    place = np.tile([0.0, 0.0, EARTH_M + eye_m], (len(views) * photons, 1))
    ones = np.ones(len(place))
    return Photons(place, np.repeat(way, photons, axis=0), np.repeat(sun, photons, axis=0), ones)


def _dot(one, other):
    return np.einsum("ij,ij->i", one, other)


def _length(vector):
    return np.sqrt(_dot(vector, vector))


def _ends(place, way):
    """Distance to the sea or to space, and whether it is the sea."""
    along, square = _dot(place, way), _dot(place, place)
    to_sea = along**2 - square + EARTH_M**2
    sea = (along < 0.0) & (to_sea > 0.0)
    to_space = -along + np.sqrt(along**2 - square + (EARTH_M + TOP_M) ** 2)
    return np.where(sea, np.maximum(-along - np.sqrt(np.maximum(to_sea, 0.0)), 0.0), to_space), sea


def _depths(column, place, way, distance):
    """Optical depth of each of the equal steps of the way, (N, STEPS)."""
    step = distance[:, None] / STEPS
    along, square = _dot(place, way)[:, None], _dot(place, place)[:, None]
    gone = (np.arange(STEPS) + 0.5) * step
    return column.extinction[column.bin_at(np.sqrt(square + gone * (2.0 * along + gone)))] * step


def _travel(cloud, column, share, rng):
    """Move each photon to its next scattering; True where that is the sea."""
    distance, sea = _ends(cloud.place, cloud.way)
    depth = _depths(column, cloud.place, cloud.way, distance)
    running = np.cumsum(depth, axis=1)
    escape = np.exp(-running[:, -1])
    on_sea = sea & (rng.uniform(size=share.size) < escape)
    cloud.weight = np.where(sea, cloud.weight, cloud.weight * (1.0 - escape))
    target = -np.log1p(-share * (1.0 - escape))[:, None]
    step = np.minimum((running < target).sum(axis=1), STEPS - 1)[:, None]
    in_step = np.take_along_axis(depth, step, axis=1)
    before = np.take_along_axis(running, step, axis=1) - in_step
    gone = (step + np.clip((target - before) / in_step, 0.0, 1.0))[:, 0] / STEPS
    cloud.place = cloud.place + (distance * np.where(on_sea, 1.0, gone))[:, None] * cloud.way
    raised = cloud.place / _length(cloud.place)[:, None] * (EARTH_M + 0.01)
    cloud.place = np.where(on_sea[:, None], raised, cloud.place)
    return on_sea


def _towards_sun(cloud, column, on_sea, albedo, rng):
    cosine = 1.0 - rng.uniform(size=on_sea.size) * (1.0 - np.cos(SUN_RADIUS_RAD))
    to_sun = _turned(cloud.sun, cosine, rng)
    distance, blocked = _ends(cloud.place, to_sun)
    light = np.exp(-_depths(column, cloud.place, to_sun, distance).sum(axis=1)) * ~blocked
    up = _dot(cloud.place, to_sun) / _length(cloud.place)
    molecules, haze, extinction = _mixture(cloud, column)
    phase = _phase(column, molecules / extinction, haze / extinction, _dot(cloud.way, to_sun))
    return cloud.weight * light * np.where(on_sea, albedo / np.pi * np.maximum(up, 0.0), phase)


def _scatter(cloud, column, on_sea, albedo, rng):
    molecules, haze, extinction = _mixture(cloud, column)
    scattering = molecules + haze
    by_molecules = rng.uniform(size=on_sea.size) * scattering < molecules
    cosine = np.where(
        by_molecules, _rayleigh_cosine(rng, on_sea.size), column.kind.cosine(rng, on_sea.size)
    )
    glow = _glow(cloud)
    towards_glow = rng.uniform(size=on_sea.size) < 0.5
    glowing = _turned(glow, _henyey_cosine(rng, on_sea.size, GLOW_ASYMMETRY), rng)
    new = np.where(towards_glow[:, None], glowing, _turned(cloud.way, cosine, rng))
    true = _phase(column, molecules / scattering, haze / scattering, _dot(cloud.way, new))
    chosen = (true + _henyey(_dot(glow, new), GLOW_ASYMMETRY)) / 2.0
    matt = _turned(
        cloud.place / _length(cloud.place)[:, None], np.sqrt(rng.uniform(size=on_sea.size)), rng
    )
    cloud.weight = cloud.weight * np.where(on_sea, albedo, scattering / extinction * true / chosen)
    cloud.way = np.where(on_sea[:, None], matt, new)


def _mixture(cloud, column):
    here = column.bin_at(_length(cloud.place))
    return column.molecules[here], column.haze[here], column.extinction[here]


def _glow(cloud):
    """A little above the horizon on the Sun's side."""
    up = cloud.place / _length(cloud.place)[:, None]
    level = cloud.sun - _dot(cloud.sun, up)[:, None] * up
    direction = level / _length(level)[:, None] + 0.2 * up
    return direction / _length(direction)[:, None]


def _henyey(cosine, g):
    return (1.0 - g**2) / (4.0 * np.pi) / (1.0 + g**2 - 2.0 * g * cosine) ** 1.5


def _phase(column, molecules, haze, cosine):
    rayleigh = 3.0 / (16.0 * np.pi) * (1.0 + cosine**2)
    return molecules * rayleigh + haze * column.kind.phase(np.clip(cosine, -1.0, 1.0))


def _rayleigh_cosine(rng, count):
    """Root of c^3 + 3 c = 4 (2 u - 1): the integral of Rayleigh's phase function (Cardano)."""
    half = 4.0 * rng.uniform(size=count) - 2.0
    root = np.cbrt(half + np.sqrt(half**2 + 1.0))
    return root - 1.0 / root


def _henyey_cosine(rng, count, g):
    ratio = (1.0 - g**2) / (1.0 - g + 2.0 * g * rng.uniform(size=count))
    return (1.0 + g**2 - ratio**2) / (2.0 * g)


def _turned(way, cosine, rng):
    """Directions at an angle of that cosine from each way, at random about it."""
    aside = np.where(np.abs(way[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    first = np.cross(way, aside)
    first /= _length(first)[:, None]
    second = np.cross(way, first)
    around = rng.uniform(0.0, 2.0 * np.pi, size=cosine.size)
    flat = np.sqrt(np.maximum(1.0 - cosine**2, 0.0))
    level = np.cos(around)[:, None] * first + np.sin(around)[:, None] * second
    new = cosine[:, None] * way + flat[:, None] * level
    return new / _length(new)[:, None]
