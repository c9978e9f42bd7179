"""Sunset and sunrise: the instants at which the disc meets the horizon seen through real air.

The lowest clear ray from the eye starts at a true altitude H, below zero: refraction and dip
together. A limb stands on the visible horizon when its own true altitude is H, so the upper limb
meets it with the centre at H - s, the lower with the centre at H + s, s the semidiameter.
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cache, lru_cache

import numpy as np

from lowsun.errors import InputError, OutOfRangeError, quoted
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_true_altitude_deg
from lowsun.sky.crossings import ALMANAC_DEG, CENTRE, LOWER_LIMB, UPPER_LIMB, course, eyes_at
from lowsun.sky.ephemeris import DAY_S
from lowsun.sky.place import Place, require_place
from lowsun.sky.times import clock_text, clock_times, local_day, terrestrial_s

SEARCH_S = 3 * DAY_S  # each way: a disc takes 33 hours at a pole, 48 at most near it


@dataclass(frozen=True, kw_only=True)
class _Passage:
    """What sunset and sunrise share. Instants are aware UTC datetimes, None where there is none."""

    place: Place
    date: date
    horizon_true_altitude_deg: float
    centre: datetime | None
    almanac: datetime | None
    centre_azimuth_deg: float | None
    almanac_azimuth_deg: float | None
    reason: str | None
    note: str | None


@dataclass(frozen=True, kw_only=True)
class Sunset(_Passage):
    """The Sun goes down: lower limb on the visible horizon, centre, upper limb gone."""

    first_contact: datetime | None
    last_sliver: datetime | None
    first_contact_azimuth_deg: float | None
    last_sliver_azimuth_deg: float | None


@dataclass(frozen=True, kw_only=True)
class Sunrise(_Passage):
    """The Sun comes up: upper limb on the visible horizon, centre, lower limb clear."""

    first_sliver: datetime | None
    last_contact: datetime | None
    first_sliver_azimuth_deg: float | None
    last_contact_azimuth_deg: float | None


def sunset(place, date, atmosphere=None):
    """The sunset whose centre crosses the visible horizon on a local date at the place.

    date: datetime.date in place.timezone; atmosphere: an Atmosphere, by default the standard one.
    Returns a Sunset: aware UTC datetimes first_contact, centre, last_sliver through the traced air
    (lowest clear ray at 570 nm), almanac (centre at true altitude -50', without dip or traced
    air), a bearing [deg] for each (NaN at a pole), `reason` in words where any is None, else None.
    The outer contacts may fall on the neighbouring date; so may the almanac's instant.
    Two sunsets on one date (at high latitudes, just after midnight and just before the next): the
    later is given and `note` names both. No sunset on the date: the contacts that do fall on it
    are given, the rest is None. A date the clocks skipped has none.
    Good to 0.1 s for the air given, at middle latitudes. Real air is never quite the air given:
    expect half a minute there, a minute and a half over an inversion (computed: see the README),
    days near a pole.
    Leaves out land and waves.
    """
    passage = _passage(place, date, atmosphere, rising=False)
    return Sunset(
        first_contact=passage.when["before"],
        last_sliver=passage.when["after"],
        first_contact_azimuth_deg=passage.azimuth["before"],
        last_sliver_azimuth_deg=passage.azimuth["after"],
        **passage.shared(),
    )


def sunrise(place, date, atmosphere=None):
    """The sunrise whose centre crosses the visible horizon on a local date at the place.

    As `sunset`, mirrored: first_sliver, centre, last_contact, almanac. Of two sunrises on one
    date the earlier is given.
    """
    passage = _passage(place, date, atmosphere, rising=True)
    return Sunrise(
        first_sliver=passage.when["before"],
        last_contact=passage.when["after"],
        first_sliver_azimuth_deg=passage.azimuth["before"],
        last_contact_azimuth_deg=passage.azimuth["after"],
        **passage.shared(),
    )


def visible_horizon_deg(place, atmosphere=None):
    """True altitude [deg] of the lowest ray that clears the horizon from the eye, at 570 nm.

    Negative: about -0.6 in standard air by the sea. The default air is the standard one.
    """
    require_place(place)
    return _horizon(air_or_standard(atmosphere), place.eye_height_m)


def air_or_standard(atmosphere):
    """The atmosphere given, or for None the one standard atmosphere that everyone shares."""
    air = _standard_air() if atmosphere is None else atmosphere
    if not isinstance(air, Atmosphere):
        raise InputError(
            f"atmosphere is {quoted(air)}; give an Atmosphere, or None for the standard one."
        )
    return air


@cache
def _standard_air():
    return Atmosphere.standard()


@lru_cache(maxsize=64)
def _horizon(atmosphere, eye_height_m):
    horizon = horizon_true_altitude_deg(atmosphere, eye_height_m)
    if not np.isfinite(horizon):
        raise OutOfRangeError(
            f"no ray from an eye at {eye_height_m:g} m in this air reaches space, so no horizon "
            "is seen against the sky. Raise the eye or weaken the inversion."
        )
    return horizon


@dataclass(frozen=True, eq=False)
class _Search:
    """One date at one place, the Sun's course around it, and which way the Sun is to go."""

    place: Place
    day: date
    rising: bool
    horizon_deg: float
    begins_s: float
    ends_s: float
    course: object

    def passing(self, level_deg, limb, rising):
        return self.course.crossings(level_deg, limb).only(rising).tt_s

    def on_date(self, tt_s):
        return tt_s[(tt_s >= self.begins_s) & (tt_s < self.ends_s)]

    def chosen(self, tt_s):
        """The evening one of several sunsets, the morning one of several sunrises."""
        return None if tt_s.size == 0 else tt_s[0 if self.rising else -1]

    def events(self):
        """Every wanted crossing near the date, by the part it plays."""
        first, last = (UPPER_LIMB, LOWER_LIMB) if self.rising else (LOWER_LIMB, UPPER_LIMB)
        return {
            "before": self.passing(self.horizon_deg, first, self.rising),
            "centre": self.passing(self.horizon_deg, CENTRE, self.rising),
            "after": self.passing(self.horizon_deg, last, self.rising),
            "almanac": self.passing(ALMANAC_DEG, CENTRE, self.rising),
        }

    def text(self, tt_s):
        return clock_text(self.place, clock_times(tt_s))


