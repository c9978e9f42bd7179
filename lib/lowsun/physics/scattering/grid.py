"""Where the tables have their nodes, and reading between them."""

import numpy as np

from lowsun.physics.scattering.shells import EARTH_RADIUS_M, TOP_M

WAVELENGTH_NM = np.arange(400.0, 701.0, 25.0)

# Heights of the direct light: close where haze dims a Sun on the horizon most.
LEVEL_M = np.concatenate(
    [
        [0.0, 50.0, 100.0, 175.0],
        np.arange(250.0, 2e3, 250.0),
        np.arange(2e3, 10e3, 500.0),
        np.arange(10e3, 30e3, 1e3),
        np.arange(30e3, 50e3, 2e3),
        np.arange(50e3, 82e3, 4e3),
        [TOP_M],
    ]
)

# The Sun's altitude counted from the point's own straight horizon [deg], because the shadow's edge
# stays there at all heights: 0.1 deg apart where the disc, refracted and dimmed, comes up.
SUN_ABOVE_HORIZON_DEG = np.concatenate(
    [
        np.arange(-2.0, 2.0, 0.1),
        np.arange(2.0, 6.0, 0.25),
        np.arange(6.0, 16.0, 1.0),
        np.arange(16.0, 40.0, 3.0),
        np.arange(40.0, 101.0, 10.0),
    ]
)

# Fewer nodes are enough for light that comes from all sides.
ORDER_LEVEL_M = np.concatenate(
    [
        np.arange(0.0, 2e3, 500.0),
        np.arange(2e3, 10e3, 1e3),
        np.arange(10e3, 30e3, 1.5e3),
        np.arange(31e3, 50e3, 3e3),
        np.arange(52e3, 82e3, 6e3),
        [TOP_M],
    ]
)
ZENITH_DISTANCE_DEG = np.concatenate(
    [
        np.arange(0.0, 60.0, 10.0),
        np.arange(60.0, 78.0, 3.0),
        np.arange(78.0, 86.0, 1.0),
        np.arange(86.0, 116.1, 0.5),
    ]
)


def straight_dip_deg(height_m):
    """How far the straight horizon of a point at height_m [m] lies below level [deg]."""
    return np.degrees(np.arccos(EARTH_RADIUS_M / (EARTH_RADIUS_M + np.asarray(height_m))))


def between(nodes, value):
    """Index of the node below each value, and the share of the way from it to the next."""
    place = np.interp(value, nodes, np.arange(nodes.size, dtype=float))
    below = np.minimum(place.astype(np.intp), nodes.size - 2)
    return below, place - below


def linear(table, row):
    """Rows of table (R, ...) read between its nodes; row from `between`."""
    below, rest = row
    rest = rest.reshape(rest.shape + (1,) * (table.ndim - 1)).astype(table.dtype)
    return table[below] + rest * (table[below + 1] - table[below])


def bilinear(table, row, column):
    """Cells of table (R, C, ...) read between its nodes; row and column from `between`."""
    (i, up), (j, on) = row, column
    up, on = up.astype(table.dtype), on.astype(table.dtype)
    flat = table.reshape(table.shape[0] * table.shape[1], -1)
    corner = i * table.shape[1] + j
    value = flat[corner] * ((1 - up) * (1 - on))[..., None]
    value += flat[corner + 1] * ((1 - up) * on)[..., None]
    corner = corner + table.shape[1]
    value += flat[corner] * (up * (1 - on))[..., None]
    value += flat[corner + 1] * (up * on)[..., None]
    return value.reshape(*corner.shape, *table.shape[2:])


def straight_matrix(nodes, value):
    """Matrix (V, N) that reads values given at the nodes by straight lines."""
    below, share = between(nodes, np.asarray(value))
    matrix = np.zeros((below.size, nodes.size))
    each = np.arange(below.size)
    matrix[each, below], matrix[each, below + 1] = 1.0 - share, share
    return matrix


def cubic_matrix(nodes, value):
    """Matrix (V, N) that reads values given at the nodes (N >= 4) through the four nearest."""
    first = np.clip(np.searchsorted(nodes, value) - 2, 0, nodes.size - 4)
    near = first[:, None] + np.arange(4)
    gap = np.asarray(value)[:, None] - nodes[near]
    apart = nodes[near][:, :, None] - nodes[near][:, None, :] + np.eye(4)
    others = np.where(np.eye(4, dtype=bool), 1.0, gap[:, None, :]).prod(axis=-1)
    matrix = np.zeros((near.shape[0], nodes.size))
    np.put_along_axis(matrix, near, others / apart.prod(axis=-1), axis=1)
    return matrix
