"""The passage before or after an instant, however far away: at a pole it may be half a year.

Declination tells on which days the Sun can reach an altitude at all; only those are searched.
"""

import numpy as np

from lowsun.errors import require_number, require_whole, takes
from lowsun.sky.courses import CENTRE, course, eyes_at
from lowsun.sky.ephemeris import DAY_S, span_tt_s
from lowsun.sky.place import require_place
from lowsun.sky.times import clock_times, instant_s

REACH_DAYS = 370  # a year and a little: a place with a sunset in the year has one within
CHUNK_DAYS = 40  # so many are looked at together; the next only where these hold nothing
WINDOW_S = 4 * DAY_S
SLACK_DEG = 0.5  # declination moves 0.40 deg in a day at most, parallax and culmination less


@takes(later=bool, rising=bool)
def nearest_passage(place, when, true_altitude_deg, *, later, limb=CENTRE, rising=False):
    """The first passage of the Sun through a true altitude after an instant, or the last before.

    when: aware datetime; later True or False; limb 1 upper, 0 centre, -1 lower.
    Returns an aware UTC datetime, None where there is none within a year or within the ephemeris.
    true_altitude_deg [deg] -90 to 90, limb [1] -1 to 1. Raises OutOfRangeError outside.
    """
    require_place(place)
    level = require_number("true_altitude_deg", true_altitude_deg, -90.0, 90.0, unit="deg")
    limb = require_whole("limb", limb, -1, 1)
    found = nearest_passage_s(place, instant_s(when), level, later, limb, rising)
    return None if found is None else clock_times(found)


@takes(later=bool, rising=bool)
def nearest_passage_s(place, tt_s, level_deg, later, limb, rising):
    """As `nearest_passage`, in seconds past J2000, TT.

    tt_s [s], level_deg [deg].
    """
    eyes, sense = eyes_at("sun", place), 1 if later else -1
    searched = tt_s
    for day_s in _possible_days(eyes, tt_s, level_deg, limb, sense):
        ahead = sense * (day_s - searched)
        if ahead + DAY_S < 0:
            continue  # inside the window already searched
        begins = searched if ahead < WINDOW_S else day_s - sense * DAY_S
        searched = _inside(day_s + sense * WINDOW_S)
        low, high = sorted((begins, searched))
        if high <= low:
            return None
        passages = course(eyes, low, high).crossings(level_deg, limb).only(rising).tt_s
        passages = passages[sense * (passages - tt_s) > 0]
        if passages.size:
            return float(passages.min() if later else passages.max())
    return None


def _possible_days(eyes, tt_s, level_deg, limb, sense):
    """Instants a day apart on which the Sun might pass the level, nearest first."""
    for first in range(0, REACH_DAYS, CHUNK_DAYS):
        days = tt_s + sense * DAY_S * np.arange(first, first + CHUNK_DAYS)
        days = days[_inside(days) == days]
        seen = eyes.look(0, days)
        shift = limb * seen.angular_diameter_arcmin / 120
        latitude, declination = eyes.latitude_deg[0], seen.declination_deg
        highest = 90 - np.abs(latitude - declination) + shift
        lowest = np.abs(latitude + declination) - 90 + shift
        possible = (highest > level_deg - SLACK_DEG) & (lowest < level_deg + SLACK_DEG)
        yield from days[possible]


def _inside(tt_s):
    return np.clip(tt_s, *span_tt_s())
