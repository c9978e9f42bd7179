"""The green flash at a place and a date: when it is seen, and when geometry alone would have it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from lowsun import sky
from lowsun.errors import takes
from lowsun.phenomena.green_flash.seen import Seen, main_of, seen_flashes
from lowsun.phenomena.instruments import EYE, Binoculars, Camera, NakedEye
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import Air, air_of
from lowsun.words import say

SEARCH = timedelta(days=2)  # each way from the last sliver; near a pole the limb takes its time


@dataclass(frozen=True)
class TimedFlash:
    """A flash with its instants, aware UTC datetimes.

    begins, ends: of green that is seen, None where none is. geometric_begins, geometric_ends: from
    the last red to the last green, seen or not. At sunrise green comes first in both.
    """

    seen: Seen
    begins: datetime | None
    ends: datetime | None
    geometric_begins: datetime
    geometric_ends: datetime

    @property
    def flash(self):
        """Its geometry, a `Flash`."""
        return self.seen.flash

    @property
    def duration_s(self):
        """How long green is seen [s]."""
        return (self.ends - self.begins).total_seconds() if self.begins else 0.0

    @property
    def geometric_duration_s(self):
        """How long the green image of the piece outlasts the red one [s]."""
        return (self.geometric_ends - self.geometric_begins).total_seconds()


@dataclass(frozen=True)
class Forecast:
    """The flashes of one sunset or sunrise, and what is known of the main one.

    That is the one seen longest, or the first in geometry where none is seen. kind None where the
    air makes none; `reason` in words where none is made or none is seen. Instants are aware UTC
    datetimes; what is named geometric leaves out how much light there is. flashes: `TimedFlash`es
    in order of time.
    """

    place: sky.Place
    date: date
    rising: bool
    flashes: tuple
    reason: str | None

    @property
    def main(self):
        """The main `TimedFlash`, or None."""
        return max(self.flashes, key=lambda timed: timed.seen.rank, default=None)

    @property
    def kind(self):
        """The kind of the main flash."""
        return self.main.flash.kind if self.main else None

    @property
    def begins(self):
        """When green is first seen; None where it is not."""
        return self.main.begins if self.main else None

    @property
    def ends(self):
        """When green is last seen; None where it is not."""
        return self.main.ends if self.main else None

    @property
    def duration_s(self):
        """How long green is seen [s]; 0 where it is not."""
        return self.main.duration_s if self.main else 0.0

    @property
    def height_arcsec(self):
        """Height of what is seen when it turns green [arcsec], 0 if unseen; None without flash."""
        return self.main.seen.height_arcsec if self.main else None

    @property
    def geometric_begins(self):
        """When the red image of the main flash vanishes."""
        return self.main.geometric_begins if self.main else None

    @property
    def geometric_ends(self):
        """When the green image of the main flash vanishes."""
        return self.main.geometric_ends if self.main else None

    @property
    def geometric_duration_s(self):
        """How long green outlasts red [s]; 0 without flash."""
        return self.main.geometric_duration_s if self.main else 0.0

    @property
    def width_arcsec(self):
        """Width of what is green alone when the red vanishes [arcsec]."""
        return self.main.flash.width_arcsec if self.main else None


@takes(atmosphere=(Atmosphere, Air), instrument=(NakedEye, Binoculars, Camera), rising=bool)
def forecast(
    place,
    date,
    atmosphere=None,
    rising=False,
    instrument=EYE,
):
    """What flashes the air makes at a place on a local date, and which are seen: a `Forecast`.

    place: a `sky.Place`, whose eye height counts; date: datetime.date in place.timezone;
    atmosphere: an `Atmosphere`, with a clear evening's haze in it, or an `Air` with its own, by
    default the standard one; rising: at sunrise instead of sunset; instrument: of
    `lowsun.phenomena.instruments`.
    Good to the tenth of a second for the air given; that air itself is seldom known so well that
    sunset is sure to half a minute.
    """
    air = Air() if atmosphere is None else air_of(atmosphere)
    passage = (sky.sunrise if rising else sky.sunset)(place, date, air.atmosphere)
    sliver = passage.first_sliver if rising else passage.last_sliver
    if sliver is None:
        return Forecast(place, date, rising, (), passage.reason)
    diameter = float(sky.sun(place, sliver).angular_diameter_arcmin)
    found = seen_flashes(air, place.eye_height_m, instrument, diameter)
    timed = [_timed(place, sliver, seen, rising) for seen in found]
    kept = sorted((t for t in timed if t is not None), key=lambda t: t.geometric_begins)
    return Forecast(place, date, rising, tuple(kept), _reason(found, kept, instrument))


def _reason(found, kept, instrument):
    if not found:
        part = say(
            "in this air and from this height the Sun thins out to a thread before its colours part"
        )
        return f"{part}; by_eye_height shows from where they do."
    if not kept:
        return say("the Sun turns back before the green image of its limb has gone.")
    if not main_of([timed.seen for timed in kept]).is_seen:
        return say(
            "in this haze too little green comes through for {instrument}.",
            instrument=say(instrument.words),
        )
    return None


def _timed(place, sliver, seen, rising):
    """The flash with the instants nearest to the last, or first, sliver; None without them."""
    flash = seen.flash
    span = _span(place, sliver, flash.red_true_altitude_deg, flash.green_true_altitude_deg, rising)
    if span is None:
        return None
    light = (None, None)
    if seen.is_seen:
        limits = seen.begins_true_altitude_deg, seen.ends_true_altitude_deg
        light = _span(place, sliver, *limits, rising) or light
    return TimedFlash(seen, *light, *span)


def _span(place, sliver, high_deg, low_deg, rising):
    """When the limb passes from one true altitude to a lower one, or back at sunrise; or None."""
    high, low = (_crossings(place, sliver, level, rising) for level in (high_deg, low_deg))
    first, last = (low, high) if rising else (high, low)
    begins = min(first, key=lambda when: abs(when - sliver), default=None)
    ends = min((when for when in last if begins and when > begins), default=None)
    return (begins, ends) if ends else None


def _crossings(place, sliver, true_altitude_deg, rising):
    found = sky.crossings(
        place, sliver - SEARCH, sliver + SEARCH, true_altitude_deg, rising=rising, limb="upper"
    )
    return [crossing.when for crossing in found]