@dataclass(frozen=True, eq=False)
class _Result:
    search: _Search
    when: dict
    azimuth: dict
    reason: str | None
    note: str | None

    def shared(self):
        return {
            "place": self.search.place,
            "date": self.search.day,
            "horizon_true_altitude_deg": self.search.horizon_deg,
            "centre": self.when["centre"],
            "almanac": self.when["almanac"],
            "centre_azimuth_deg": self.azimuth["centre"],
            "almanac_azimuth_deg": self.azimuth["almanac"],
            "reason": self.reason,
            "note": self.note,
        }


def _passage(place, day, atmosphere, rising):
    search = _searched(place, day, visible_horizon_deg(place, atmosphere), rising)
    events = search.events()
    instants = _instants(search, events)
    return _Result(
        search=search,
        when=_each(instants, clock_times),
        azimuth=_each(instants, lambda tt_s: float(search.course.eyes.look(0, tt_s).azimuth_deg)),
        reason=_reason(search, events, instants),
        note=_note(search, search.on_date(events["centre"])),
    )


def _searched(place, day, horizon_deg, rising):
    begins, ends = (float(terrestrial_s(edge)) for edge in local_day(day, place.timezone))
    around = course(eyes_at("sun", place), begins - SEARCH_S, ends + SEARCH_S)
    return _Search(place, day, rising, horizon_deg, begins, ends, around)


def _each(instants, convert):
    return {part: None if tt_s is None else convert(tt_s) for part, tt_s in instants.items()}


def _instants(search, events):
    centre = search.chosen(search.on_date(events["centre"]))
    if centre is None:
        return {part: search.chosen(search.on_date(tt_s)) for part, tt_s in events.items()}
    back = search.passing(search.horizon_deg, CENTRE, not search.rising)
    earliest = np.max(back[back < centre], initial=-np.inf)
    latest = np.min(back[back > centre], initial=np.inf)
    own = {part: tt_s[(tt_s > earliest) & (tt_s < latest)] for part, tt_s in events.items()}
    before, after = own["before"], own["after"]
    return {
        "before": _last(before[before < centre]),
        "centre": centre,
        "after": _first(after[after > centre]),
        "almanac": _nearest(own["almanac"], centre),
    }


