"""The spans of time that are looked at: around a sunset, over a year's descent, for its rim."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from lowsun.errors import takes
from lowsun.phenomena.polar_sunset.cold_air import Descent, descent, has_polar_night
from lowsun.phenomena.polar_sunset.passage import Contacts, contacts_at
from lowsun.physics.atmosphere import Atmosphere

DAY = timedelta(days=1)
MARGIN = 0.04  # this share of a disc's passage is shown before it and after it
BEFORE_RIM, AFTER_RIM = timedelta(minutes=5), timedelta(hours=1)


@dataclass(frozen=True)
class Span:
    """From one aware datetime to another."""

    begins: datetime
    ends: datetime

    @classmethod
    def around(cls, middle, length):
        """The span of that length (timedelta) with an instant in its middle."""
        return cls(middle - length / 2, middle + length / 2)

    @property
    def length(self):
        """How long it is [timedelta]."""
        return self.ends - self.begins

    def at(self, share):
        """The instant a share (0..1) of the way through."""
        return self.begins + share * self.length


@takes(setting=(Contacts, Descent))
def whole(setting):
    """From first contact to last sliver of `Contacts` or a `Descent`, 4 % before and after.

    The day around its middle where one of the two is missing.
    """
    begins, ends = setting.first_contact, setting.last_sliver
    if begins is None or ends is None:
        return Span.around(setting.middle, DAY)
    margin = MARGIN * (ends - begins)
    return Span(begins - margin, ends + margin)


@takes(passage=Contacts)
def rim_span(passage):
    """When the green rim of `Contacts` may show: the passage, or the day around its middle."""
    day = Span.around(passage.middle, DAY)
    begins, ends = day.begins, day.ends
    if passage.centre is not None:
        begins, ends = passage.first_contact or begins, passage.last_sliver or ends
    return Span(begins - BEFORE_RIM, ends + AFTER_RIM)


@takes(atmosphere=Atmosphere)
def whole_descent(place, year, atmosphere=None):
    """The year's `Descent` from polar day to polar night, None where either is missing."""
    if not has_polar_night(place, year, atmosphere):
        return None
    found = descent(place, year, atmosphere)
    return None if found.first_contact is None else found


@takes(found=(Descent, Contacts), atmosphere=Atmosphere)
def last_passage(found, atmosphere=None):
    """The `Contacts` of the date of a descent's last sliver."""
    day = found.last_sliver.astimezone(found.place.timezone).date()
    return contacts_at(found.place, day, atmosphere)
