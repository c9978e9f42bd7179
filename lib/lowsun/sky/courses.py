"""When the Sun or the Moon passes a given true altitude: any place, any span, any number of times.

The course of a body is cut into stretches in which it only rises or only sinks; each stretch holds
one crossing of an altitude or none, so a Sun that dips, skims or takes 30 hours is no special case.
"""

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import numpy as np

from lowsun.errors import InputError, OutOfRangeError, quoted, require_number
from lowsun.sky.directions import seen_from, topocentric
from lowsun.sky.ephemeris import DAY_S, geocentric_at, require_body, span_tt_s
from lowsun.sky.place import require_place
from lowsun.sky.times import clock_times, terrestrial_s

SAMPLE_S = 600.0  # turning points nearer than this differ by 0.002 arcsec, the Moon's by 0.03
CHUNK_S = 8 * DAY_S
ROOT_TOLERANCE_S = 1e-6
UPPER_LIMB, CENTRE, LOWER_LIMB = 1, 0, -1
LIMBS = {"upper": UPPER_LIMB, "centre": CENTRE, "lower": LOWER_LIMB}
CIVIL_DEG, NAUTICAL_DEG, ASTRONOMICAL_DEG = -6.0, -12.0, -18.0  # ends of the twilights, by custom
ALMANAC_DEG = -50 / 60  # centre at sunrise and sunset in almanacs: 34' of air and 16' of disc


@dataclass(frozen=True)
class Crossing:
    """One passage through an altitude: aware UTC datetime, bearing [deg, NaN at a pole], sense."""

    when: datetime
    azimuth_deg: float
    rising: bool


@dataclass(frozen=True, eq=False)
class Crossings:
    """Passages for many places: which place (its index), tt_s [s past J2000], rising; all (N,)."""

    index: np.ndarray
    tt_s: np.ndarray
    rising: np.ndarray

    @property
    def when(self):
        """Aware UTC datetimes, an object array (N,)."""
        return clock_times(self.tt_s)

    def only(self, rising):
        """Those that rise (True) or sink (False); None keeps both."""
        keep = np.ones(self.rising.shape, bool) if rising is None else self.rising == rising
        return Crossings(self.index[keep], self.tt_s[keep], self.rising[keep])


@dataclass(frozen=True, eq=False)
class Eyes:
    """Observers of one body: arrays (L,) of coordinates [deg] and eye heights [m]."""

    body: str
    latitude_deg: np.ndarray
    longitude_deg: np.ndarray
    eye_height_m: np.ndarray

    def look(self, index, tt_s):
        """The sighting of observer `index` at `tt_s`; the two broadcast.

        tt_s [s].
        """
        return topocentric(
            geocentric_at(self.body, tt_s),
            self.latitude_deg[index],
            self.longitude_deg[index],
            self.eye_height_m[index],
        )


@dataclass(frozen=True, eq=False)
class Course:
    """Stretches (K,) in which the true altitude only rises or only falls.

    Rows of the (2, K) arrays: where the stretch begins and where it ends.
    """

    eyes: Eyes
    index: np.ndarray
    tt_s: np.ndarray
    true_altitude_deg: np.ndarray
    semidiameter_deg: np.ndarray

    def crossings(self, true_altitude_deg, limb=CENTRE):
        """Where a limb (1 upper, 0 centre, -1 lower) passes an altitude, by place, then by time.

        true_altitude_deg [deg].
        """
        margin = self.true_altitude_deg + limb * self.semidiameter_deg - true_altitude_deg
        above = margin >= 0
        hit = above[0] != above[1]
        index, (begins, ends) = self.index[hit], self.tt_s[:, hit]

        def margin_at(tt_s):
            seen = self.eyes.look(index, tt_s)
            return _limb_altitude(seen, limb) - true_altitude_deg

        tt_s = bracketed_root(margin_at, begins, ends, *margin[:, hit])
        order = np.lexsort((tt_s, index))
        return Crossings(index[order], tt_s[order], above[1][hit][order])


