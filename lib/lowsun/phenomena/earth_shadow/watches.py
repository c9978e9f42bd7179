"""When to turn round: the dark segment and the arch at a place, by its clock."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import require_number, takes
from lowsun.phenomena.earth_shadow.courses import course
from lowsun.phenomena.earth_shadow.sights import pinkness
from lowsun.physics.colour import chromaticity
from lowsun.physics.scattering import Air, sky_xyz
from lowsun.sky.place import require_place
from lowsun.words import say, term

# American Meteorological Society, Glossary of Meteorology, "dark segment": first seen near here.
FIRST_SEEN_DEPRESSION_DEG = 0.5
SEARCHED = timedelta(hours=12)  # counted from the first sight: longer dusks are polar ones
STEP_S = (5.0, 3600.0)
ACROSS_DEG = np.arange(180.0, -1.0, -3.0)  # from the point opposite the Sun to below the Sun
STAYS_ABOVE = term(
    "On {date} the Sun at {place} stays above {altitude:g}°: the Earth's shadow neither rises nor"
    " sets."
)
STAYS_BELOW = term(
    "On {date} the Sun at {place} stays below {altitude:g}°: the Earth's shadow neither rises nor"
    " sets."
)


@dataclass(frozen=True, eq=False)
class Watch:
    """An evening's dark segment and arch, or, with `rising`, a morning's, mirrored in time.

    first_seen, best, last_seen: aware UTC datetimes, in the evening's order in the evening and
    reversed in the morning; best: when the arch stands out most; None where the Sun does not get
    there, with `reason`. when (T,): from the beginning to the end of the sight; of the same shape
    sun_true_altitude_deg, opposite_azimuth_deg: bearing of the point opposite the Sun,
    edge_deg, pink_low_deg, pink_peak_deg, pink_high_deg [deg].
    wide_deg, high_deg: what a picture at the best moment must take in: the arch from one half
    height to the other, sideways, and from the horizon to its upper border [deg].
    """

    place: sky.Place
    rising: bool
    first_seen: datetime | None
    best: datetime | None
    last_seen: datetime | None
    reason: str | None
    when: np.ndarray
    sun_true_altitude_deg: np.ndarray
    opposite_azimuth_deg: np.ndarray
    edge_deg: np.ndarray
    pink_low_deg: np.ndarray
    pink_peak_deg: np.ndarray
    pink_high_deg: np.ndarray
    wide_deg: float
    high_deg: float


@takes(rising=bool)
def watch(place, date, air=None, *, rising=False, step_s=60.0):
    """The dark segment and the arch of a local date at a `sky.Place`.

    date: datetime.date in place.timezone; air: an `Air` or an `Atmosphere`, by default clear
    maritime air; rising: before sunrise, in the west, instead; step_s [s] 5 to 3600.
    Returns a `Watch`. Instants follow the air given: real haze moves them by some minutes. Leaves
    out land, cloud and the time an eye takes to get used to the dusk.
    """
    require_place(place)
    step = timedelta(seconds=require_number("step_s", step_s, *STEP_S, unit="s"))
    air = Air() if air is None else air
    followed = course(air, eye_height_m=place.eye_height_m)
    night = _night(place, date, rising)
    wide, high = _frame(air, followed, place.eye_height_m)
    best = night.passage(followed.pinkest_deg) if np.isfinite(wide) else None
    last = night.passage(followed.fades_deg)
    when = night.instants(last, step)
    sun = sky.sun(place, when)
    known = followed.at_depressions(-sun.true_altitude_deg)
    return Watch(
        place=place,
        rising=rising,
        first_seen=night.edge,
        best=best,
        last_seen=last,
        reason=night.reason or _reason(wide, best, last),
        when=when,
        sun_true_altitude_deg=sun.true_altitude_deg,
        opposite_azimuth_deg=(sun.azimuth_deg + 180.0) % 360.0,
        wide_deg=wide,
        high_deg=high,
        **known,
    )


@dataclass(frozen=True)
class _Night:
    """The time the Sun is down on one side of a date, from the side of the day.

    edge: when the Sun passes FIRST_SEEN_DEPRESSION_DEG, None where it does not on the date, and
    `reason` says why; far: the end of the search, away from the day.
    """

    place: sky.Place
    rising: bool
    edge: datetime | None
    far: datetime | None
    reason: str | None

    def passage(self, depression_deg):
        """When the Sun passes a depression, nearest to the day; None where it does not."""
        if self.edge is None:
            return None
        if depression_deg <= FIRST_SEEN_DEPRESSION_DEG:
            return self.edge
        start, end = sorted((self.edge, self.far))
        found = sky.crossings(self.place, start, end, -depression_deg, rising=self.rising)
        return found[-1 if self.rising else 0].when if found else None

    def instants(self, last, step):
        """Every step from the day's side to `last`, or to the search's end, in order of time."""
        if self.edge is None:
            return np.array([], dtype=object)
        end = self.far if last is None else last
        way = -1 if self.rising else 1
        count = int(abs(end - self.edge) / step) + 1
        return np.array([self.edge + way * k * step for k in range(count)][::way], dtype=object)


def _night(place, date, rising):
    start, end = sky.local_day(date, place.timezone)
    found = sky.crossings(place, start, end, -FIRST_SEEN_DEPRESSION_DEG, rising=rising)
    if not found:
        return _Night(place, rising, None, None, _never(place, date, start, end))
    edge = found[0 if rising else -1].when
    far = edge + (-1 if rising else 1) * SEARCHED
    # A night too short to grow dark ends where the Sun comes back.
    back = sky.crossings(place, *sorted((edge, far)), -FIRST_SEEN_DEPRESSION_DEG, rising=not rising)
    return _Night(place, rising, edge, back[-1 if rising else 0].when if back else far, None)


def _never(place, date, start, end):
    noon = sky.sun(place, start + (end - start) / 2).true_altitude_deg
    stays = STAYS_ABOVE if noon > -FIRST_SEEN_DEPRESSION_DEG else STAYS_BELOW
    return say(stays, date=date, place=say(place.name), altitude=-FIRST_SEEN_DEPRESSION_DEG)


def _reason(wide, best, last):
    if not np.isfinite(wide):
        return say("In this air there is no pink arch.")
    if best is None:
        return say("The Sun does not sink deep enough for the arch to come into its best.")
    if last is None:
        return say("The Sun does not sink deep enough for the shadow to fade.")
    return None


def _frame(air, followed, eye_height_m):
    """Width of the arch at its own altitude, and altitude of its upper border [deg].

    NaN where thick haze leaves no arch.
    """
    arch = followed.at_depressions(followed.pinkest_deg)
    if not np.isfinite(arch["pink_peak_deg"]):
        return np.nan, np.nan
    xyz = sky_xyz(
        air,
        -followed.pinkest_deg,
        arch["pink_peak_deg"],
        ACROSS_DEG,
        eye_height_m=eye_height_m,
    )
    pink = pinkness(chromaticity(xyz))
    half = np.flatnonzero(pink < pink[0] / 2.0)
    wide = 2.0 * (180.0 - ACROSS_DEG[half[0]]) if half.size else 360.0
    return float(wide), float(arch["pink_high_deg"])
