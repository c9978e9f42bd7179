"""Sun and Moon as seen from the Earth's centre: Skyfield sampled sparsely, then polynomials.

Skyfield (DE421, IAU 2000A nutation, IAU 2006 precession) is asked for 16 instants in every 8 days;
between them everything that changes smoothly is read from Chebyshev polynomials. What changes
fast, the turning of the Earth, is added by arithmetic in `directions`. One sampling serves every
place on Earth.
"""

import warnings
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.polynomial import chebyshev
from skyfield.api import load, load_file
from skyfield_data import get_skyfield_data_path

from lowsun.errors import InputError, quoted

J2000_JD = 2451545.0
DAY_S = 86400.0
LIGHT_KM_PER_S = 299792.458  # SI definition
BLOCK_S = 8 * DAY_S
NODES = 16  # the Moon over 8 days to 2e-5 arcsec, TT - UT1 to 0.06 ms, measured
BODIES = ("sun", "moon")
KERNEL = "de421.bsp"
LONGEST_LIGHT_TIME_DAYS = 0.006  # light from the Sun takes so long in July

_NODE = chebyshev.chebpts1(NODES)
_FIT = np.linalg.inv(chebyshev.chebvander(_NODE, NODES - 1))


@dataclass(frozen=True, eq=False)
class Geocentric:
    """One body's place at instants of any shape S, ready to be seen from anywhere on Earth.

    Axes: the true equator and equinox of date. vector_km and velocity_km_per_s (3, *S): light-time
    corrected, before aberration; earth_velocity_km_per_s (3, *S): barycentric;
    sidereal_rad (S): apparent sidereal time at Greenwich; delta_t_s (S): TT - UT1;
    tt_s (S): terrestrial time in seconds past J2000.
    """

    body: str
    tt_s: np.ndarray
    vector_km: np.ndarray
    velocity_km_per_s: np.ndarray
    earth_velocity_km_per_s: np.ndarray
    sidereal_rad: np.ndarray
    delta_t_s: np.ndarray


def require_body(body):
    """The body's name, or an InputError that lists the names there are."""
    if not isinstance(body, str) or body not in BODIES:
        raise InputError(f"body is {quoted(body)}; give one of {', '.join(BODIES)}.")
    return body


def geocentric_at(body, tt_s):
    """The body's place at terrestrial times tt_s [s past J2000], any shape, in range."""
    tt = np.asarray(tt_s, dtype=float)
    flat = tt.ravel()
    values, rates = np.empty((8, flat.size)), np.empty((3, flat.size))
    index = np.floor(flat / BLOCK_S).astype(int)
    for number in np.unique(index):
        here = index == number
        coefficients, slopes = _block(body, int(number))
        position = flat[here] * 2 / BLOCK_S - (2 * number + 1)  # -1 to 1 across the block
        values[:, here] = chebyshev.chebval(position, coefficients)
        rates[:, here] = chebyshev.chebval(position, slopes)
    return _assembled(body, tt, values, rates)


def _assembled(body, tt, values, rates):
    smooth = values.reshape(8, *tt.shape)
    delta_t = smooth[7]
    return Geocentric(
        body=body,
        tt_s=tt,
        vector_km=smooth[0:3],
        velocity_km_per_s=rates.reshape(3, *tt.shape),
        earth_velocity_km_per_s=smooth[3:6],
        sidereal_rad=earth_rotation_rad(tt - delta_t) + smooth[6],
        delta_t_s=delta_t,
    )


def earth_rotation_rad(ut1_s):
    """Earth rotation angle [rad] at UT1 [s past J2000]; IAU 2000, IERS Conventions 2010 eq. 5.15.

    angle = 2 pi (0.7790572732640 + 1.00273781191135448 days), whole turns left out.
    """
    days = np.asarray(ut1_s) / DAY_S
    turns = 0.7790572732640 + 0.00273781191135448 * days + days % 1
    return 2 * np.pi * (turns % 1)


def delta_t_s(tt_s):
    """TT - UT1 [s] at terrestrial times [s past J2000], measured or predicted."""
    return timescale().delta_t_function(J2000_JD + np.asarray(tt_s) / DAY_S)


@cache
def span_tt_s():
    """First and last instant [s past J2000, TT] that can be asked for: whole blocks of DE421."""
    segments = kernel().spk.segments
    first_jd = max(segment.start_jd for segment in segments) + LONGEST_LIGHT_TIME_DAYS
    last_jd = min(segment.end_jd for segment in segments)
    first, last = ((edge - J2000_JD) * DAY_S / BLOCK_S for edge in (first_jd, last_jd))
    return float(np.ceil(first) * BLOCK_S), float(np.floor(last) * BLOCK_S) - 1e-3


@lru_cache(maxsize=1600)  # a block is 5 kB, all are 8 MB; a year is 46
def _block(body, number):
    """Chebyshev coefficients (NODES, 8) of one block, and the slopes of its first three [1/s]."""
    samples = _sampled(body, (number + (_NODE + 1) / 2) * BLOCK_S)
    coefficients = _FIT @ samples.T
    return coefficients, chebyshev.chebder(coefficients[:, :3]) * 2 / BLOCK_S


def _sampled(body, tt_s):
    """Skyfield's answer (8, N): place, Earth's velocity, sidereal minus rotation angle, TT-UT1."""
    time = timescale().tt_jd(J2000_JD, tt_s / DAY_S)
    earth = kernel()["earth"].at(time)
    astrometric = earth.observe(kernel()[body])
    turned = [
        np.einsum("ijn,jn->in", time.M, vector)
        for vector in (astrometric.position.km, earth.velocity.km_per_s)
    ]
    lead = time.gast * np.pi / 12 - earth_rotation_rad(tt_s - time.delta_t)
    lead = (lead + np.pi) % (2 * np.pi) - np.pi
    return np.vstack([*turned, lead, time.delta_t])


@cache
def timescale():
    # The tables inside Skyfield itself: read in 3 ms, against 42 ms for the text file of
    # skyfield-data; where both predict they differ by 0.01 s in 2026 and 0.2 s in 2050.
    return load.timescale(builtin=True)


@cache
def kernel():
    with warnings.catch_warnings():
        # The warning is about the Earth-rotation file that lies beside the kernel, unused here.
        warnings.simplefilter("ignore", RuntimeWarning)
        folder = Path(get_skyfield_data_path())
    return load_file(folder / KERNEL)


@cache
def leap_seconds():
    """Unix instants [s] from which TAI - UTC holds, and the values [s]; the first is 1972."""
    scale = timescale()
    begins = (np.concatenate([[2441317.5], scale.leap_dates]) - 2440587.5) * DAY_S
    return begins, np.concatenate([[10.0], scale.leap_offsets])
