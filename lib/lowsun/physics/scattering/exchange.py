"""Which share of the light sent from each level and turn comes to each level."""

from dataclasses import dataclass

import numpy as np

from lowsun.physics.scattering.grid import ORDER_LEVEL_M, between
from lowsun.physics.scattering.moments import MOMENTS, ORDER, profile
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.shells import shells

SKY_RAYS, SEA_RAYS, PATH_NODES = 12, 6, 40
TURN_DEG = 20.0 * np.linspace(0.0, 1.0, 28) ** 2  # longest line of sight in the air: 18.7 deg
LEVELS, TURNS = ORDER_LEVEL_M.size, TURN_DEG.size
ROWS = LEVELS + 1  # the last row is the sea, which sends by itself
RECEIVED = MOMENTS + 1  # the last is irradiance / pi, at the sea alone


def exchange(nodes, depths):
    """What levels receive of what rows and turns send, for each order m of azimuth.

    nodes: from `geometry`; depths (3, W). Returns three arrays (W, received x L,
    sent x rows x turns), m = 0, 1, 2; the first ends with the irradiance.
    """
    wavelengths = depths.shape[1]
    received = [[*np.flatnonzero(m == ORDER), *([MOMENTS] if m == 0 else [])] for m in range(3)]
    tables = [
        np.zeros((wavelengths, len(kinds), LEVELS, MOMENTS, ROWS * TURNS), dtype=np.float32)
        for kinds in received
    ]
    for i, level in enumerate(nodes):
        through = np.exp(-level.columns @ depths.astype(np.float32))
        cells = np.add.reduceat(through[:, :, None, None] * level.weight[:, None], level.starts)
        for table, kinds in zip(tables, received, strict=True):
            table[:, :, i, :, level.cells] = cells[:, :, kinds]
    return [table.reshape(wavelengths, -1, MOMENTS * ROWS * TURNS) for table in tables]


@dataclass(frozen=True, eq=False)
class _Nodes:
    """Nodes (N,) on all rays to one level, sorted by cell, a cell being a row and a turn.

    columns (N, 3) between node and level; weight (N, received, sent); cells (C,) that hold nodes;
    starts (C,): the first node of each.
    """

    columns: np.ndarray
    weight: np.ndarray
    cells: np.ndarray
    starts: np.ndarray


def geometry(atmosphere, refraction):
    """The nodes of all rays to each level: what a solution needs and haze and ozone leave alone.

    Not kept: they take 21 MB, and tracing them a thirtieth of the work of a solution.
    """
    here = shells(atmosphere, refraction)
    return [_nodes(here, height) for height in ORDER_LEVEL_M]


def _nodes(here, height_m):
    altitude, share = _directions(horizon_altitude_deg(here, height_m), height_m)
    rays = paths(here, height_m, altitude, PATH_NODES)
    received = _received(altitude, share, height_m)
    parts = [*_air_nodes(rays, received), *_sea_nodes(rays, received)]
    cell, weight, columns = (np.concatenate(part) for part in zip(*parts, strict=True))
    order = np.argsort(cell, kind="stable")
    cells, starts = np.unique(cell[order], return_index=True)
    return _Nodes(
        columns[order].astype(np.float32), weight[order].astype(np.float32), cells, starts
    )


def _directions(horizon_deg, height_m):
    """Altitudes [deg] all round a point and their share of all directions.

    Squares put them close together at the horizon, where the light changes fastest.
    """
    up, width_up = _squares(SKY_RAYS, horizon_deg, 90.0)
    if height_m == 0.0:
        return up, width_up * np.cos(np.radians(up)) / 2.0
    down, width_down = _squares(SEA_RAYS, horizon_deg, -90.0)
    altitude = np.concatenate([up, down])
    return altitude, np.concatenate([width_up, width_down]) * np.cos(np.radians(altitude)) / 2.0


def _squares(count, start_deg, end_deg):
    node, share = np.polynomial.legendre.leggauss(count)
    u, reach = (node + 1.0) / 2.0, end_deg - start_deg
    return start_deg + reach * u**2, np.radians(abs(reach)) * u * share


def _received(altitude_deg, share, height_m):
    sine = np.sin(np.radians(altitude_deg))
    irradiance = 4.0 * share * np.maximum(sine, 0.0) * (height_m == 0.0)
    return np.column_stack([share[:, None] * profile(sine), irradiance])


def _air_nodes(rays, received):
    sent = profile(rays.sine) * rays.step_m[..., None]
    weight = received[:, None, :, None] * sent[:, :, None, :]
    level, up = between(ORDER_LEVEL_M, rays.height_m)
    turn, on = between(TURN_DEG, rays.turn_deg)
    for i, at_level in ((0, 1.0 - up), (1, up)):
        for j, at_turn in ((0, 1.0 - on), (1, on)):
            share = (at_level * at_turn)[..., None, None]
            cell = (level + i) * TURNS + turn + j
            yield cell.ravel(), (weight * share).reshape(-1, RECEIVED, MOMENTS), _flat(rays.columns)


def _sea_nodes(rays, received):
    weight = (received * rays.meets_sea[:, None])[:, :, None] * (np.arange(MOMENTS) == 0)
    turn, on = between(TURN_DEG, rays.turn_deg[:, -1])
    for j, at_turn in ((0, 1.0 - on), (1, on)):
        yield LEVELS * TURNS + turn + j, weight * at_turn[:, None, None], rays.columns[:, -1]


def _flat(columns):
    return columns.reshape(-1, columns.shape[-1])