def crossings(place, start, end, true_altitude_deg, rising=None, body="sun", limb="centre"):
    """Every passage of a body through a true altitude between two instants, in order of time.

    start, end: aware datetimes; true_altitude_deg [deg, -90 to 90], without air; rising True,
    False or None for both; body "sun" or "moon"; limb "centre", "upper" or "lower".
    Returns a tuple of Crossing, empty where there is none. Instants are roots to 2 us of the
    ephemeris as read here; the Earth's irregular turning is predicted, not known, for the future.
    A pair of passages is missed only where the turning points between it are less than 10 min
    apart, and so less than 0.002 arcsec deep (Moon 0.03): beside a pole alone.
    """
    eyes = eyes_at(body, place)
    found = _all_crossings(eyes, start, end, true_altitude_deg, rising, limb)
    bearings = eyes.look(found.index, found.tt_s).azimuth_deg
    return tuple(
        Crossing(when, float(bearing), bool(rises))
        for when, bearing, rises in zip(found.when, bearings, found.rising, strict=True)
    )


def crossings_by_latitude(
    latitude_deg,
    longitude_deg,
    start,
    end,
    true_altitude_deg,
    rising=None,
    body="sun",
    limb="centre",
    eye_height_m=0.0,
):
    """As `crossings`, for many observers at once who share one reading of the ephemeris.

    latitude_deg, longitude_deg, eye_height_m broadcast to (L,); returns Crossings, whose `index`
    counts observers.
    latitude_deg [deg], longitude_deg [deg], true_altitude_deg [deg], eye_height_m [m].
    """
    eyes = _eyes(body, latitude_deg, longitude_deg, eye_height_m)
    return _all_crossings(eyes, start, end, true_altitude_deg, rising, limb)


def eyes_at(body, place):
    """A place as the one observer of a body."""
    require_place(place)
    return _eyes(body, place.latitude_deg, place.longitude_deg, place.eye_height_m)


def course(eyes, start_tt_s, end_tt_s):
    """Where a body's altitude only rises or falls, for all eyes, start to end [s past J2000]."""
    _refuse_span(start_tt_s, end_tt_s)
    count = max(1, int(np.ceil((end_tt_s - start_tt_s) / SAMPLE_S)))
    times = np.linspace(start_tt_s, end_tt_s, count + 1)
    every = np.arange(eyes.latitude_deg.size)[:, None]
    return _cut(eyes, times, eyes.look(every, times))


def _cut(eyes, times, seen):
    """Stretches between samples, those with a turning point cut in two there."""
    rising = seen.vertical_speed_arcsec_per_s >= 0
    turns = rising[:, :-1] != rising[:, 1:]
    row, column = np.nonzero(turns)
    turn_s = _turning_points(eyes, times, seen, row, column)
    turned = eyes.look(row, turn_s)

    def knots(sampled, at_turn):
        begins, ends = sampled[:, :-1], sampled[:, 1:]
        return np.array(
            [
                np.concatenate([begins[~turns], begins[turns], at_turn]),
                np.concatenate([ends[~turns], at_turn, ends[turns]]),
            ]
        )

    return Course(
        eyes=eyes,
        index=np.concatenate([np.nonzero(~turns)[0], row, row]),
        tt_s=knots(np.broadcast_to(times, rising.shape), turn_s),
        true_altitude_deg=knots(seen.true_altitude_deg, turned.true_altitude_deg),
        semidiameter_deg=knots(_semidiameter_deg(seen), _semidiameter_deg(turned)),
    )


def _turning_points(eyes, times, seen, row, column):
    """Instants of highest and lowest altitude in the sample steps that hold one."""
    speed = seen.vertical_speed_arcsec_per_s
    return bracketed_root(
        lambda tt_s: eyes.look(row, tt_s).vertical_speed_arcsec_per_s,
        times[column],
        times[column + 1],
        speed[row, column],
        speed[row, column + 1],
    )


