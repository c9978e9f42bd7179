"""The Sun's day, told once: what it does on a date at a place, how low and how high it stands.

Limbs and centre are held against the lowest clear ray: the true altitude H from which it comes is
below zero, refraction and dip together. A limb is on the visible horizon when its true altitude
is H.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

import numpy as np

from lowsun.kept import KB, kept
from lowsun.sky.ephemeris import DAY_S
from lowsun.sky.place import Place
from lowsun.sky.search import nearest_passage
from lowsun.sky.times import clock_times, local_day

HALF_DAY_S = DAY_S / 2
APART_S = 1e-3


class Kind(StrEnum):
    """What the Sun does on a date, by its centre and its limbs against the visible horizon."""

    SETS = "sets"  # the centre goes down on the date
    RISES = "rises and does not set"  # the centre comes up on the date and does not go down
    STAYS_UP = "polar day"  # the whole disc
    DIPS = "dips"  # the lower limb goes down at the lowest, the centre does not
    SHOWS = "shows"  # the upper limb comes up at the highest, the centre does not
    STAYS_DOWN = "polar night"  # the whole disc
    UP_ALL_DATE = "up all through the date"  # and down in a night that the date's ends cut in two
    SKIPPED = "no such date"  # the clocks there skipped it


KINDS = tuple(Kind)
UP_KINDS = (Kind.STAYS_UP, Kind.DIPS, Kind.UP_ALL_DATE)  # the centre stays up through the date
DOWN_KINDS = (Kind.STAYS_DOWN, Kind.SHOWS)
# A search through a year, which a sentence asks for at every move of a hand.
kept_passage = kept(500 * KB)(nearest_passage)


@dataclass(frozen=True, kw_only=True)
class Stand:
    """The Sun's centre at its lowest or its highest.

    when: aware UTC datetime; true_altitude_deg, horizon_true_altitude_deg [deg]: of the centre, and
    of the lowest ray that clears the horizon; semidiameter_deg [deg].
    """

    when: datetime
    true_altitude_deg: float
    horizon_true_altitude_deg: float
    semidiameter_deg: float

    @property
    def share_up(self):
        """How much of the disc's height is above the visible horizon, 0 to 1, unflattened."""
        over = self.true_altitude_deg - self.horizon_true_altitude_deg
        return float(np.clip(0.5 + over / (2 * self.semidiameter_deg), 0, 1))


@dataclass(frozen=True, kw_only=True)
class SunDay:
    """The Sun and the visible horizon on one local date at one place.

    kind: a `Kind`; sunsets, sunrises: when the centre goes down and comes up on the date, aware UTC
    datetimes in order. lowest, highest: `Stand`s of the centre on the date and in the nights that
    its two midnights cut: where the Sun turns at two minutes past midnight, that is its lowest, and
    not where midnight cuts it off. night: its lowest after the highest, the night that the date's
    evening leads to. Where the Sun does not turn within half a day, beside a pole, the date's own
    ends count.
    """

    place: Place
    date: date
    horizon_true_altitude_deg: float
    kind: Kind
    sunsets: tuple
    sunrises: tuple
    lowest: Stand
    highest: Stand
    night: Stand

    @property
    def nearest(self):
        """Where it comes nearest to going or coming: its lowest if it is up, else its highest."""
        return self.lowest if self.kind in UP_KINDS else self.highest

    def beside(self, *, rising, later):
        """The centre's next ascent or descent after the date, or its last before it [aware UTC].

        None where there is none within a year or within the ephemeris.
        """
        start = local_day(self.date, self.place.timezone)[int(later)]
        level = self.horizon_true_altitude_deg
        return kept_passage(self.place, start, level, later=later, rising=rising)


