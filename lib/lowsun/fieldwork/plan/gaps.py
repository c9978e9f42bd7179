"""Which evenings of a month or a year send the last sliver into a gap between two bearings."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

import numpy as np
from tqdm import tqdm

from lowsun import sky
from lowsun.errors import (
    OutOfRangeError,
    require_executor,
    require_number,
    require_whole,
    takes,
)
from lowsun.fieldwork.plan.focus import illuminance_lx
from lowsun.fieldwork.skyline import Skyline, land_sunset
from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky.times import require_day
from lowsun.words import say

MOST_DAYS = 366
SHADOW = timedelta(minutes=10)  # after the last sliver, when one looks for the shadow's arch
DIMMING = 0.3  # magnitudes the Moon loses per air mass; clear air at the sea, common practice


@dataclass(frozen=True, eq=False)
class Evenings:
    """The evenings of a span that have a last sliver, arrays (N,), from early to late.

    day: local dates; last_sliver: aware UTC datetimes; azimuth_deg: of the Sun then; inside:
    whether that lies in the gap from low_deg clockwise to high_deg; of the Moon ten minutes later,
    when the Earth's shadow stands in the east: moon_altitude_deg, moon_azimuth_deg without air,
    moon_lit 0 to 1, moon_lx on level ground, 0 where it is down. without: dates without a sliver.
    """

    place: sky.Place
    low_deg: float
    high_deg: float
    day: np.ndarray
    last_sliver: np.ndarray
    azimuth_deg: np.ndarray
    inside: np.ndarray
    moon_altitude_deg: np.ndarray
    moon_azimuth_deg: np.ndarray
    moon_lit: np.ndarray
    moon_lx: np.ndarray
    without: tuple[date, ...]


@takes(place=sky.Place, atmosphere=Atmosphere, skyline=Skyline, progress=bool)
def evenings(
    place,
    first_day,
    last_day,
    low_deg,
    high_deg,
    atmosphere=None,
    *,
    skyline=None,
    executor=None,
    workers=1,
    progress=False,
):
    """The `Evenings` from one local date to another at a `sky.Place`.

    low_deg, high_deg [deg]: bearings of the gap, clockwise: 350 and 10 hold north. atmosphere: by
    default the standard one, the same on every date; skyline: a `skyline.Skyline`, by default a
    level sea. executor, workers, progress: as in `spread`, for the evenings behind a skyline.
    A year takes a second over the sea and 20 behind land.
    Raises OutOfRangeError outside.
    """
    low_deg = require_number("low_deg", low_deg, 0, 360, unit="deg")
    high_deg = require_number("high_deg", high_deg, 0, 360, unit="deg")
    workers = require_whole("workers", workers, 1, 256)
    require_executor(executor)
    days = _days(first_day, last_day)
    air = atmosphere or Atmosphere.standard()
    if skyline is None:
        slivers = _over_sea(place, days, air)
    else:
        with nullcontext(executor) if executor else ThreadPoolExecutor(workers) as pool:
            made = pool.map(partial(_behind_land, place, air, skyline), days)
            slivers = list(tqdm(made, total=len(days), unit=say("evening"), disable=not progress))
    kept = [(day, when) for day, when in zip(days, slivers, strict=True) if when is not None]
    without = tuple(day for day, when in zip(days, slivers, strict=True) if when is None)
    return _table(place, low_deg, high_deg, kept, without)


def _days(first_day, last_day):
    count = (require_day(last_day) - require_day(first_day)).days + 1
    if not 1 <= count <= MOST_DAYS:
        raise OutOfRangeError(
            f"{first_day} to {last_day} are {count} days; allowed is 1 to {MOST_DAYS}. Give the"
            " earlier date first."
        )
    return [first_day + timedelta(days=k) for k in range(count)]


def _over_sea(place, days, air):
    """Last slivers of the dates, None where there is none: one search for all of them."""
    begin = sky.local_day(days[0], place.timezone)[0]
    end = sky.local_day(days[-1], place.timezone)[1]
    level = sky.visible_horizon_deg(place, air)
    found = sky.crossings(place, begin, end, level, rising=False, limb="upper")
    by_day = {one.when.astimezone(place.timezone).date(): one.when for one in found}
    return [by_day.get(day) for day in days]


def _behind_land(place, air, skyline, day):
    return land_sunset(evening(place, day, air), skyline).last_sliver


def _table(place, low_deg, high_deg, kept, without):
    when = np.array([one for _, one in kept], dtype=object)
    azimuth = sky.sun(place, when).azimuth_deg if kept else np.empty(0)
    moon = _moon(place, when)
    return Evenings(
        place=place,
        low_deg=low_deg,
        high_deg=high_deg,
        day=np.array([day for day, _ in kept], dtype=object),
        last_sliver=when,
        azimuth_deg=azimuth,
        inside=(azimuth - low_deg) % 360 <= _width_deg(low_deg, high_deg),
        without=without,
        **moon,
    )


def _width_deg(low_deg, high_deg):
    """How wide the gap is clockwise; 0 and 360 are all round."""
    return 360.0 if high_deg - low_deg == 360 else (high_deg - low_deg) % 360


def _moon(place, when):
    if not when.size:
        empty = np.empty(0)
        names = ("moon_altitude_deg", "moon_azimuth_deg", "moon_lit", "moon_lx")
        return dict.fromkeys(names, empty)
    later = np.array([one + SHADOW for one in when], dtype=object)
    moon, sun = sky.moon(place, later), sky.sun(place, later)
    _, phase = sky.moon_phase(moon, sun)
    return {
        "moon_altitude_deg": moon.true_altitude_deg,
        "moon_azimuth_deg": moon.azimuth_deg,
        "moon_lit": sky.lit_share(phase),
        "moon_lx": _moonlight_lx(moon.true_altitude_deg, sky.moon_magnitude(phase)),
    }


def _moonlight_lx(altitude_deg, magnitude):
    """Light of the Moon on level ground, thinned by DIMMING a unit of Kasten & Young's air mass."""
    up = np.clip(altitude_deg, 0.0, None)
    sine = np.sin(np.radians(up))
    air_mass = 1 / (sine + 0.50572 * (up + 6.07995) ** -1.6364)
    light = illuminance_lx(magnitude + DIMMING * air_mass) * sine
    return np.where(altitude_deg > 0, light, 0.0)
