"""Words for people: the language they are said in, and clocks, dates, lengths of time, bearings.

Everything a person reads of them comes from here, and what else is said goes through `say`. What
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
from lowsun.words.plain import opened
from lowsun.words.speech import (
    figures,
    holds_words,
    in_figures,
    languages,
    month,
    say,
    says,
    speak,
    speaking,
    spoken,
    term,
)
from lowsun.words.sun_day import briefly, dates_beside, in_short, several, why_missing
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
    "briefly",
    "clock",
    "compass_point",
    "coordinates",
    "countdown",
    "dates_beside",
    "day",
    "day_and_clock",
    "days",
    "duration",
    "figures",
    "holds_words",
    "in_figures",
    "in_short",
    "instant",
    "languages",
    "latitude",
    "local",
    "longitude",
    "month",
    "opened",
    "say",
    "says",
    "several",
    "speak",
    "speaking",
    "spoken",
    "term",
    "weekday",
    "why_missing",
    "zone_in_full",
    "zone_name",
]
