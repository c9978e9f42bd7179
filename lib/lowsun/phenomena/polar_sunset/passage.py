"""Contacts: the instants at which the disc meets the horizon, at any latitude and on any date."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cached_property

import numpy as np

from lowsun import words
from lowsun.errors import takes
from lowsun.phenomena.polar_sunset.search import nearest_passage
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import (
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    Place,
    Sunset,
    clock_text,
    clock_times,
    local_day,
    sunrise,
    sunset,
)
from lowsun.sky.crossings import course, eyes_at
from lowsun.sky.ephemeris import DAY_S
from lowsun.sky.times import terrestrial_s

SETS, RISES = "sets", "rises and does not set"
DAY, DIPS, SHOWS, NIGHT = "polar day", "dips", "shows", "polar night"
UNKNOWN_NEIGHBOURS = "There is no sunset within three days."  # as `lowsun.sky` says it
NEAR_S = 3 * DAY_S  # a passage takes 33 hours at a pole, 48 at most near it


@dataclass(frozen=True, kw_only=True)
class Contacts:
    """The Sun and the visible horizon on one date at one place.

    sunset: a `lowsun.sky.Sunset`, the one under way on the date where it takes more than a day;
    kind: one of `sets`, `rises and does not set`, `polar day` (the whole disc stays up), `dips`
    (part of the disc, the centre stays up), `shows` (part of the disc, the centre stays down),
    `polar night`; lowest and highest: when the centre stood so on the date [aware UTC], with its
    true altitude [deg]; atmosphere: as it was given.
    """

    place: Place
    date: date
    atmosphere: Atmosphere | None
    sunset: Sunset
    kind: str
    lowest: datetime
    lowest_true_altitude_deg: float
    highest: datetime
    highest_true_altitude_deg: float

    @property
    def horizon_true_altitude_deg(self):
        """True altitude [deg] of the lowest ray that clears the horizon, at 570 nm."""
        return self.sunset.horizon_true_altitude_deg

    @property
    def first_contact(self):
        """The lower limb meets the visible horizon."""
        return self.sunset.first_contact

    @property
    def centre(self):
        """The centre meets the visible horizon."""
        return self.sunset.centre

    @property
    def last_sliver(self):
        """The upper limb goes."""
        return self.sunset.last_sliver

    @property
    def almanac(self):
        """The centre at true altitude -50', as almanacs have it: no traced air, no dip."""
        return self.sunset.almanac

    @property
    def length_s(self):
        """From first contact to last sliver [s], None where one of them is missing."""
        if self.first_contact is None or self.last_sliver is None:
            return None
        return (self.last_sliver - self.first_contact).total_seconds()

    @property
    def middle(self):
        """The instant that stands for the date: the centre's crossing.

        Where there is none, the Sun's lowest moment if it stays up, its highest if it stays down.
        """
        if self.centre is not None:
            return self.centre
        return self.lowest if self.kind in (DAY, DIPS) else self.highest

    @cached_property
    def sunrise(self):
        """The `lowsun.sky.Sunrise` of the date."""
        return sunrise(self.place, self.date, self.atmosphere)

    @cached_property
    def sunset_before(self):
        """The centre's last descent through the horizon before this one, or before the date."""
        return self._neighbour(0, later=False)

    @cached_property
    def sunset_after(self):
        """The centre's next descent through the horizon after this one, or after the date."""
        return self._neighbour(1, later=True)

    @cached_property
    def reason(self):
        """Why an instant is missing, with the sunsets before and after; None where none is."""
        if self.centre is not None:
            return self.sunset.reason
        return self.sunset.reason.replace(UNKNOWN_NEIGHBOURS, self._far())

    def _neighbour(self, edge, later):
        start = self.centre or local_day(self.date, self.place.timezone)[edge]
        return nearest_passage(self.place, start, self.horizon_true_altitude_deg, later=later)

    def _far(self):
        before, after = self.sunset_before, self.sunset_after
        sentences = [
            *([] if before is None else [f"The last sunset was at {_text(self.place, before)}."]),
            *([] if after is None else [f"The next is at {_text(self.place, after)}."]),
        ]
        return " ".join(sentences) or "The year before and the year after hold no sunset."


