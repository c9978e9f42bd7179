"""One family of rays of one wavelength, from an eye through spherical layers of air.

Along a ray n r cos(altitude) keeps its value, so sin^2 of its altitude at every level follows from
its altitude at the eye without any stepping. Refraction and the air crossed are both sums over
layers of the integral of dP / sin(altitude), where P(h) is ln n, or the amount of air below h. With
P a parabola in sin^2 inside a layer between altitudes a1 and a2 that is exactly

    2 dP u + C u^3 cos^2 a0      u = 1 / (sin a1 + sin a2)

and u stays finite at a turning point and where n r does not change at all (a layer that bends as
the Earth curves). A whole family of rays is therefore two arrays, u and u^3, times the layers'
weights, 2 dP and C. Rays that first go down pass the layers below the eye twice.
"""

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np

EARTH_RADIUS_M = 6_371_000.0  # mean radius, IUGG
STEPS_ABOVE_EYE = 80
STEPS_BELOW_EYE = 75.0  # steps to a factor e of the height above -3 km: 40 m at the sea
BATCH = 160  # rays at once: their arrays stay in the processor's own memory


class Fate(IntEnum):
    """What became of a ray followed from the eye."""

    SPACE = 0
    SEA = 1  # met the sea or the ground
    TRAPPED = 2  # held in a duct for ever


@dataclass(frozen=True, eq=False)
class Levels:
    """Levels from the sea to space, one of them the eye, and what is to be summed along rays.

    sample_m (2N-1,): the levels and the middles between them, in turn; amount (2N-1, C): counted
    from the sea up.
    """

    sample_m: np.ndarray
    eye_height_m: float
    amount: np.ndarray
    earth_radius_m: float = EARTH_RADIUS_M

    @cached_property
    def eye(self):
        """Index of the eye among the N levels."""
        return int(np.searchsorted(self.sample_m[::2], self.eye_height_m))

    @property
    def amount_above_eye(self):
        return self.amount[-1] - self.amount[2 * self.eye]

    def index(self, refractivity):
        """ln n and ln(n r / n0 r0), 0 at the eye, both shaped as n - 1 at the samples."""
        log_n = np.log1p(refractivity)
        climb = (self.sample_m - self.eye_height_m) / (self.earth_radius_m + self.eye_height_m)
        return log_n, log_n - log_n[..., 2 * self.eye, None] + np.log1p(climb)


def samples_m(kinks_m, eye_height_m):
    """Levels and middles [m] for rays from an eye through air that is smooth between kinks.

    Levels are the kinks, the eye, and as many more as make steps that grow above the eye with the
    root of the distance, as the path of a level ray does, and far off with the distance itself,
    and below the eye, where any level may be a ray's lowest, with the height.
    """
    kinks = np.union1d(kinks_m, eye_height_m)
    eye = int(np.searchsorted(kinks, eye_height_m))
    per_root = STEPS_ABOVE_EYE / np.arcsinh(np.sqrt((kinks[-1] - eye_height_m) / 6000.0))
    above = _subdivided(
        kinks[eye:] - eye_height_m,
        lambda height: per_root * np.arcsinh(np.sqrt(height / 6000.0)),
        lambda step: 6000.0 * np.sinh(step / per_root) ** 2,
    )
    below = _subdivided(
        kinks[: eye + 1],
        lambda height: STEPS_BELOW_EYE * np.log1p(height / 3000.0),
        lambda step: 3000.0 * np.expm1(step / STEPS_BELOW_EYE),
    )
    level = np.append(below[:-1], eye_height_m + above)
    return np.insert(level, np.arange(1, level.size), 0.5 * (level[1:] + level[:-1]))


def _subdivided(kinks, steps_to, height_of):
    """The kinks and heights between them, no more than one step apart."""
    steps = steps_to(kinks)
    index = np.append(0, np.cumsum(np.ceil(np.diff(steps)))).astype(int)
    heights = height_of(np.interp(np.arange(index[-1] + 1), index, steps))
    heights[index] = kinks
    return heights


@dataclass(frozen=True)
class Bounds:
    """Altitudes at the eye [rad, 0 or more] that decide a ray's fate, by wavelength (W,).

    A ray rising more steeply than `escape` reaches space; one falling more steeply than `ground`
    meets the sea, and one falling less steeply turns and rises again.
    """

    escape: np.ndarray
    ground: np.ndarray

    @classmethod
    def of(cls, levels, index):
        # The ray turns where sin^2 = sin^2(a0) - cos^2(a0) (q^2 - 1) is 0, with q = n0 r0 / n r.
        steepness = np.expm1(-2.0 * index[1][..., ::2])
        above, below = steepness[..., levels.eye :], steepness[..., : levels.eye + 1]
        return cls(*(np.arctan(np.sqrt(part.max(axis=-1))) for part in (above, below)))

    @property
    def horizon(self):
        return np.where(self.escape > self.ground, self.escape, -self.ground)

    def fate(self, altitude):
        """Fates (W, A) of rays at altitudes (A,) [rad]."""
        steep, escape, ground = np.abs(altitude), self.escape[..., None], self.ground[..., None]
        clear_above = (steep > escape) | ((steep == 0.0) & (escape == 0.0))
        fate = np.full(clear_above.shape, Fate.SPACE, dtype=np.int8)
        fate[~clear_above] = Fate.TRAPPED
        fate[(steep > ground) & ((altitude < 0.0) | ~clear_above)] = Fate.SEA
        return fate


