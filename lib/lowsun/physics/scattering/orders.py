"""Light scattered more than once: its moments at every height, by successive orders.

What comes to a point along a ray was sent out at the ray's nodes, each at some level and some turn
about the Earth's centre away. The air is the same all round the Earth, so a turn changes only the
Sun's zenith distance, and the mean over azimuths is one matrix for each turn. One order of
scattering is then two products of matrices.
"""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from threadpoolctl import threadpool_limits

from lowsun.physics.scattering import optics
from lowsun.physics.scattering.exchange import LEVELS, ROWS, TURN_DEG, exchange, geometry
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    ORDER_LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    ZENITH_DISTANCE_DEG,
    between,
    bilinear,
    linear,
    straight_dip_deg,
)
from lowsun.physics.scattering.moments import DEGREE, MOMENTS, ORDER, basis
from lowsun.physics.scattering.shells import shells

AZIMUTHS = 32
CORES = 2
SETTLED = 1e-3  # an order that adds a smaller share of the sum so far is the last
MOST_ORDERS = 60  # never reached: each order of clear air is less than half the one before
ZENITHS, TURNS = ZENITH_DISTANCE_DEG.size, TURN_DEG.size


def successive_orders(air, beam, level_beam, depths):
    """Moments of the light scattered at least once, and its irradiance of the sea.

    beam (H, X, W) and level_beam (X, W) from `sunbeam`; depths (3, W) from `optics`.
    Returns moments (L, Z, W, M) [1/sr] at ORDER_LEVEL_M and ZENITH_DISTANCE_DEG, and irradiance
    (Z, W) [1], over the Sun's irradiance above the air. I_n = K I_(n-1), I_0 the beam's own
    moments, until an order adds less than 0.1 %; phase functions to their second degree.
    """
    bands = [slice(band, band + 1) for band in range(depths.shape[1])]
    nodes, means = geometry(air.atmosphere, air.refraction), _azimuth_means()
    jobs = [(air, nodes, means, beam[..., w], level_beam[:, w], depths[:, w]) for w in bands]
    # A thread for each wavelength, two at a time: more at once only take more memory. Threads
    # inside a matrix product wait for each other at every step: on a machine with other work that
    # costs ten times the whole solution.
    with threadpool_limits(1), ThreadPoolExecutor(CORES) as pool:
        solved = list(pool.map(_band, *zip(*jobs, strict=True)))
    moments, irradiance = zip(*solved, strict=True)
    return np.concatenate(moments, axis=2), np.concatenate(irradiance, axis=1)


def _band(air, nodes, means, beam, level_beam, depths):
    """`successive_orders` for one wavelength, or several."""
    tables = exchange(nodes, optics.soft_depths(depths, air.haze))
    once = _sending(air, optics.by_degree(depths, air.haze, 0.0))
    again = _sending(air, optics.by_degree(depths, air.haze, optics.HAZE_STRAIGHT_ON))
    sea = air.sea_albedo / np.pi * _level_beam_at_zeniths(level_beam)
    moments, arrived = _next_order(tables, means, once * _beam_moments(beam), sea)
    total, irradiance = moments.copy(), arrived.copy()
    for _ in range(MOST_ORDERS):
        moments, arrived = _next_order(tables, means, again * moments, air.sea_albedo * arrived)
        total += moments
        irradiance += arrived
        if np.all(_peak(moments) <= SETTLED * _peak(total)):
            break
    return total.transpose(2, 3, 0, 1), np.pi * irradiance.T


def turned(zenith_distance_deg, turn_deg, cos_azimuth):
    """Sun's zenith distance [deg] and cosine of azimuth, after going a turn along an azimuth.

    cos_azimuth: of the direction of travel, counted from the Sun, at the start and at the end.
    """
    z, turn = np.radians(zenith_distance_deg), np.radians(turn_deg)
    up, ahead = np.cos(z), np.sin(z) * cos_azimuth
    up_there = np.clip(up * np.cos(turn) + ahead * np.sin(turn), -1.0, 1.0)
    ahead_there = ahead * np.cos(turn) - up * np.sin(turn)
    # With the Sun in the zenith no azimuth is meant; a small number keeps the division defined.
    flat = np.sqrt(np.maximum(1.0 - up_there**2, 1e-12))
    return np.degrees(np.arccos(up_there)), np.clip(ahead_there / flat, -1.0, 1.0)


