"""Clocks, time zones, dates and lengths of time in words.

Instants are aware datetimes; zones are `tzinfo`. A clock shows the nearest whole second or minute,
and its date and zone are those of what it shows.
"""

from datetime import UTC, timedelta, tzinfo
from math import ceil

from lowsun.errors import require_date, require_instant, require_kind, require_number, require_whole
from lowsun.words.speech import figures, month, say, says, weekday_name

MINUTE_S, HOUR_S, DAY_S = 60, 3600, 86_400
LONGEST_S = 1e11  # three thousand years


# --- clocks -----------------------------------------------------------------------------------


def local(when, zone=UTC, *, seconds=True):
    """What the clocks of a zone show at an instant: its nearest whole second, or whole minute.

    Raises InputError for what is no aware datetime and no `tzinfo`. All that says an instant asks
    here, so it raises the same.
    """
    require_instant("when", when)
    require_kind("zone", zone, tzinfo, "a time zone, such as place.timezone")
    require_kind("seconds", seconds, bool, "True or False")
    near = when.astimezone(UTC) + timedelta(seconds=0.5 if seconds else 30)
    whole = near.replace(microsecond=0) if seconds else near.replace(second=0, microsecond=0)
    return whole.astimezone(zone)


def clock(when, zone=UTC, *, seconds=True, beside=None):
    """Clock time: `18:56:27`, or `18:56` without seconds.

    beside: a date; on another one the clock says how many days off it is: `00:00:12 +1d`.
    """
    shown = local(when, zone, seconds=seconds)
    off = 0 if beside is None else (shown.date() - require_date("beside", beside)).days
    return f"{shown:{'%H:%M:%S' if seconds else '%H:%M'}}" + (f" {off:+d}d" if off else "")


def day_and_clock(when, zone=UTC):
    """Clock time with its date, without the year: `10 Oct 18:56:27`."""
    shown = local(when, zone)
    return f"{day(shown.date(), year=False)} {shown:%H:%M:%S}"


def instant(when, zone=UTC):
    """One instant, local time first: `2025-03-01 18:42:07 WET (18:42:07 UTC)`.

    The UTC date is added where it differs from the local one.
    """
    shown, universal = local(when, zone), local(when)
    if zone_name(when, zone) == "UTC":
        return f"{universal:%Y-%m-%d %H:%M:%S} UTC"
    same = shown.date() == universal.date()
    beside = f"{universal:{'%H:%M:%S' if same else '%Y-%m-%d %H:%M:%S'}} UTC"
    return f"{shown:%Y-%m-%d %H:%M:%S} {zone_name(when, zone)} ({beside})"


def zone_name(when, zone):
    """A zone at an instant: its letters, or its offset where it shows bare figures like -03."""
    shown = local(when, zone)
    return shown.tzname() if shown.tzname().isalpha() else _offset(shown)


def zone_in_full(when, zone):
    """A zone at an instant by letters and offset: `WEST = UTC+01:00`; once where they are one."""
    name, offset = zone_name(when, zone), _offset(local(when, zone))
    return offset if name in (offset, "UTC") else f"{name} = {offset}"


def _offset(shown):
    offset = f"{shown:%z}"
    return f"UTC{offset[:3]}:{offset[3:5]}"


# --- dates ------------------------------------------------------------------------------------


def day(date, *, year=True):
    """A date: `10 Oct 2027`, or `10 Oct` without its year."""
    require_date("date", date)
    require_kind("year", year, bool, "True or False")
    named = {"day": date.day, "month": month(date.month)}
    return (
        say("{day} {month} {year}", year=date.year, **named)
        if year
        else say("{day} {month}", **named)
    )


def weekday(date, *, short=False):
    """The day of the week: `Monday`, or `Mon` in short."""
    require_kind("short", short, bool, "True or False")
    return weekday_name(require_date("date", date).weekday(), short=short)


def days(first, last):
    """From one date to another, as short as it is clear: `24\u201325 Sep 2027`; one date once."""
    if require_date("first", first) == require_date("last", last):
        return day(first)
    if (first.year, first.month) == (last.year, last.month):
        return say("{first}\u2013{last}", first=first.day, last=day(last))
    begins = day(first, year=first.year != last.year)
    return say("{first} to {last}", first=begins, last=day(last))


# --- lengths of time --------------------------------------------------------------------------


def duration(seconds, *, digits=1):
    """A length of time [s, 0 or more] in two units at most: `6.9 s`, `2 min 8 s`, `32 h 45 min`.

    digits: of a second, below ten seconds, 0 to 6. The last figure is rounded.
    """
    seconds = require_number("seconds", seconds, 0, LONGEST_S, unit="s")
    digits = require_whole("digits", digits, 0, 6)
    if round(seconds, digits) < 10:
        return f"{figures(seconds + 0.0, f'.{digits}f')} s"  # no -0 s
    if round(seconds) < 10 * MINUTE_S:
        return _two(round(seconds), (MINUTE_S, "min"), (1, "s"))
    minutes = round(seconds / MINUTE_S)
    if minutes < 100:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return _two(minutes * MINUTE_S, (HOUR_S, "h"), (MINUTE_S, "min"))
    return _two(round(seconds / HOUR_S) * HOUR_S, (DAY_S, "d"), (HOUR_S, "h"))


def countdown(seconds):
    """Whole seconds still to go, as they run down: `2 days`, `1 h 05 min`, `4 min 07 s`, `59 s`.

    Begun seconds count, and the smaller unit keeps its two figures, so that the words stand still.
    What is over has 0 s to go.
    """
    whole = max(0, ceil(require_number("seconds", seconds, -LONGEST_S, LONGEST_S, unit="s")))
    if whole >= 2 * DAY_S:
        return says("{number} day", "{number} days", whole // DAY_S)
    if whole >= HOUR_S:
        return f"{whole // HOUR_S} h {whole % HOUR_S // MINUTE_S:02d} min"
    return (
        f"{whole // MINUTE_S} min {whole % MINUTE_S:02d} s" if whole >= MINUTE_S else f"{whole} s"
    )


def _two(seconds, large, small):
    """Whole numbers of two units, each (its seconds, its name); what is nought is left out."""
    parts = ((seconds // large[0], large[1]), (seconds % large[0] // small[0], small[1]))
    return " ".join(f"{number} {name}" for number, name in parts if number)
