"""Contacts: the instants at which the disc meets the horizon, at any latitude and on any date."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from lowsun import words
from lowsun.errors import takes
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import (
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    Kind,
    Place,
    Sunset,
    clock_times,
    local_day,
    nearest_passage,
    sunrise,
    sunset,
)
from lowsun.sky.contacts import SEARCH_S, OfDay
from lowsun.sky.courses import course, eyes_at
from lowsun.sky.times import terrestrial_s


@dataclass(frozen=True, kw_only=True)
class Contacts(OfDay):
    """The Sun and the visible horizon on one date at one place.

    day: the date's `lowsun.sky.SunDay`, with its lowest and its highest; sunset: a
    `lowsun.sky.Sunset`, the one under way on the date where it takes more than a day; kind: a
    `lowsun.sky.Kind`; atmosphere: as it was given.
    """

    atmosphere: Atmosphere | None
    sunset: Sunset

    @property
    def kind(self):
        """That of the date; `sets` also where a longer sunset is under way on it."""
        return self.day.kind if self.centre is None else Kind.SETS

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
        return self.centre or self.day.nearest.when

    @cached_property
    def sunrise(self):
        """The `lowsun.sky.Sunrise` of the date."""
        return sunrise(self.place, self.date, self.atmosphere)

    @cached_property
    def sunset_before(self):
        """The centre's last descent through the horizon before this one, or before the date."""
        return self._beside(later=False)

    @cached_property
    def sunset_after(self):
        """The centre's next descent through the horizon after this one, or after the date."""
        return self._beside(later=True)

    @property
    def reason(self):
        """Why an instant is missing, with the sunsets before and after; None where none is."""
        return self.sunset.reason

    def _beside(self, *, later):
        if self.centre is None:
            return self.day.beside(rising=False, later=later)
        level = self.horizon_true_altitude_deg
        return nearest_passage(self.place, self.centre, level, later=later)


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
    setting = own if own.centre is not None else _under_way(own, atmosphere)
    return Contacts(day=own.day, atmosphere=atmosphere, sunset=setting)


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


def _under_way(own, atmosphere):
    """The sunset whose centre falls on another date but whose disc meets the horizon on this."""
    horizon, place = own.horizon_true_altitude_deg, own.place
    begins, ends = local_day(own.date, place.timezone)
    eyes = eyes_at("sun", place)
    first, last = (float(terrestrial_s(edge)) for edge in (begins, ends))
    near = course(eyes, first - SEARCH_S, last + SEARCH_S).crossings(horizon).only(False).tt_s
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
