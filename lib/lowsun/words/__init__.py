"""Numbers in words, for people: the one place of clocks, dates, lengths of time, bearings, counts.

Everything a person reads of them comes from here: a second language would be added here. What
machines read (a CSV file's instants, a calendar's, captions') is written where the file is.
"""

from lowsun.words.directions import (
    bearing,
    bearing_tick,
    compass_point,
    coordinates,
    latitude,
    longitude,
)
from lowsun.words.plain import count, opened
from lowsun.words.sun_day import briefly, dates_beside, in_short, several, why_missing
from lowsun.words.times import (
    MONTHS,
    clock,
    countdown,
    day,
    day_and_clock,
    days,
    duration,
    instant,
    local,
    weekday,
    zone_in_full,
    zone_name,
)

__all__ = [
    "MONTHS",
    "bearing",
    "bearing_tick",
    "briefly",
    "clock",
    "compass_point",
    "coordinates",
    "count",
    "countdown",
    "dates_beside",
    "day",
    "day_and_clock",
    "days",
    "duration",
    "in_short",
    "instant",
    "latitude",
    "local",
    "longitude",
    "opened",
    "several",
    "weekday",
    "why_missing",
    "zone_in_full",
    "zone_name",
]
