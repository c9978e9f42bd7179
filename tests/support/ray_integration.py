"""Rays followed step by step: an integration that shares no method with the kit's tracer.

The ray equation in polar coordinates,

    dh/ds = sin a      da/ds = cos a (1/r + d ln n/dr)      dR/ds = -cos a d ln n/dr

(a: altitude over the local horizontal, R: refraction), is integrated with the classical
fourth-order Runge-Kutta rule. The air is cut into thin cells; in each, ln n is the cubic through
four of its values. A step never leaves its cell: one that would is shortened until it lands on the
cell's edge, so that kinks of the temperature profile cost no accuracy. All rays step at once.
"""

import numpy as np

from lowsun.physics import air

EARTH_RADIUS_M = 6_371_000.0
SPACE, SEA, TRAPPED = 0, 1, 2
STEP_SHARE = 0.7  # of a cell's thickness
SPREAD = 0.3  # of the length over which neighbouring level rays part by a factor e


def cells(atmosphere, wavelength_nm):
    """Edges (M,) [m] and cubic coefficients (M-1, 4) of ln n over each cell."""
    edges = _edges(atmosphere.height_m)
    position = np.linspace(0.0, 1.0, 4)
    heights = edges[:-1, None] + np.diff(edges)[:, None] * position
    temperature, pressure, humidity = atmosphere.at(np.minimum(heights, edges[-1]))
    log_n = np.log1p(air.refractivity(wavelength_nm, temperature, pressure, humidity))
    return edges, log_n @ np.linalg.inv(np.vander(position, increasing=True)).T


def follow(atmosphere, eye_height_m, apparent_altitude_deg, wavelength_nm=570.0):
    """Refraction [arcsec], NaN where lost, and fate of rays from eyes (A,) at altitudes (A,).

    Converged to 0.001" in smooth air and near the limits of a duct (a third of the steps gives it).
    """
    return follow_through(atmosphere, eye_height_m, apparent_altitude_deg, wavelength_nm, ())[:2]


def follow_through(atmosphere, eye_height_m, apparent_altitude_deg, wavelength_nm, densities):
    """The same, and besides what is crossed on the way, (K, A), NaN where lost.

    apparent_altitude_deg and wavelength_nm broadcast to (A,); densities: K functions of height
    [m, (A,)]; dX/ds = density.
    """
    altitude, wavelength = np.broadcast_arrays(
        np.radians(np.asarray(apparent_altitude_deg, dtype=float)), wavelength_nm
    )
    bands, band = np.unique(wavelength, return_inverse=True)
    air_cells = [cells(atmosphere, nm) for nm in bands]
    edges, cubic = air_cells[0][0], np.stack([one[1] for one in air_cells])
    eye = np.broadcast_to(eye_height_m, altitude.shape)
    state = np.stack([eye, altitude, *np.zeros((1 + len(densities), altitude.size))])
    cell = _cell_at(edges, state)
    crossed = np.full((1 + len(densities), altitude.size), np.nan)
    fate = np.full(altitude.size, TRAPPED)
    turns, index = np.zeros(altitude.size, dtype=int), np.arange(altitude.size)
    while index.size:
        ended = (cell < 0) | (cell >= edges.size - 1) | (turns > 2)
        done = index[ended]
        # A ray that has turned at the bottom and at the top of a layer does so for ever.
        fate[done] = np.where(turns[ended] > 2, TRAPPED, np.where(cell[ended] < 0, SEA, SPACE))
        last = state[2:, ended]
        last[0] += _into_space(cubic[band[done], -1].sum(axis=-1), state[1, ended])
        crossed[:, done] = np.where(fate[done] == SPACE, last, np.nan)
        state, cell, turns, index = state[:, ~ended], cell[~ended], turns[~ended], index[~ended]
        rising = state[1] > 0.0
        state, cell = _advance(edges, cubic[band[index], cell], state, cell, densities)
        turns += rising != (state[1] > 0.0)
    return 3600.0 * np.degrees(crossed[0]), fate, crossed[1:]


def _into_space(log_n, altitude):
    """Snell's law where the air given ends, n being still a little over 1."""
    return log_n / np.tan(altitude)