def bracketed_root(function, begins, ends, at_begins, at_ends):
    """Roots of many functions at once, each inside its bracket of opposite signs; arrays (N,).

    Inverse quadratic steps where they are safe, halving elsewhere, to ROOT_TOLERANCE_S.
    Source: Chandrupatla 1997, Advances in Engineering Software 28, 145.
    """
    newest, other, f_newest, f_other = begins, ends, at_begins, at_ends
    best, share = newest, np.full(np.shape(begins), 0.5)
    for _ in range(100):
        trial = newest + share * (other - newest)
        f_trial = function(trial)
        same = (f_trial >= 0) == (f_newest >= 0)
        older, f_older = np.where(same, newest, other), np.where(same, f_newest, f_other)
        other, f_other = np.where(same, other, newest), np.where(same, f_other, f_newest)
        newest, f_newest = trial, f_trial
        best = np.where(np.abs(f_newest) < np.abs(f_other), newest, other)
        least = ROOT_TOLERANCE_S / np.maximum(np.abs(other - newest), ROOT_TOLERANCE_S)
        if np.all((least > 0.5) | (f_newest == 0)):
            break
        share = _next_share((newest, other, older), (f_newest, f_other, f_older), least)
    return best


def _next_share(points, values, least):
    (newest, other, older), (f_newest, f_other, f_older) = points, values
    with np.errstate(divide="ignore", invalid="ignore"):  # elements that do not use the quadratic
        xi = (newest - other) / (older - other)
        phi = (f_newest - f_other) / (f_older - f_other)
        quadratic = f_newest / (f_other - f_newest) * f_older / (f_other - f_older) + (
            older - newest
        ) / (other - newest) * f_newest / (f_older - f_newest) * f_other / (f_older - f_other)
        safe = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi)
    return np.clip(np.where(safe, quadratic, 0.5), least, 1 - least)


def _all_crossings(eyes, start, end, true_altitude_deg, rising, limb):
    level = require_number("true_altitude_deg", true_altitude_deg, -90, 90, unit="deg")
    if not isinstance(limb, str) or limb not in LIMBS:
        raise InputError(f"limb is {quoted(limb)}; give one of {', '.join(LIMBS)}.")
    if not (rising is None or isinstance(rising, bool)):
        raise InputError(f"rising is {quoted(rising)}; give True, False, or None for both.")
    first, last = (_one_instant(name, one) for name, one in (("start", start), ("end", end)))
    if first > last:
        raise OutOfRangeError(f"start is {start}, after end, {end}. Exchange the two.")
    edges = np.append(np.arange(first, last, CHUNK_S), last)
    parts = [
        course(eyes, begins, ends).crossings(level, LIMBS[limb]) for begins, ends in pairwise(edges)
    ]
    return _joined(parts).only(rising)


def _joined(parts):
    empty = Crossings(np.empty(0, int), np.empty(0), np.empty(0, bool))
    index, tt_s, rising = (
        np.concatenate([getattr(part, name) for part in (empty, *parts)])
        for name in ("index", "tt_s", "rising")
    )
    order = np.lexsort((tt_s, index))
    return Crossings(index[order], tt_s[order], rising[order])


def _one_instant(name, when):
    if not isinstance(when, datetime):
        raise InputError(f"{name} is {quoted(when)}; give one aware datetime.")
    return float(terrestrial_s(when))


def _eyes(body, latitude_deg, longitude_deg, eye_height_m):
    seen_from(
        geocentric_at(require_body(body), 0.0), latitude_deg, longitude_deg, eye_height_m
    )  # refuses
    together = np.broadcast_arrays(latitude_deg, longitude_deg, eye_height_m)
    return Eyes(body, *(np.atleast_1d(one).astype(float).ravel() for one in together))


def _refuse_span(start_tt_s, end_tt_s):
    first, last = span_tt_s()
    if start_tt_s < first or end_tt_s > last:
        asked, known = (
            " to ".join(f"{clock_times(edge):%Y-%m-%d}" for edge in span)
            for span in ((start_tt_s, end_tt_s), (first, last))
        )
        raise OutOfRangeError(
            f"the span searched is {asked}; the ephemeris DE421 covers {known}. "
            "Choose dates further inside."
        )


def _limb_altitude(seen, limb):
    if limb == CENTRE:
        return seen.true_altitude_deg
    return seen.true_altitude_deg + limb * _semidiameter_deg(seen)


def _semidiameter_deg(seen):
    return seen.angular_diameter_arcmin / 120