def _azimuth_means():
    """Means over azimuths of cos(m here) cos(n there): (3, 3, Z there, turns x Z here).

    Not kept: they take 7 MB, and a hundredth of the work of a solution.
    """
    here = (np.arange(AZIMUTHS) + 0.5) * np.pi / AZIMUTHS
    z, cos_there = turned(ZENITH_DISTANCE_DEG[:, None], TURN_DEG[:, None, None], np.cos(here))
    below, rest = between(ZENITH_DISTANCE_DEG, z)
    lit = z <= ZENITH_DISTANCE_DEG[-1]
    columns = TURNS * ZENITHS
    column = np.broadcast_to(np.arange(columns).reshape(TURNS, ZENITHS, 1), z.shape)
    cells = (np.stack([below, below + 1]) * columns + column).ravel()
    shares = np.stack([1.0 - rest, rest]) * lit / AZIMUTHS
    means = np.empty((3, 3, ZENITHS, columns), dtype=np.float32)
    for m, n in np.ndindex(3, 3):
        wave = np.cos(m * here) * np.cos(n * np.arccos(cos_there))
        sums = np.bincount(cells, (shares * wave).ravel(), ZENITHS * columns)
        means[m, n] = sums.reshape(ZENITHS, columns)
    return means


def _next_order(tables, means, sent, sea):
    """Moments (W, M, L, Z) and irradiance / pi (W, Z) out of what the air and the sea send."""
    source = np.zeros((len(sent), MOMENTS, ROWS, ZENITHS), dtype=np.float32)
    source[:, :, :LEVELS] = sent
    source[:, 0, LEVELS] = sea
    arrived = np.empty_like(source[:, :, :LEVELS])
    for m, table in enumerate(tables):
        rows = table @ _from_all_azimuths(source, means[m]).reshape(len(sent), -1, ZENITHS)
        rows = rows.reshape(len(sent), -1, LEVELS, ZENITHS)
        arrived[:, m == ORDER] = rows[:, : np.count_nonzero(m == ORDER)]
        if m == 0:
            irradiance = rows[:, -1, 0]
    return arrived, irradiance


def _from_all_azimuths(source, means):
    seen = np.empty((len(source), MOMENTS, ROWS, TURNS * ZENITHS), dtype=np.float32)
    for n in range(3):
        seen[:, n == ORDER] = source[:, n == ORDER] @ means[n]
    return seen


def _sending(air, by_degree):
    """What a metre of air sends of each moment, (W, M, L, 1) [1/m]."""
    here = shells(air.atmosphere, air.refraction)
    *_, species = here.at(here.rho_at(ORDER_LEVEL_M))
    by_level = np.einsum("ls,dsw->wdl", species, by_degree)
    return by_level[:, DEGREE, :, None].astype(np.float32)


def _beam_moments(beam):
    above = 90.0 - ZENITH_DISTANCE_DEG + straight_dip_deg(ORDER_LEVEL_M)[:, None]
    level = between(LEVEL_M, np.broadcast_to(ORDER_LEVEL_M[:, None], above.shape))
    lit = bilinear(beam, level, between(SUN_ABOVE_HORIZON_DEG, above))
    cosine = np.cos(np.radians(ZENITH_DISTANCE_DEG))
    sun = basis(cosine, np.ones_like(cosine)) / (4.0 * np.pi)
    return np.einsum("lzw,zm->wmlz", lit, sun).astype(np.float32)


def _level_beam_at_zeniths(level_beam):
    return linear(level_beam, between(SUN_ABOVE_HORIZON_DEG, 90.0 - ZENITH_DISTANCE_DEG)).T


def _peak(moments):
    """Greatest mean intensity of each wavelength, (W,)."""
    return moments[:, 0].max(axis=(1, 2))