def _edges(given_m):
    thickest = np.clip(0.01 * given_m[1:], 25.0, 500.0)
    pieces = [
        np.linspace(low, high, 1 + max(1, int(np.ceil((high - low) / thick))))[:-1]
        for low, high, thick in zip(given_m[:-1], given_m[1:], thickest, strict=True)
    ]
    return np.append(np.concatenate(pieces), given_m[-1])


def _cell_at(edges, state):
    above = np.searchsorted(edges, state[0], side="right") - 1
    below = np.searchsorted(edges, state[0], side="left") - 1
    return np.where(state[1] < 0.0, below, above)


def _advance(edges, cubic, state, cell, densities):
    """One step within each ray's cell, and the cell of the next."""
    low, thick, coefficients = edges[cell], edges[cell + 1] - edges[cell], cubic.T
    bend = coefficients[1:] * np.array([[1.0], [2.0], [3.0]]) / thick

    def slope(at):
        u = (at[0] - low) / thick
        gradient = bend[0] + u * (bend[1] + u * bend[2])
        cosine = np.cos(at[1])
        return np.stack(
            [
                np.sin(at[1]),
                cosine * (1.0 / (EARTH_RADIUS_M + at[0]) + gradient),
                -cosine * gradient,
                *(density(at[0]) for density in densities),
            ]
        )

    first = slope(state)
    spread = np.sqrt(np.abs(bend[1] + 2.0 * bend[2] * (state[0] - low) / thick) / thick)
    step = np.minimum(_step_length(thick, state[1], first), SPREAD / np.maximum(spread, 1e-9))
    after = _runge_kutta(slope, state, first, step)
    step, landed = _to_edge(slope, state, first, step, after, low, thick)
    # The height is left as it is, a hair off the edge: to correct it would turn a level ray.
    return np.where(landed == 0, after, _runge_kutta(slope, state, first, step)), cell + landed


def _step_length(thick, altitude, slope):
    """Length over which the height changes by a share of the cell, straight or by curving.

    No step passes a turning point by more than a metre, so that height changes one way in a step.
    """
    reach = STEP_SHARE * thick
    turning = np.maximum(np.abs(slope[1]), 0.1 / EARTH_RADIUS_M)
    steep = reach / np.maximum(np.abs(slope[0]), 1e-12)
    to_turn = np.where(altitude * slope[1] < 0.0, np.abs(altitude) / turning + 1.0, np.inf)
    return np.minimum(np.minimum(steep, to_turn), np.sqrt(2.0 * reach / turning))


def _runge_kutta(slope, state, first, step):
    second = slope(state + 0.5 * step * first)
    third = slope(state + 0.5 * step * second)
    fourth = slope(state + step * third)
    return state + step / 6.0 * (first + 2.0 * (second + third) + fourth)


def _to_edge(slope, state, first, step, after, low, thick):
    """Steps that end on the edge a full step would pass, and which edge: -1, 0, 1."""
    risen = after[0] > state[0]
    landed = (risen & (after[0] > low + thick)).astype(int) - (~risen & (after[0] < low))
    edge = np.where(landed > 0, low + thick, low)
    wanted = np.where(landed == 0, step, _parabolic(state, first, edge, step))
    for _ in range(4):  # Newton's steps from there, none of them beyond the whole step
        at = _runge_kutta(slope, state, first, wanted)
        short_m = np.where(landed == 0, 0.0, edge - at[0])
        sine = np.where(np.abs(at[1]) > 1e-9, np.sin(at[1]), np.inf)
        wanted = np.clip(wanted + short_m / sine, 0.0, step)
    return wanted, landed


def _parabolic(state, first, edge, step):
    """Length to the edge of a path of constant curvature."""
    rise, speed, curving = edge - state[0], first[0], np.cos(state[1]) * first[1]
    root = np.sqrt(np.maximum(speed**2 + 2.0 * curving * rise, 0.0))
    mean_speed = 0.5 * (speed + np.copysign(root, rise))
    length = np.divide(rise, mean_speed, out=step.copy(), where=mean_speed != 0.0)
    return np.clip(length, 0.0, step)