class Family:
    """All rays of one wavelength from an eye; index: ln n and ln(n r / n0 r0) at the samples."""

    def __init__(self, levels, index):
        log_n, log_nr = index
        eye, rise = levels.eye, np.expm1(-2.0 * log_nr[::2])
        slope, curve = _layer_weights(levels, index)
        self._above = rise[eye:], slope[eye:], curve[eye:]
        self._below = rise[eye::-1], slope[:eye][::-1], curve[:eye][::-1]
        # From the top level, where n is not quite 1, into space.
        self._into_space = log_n[-1] * np.exp(-log_nr[-1])

    def sums(self, altitude):
        """Bending [rad] and amounts crossed by rays known to reach space, (1 + C, A).

        altitude (A,) [rad] at the eye.
        """
        total = np.empty((self._above[1].shape[1], altitude.size))
        for begins in range(0, altitude.size, BATCH):
            batch = slice(begins, begins + BATCH)
            total[:, batch] = self._batch(altitude[batch]).T
        return total

    def _batch(self, altitude):
        rise, slope, curve = self._above
        cosine = np.cos(altitude)
        sine = np.sqrt(_sine_squared(altitude, rise))
        u, u3 = _rising(sine)
        total = u @ slope + (cosine**2)[:, None] * (u3 @ curve)
        down = altitude < 0.0
        if down.any():
            total[down] += 2.0 * self._dip(altitude[down])
        total[:, 0] *= cosine
        total[:, 0] += self._into_space * cosine / sine[:, -1]
        return total

    def _dip(self, altitude):
        """What falling rays cross on their way down to where they turn, (A, 1 + C)."""
        rise, slope, curve = self._below
        u, u3 = _falling(altitude, rise)
        crossed = u.shape[1]
        return u @ slope[:crossed] + (np.cos(altitude) ** 2)[:, None] * (u3 @ curve[:crossed])


def _layer_weights(levels, index):
    """What u and u^3 are multiplied with in each layer, both (N-1, 1 + C).

    For the bending P is -ln n, and its integrand has q = n0 r0 / n r besides 1 / sin.
    """
    log_n, log_nr = index
    amount = np.column_stack([-log_n, levels.amount])
    whole = np.diff(amount[::2], axis=0)
    rise = np.expm1(-2.0 * log_nr)
    share, usual = _share_at_middle(rise)
    bulge = usual * (amount[1::2] - amount[:-1:2] - share * whole)
    fall = -np.diff(rise[::2])[:, None]
    slope, curve = 2.0 * whole, (2.0 / 3.0) * fall * bulge / (share * (1.0 - share))
    q = np.exp(-log_nr[1::2])
    slope[:, 0] *= q
    curve[:, 0] *= q
    return slope, curve


def _share_at_middle(rise):
    """Share of each layer's change of sin^2 that its middle has, and whether that is of use.

    Far from a half the layer bends about as the Earth curves, and no parabola in sin^2 is to be
    had: P is taken as linear there. Both (N-1, 1).
    """
    whole = np.diff(rise[::2])
    share = np.full(whole.shape, np.nan)
    np.divide(rise[1::2] - rise[:-1:2], whole, out=share, where=whole != 0.0)
    usual = np.abs(share - 0.5) < 0.1
    return np.where(usual, share, 0.5)[:, None], usual[:, None]


def _sine_squared(altitude, rise):
    """Squared sine of the rays' altitude at levels, negative beyond a turning point, (A, N)."""
    squared = np.multiply.outer(np.cos(altitude) ** 2, -rise)
    squared += np.sin(altitude)[:, None] ** 2
    return squared


def _rising(sine):
    """u and u^3 of the layers crossed upwards, both (A, N-1)."""
    u = sine[:, :-1] + sine[:, 1:]
    np.reciprocal(u, out=u)  # in place: these arrays are the cost of the whole tracer
    u3 = u * u
    u3 *= u
    return u, u3


def _falling(altitude, rise):
    """u and u^3 of the layers crossed downwards, to the turning point and no further, (A, M).

    In the layer of the turning point only the share t = sin^2 a1 / (sin^2 a1 - sin^2 a2) of it is
    crossed: u = t / sin a1 there, and u (4 t - 3) / (sin^2 a1 - sin^2 a2) stands for u^3, by the
    same parabola.
    """
    turn = np.searchsorted(np.maximum.accumulate(rise), np.tan(altitude) ** 2)
    turn = np.clip(turn, 1, rise.size - 1)  # it does turn: rounding alone puts it outside
    sine2 = _sine_squared(altitude, rise[: turn.max() + 1])
    crossed = np.arange(sine2.shape[1]) < turn[:, None]
    sine = np.maximum(sine2, 0.0)
    sine *= crossed
    np.sqrt(sine, out=sine)
    u = sine[:, :-1] + sine[:, 1:]
    np.divide(crossed[:, 1:], np.maximum(u, np.finfo(float).tiny, out=u), out=u)
    u3 = u * u
    u3 *= u
    last = np.arange(turn.size), turn - 1
    drop = sine2[last] - sine2[last[0], turn]
    u[last] = sine[last] / drop
    u3[last] = u[last] * (4.0 * sine2[last] / drop - 3.0) / drop
    return u, u3
