"""How far the air could shift the evening: last sliver and flash over ranges of what is not known.

Airs are drawn evenly, not at random, so that a few dozen fill the ranges. Each is traced.
"""

from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context

import numpy as np
from tqdm import tqdm

from lowsun import sky
from lowsun.errors import (
    LowsunError,
    OutOfRangeError,
    quoted,
    require_executor,
    require_number,
    require_range,
    require_values,
    require_whole,
    takes,
)
from lowsun.fieldwork.skyline import Skyline, land_sunset
from lowsun.phenomena import green_flash
from lowsun.phenomena.evening import evening
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, Haze
from lowsun.physics.medium import Air
from lowsun.sky.times import require_day
from lowsun.words import say

SEA_LAYER_M = 10.0  # of air that a warmer or colder sea changes
LIMITS = {
    "temperature_c": (-60.0, 45.0, "degC"),
    "pressure_hpa": (850.0, 1080.0, "hPa"),
    "lapse_k_per_km": (-5.0, 20.0, "K/km"),
    "sea_excess_k": (-15.0, 15.0, "K"),
}


@dataclass(frozen=True)
class Ranges:
    """From what to what each is thought possible: pairs (low, high), equal where it is known.

    temperature_c [degC] of the air at the sea; pressure_hpa [hPa] there; lapse_k_per_km [K/km],
    falling upwards is positive; sea_excess_k [K]: the sea warmer than the air.
    """

    temperature_c: tuple[float, float] = (10.0, 20.0)
    pressure_hpa: tuple[float, float] = (1003.0, 1023.0)
    lapse_k_per_km: tuple[float, float] = (3.0, 9.0)
    sea_excess_k: tuple[float, float] = (-2.0, 2.0)

    def __post_init__(self):
        for name, (least, most, unit) in LIMITS.items():
            pair = require_range(name, getattr(self, name), least, most, unit=unit)
            if pair.shape != (2,) or pair[0] > pair[1]:
                arrived = quoted(getattr(self, name))
                raise OutOfRangeError(f"{name} is {arrived}; give (low, high), low not above high.")
            object.__setattr__(self, name, tuple(pair.tolist()))

    def at(self, share):
        """The values at shares (4,) of the ranges, 0 to 1, or at one share of all of them."""
        share = require_range("share", share, 0, 1)
        if share.shape not in ((), (len(LIMITS),)):
            raise OutOfRangeError(f"share is shaped {share.shape}; give one, or {len(LIMITS)}.")
        pairs = np.array([getattr(self, name) for name in LIMITS])
        return pairs[:, 0] + share * (pairs[:, 1] - pairs[:, 0])


@dataclass(frozen=True, eq=False)
class Spread:
    """What each air (N,) makes of the evening.

    varied: which of the `Ranges` were; values (N, 4): temperature, pressure, lapse, sea excess;
    last_sliver: aware UTC datetimes, None where the Sun does not go; kind "", duration_s 0 and
    height_arcsec 0 where no flash is seen. refused: why airs that could not be traced were
    left out.
    """

    ranges: Ranges
    varied: tuple[str, ...]
    values: np.ndarray
    last_sliver: np.ndarray
    kind: np.ndarray
    duration_s: np.ndarray
    height_arcsec: np.ndarray
    refused: tuple[str, ...]

    @property
    def earliest(self):
        """The earliest last sliver, or None."""
        return min(self._known(), default=None)

    @property
    def latest(self):
        """The latest last sliver, or None."""
        return max(self._known(), default=None)

    @property
    def flash_share(self):
        """Share of the airs in which a flash is seen, 0 to 1."""
        return float(np.mean(self.kind != "")) if self.kind.size else 0.0

    def durations_s(self, percent):
        """Lengths of the flashes there are at percentiles [s], 0 to 100; NaN without a flash."""
        percent = require_values("percent", percent, 0, 100)
        long = self.duration_s[self.kind != ""]
        if not long.size:
            return np.full(percent.shape, np.nan)
        return np.percentile(long, percent.ravel()).reshape(percent.shape)[()]

    def _known(self):
        return [when for when in self.last_sliver if when is not None]


def evenly(count, dimensions):
    """Points (N, D) that fill the unit cube evenly: the additive recurrence.

    u_n = frac(1/2 + n / g^k), k = 1 ... D, g the root above 1 of g^(D+1) = g + 1 (1.618 for D = 1).
    Any N; adding points leaves the earlier ones. Roberts 2018, "The unreasonable effectiveness of
    quasirandom sequences" (from memory); D = 1 is Weyl's sequence of the golden ratio.
    count [1] 1 to 100 000. Raises OutOfRangeError outside.
    """
    number = require_whole("count", count, 1, 100_000)
    root = 2.0
    for _ in range(60):  # a contraction: 60 rounds are far below the last digit
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    step = root ** -np.arange(1.0, dimensions + 1)
    return (0.5 + np.arange(number)[:, None] * step) % 1.0


