"""Several evenings in words: the runs of dates, and a table of 80 columns."""

from datetime import timedelta
from itertools import pairwise

import numpy as np

from lowsun import words
from lowsun.scenes import plan_words
from lowsun.words import figures, say, says, term

RUNS_TOLD = 4
HEADINGS = (  # each with the width of its column
    (term("date"), "17"), (term("last sliver, local"), ">20"), ("UTC", ">10"),
    (term("bearing"), ">13"), (term("Moon"), ">8"), (term("lit"), ">6"), ("lx", ">6"),
)  # fmt: skip


def sentence(found):
    """How many evenings, when, and how many of them under a bright Moon."""
    span = say("between {low:g}° and {high:g}°", low=found.low_deg, high=found.high_deg)
    days = found.day[found.inside]
    if not found.day.size:
        return say("The Sun does not set there in these days.")
    if found.place.at_pole:
        return say("At a pole no direction has a bearing: there is no gap between two.")
    if not days.size:
        low, high = (words.bearing(found.azimuth_deg[k], point=False) for k in _ends(found))
        return say(
            "On no evening does the last sliver fall {span}: it wanders from {low} to {high}.",
            span=span,
            low=low,
            high=high,
        )
    up = int(np.sum(found.moon_altitude_deg[found.inside] > 0))
    moon = say("the Moon is up on {up}", up=up) if up else say("no Moon is up")
    count = says("{number} evening", "{number} evenings", days.size)
    return say(
        "On {count} the last sliver falls {span}: {runs}; ten minutes later {moon}.",
        count=count,
        span=span,
        runs=_runs(days),
        moon=moon,
    )


def _ends(found):
    return int(np.argmin(found.azimuth_deg)), int(np.argmax(found.azimuth_deg))


def _runs(days):
    """Dates joined to runs: `15–22 Mar 2027, 21–27 Sep 2027`."""
    breaks = [k + 1 for k, (a, b) in enumerate(pairwise(days)) if b - a > timedelta(days=1)]
    runs = [(run[0], run[-1]) for run in np.split(days, breaks)]
    told = [words.days(*run) for run in runs[:RUNS_TOLD]]
    more = sum((last - first).days + 1 for first, last in runs[RUNS_TOLD:])
    return ", ".join(told) + (say(" and {more} more", more=more) if more else "")


def table(found):
    """The evenings in the gap, a line each, headings first, no line over 80 columns."""
    rows = np.flatnonzero(found.inside)
    heading = "".join(format(say(name), width) for name, width in HEADINGS)
    return [heading, *(_line(found, row) for row in rows)]


def line(found, row):
    """One evening, short: `15 Mar 18:47:45 268.2° Moon 51 %`."""
    day, zone = found.day[row], found.place.timezone
    moon = (
        say("Moon {lit:.0f} %", lit=100 * found.moon_lit[row])
        if found.moon_altitude_deg[row] > 0
        else ""
    )
    clock = words.clock(found.last_sliver[row], zone)
    where = words.bearing(found.azimuth_deg[row], 1, point=False)
    return f"{words.day(day, year=False):>6}  {clock}  {where}  {moon}".rstrip()


def text(found):
    """The whole table with its sentence, as plain text of 80 columns."""
    head = say("Evenings at {place}", place=say(found.place.name))
    if found.day.size:
        head = say("{head}, {first} to {last}", head=head, first=found.day[0], last=found.day[-1])
    notes = [
        say(
            "Moon: its height ten minutes after the last sliver, when the Earth's shadow"
            " stands in the east; how much of it is lit; its light on level ground. The air"
            " is the same on every date: real air moves an instant by half a minute, a"
            " bearing by a hair."
        ),
    ]
    if found.without:
        dates = says("{number} date", "{number} dates", len(found.without))
        notes.append(say("No last sliver on {dates}.", dates=dates))
    lines = [plan_words.wrapped(one) for one in (sentence(found), *notes)]
    return "\n".join([head, "", lines[0], "", *table(found), "", *lines[1:]]) + "\n"


def _line(found, row):
    when, zone, day = found.last_sliver[row], found.place.timezone, found.day[row]
    bearing = plan_words.bearing_column(found.azimuth_deg[row])
    height = found.moon_altitude_deg[row]
    up = height > 0
    moon = f"{height:.0f}°" if up else say("down")
    lux = figures(found.moon_lx[row], ".2f") if up else "-"
    return "".join(
        (
            f"{f'{words.weekday(day, short=True)} {day}':17}",
            f"{words.clock(when, zone, beside=day):>20}",
            f"{words.clock(when):>10}",
            f"{bearing:>13}{moon:>8}",
            f"{100 * found.moon_lit[row]:5.0f}%{lux:>6}",
        )
    )
