"""Words for people: the language they are said in, and clocks, dates, lengths of time, bearings.

Everything a person reads of them comes from here, and what else is said goes through `say`. What
machines read (a CSV file's instants, a calendar's, captions') is written where the file is.
What only the kit's own rooms ask for stands in the files of this room: the Sun's day in `sun_day`.
"""

from lowsun.words.directions import (
    bearing,
    bearing_tick,
    compass_point,
    coordinates,
    latitude,
    longitude,
)
from lowsun.words.speech import (
    figures,
    languages,
    say,
    says,
    speak,
    speaking,
    spoken,
    term,
)
from lowsun.words.times import (
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
    "bearing",
    "bearing_tick",
    "clock",
    "compass_point",
    "coordinates",
    "countdown",
    "day",
    "day_and_clock",
    "days",
    "duration",
    "figures",
    "instant",
    "languages",
    "latitude",
    "local",
    "longitude",
    "say",
    "says",
    "speak",
    "speaking",
    "spoken",
    "term",
    "weekday",
    "zone_in_full",
    "zone_name",
]
