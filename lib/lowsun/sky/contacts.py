"""Sunset and sunrise: the instants at which the disc meets the horizon seen through real air.

The lowest clear ray from the eye starts at a true altitude H, below zero: refraction and dip
together. A limb stands on the visible horizon when its own true altitude is H, so the upper limb
meets it with the centre at H - s, the lower with the centre at H + s, s the semidiameter.
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import ClassVar

import numpy as np

from lowsun.errors import OutOfRangeError, takes
from lowsun.kept import KB, kept
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_true_altitude_deg
from lowsun.sky.courses import ALMANAC_DEG, CENTRE, LOWER_LIMB, UPPER_LIMB, course, eyes_at
from lowsun.sky.days import SunDay, day_of
from lowsun.sky.ephemeris import DAY_S
from lowsun.sky.place import Place, require_place
from lowsun.sky.times import clock_times, local_day, terrestrial_s
from lowsun.words.sun_day import briefly, several, why_missing

SEARCH_S = 3 * DAY_S  # each way: a disc takes 33 hours at a pole, 48 at most near it


@dataclass(frozen=True, kw_only=True)
class OfDay:
    """What belongs to one `SunDay`."""

    day: SunDay

    @property
    def place(self):
        """The `Place`."""
        return self.day.place

    @property
    def date(self):
        """The local date."""
        return self.day.date

    @property
    def horizon_true_altitude_deg(self):
        """True altitude [deg] of the lowest ray that clears the horizon, at 570 nm."""
        return self.day.horizon_true_altitude_deg


@dataclass(frozen=True, kw_only=True)
class _Passage(OfDay):
    """What sunset and sunrise share. Instants are aware UTC datetimes, None where there is none."""

    centre: datetime | None
    almanac: datetime | None
    centre_azimuth_deg: float | None
    almanac_azimuth_deg: float | None

    @property
    def reason(self):
        """Why an instant is missing, in words; None where none is."""
        return why_missing(self)

    @property
    def briefly(self):
        """The reason in fewer words, for under a picture; None where no instant is missing."""
        return briefly(self)

    @property
    def note(self):
        """That several fall on the date, and which is given, in words; None where one does."""
        return several(self)


@dataclass(frozen=True, kw_only=True)
class Sunset(_Passage):
    """The Sun goes down: lower limb on the visible horizon, centre, upper limb gone."""

    rising: ClassVar[bool] = False

    first_contact: datetime | None
    last_sliver: datetime | None
    first_contact_azimuth_deg: float | None
    last_sliver_azimuth_deg: float | None

    @property
    def instants(self):
        """The instants by the part they play: before, centre, after, almanac."""
        return _parts(self, self.first_contact, self.last_sliver)


@dataclass(frozen=True, kw_only=True)
class Sunrise(_Passage):
    """The Sun comes up: upper limb on the visible horizon, centre, lower limb clear."""

    rising: ClassVar[bool] = True

    first_sliver: datetime | None
    last_contact: datetime | None
    first_sliver_azimuth_deg: float | None
    last_contact_azimuth_deg: float | None

    @property
    def instants(self):
        """The instants by the part they play: before, centre, after, almanac."""
        return _parts(self, self.first_sliver, self.last_contact)


def _parts(passage, before, after):
    centre, almanac = passage.centre, passage.almanac
    return {"before": before, "centre": centre, "after": after, "almanac": almanac}


def sunset(place, date, atmosphere=None):
    """The sunset whose centre crosses the visible horizon on a local date at the place.

    date: datetime.date in place.timezone; atmosphere: an Atmosphere, by default the standard one.
    Returns a Sunset: aware UTC datetimes first_contact, centre, last_sliver through the traced air
    (lowest clear ray at 570 nm), almanac (centre at true altitude -50', without dip or traced
    air), a bearing [deg] for each (NaN at a pole), `day`: the `SunDay`, and `reason` in words where
    any instant is None, else None.
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


def sun_day(place, date, atmosphere=None):
    """What the Sun does on a local date at the place: a `SunDay`. Parameters as for `sunset`."""
    return _searched(place, date, visible_horizon_deg(place, atmosphere), rising=False).sun_day()


@takes(atmosphere=Atmosphere)
def visible_horizon_deg(place, atmosphere=None):
    """True altitude [deg] of the lowest ray that clears the horizon from the eye, at 570 nm.

    Negative: about -0.6 in standard air by the sea. The default air is the standard one.
    """
    require_place(place)
    return _horizon(atmosphere or Atmosphere.standard(), place.eye_height_m)


@kept(500 * KB)
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

    @cached_property
    def centres(self):
        """Every crossing of the visible horizon by the centre, both ways."""
        return self.course.crossings(self.horizon_deg, CENTRE)

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
            "centre": self.centres.only(self.rising).tt_s,
            "after": self.passing(self.horizon_deg, last, self.rising),
            "almanac": self.passing(ALMANAC_DEG, CENTRE, self.rising),
        }

    def sun_day(self):
        """What the Sun does on the date."""
        edges = self.begins_s, self.ends_s
        return day_of(self.place, self.day, self.horizon_deg, self.course, self.centres, *edges)


@dataclass(frozen=True, eq=False)
class _Result:
    search: _Search
    when: dict
    azimuth: dict

    def shared(self):
        return {
            "day": self.search.sun_day(),
            "centre": self.when["centre"],
            "almanac": self.when["almanac"],
            "centre_azimuth_deg": self.azimuth["centre"],
            "almanac_azimuth_deg": self.azimuth["almanac"],
        }


def _passage(place, day, atmosphere, rising):
    search = _searched(place, day, visible_horizon_deg(place, atmosphere), rising)
    instants = _instants(search, search.events())
    return _Result(
        search=search,
        when=_each(instants, clock_times),
        azimuth=_each(instants, lambda tt_s: float(search.course.eyes.look(0, tt_s).azimuth_deg)),
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
    back = search.centres.only(not search.rising).tt_s
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