@takes(place=sky.Place, ranges=Ranges, haze=Haze, base=Atmosphere, skyline=Skyline, progress=bool)
def spread(
    place,
    date,
    ranges=None,
    count=32,
    *,
    haze=CLEAR_EVENING,
    base=None,
    skyline=None,
    executor=None,
    workers=1,
    progress=False,
):
    """The `Spread` of an evening over a number of airs.

    place: a `sky.Place`; date: its local date; ranges: `Ranges`; count 1 to 100 000 airs.
    haze: an `extinction.Haze` of all of them, in which the flash is to be seen by eye; behind land
    the green rim's geometry alone is told. base: an `Atmosphere`, such as an ascent's, over which
    the sea's excess alone is varied. skyline: a `skyline.Skyline`, by default a level sea.
    executor: any concurrent.futures executor, left open; without one `workers` processes, or none
    for one.
    progress: show a bar of the airs done. Airs without a visible horizon are refused, and named.
    Leaves out elevated inversions, waves, and air that varies sideways.
    """
    require_day(date)
    ranges = ranges or Ranges()
    values = np.array([ranges.at(share) for share in evenly(count, len(LIMITS))])
    with _opened(executor, workers) as pool:
        made = pool.map(partial(_one, place, date, haze, base, skyline), values)
        told = list(tqdm(made, total=len(values), unit=say("air"), disable=not progress))
    kept = [index for index, one in enumerate(told) if not isinstance(one, str)]
    columns = zip(*(told[index] for index in kept), strict=True) if kept else ((),) * 4
    sliver, kind, duration, height = (np.array(column) for column in columns)
    refused = tuple(one for one in told if isinstance(one, str))
    varied = tuple(LIMITS) if base is None else ("sea_excess_k",)
    return Spread(ranges, varied, values[kept], sliver, kind, duration, height, refused)


def air_at(temperature_c, pressure_hpa, lapse_k_per_km, sea_excess_k):
    """The `Atmosphere` of one set of values.

    temperature_c [degC] -60 to 45; pressure_hpa [hPa] 850 to 1080; lapse_k_per_km [K/km] -5 to 20;
    sea_excess_k [K] -15 to 15. Raises OutOfRangeError outside.
    """
    given = temperature_c, pressure_hpa, lapse_k_per_km, sea_excess_k
    for (name, (low, high, unit)), value in zip(LIMITS.items(), given, strict=True):
        require_number(name, value, low, high, unit=unit)
    air = Atmosphere.standard(
        temperature_c + ZERO_CELSIUS_K, 100.0 * pressure_hpa, 0.0, lapse_k_per_km / 1000.0
    )
    return _over_sea(air, sea_excess_k)


def air_over(base, values):
    """The `air_at` values (4,) or, over a `base` such as an ascent's, the sea's excess alone."""
    if base is None:
        return air_at(*(float(value) for value in values))
    return _over_sea(base, float(values[-1]))


def _over_sea(air, sea_excess_k):
    return air.with_surface_layer(sea_excess_k, SEA_LAYER_M) if sea_excess_k else air


def _one(place, date, haze, base, skyline, values):
    """Last sliver, kind, length and height of the flash in one air; its refusal in words."""
    try:
        air = Air(air_over(base, values), haze)
        if skyline is not None:
            return _behind_land(place, date, skyline, air)
        return _over_water(place, date, air)
    except LowsunError as refused:
        return str(refused)


def _over_water(place, date, air):
    sliver = sky.sunset(place, date, air.atmosphere).last_sliver
    if sliver is None:
        return None, "", 0.0, 0.0
    main = main_flash(air, place.eye_height_m)
    if main is None:
        return sliver, "", 0.0, 0.0
    sinks = abs(float(sky.sun(place, sliver).vertical_speed_arcsec_per_s))
    return sliver, main.flash.kind, main.depth_arcsec / sinks, main.height_arcsec


def main_flash(air, eye_height_m):
    """The `green_flash.Seen` that is seen longest by eye, or None; seconds to a tenth.

    eye_height_m [m].
    """
    quick = green_flash.seen_flashes(air, eye_height_m, quality=green_flash.QUICK)
    main = green_flash.main_of(quick)
    return main if main is not None and main.is_seen else None


def _behind_land(place, date, skyline, air):
    tonight = evening(place, date, air)
    land = land_sunset(tonight, skyline)
    if land.flash_begins is None:
        return land.last_sliver, "", 0.0, 0.0
    lasts_s = (land.flash_ends - land.flash_begins).total_seconds()
    sinks = abs(float(sky.sun(place, land.last_sliver).vertical_speed_arcsec_per_s))
    return land.last_sliver, green_flash.RIM, lasts_s, lasts_s * sinks


def _opened(executor, workers):
    count = require_whole("workers", workers, 1, 256)
    if require_executor(executor) is not None:
        return nullcontext(executor)
    if count == 1:
        return ThreadPoolExecutor(1)
    # Fresh processes: a notebook's kernel has threads, and a forked copy of those can hang.
    return ProcessPoolExecutor(count, mp_context=get_context("spawn"))