def _first(tt_s):
    return tt_s[0] if tt_s.size else None


def _last(tt_s):
    return tt_s[-1] if tt_s.size else None


def _nearest(tt_s, centre):
    return tt_s[np.argmin(np.abs(tt_s - centre))] if tt_s.size else None


# --- in words ---------------------------------------------------------------------------------


def _reason(search, events, instants):
    if all(tt_s is not None for tt_s in instants.values()):
        return None
    if search.ends_s <= search.begins_s:
        return f"{search.day} does not exist at {search.place.name}: the clocks there skipped it."
    if instants["centre"] is None:
        return f"{_day_in_words(search)} {_neighbours(search, events['centre'])}"
    return " ".join(_missing(search, instants))


def _missing(search, instants):
    if instants["before"] is None:
        yield (
            "The upper limb had not sunk below the visible horizon before: no first sliver."
            if search.rising
            else "The lower limb had not cleared the visible horizon before: no first contact."
        )
    if instants["after"] is None:
        yield (
            "The lower limb does not clear the visible horizon before the Sun sinks again: "
            "no last contact."
            if search.rising
            else "The upper limb does not sink below the visible horizon before the Sun climbs "
            "again: no last sliver."
        )
    if instants["almanac"] is None:
        yield "The centre does not pass -50' true altitude in this passage: no almanac instant."


def _day_in_words(search):
    """How the Sun's centre stands to the visible horizon through a date without its crossing."""
    tt_s = search.course.tt_s
    today = (tt_s >= search.begins_s) & (tt_s <= search.ends_s)
    margin = search.course.true_altitude_deg[today] - search.horizon_deg
    radius = search.course.semidiameter_deg[today]
    if margin.min() > 0:
        at = margin.argmin()
        return _polar_day(search, margin[at], radius[at], tt_s[today][at])
    if margin.max() < 0:
        at = margin.argmax()
        return _polar_night(search, margin[at], radius[at], tt_s[today][at])
    event = "sunrise" if search.rising else "sunset"
    return (
        f"The Sun crosses the visible horizon on {search.day}, but no {event} falls on that date."
    )


def _polar_day(search, margin_deg, radius_deg, tt_s):
    if margin_deg > radius_deg:
        return (
            f"Polar day: the whole disc stays above the visible horizon on {search.day}; "
            f"lowest, its centre is {margin_deg:.2f}° above it, at {search.text(tt_s)}."
        )
    hidden = (radius_deg - margin_deg) / (2 * radius_deg)
    return (
        f"The Sun dips only a part of its disc on {search.day}: the centre stays above the visible "
        f"horizon; lowest, {hidden:.0%} of the disc's height is below it, "
        f"at {search.text(tt_s)}."
    )


def _polar_night(search, margin_deg, radius_deg, tt_s):
    if margin_deg < -radius_deg:
        return (
            f"Polar night: the whole disc stays below the visible horizon on {search.day}; "
            f"highest, its centre is {-margin_deg:.2f}° below it, at {search.text(tt_s)}."
        )
    shown = (margin_deg + radius_deg) / (2 * radius_deg)
    return (
        f"The Sun shows only a part of its disc on {search.day}: the centre stays below the "
        f"visible horizon; highest, {shown:.0%} of the disc's height is above it, "
        f"at {search.text(tt_s)}."
    )


def _neighbours(search, centres):
    event = "sunrise" if search.rising else "sunset"
    before = centres[centres < search.begins_s][-1:]
    after = centres[centres >= search.ends_s][:1]
    sentences = [
        *(f"The {event} before is at {search.text(tt_s)}." for tt_s in before),
        *(f"The next {event} is at {search.text(tt_s)}." for tt_s in after),
    ]
    return " ".join(sentences) or f"There is no {event} within three days."


def _note(search, centres):
    if centres.size < 2:
        return None
    event, kept = ("sunrises", "earlier") if search.rising else ("sunsets", "later")
    times = " and ".join(search.text(tt_s) for tt_s in centres)
    return f"{centres.size} {event} fall on {search.day}, {times}; the {kept} is given."
