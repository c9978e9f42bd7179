"""The sunset behind a skyline: the disc against land, upright or sideways, in the traced air."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import takes
from lowsun.fieldwork.skyline.outline import Skyline
from lowsun.phenomena.evening import Evening
from lowsun.phenomena.flash_light import RIM_NM
from lowsun.physics.rays import transfer_curve
from lowsun.words import say

STEP_S = 15.0  # between looks; a peak that hides the Sun for less is passed over
ROUNDS = 12  # of halving a step: 4 ms
BEFORE, AFTER = timedelta(hours=6), timedelta(minutes=10)  # about the sunset over the sea
HIGHEST_DEG = 20.0  # apparent; above it this is no sunset
ACROSS = np.sin(np.linspace(-np.pi / 2, np.pi / 2, 65))  # of the disc's radius, closer at its sides


@dataclass(frozen=True)
class Gone:
    """A span without the Sun before its last sliver: behind a peak, out again beside it."""

    begins: datetime
    ends: datetime


@dataclass(frozen=True)
class LandSunset:
    """The contacts with a skyline, aware UTC datetimes; None where there is none, with `reason`.

    first_contact: the disc is touched and never whole again; last_sliver: nothing is left of it;
    flash_begins, flash_ends: red (630 nm) and green (520 nm) last slivers; azimuth_deg,
    altitude_deg: apparent, of the last point seen; gone: when it was hidden before.
    """

    first_contact: datetime | None
    last_sliver: datetime | None
    flash_begins: datetime | None
    flash_ends: datetime | None
    azimuth_deg: float | None
    altitude_deg: float | None
    gone: tuple[Gone, ...]
    reason: str | None


@dataclass(frozen=True, kw_only=True)
class OverLand(sky.Sunset):
    """A `sky.Sunset` with the contacts of a skyline, and its reason why one is missing."""

    land_reason: str | None

    @property
    def reason(self):
        """Why an instant is missing, as `LandSunset` says it; None where none is."""
        return self.land_reason

    @property
    def briefly(self):
        """The reason, which is short."""
        return self.land_reason

    @property
    def note(self):
        """None: there is one last sliver of an evening."""
        return


@takes(evening=Evening, skyline=Skyline)
def land_sunset(evening, skyline):
    """The `LandSunset` of a `phenomena.evening.Evening` behind a `Skyline`.

    The disc is as round as its true radius and as flattened as the air makes it, in three
    wavelengths; where the skyline is lower than the sea horizon, the sea counts.
    Good to a second or two for a skyline known to 0.01 deg. Leaves out that land which shimmers is
    no line, and air that is other over land.
    """
    seen = _Seen(evening, skyline)
    if not seen.when.size:
        return _none(say("The Sun is not within 20° of the horizon on this date."))
    clear = seen.clearance(seen.when)
    over = clear[1] > 0
    if not over.any():
        return _none(say("The Sun does not come out over the skyline that evening."))
    sets = np.flatnonzero(over[:-1] & ~over[1:])
    if not sets.size:
        return _none(say("The Sun does not go behind the skyline that evening."))
    return _contacts(seen, clear, sets)


@takes(evening=Evening, land=LandSunset)
def behind(evening, land):
    """The evening with the contacts of a `LandSunset` in place of the sea's."""
    sunset = OverLand(
        day=evening.sunset.day,
        almanac=evening.sunset.almanac,
        almanac_azimuth_deg=evening.sunset.almanac_azimuth_deg,
        first_contact=land.first_contact,
        centre=None,
        last_sliver=land.last_sliver,
        first_contact_azimuth_deg=_azimuth_deg(evening.place, land.first_contact),
        centre_azimuth_deg=None,
        last_sliver_azimuth_deg=_azimuth_deg(evening.place, land.last_sliver),
        land_reason=land.reason,
    )
    return replace(evening, sunset=sunset, zero=land.last_sliver or evening.zero)


def _azimuth_deg(place, when):
    return None if when is None else float(sky.sun(place, when).azimuth_deg)


def _none(reason):
    return LandSunset(None, None, None, None, None, None, (), reason)


