"""The Sun's day in sentences: what it does on a date, and why a contact is missing.

Altitudes are true ones, of the centre and without air, and named as such: what is seen near the
horizon is half a degree higher.
"""

from lowsun.words.plain import opened
from lowsun.words.speech import say, term
from lowsun.words.times import day as date_text
from lowsun.words.times import instant

NO_ALMANAC = term(
    "The centre does not pass -50' true altitude in this passage: no almanac instant."
)
NO_SUNSET = {  # by the part of the passage that is missing
    "before": term("The lower limb had not cleared the visible horizon before: no first contact."),
    "after": term(
        "The upper limb does not sink below the visible horizon before the Sun climbs again:"
        " no last sliver."
    ),
    "almanac": NO_ALMANAC,
}
NO_SUNRISE = {
    "before": term(
        "The upper limb had not sunk below the visible horizon before: no first sliver."
    ),
    "after": term(
        "The lower limb does not clear the visible horizon before the Sun sinks again: no last"
        " contact."
    ),
    "almanac": NO_ALMANAC,
}
DAY_WORDS = {  # by the kind of day
    "polar day": term(
        "Polar day: the whole disc stays above the visible horizon on {date}; lowest, {low}."
    ),
    "dips": term(
        "The Sun dips only a part of its disc on {date}: the centre stays above the visible"
        " horizon; lowest, {hidden:.0f} % of the disc's height is below it, {low}."
    ),
    "shows": term(
        "The Sun shows only a part of its disc on {date}: the centre stays below the visible"
        " horizon; highest, {shown:.0f} % of the disc's height is above it, {high}."
    ),
    "polar night": term(
        "Polar night: the whole disc stays below the visible horizon on {date}; highest, {high}."
    ),
    "up all through the date": term(
        "The Sun is up all through {date} and down in a night beside it:"
        " no {event} falls on that date."
    ),
    "no such date": term("{date} does not exist at {place}: the clocks there skipped it."),
}
IN_SHORT = {  # by the kind of day
    "sets": term("the centre goes down, a part of the disc stays"),
    "rises and does not set": term("the Sun comes up and does not set"),
    "polar day": term("polar day, the centre's true altitude {low:.1f}° at its lowest"),
    "dips": term("the disc dips in part, {hidden:.0f} % of its height at most"),
    "shows": term("only a part of the disc shows, {shown:.0f} % of its height at most"),
    "polar night": term("polar night, the centre's true altitude {high:.1f}° at its highest"),
    "up all through the date": term("the Sun is up all day and down in a night beside it"),
    "no such date": term("the clocks there skipped this date"),
}
CROSSES = term("The Sun crosses the visible horizon on {date}, but no {event} falls on that date.")
EVENT_BEFORE, NEXT_EVENT = (
    term("The {event} before is at {when}."), term("The next {event} is at {when}.")
)  # fmt: skip
LAST_DAY, NEXT_DAY = term("last {event} {day}"), term("next {day}")
SUNSETS = term("{number} sunsets fall on {date}, {first} and {last}; the later is given.")
SUNRISES = term("{number} sunrises fall on {date}, {first} and {last}; the earlier is given.")


def why_missing(passage):
    """Why an instant of a `sky.Sunset` or `sky.Sunrise` is missing; None where none is."""
    missing = [part for part, when in passage.instants.items() if when is None]
    if not missing:
        return None
    if "centre" not in missing:
        why = NO_SUNRISE if passage.rising else NO_SUNSET
        return " ".join(say(why[part]) for part in missing)
    told = sun_day(passage.day, rising=passage.rising)
    return told if passage.day.kind == "no such date" else f"{told} {beside(passage)}"


def sun_day(day, *, rising):
    """What the Sun does on a date on which its centre does not set, or rise: a `sky.SunDay`."""
    return say(
        DAY_WORDS.get(day.kind, CROSSES),
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
    return say(
        IN_SHORT[kind or day.kind],
        low=day.lowest.true_altitude_deg,
        high=day.highest.true_altitude_deg,
        hidden=100 * (1 - day.lowest.share_up),
        shown=100 * day.highest.share_up,
    )


def _stand(day, stand):
    """Where the centre stands, against what, and when."""
    return say(
        "its centre is at a true altitude of {centre:.2f}°, the horizon at {horizon:.2f}°, at"
        " {when}",
        centre=stand.true_altitude_deg,
        horizon=stand.horizon_true_altitude_deg,
        when=instant(stand.when, day.place.timezone),
    )


def beside(passage):
    """The sunsets, or sunrises, before and after the date."""
    day, name = passage.day, event(passage.rising)
    before, after = (day.beside(rising=passage.rising, later=later) for later in (False, True))
    zone = day.place.timezone
    told = [
        say(message, event=name, when=instant(when, zone))
        for message, when in ((EVENT_BEFORE, before), (NEXT_EVENT, after))
        if when is not None
    ]
    none = say("The year before and the year after hold no {event}.", event=name)
    return " ".join(told) or none


def briefly(passage):
    """`why_missing` in fewer words, for under a picture: dates instead of instants."""
    day = passage.day
    if passage.centre is not None:
        return why_missing(passage)
    sides = (day.beside(rising=passage.rising, later=later) for later in (False, True))
    zone, name = day.place.timezone, event(passage.rising)
    return f"{opened(in_short(day))}. {dates_beside(*sides, zone, name)}"


def dates_beside(before, after, zone, name=None):
    """When the last and the next one are: `Last sunset 18 Apr 2027, next 24 Aug 2027.`"""
    name = name or event(rising=False)
    told = [
        say(message, event=name, day=date_text(when.astimezone(zone).date()))
        for message, when in ((LAST_DAY, before), (NEXT_DAY, after))
        if when is not None
    ]
    none = say("No {event} within a year.", event=name)
    return f"{opened(', '.join(told))}." if told else none


def several(passage):
    """That two sunsets, or sunrises, fall on the date, and which is given; None where not."""
    day = passage.day
    times = day.sunrises if passage.rising else day.sunsets
    if len(times) < 2:
        return None
    first, last = (instant(when, day.place.timezone) for when in (times[0], times[-1]))
    return say(
        SUNRISES if passage.rising else SUNSETS,
        number=len(times), date=day.date, first=first, last=last,
    )  # fmt: skip


def event(rising):
    """The name of the Sun's going down or coming up."""
    return say("sunrise") if rising else say("sunset")