def day_of(place, date, horizon_deg, path, passages, begins_s, ends_s):
    """The `SunDay` between two instants [s past J2000].

    path: a `Course` that reaches a day past both; passages: its `Crossings` of the visible horizon
    by the centre.
    """
    today = (passages.tt_s >= begins_s) & (passages.tt_s < ends_s)
    sunsets, sunrises = (passages.tt_s[today & (passages.rising == up)] for up in (False, True))
    lowest, highest, night = _stands(path, horizon_deg, begins_s, ends_s)
    low, high = (one.true_altitude_deg - horizon_deg for one in (lowest, highest))
    code = kinds(sunsets.size, sunrises.size, low, high, lowest.semidiameter_deg)
    return SunDay(
        place=place,
        date=date,
        horizon_true_altitude_deg=horizon_deg,
        kind=KINDS[int(code)] if begins_s < ends_s else Kind.SKIPPED,
        sunsets=tuple(map(clock_times, sunsets)),
        sunrises=tuple(map(clock_times, sunrises)),
        lowest=lowest,
        highest=highest,
        night=night,
    )


def kinds(sunsets, sunrises, low_deg, high_deg, semidiameter_deg):
    """Places in `KINDS`, shaped as what is given, for one date or many.

    sunsets, sunrises: how many fall on the date; low_deg, high_deg: how far the centre's lowest and
    highest true altitudes lie above that of the visible horizon [deg].
    """
    told = {
        Kind.SETS: np.greater(sunsets, 0),
        Kind.RISES: np.greater(sunrises, 0),
        Kind.STAYS_UP: np.greater(low_deg, semidiameter_deg),
        Kind.DIPS: np.greater(low_deg, 0),
        Kind.STAYS_DOWN: np.less(high_deg, -np.asarray(semidiameter_deg)),
        Kind.SHOWS: np.less(high_deg, 0),
    }
    return np.select(
        list(told.values()), [KINDS.index(kind) for kind in told], KINDS.index(Kind.UP_ALL_DATE)
    )


def _stands(path, horizon_deg, begins_s, ends_s):
    """Lowest, highest, and lowest after the highest, of the date and of the nights it cuts."""
    tt_s, altitude, radius = _knots(path, begins_s, ends_s)
    first, last = _widened(tt_s, altitude, begins_s, ends_s)
    inside = np.flatnonzero((tt_s >= first) & (tt_s <= last))
    high = inside[np.argmax(altitude[inside])]
    later = inside[inside >= high]
    found = inside[np.argmin(altitude[inside])], high, later[np.argmin(altitude[later])]
    return [
        Stand(
            when=clock_times(tt_s[k]),
            true_altitude_deg=float(altitude[k]),
            horizon_true_altitude_deg=horizon_deg,
            semidiameter_deg=float(radius[k]),
        )
        for k in found
    ]


def _knots(path, *edges_s):
    """Instants, altitudes, semidiameters [deg]: in between the Sun only rises or only sinks."""
    edges = path.eyes.look(0, np.array(edges_s))
    tt_s, first = np.unique([*path.tt_s.ravel(), *edges_s], return_index=True)
    altitude = np.append(path.true_altitude_deg, edges.true_altitude_deg)
    radius = np.append(path.semidiameter_deg, edges.angular_diameter_arcmin / 120)
    # Of two knots at one instant, but for rounding, one is enough: they would feign a turn.
    apart = np.append(True, np.diff(tt_s) > APART_S)
    return tt_s[apart], altitude[first][apart], radius[first][apart]


def _widened(tt_s, altitude, begins_s, ends_s):
    """The date's two ends, put off to the Sun's turn where they cut a night in two."""
    climbs = np.diff(altitude) >= 0
    turning = np.flatnonzero(climbs[1:] != climbs[:-1])
    turns, is_low = tt_s[1 + turning], climbs[1 + turning]
    before, after = turns < begins_s, turns > ends_s
    return (
        _low_beside(begins_s, turns[before][-1:], is_low[before][-1:]),
        _low_beside(ends_s, turns[after][:1], is_low[after][:1]),
    )


def _low_beside(edge_s, turn_s, is_low):
    """The turn next to an end of the date where it is a low one within half a day, else the end."""
    near = is_low & (np.abs(turn_s - edge_s) <= HALF_DAY_S)
    return float(turn_s[near][0]) if near.any() else edge_s
