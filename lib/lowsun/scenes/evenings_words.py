"""Several evenings in words: the runs of dates, and a table of 80 columns."""

from datetime import timedelta
from itertools import pairwise

import numpy as np

from lowsun import words
from lowsun.scenes import plan_words
from lowsun.words import says

RUNS_TOLD = 4
HEADING = (
    f"{'date':17}{'last sliver, local':>20}{'UTC':>10}{'bearing':>13}{'Moon':>8}{'lit':>6}{'lx':>6}"
)


def sentence(found):
    """How many evenings, when, and how many of them under a bright Moon."""
    span = f"between {found.low_deg:g}° and {found.high_deg:g}°"
    days = found.day[found.inside]
    if not found.day.size:
        return "The Sun does not set there in these days."
    if found.place.at_pole:
        return "At a pole no direction has a bearing: there is no gap between two."
    if not days.size:
        low, high = (words.bearing(found.azimuth_deg[k], point=False) for k in _ends(found))
        return f"On no evening does the last sliver fall {span}: it wanders from {low} to {high}."
    up = int(np.sum(found.moon_altitude_deg[found.inside] > 0))
    moon = f"the Moon is up on {up}" if up else "no Moon is up"
    count = says("{number} evening", "{number} evenings", days.size)
    return f"On {count} the last sliver falls {span}: {_runs(days)}; ten minutes later {moon}."


def _ends(found):
    return int(np.argmin(found.azimuth_deg)), int(np.argmax(found.azimuth_deg))


def _runs(days):
    """Dates joined to runs: `15–22 Mar 2027, 21–27 Sep 2027`."""
    breaks = [k + 1 for k, (a, b) in enumerate(pairwise(days)) if b - a > timedelta(days=1)]
    runs = [(run[0], run[-1]) for run in np.split(days, breaks)]
    told = [words.days(*run) for run in runs[:RUNS_TOLD]]
    more = sum((last - first).days + 1 for first, last in runs[RUNS_TOLD:])
    return ", ".join(told) + (f" and {more} more" if more else "")


def table(found):
    """The evenings in the gap, a line each, headings first, no line over 80 columns."""
    rows = np.flatnonzero(found.inside)
    return [HEADING, *(_line(found, row) for row in rows)]


def line(found, row):
    """One evening, short: `15 Mar 18:47:45 268.2° Moon 51 %`."""
    day, zone = found.day[row], found.place.timezone
    moon = f"Moon {100 * found.moon_lit[row]:.0f} %" if found.moon_altitude_deg[row] > 0 else ""
    clock = words.clock(found.last_sliver[row], zone)
    where = words.bearing(found.azimuth_deg[row], 1, point=False)
    return f"{words.day(day, year=False):>6}  {clock}  {where}  {moon}".rstrip()


def text(found):
    """The whole table with its sentence, as plain text of 80 columns."""
    span = f", {found.day[0]} to {found.day[-1]}" if found.day.size else ""
    head = f"Evenings at {found.place.name}{span}"
    notes = [
        "Moon: its height ten minutes after the last sliver, when the Earth's shadow stands in the"
        " east; how much of it is lit; its light on level ground. The air is the same on every"
        " date: real air moves an instant by half a minute, a bearing by a hair.",
    ]
    if found.without:
        dates = says("{number} date", "{number} dates", len(found.without))
        notes.append(f"No last sliver on {dates}.")
    lines = [plan_words.wrapped(one) for one in (sentence(found), *notes)]
    return "\n".join([head, "", lines[0], "", *table(found), "", *lines[1:]]) + "\n"


def _line(found, row):
    when, zone, day = found.last_sliver[row], found.place.timezone, found.day[row]
    bearing = plan_words.bearing_column(found.azimuth_deg[row])
    height = found.moon_altitude_deg[row]
    up = height > 0
    moon = f"{height:.0f}°" if up else "down"
    lux = f"{found.moon_lx[row]:.2f}" if up else "-"
    return "".join(
        (
            f"{f'{words.weekday(day, short=True)} {day}':17}",
            f"{words.clock(when, zone, beside=day):>20}",
            f"{words.clock(when):>10}",
            f"{bearing:>13}{moon:>8}",
            f"{100 * found.moon_lit[row]:5.0f}%{lux:>6}",
        )
    )