def _contacts(seen, clear, sets):
    last = seen.when[sets[-1]]
    sliver = seen.crossing(last, 1)
    whole = clear[0] > 0
    touched = np.flatnonzero(whole[:-1] & ~whole[1:])
    touched = touched[touched <= sets[-1]]
    rises = np.flatnonzero((clear[1][:-1] <= 0) & (clear[1][1:] > 0))
    spans = [
        Gone(seen.crossing(seen.when[one], 1), seen.crossing(seen.when[back], 1, rising=True))
        for one in sets[:-1]
        for back in rises[rises > one][:1]
    ]
    red, green = (seen.crossing(last, row) for row in (2, 3))
    azimuth, altitude = seen.last_point(sliver)
    return LandSunset(
        first_contact=seen.crossing(seen.when[touched[-1]], 0) if touched.size else None,
        last_sliver=sliver,
        flash_begins=red if red < green else None,
        flash_ends=green if red < green else None,
        azimuth_deg=azimuth,
        altitude_deg=altitude,
        gone=tuple(spans),
        reason=None,
    )


class _Seen:
    """The disc of an evening over a skyline, at instants."""

    def __init__(self, evening, skyline):
        self.evening, self.skyline = evening, skyline
        grid, eye = evening.curve.apparent_altitude_deg, evening.place.eye_height_m
        middle_nm = evening.curve.wavelength_nm[evening.curve.wavelength_nm.size // 2]
        green_nm, red_nm = RIM_NM
        self.curves = [
            transfer_curve(evening.atmosphere, eye, grid, np.array([nm]))
            for nm in (middle_nm, red_nm, green_nm)
        ]
        self.when = self._instants()

    def _instants(self):
        """Every step from six hours before the sea's sunset on, while the Sun is low."""
        zero = self.evening.zero
        count = int((BEFORE + AFTER).total_seconds() / STEP_S) + 1
        when = np.array(
            [zero - BEFORE + timedelta(seconds=STEP_S * k) for k in range(count)], dtype=object
        )
        high = sky.sun(self.evening.place, when).true_altitude_deg > HIGHEST_DEG - 0.5
        later = np.flatnonzero(high)
        return when[later[-1] + 1 :] if later.size else when

    def clearance(self, when):
        """How far the disc clears the skyline [deg], (4, T), above 0 where it does.

        Rows: the lower edge's least, the upper edge's greatest, and that in red and in green.
        """
        sun = sky.sun(self.evening.place, when)
        radius = np.atleast_1d(sun.angular_diameter_arcmin)[:, None] / 120
        height = np.atleast_1d(sun.true_altitude_deg)[:, None]
        turn = radius * ACROSS / np.cos(np.radians(height))
        land = self._land_deg(np.atleast_1d(sun.azimuth_deg)[:, None] + turn)
        half = radius * np.sqrt(1 - ACROSS**2)
        middle, red, green = self.curves
        lower = middle.apparent_at(height - half) - land
        upper = [c.apparent_at(height + half) - land for c in (middle, red, green)]
        return np.stack([lower.min(axis=1), *(edge.max(axis=1) for edge in upper)])

    def _land_deg(self, azimuth_deg):
        sea = self.evening.horizon_apparent_altitude_deg
        return np.maximum(self.skyline.altitude_at(azimuth_deg % 360), sea)

    def crossing(self, begins, row, rising=False):
        """When a row of `clearance` changes its sign near the step that begins there.

        Red and green may go in another step than the middle; two steps to each side are searched.
        """
        step = timedelta(seconds=STEP_S)
        early, late = (begins, begins + step) if row < 2 else (begins - 2 * step, begins + 2 * step)
        for _ in range(ROUNDS if row < 2 else ROUNDS + 2):
            middle = early + (late - early) / 2
            over = float(self.clearance(np.array([middle], object))[row, 0]) > 0
            early, late = (early, middle) if over == rising else (middle, late)
        return early + (late - early) / 2

    def last_point(self, when):
        """Bearing and apparent height of the point where the last light goes [deg]."""
        sun = sky.sun(self.evening.place, when)
        radius = float(sun.angular_diameter_arcmin) / 120
        azimuth = float(sun.azimuth_deg) + radius * ACROSS / np.cos(
            np.radians(float(sun.true_altitude_deg))
        )
        land = self._land_deg(azimuth)
        edge = float(sun.true_altitude_deg) + radius * np.sqrt(1 - ACROSS**2)
        best = int(np.argmax(self.curves[0].apparent_at(edge) - land))
        return float(azimuth[best] % 360), float(land[best])
