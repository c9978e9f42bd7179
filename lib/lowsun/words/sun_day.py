"""The Sun's day in sentences: what it does on a date, and why a contact is missing.

Altitudes are true ones, of the centre and without air, and named as such: what is seen near the
horizon is half a degree higher.
"""

from lowsun.words.plain import opened
from lowsun.words.times import day as date_text
from lowsun.words.times import instant

NO_ALMANAC = "The centre does not pass -50' true altitude in this passage: no almanac instant."
NO_SUNSET = {  # by the part of the passage that is missing
    "before": "The lower limb had not cleared the visible horizon before: no first contact.",
    "after": "The upper limb does not sink below the visible horizon before the Sun climbs again:"
    " no last sliver.",
    "almanac": NO_ALMANAC,
}
NO_SUNRISE = {
    "before": "The upper limb had not sunk below the visible horizon before: no first sliver.",
    "after": "The lower limb does not clear the visible horizon before the Sun sinks again: no last"
    " contact.",
    "almanac": NO_ALMANAC,
}
DAY_WORDS = {  # by the kind of day
    "polar day": "Polar day: the whole disc stays above the visible horizon on {date}; lowest,"
    " {low}.",
    "dips": "The Sun dips only a part of its disc on {date}: the centre stays above the visible"
    " horizon; lowest, {hidden:.0f} % of the disc's height is below it, {low}.",
    "shows": "The Sun shows only a part of its disc on {date}: the centre stays below the visible"
    " horizon; highest, {shown:.0f} % of the disc's height is above it, {high}.",
    "polar night": "Polar night: the whole disc stays below the visible horizon on {date}; highest,"
    " {high}.",
    "up all through the date": "The Sun is up all through {date} and down in a night beside it:"
    " no {event} falls on that date.",
    "no such date": "{date} does not exist at {place}: the clocks there skipped it.",
}
IN_SHORT = {  # by the kind of day
    "sets": "the centre goes down, a part of the disc stays",
    "rises and does not set": "the Sun comes up and does not set",
    "polar day": "polar day, the centre's true altitude {low:.1f}° at its lowest",
    "dips": "the disc dips in part, {hidden:.0f} % of its height at most",
    "shows": "only a part of the disc shows, {shown:.0f} % of its height at most",
    "polar night": "polar night, the centre's true altitude {high:.1f}° at its highest",
    "up all through the date": "the Sun is up all day and down in a night beside it",
    "no such date": "the clocks there skipped this date",
}
CROSSES = "The Sun crosses the visible horizon on {date}, but no {event} falls on that date."


def why_missing(passage):
    """Why an instant of a `sky.Sunset` or `sky.Sunrise` is missing; None where none is."""
    missing = [part for part, when in passage.instants.items() if when is None]
    if not missing:
        return None
    if "centre" not in missing:
        why = NO_SUNRISE if passage.rising else NO_SUNSET
        return " ".join(why[part] for part in missing)
    told = sun_day(passage.day, rising=passage.rising)
    return told if passage.day.kind == "no such date" else f"{told} {beside(passage)}"


def sun_day(day, *, rising):
    """What the Sun does on a date on which its centre does not set, or rise: a `sky.SunDay`."""
    return DAY_WORDS.get(day.kind, CROSSES).format(
        date=day.date,
        place=day.place.name,
        event=event(rising),
        low=_stand(day, day.lowest),
        high=_stand(day, day.highest),
        hidden=100 * (1 - day.lowest.share_up),
        shown=100 * day.highest.share_up,
    )


def in_short(day, kind=None):
    """The same, a part of a sentence; kind: another than the date's, as for a longer sunset."""
    return IN_SHORT[kind or day.kind].format(
        low=day.lowest.true_altitude_deg,
        high=day.highest.true_altitude_deg,
        hidden=100 * (1 - day.lowest.share_up),
        shown=100 * day.highest.share_up,
    )


def _stand(day, stand):
    """Where the centre stands, against what, and when."""
    return (
        f"its centre is at a true altitude of {stand.true_altitude_deg:.2f}°, the horizon at"
        f" {stand.horizon_true_altitude_deg:.2f}°, at {instant(stand.when, day.place.timezone)}"
    )


def beside(passage):
    """The sunsets, or sunrises, before and after the date."""
    day, name = passage.day, event(passage.rising)
    before, after = (day.beside(rising=passage.rising, later=later) for later in (False, True))
    zone = day.place.timezone
    told = [
        *([] if before is None else [f"The {name} before is at {instant(before, zone)}."]),
        *([] if after is None else [f"The next {name} is at {instant(after, zone)}."]),
    ]
    return " ".join(told) or f"The year before and the year after hold no {name}."


def briefly(passage):
    """`why_missing` in fewer words, for under a picture: dates instead of instants."""
    day = passage.day
    if passage.centre is not None:
        return why_missing(passage)
    sides = (day.beside(rising=passage.rising, later=later) for later in (False, True))
    zone, name = day.place.timezone, event(passage.rising)
    return f"{opened(in_short(day))}. {dates_beside(*sides, zone, name)}"


def dates_beside(before, after, zone, name="sunset"):
    """When the last and the next one are: `Last sunset 18 Apr 2027, next 24 Aug 2027.`"""
    told = [
        f"{which} {date_text(when.astimezone(zone).date())}"
        for which, when in ((f"last {name}", before), ("next", after))
        if when is not None
    ]
    return f"{opened(', '.join(told))}." if told else f"No {name} within a year."


def several(passage):
    """That two sunsets, or sunrises, fall on the date, and which is given; None where not."""
    day = passage.day
    times = day.sunrises if passage.rising else day.sunsets
    if len(times) < 2:
        return None
    given = "earlier" if passage.rising else "later"
    told = " and ".join(instant(when, day.place.timezone) for when in times)
    return (
        f"{len(times)} {event(passage.rising)}s fall on {day.date}, {told}; the {given} is given."
    )


def event(rising):
    """The name of the Sun's going down or coming up."""
    return "sunrise" if rising else "sunset"
