"""Lines of sight through the shells: where they lead and how much they cross."""

from dataclasses import dataclass

import numpy as np

from lowsun.physics.scattering.shells import EARTH_RADIUS_M

CLOSENESS = 50.0  # nodes lie evenly within a fiftieth of the path from its lowest point


@dataclass(frozen=True, eq=False)
class Paths:
    """Rays from points in the air, nodes along them in the last axis, shaped (..., S).

    height_m [m]; turn_deg: angle at the Earth's centre from the start [deg]; sine: of the ray's
    altitude at the node; step_m [m]: length each node stands for; species_per_m (..., S, 3)
    [1/m] as in `Shells`; columns (..., S, 3): what lies between the start and the node, in whole
    vertical columns; bending_deg (...): of the whole ray [deg]; meets_sea (...): whether the ray
    ends at the sea and not in space.
    """

    height_m: np.ndarray
    turn_deg: np.ndarray
    sine: np.ndarray
    step_m: np.ndarray
    species_per_m: np.ndarray
    columns: np.ndarray
    bending_deg: np.ndarray
    meets_sea: np.ndarray


def paths(shells, height_m, altitude_deg, nodes):
    """The rays that leave height_m [m] at apparent altitude_deg [deg], to space or to the sea.

    height_m and altitude_deg broadcast to the rays' shape (...); nodes: how many on each ray.
    """
    lowest, along, meets_sea = _nodes(shells, height_m, altitude_deg, nodes)
    rho = np.hypot(lowest, along)
    radius, stretch, bending, species = shells.at(rho)
    step = _trapezoid_weights(along)
    crossed = _running(np.moveaxis(species, -1, 0) * stretch, along)
    return Paths(
        height_m=radius - EARTH_RADIUS_M,
        turn_deg=np.degrees(_running(lowest / rho * stretch / radius, along)),
        sine=along / rho,
        step_m=stretch * step,
        species_per_m=species,
        columns=np.ascontiguousarray(np.moveaxis(crossed, 0, -1)),
        bending_deg=np.degrees(np.sum(bending * lowest / rho * step, axis=-1)),
        meets_sea=meets_sea,
    )


def horizon_altitude_deg(shells, height_m):
    """Apparent altitude of the sea horizon [deg] seen from height_m [m]."""
    cosine = shells.rho_m[0] / shells.rho_at(height_m)
    return -np.degrees(np.arccos(np.minimum(cosine, 1.0)))


def _nodes(shells, height_m, altitude_deg, nodes):
    rho, altitude = shells.rho_at(height_m), np.radians(altitude_deg)
    lowest, start = rho * np.cos(altitude), rho * np.sin(altitude)
    # A ray along the horizon itself only touches the sea; rounding must not sink it.
    meets_sea = (start < 0.0) & (lowest < shells.rho_m[0] * (1.0 - 1e-12))
    to_sea = -np.sqrt(np.maximum(shells.rho_m[0] ** 2 - lowest**2, 0.0))
    to_space = np.sqrt(np.maximum(shells.rho_m[-1] ** 2 - lowest**2, 0.0))
    end = np.where(meets_sea, np.maximum(to_sea, start), to_space)
    return lowest[..., None], _spread(start, end, nodes), meets_sea


def _spread(start, end, nodes):
    """Nodes from start to end, dense about the lowest point, where the air is dense."""
    centre = np.clip(0.0, start, end)
    scale = np.maximum((end - start) / CLOSENESS, 1e-3)
    first, last = np.arcsinh((start - centre) / scale), np.arcsinh((end - centre) / scale)
    spread = first[..., None] + (last - first)[..., None] * np.linspace(0.0, 1.0, nodes)
    return centre[..., None] + scale[..., None] * np.sinh(spread)


def _trapezoid_weights(along):
    gaps = np.diff(along) / 2.0
    weights = np.zeros_like(along)
    weights[..., 1:] += gaps
    weights[..., :-1] += gaps
    return weights


def _running(density, along):
    """Running trapezoid integral along the last axis, zero at the start."""
    total = np.zeros(density.shape)
    means = (density[..., 1:] + density[..., :-1]) / 2.0
    np.cumsum(means * np.diff(along), axis=-1, out=total[..., 1:])
    return total