@takes(atmosphere=Atmosphere)
def contacts(latitude_deg, date, atmosphere=None, *, longitude_deg=0.0, eye_height_m=2.0):
    """The instants of the disc's passage on a date, at any latitude.

    latitude_deg [deg, north positive, -90 to 90]; date: datetime.date in the zone of the place
    (at a pole UTC); atmosphere: an Atmosphere, by default the standard one; longitude_deg [deg,
    east positive]; eye_height_m [m] above the sea or the plain.
    Returns `Contacts`: first_contact, centre, last_sliver, almanac as aware UTC datetimes. A
    sunset longer than a day is given whole on each date it touches. Where there is none, `kind`
    and `reason` say what the Sun does and when the sunsets before and after are.
    Accuracy: as `lowsun.sky.sunset`. Real polar air moves the instants by hours and days.
    """
    place = Place(words.latitude(latitude_deg), latitude_deg, longitude_deg, eye_height_m)
    return contacts_at(place, date, atmosphere)


@takes(atmosphere=Atmosphere)
def contacts_at(place, date, atmosphere=None):
    """As `contacts`, for a Place."""
    own = sunset(place, date, atmosphere)
    begins, ends = local_day(date, place.timezone)
    path = _path(place, begins, ends)
    setting = own if own.centre is not None else _under_way(own, begins, ends, atmosphere)
    return Contacts(
        place=place,
        date=date,
        atmosphere=atmosphere,
        sunset=setting,
        kind=_kind(setting, path),
        **_extremes(path),
    )


@dataclass(frozen=True, kw_only=True)
class Dusks:
    """When the centre next sinks through -6, -12, -18 deg true, aware UTC; None within a year."""

    civil: datetime | None
    nautical: datetime | None
    astronomical: datetime | None


@takes(passage=Contacts)
def dusks(passage):
    """The ends of the three twilights that follow the sunset of `Contacts`.

    Minutes after it at the equator, 2 to 7 weeks at a pole, months where nights are white.
    """
    return Dusks(
        civil=_dusk(passage, CIVIL_DEG),
        nautical=_dusk(passage, NAUTICAL_DEG),
        astronomical=_dusk(passage, ASTRONOMICAL_DEG),
    )


def _dusk(passage, level_deg):
    return nearest_passage(passage.place, passage.middle, level_deg, later=True)


def _under_way(own, begins, ends, atmosphere):
    """The sunset whose centre falls on another date but whose disc meets the horizon on this."""
    horizon, place = own.horizon_true_altitude_deg, own.place
    eyes = eyes_at("sun", place)
    first, last = (float(terrestrial_s(edge)) for edge in (begins, ends))
    near = course(eyes, first - NEAR_S, last + NEAR_S).crossings(horizon).only(False).tt_s
    for tt_s in (*near[near < first][-1:], *near[near >= last][:1]):
        centre = clock_times(tt_s)
        other = sunset(place, centre.astimezone(place.timezone).date(), atmosphere)
        if other.centre is not None and _touches(other, begins, ends):
            return other
    return own


def _touches(passage, begins, ends):
    first = passage.first_contact or passage.centre
    last = passage.last_sliver or passage.centre
    return first < ends and last >= begins


def _path(place, begins, ends):
    """The Sun's course through a date; one second of it where the clocks skipped the date."""
    first, last = (float(terrestrial_s(edge)) for edge in (begins, ends))
    return course(eyes_at("sun", place), first, max(last, first + 1.0))


def _extremes(path):
    altitude, tt_s = path.true_altitude_deg.ravel(), path.tt_s.ravel()
    low, high = np.argmin(altitude), np.argmax(altitude)
    return {
        "lowest": clock_times(tt_s[low]),
        "lowest_true_altitude_deg": float(altitude[low]),
        "highest": clock_times(tt_s[high]),
        "highest_true_altitude_deg": float(altitude[high]),
    }


def _kind(setting, path):
    if setting.centre is not None:
        return SETS
    above = path.true_altitude_deg - setting.horizon_true_altitude_deg
    radius = path.semidiameter_deg.mean()
    if above.min() > 0:
        return DAY if above.min() > radius else DIPS
    if above.max() < 0:
        return NIGHT if above.max() < -radius else SHOWS
    return RISES


def _text(place, when):
    return clock_text(place, when.astimezone(UTC))
