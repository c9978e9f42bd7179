"""Clock time in and out: aware datetimes, local dates, and the even time the Earth turns in."""

from datetime import UTC, datetime, timedelta, tzinfo

import numpy as np

from lowsun import words
from lowsun.errors import (
    InputError,
    OutOfRangeError,
    quoted,
    require_date,
    require_instant,
    require_kind,
    require_range,
)
from lowsun.sky.ephemeris import delta_t_s, leap_seconds, span_tt_s
from lowsun.sky.place import require_place

UNIX_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
J2000_UNIX_S = 946_728_000.0  # 2000-01-01 12:00, read as the same figures in every scale
TT_MINUS_TAI_S = 32.184  # IAU 1991
CLOCK_RANGE_S = (-6.3e10, 2.5e11)  # past J2000: the years 4 to 9922
MICROSECOND = timedelta(microseconds=1)


def terrestrial_s(when):
    """Terrestrial time [s past J2000], shaped as `when`: an aware datetime or an array of them.

    From 1972 on the datetimes are UTC with its leap seconds; before, when clocks kept mean solar
    time, they are read as UT1. Good to 0.1 s before 1972, to a microsecond after.
    Raises InputError for a naive datetime, OutOfRangeError outside DE421 (1899 to 2053).
    """
    moments = _moments(when)
    unix = np.array([_unix_s(moment) for moment in moments.flat], float).reshape(moments.shape)
    tt = _tt_from_unix(unix)
    _refuse_outside_ephemeris(tt, moments)
    return tt


def instant_s(when, name="when"):
    """Terrestrial time [s past J2000] of one aware datetime.

    Raises InputError for an array or a naive datetime, OutOfRangeError outside DE421.
    """
    tt = terrestrial_s(when)
    if tt.ndim:
        raise InputError(f"{name} is an array; give one aware datetime at a time.")
    return float(tt)


def _moments(when):
    try:
        moments = np.asarray(when, dtype=object)
        _ = moments.flat  # which numpy refuses of more than 32 dimensions, as of a list in itself
        return moments
    except Exception as refused:  # what is no array may raise anything when asked for one
        raise InputError(f"when is {quoted(when)}; give an aware datetime.") from refused


def clock_times(tt_s):
    """Aware UTC datetimes of terrestrial times [s past J2000]: one, or an object array.

    tt_s [s] -6.3e+10 to 2.5e+11. Raises OutOfRangeError outside.
    """
    unix = _unix_from_tt(require_range("tt_s", tt_s, *CLOCK_RANGE_S, unit="s"))
    found = np.empty(unix.shape, dtype=object)
    found.flat = [UNIX_EPOCH + round(second * 1e6) * MICROSECOND for second in unix.flat]
    return found[()]


def require_day(day):
    """The date itself, one that the ephemeris covers.

    Raises InputError for what is no date, OutOfRangeError beyond the ephemeris.
    """
    require_date("date", day)
    if not 1899 <= day.year <= 2053:
        raise OutOfRangeError(
            f"date is {day}; the ephemeris DE421 covers 1899 to 2053. Choose a date inside."
        )
    return day


def local_day(day, timezone):
    """The two aware datetimes between which the clocks of a time zone show the date `day`.

    From its first midnight to the first midnight of the next date: 23 or 25 hours where clocks
    change, nothing at all for a date that was skipped.
    Raises InputError for what is no date, OutOfRangeError beyond the ephemeris.
    """
    require_day(day)
    require_kind("timezone", timezone, tzinfo, "a time zone, such as place.timezone")
    return tuple(
        datetime(one.year, one.month, one.day, tzinfo=timezone).astimezone(UTC)
        for one in (day, day + timedelta(days=1))
    )


def clock_text(place, when):
    """One instant in words, local time first: `2025-03-01 18:42:07 WET (18:42:07 UTC)`.

    Rounded to the second. The UTC date is added where it differs from the local one.
    Raises InputError for an array of them.
    """
    require_place(place)
    instant_s(when)
    return words.instant(when, place.timezone)


def _unix_s(moment):
    return (require_instant("when", moment) - UNIX_EPOCH) / MICROSECOND * 1e-6


def _tt_from_unix(unix):
    begins, tai_minus_utc = leap_seconds()
    entry = np.searchsorted(begins, unix, side="right") - 1
    even = unix - J2000_UNIX_S
    modern = even + tai_minus_utc[np.maximum(entry, 0)] + TT_MINUS_TAI_S
    return np.where(entry < 0, even + delta_t_s(even), modern)


def _unix_from_tt(tt):
    begins, tai_minus_utc = leap_seconds()
    offset = tai_minus_utc + TT_MINUS_TAI_S
    entry = np.searchsorted(begins - J2000_UNIX_S + offset, tt, side="right") - 1
    behind = np.where(entry < 0, delta_t_s(tt), offset[np.maximum(entry, 0)])
    return tt + J2000_UNIX_S - behind


def _refuse_outside_ephemeris(tt, moments):
    first, last = span_tt_s()
    outside = ~((tt >= first) & (tt <= last))
    if outside.any():
        offender = moments[outside].flat[0] if moments.ndim else moments[()]
        low, high = (f"{clock_times(edge):%Y-%m-%d}" for edge in (first, last))
        raise OutOfRangeError(
            f"when is {offender.isoformat()}; the ephemeris DE421 covers {low} to {high}. "
            "Choose a time inside."
        )
