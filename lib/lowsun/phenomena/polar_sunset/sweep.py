"""Every latitude and every day of a year: how long the sunset takes and how long the rim stands.

The sweep is cut into bands of latitude. Any `concurrent.futures` executor takes them: processes
by default, threads, or a cluster's through `Client.get_executor()` of dask.distributed.
"""

from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from importlib.resources import files
from multiprocessing import get_context

import numpy as np
from tqdm import tqdm

from lowsun.errors import (
    InputError,
    require_executor,
    require_kind,
    require_range,
    require_whole,
)
from lowsun.files import whole
from lowsun.phenomena.polar_sunset.rims import rim_horizons_deg
from lowsun.sky import KINDS, Place, visible_horizon_deg
from lowsun.sky.courses import CENTRE, LOWER_LIMB, UPPER_LIMB, Eyes, course
from lowsun.sky.days import kinds
from lowsun.sky.ephemeris import DAY_S
from lowsun.sky.place import LATITUDE_REMEDY
from lowsun.sky.times import require_day, terrestrial_s
from lowsun.words import say

BAND = 4  # latitudes in a task: 0.3 s and 50 MB for a year
MARGIN_S = 3 * DAY_S  # a disc takes two days at most
CUT_S = 1200.0  # midnight and the Sun's own, which are up to 17 minutes apart: a night counts whole
SHIPPED = "polar_map.npz"
EYE_HEIGHT_M = 2.0


@dataclass(frozen=True, eq=False)
class SunsetMap:
    """Sunsets over a level horizon by latitude (L,) and day (D,), days of UTC at longitude 0.

    length_s (L, D): first contact to last sliver of the sunset whose centre falls on the day, NaN
    where there is none or one of its contacts is missing; rim_s (L, D): the longest stretch that
    begins on the day in which the sinking upper limb is green and not red, NaN where none does;
    kind (L, D): places in `lowsun.sky.KINDS`.
    """

    latitude_deg: np.ndarray
    first_day: date
    length_s: np.ndarray
    rim_s: np.ndarray
    kind: np.ndarray

    def does(self, *kinds):
        """Where and when the Sun does one of these `lowsun.sky.Kind`s (L, D)."""
        return np.isin(self.kind, [KINDS.index(kind) for kind in kinds])

    @property
    def days(self):
        """The dates (D,)."""
        return [self.first_day + timedelta(days=n) for n in range(self.kind.shape[1])]

    def column(self, day):
        """Which column stands for a date: itself, or else the same day in the map's first year.

        Raises InputError for what is no date.
        """
        if not isinstance(day, date):
            raise InputError(f"day is {day!r}; give a datetime.date.")
        offset = (day - self.first_day).days
        if 0 <= offset < self.kind.shape[1]:
            return offset
        leap_day = (day.month, day.day) == (2, 29)
        near = date(self.first_day.year, day.month, 28 if leap_day else day.day)
        return self._require_column((near - self.first_day).days, day)

    def _require_column(self, offset, day):
        if not 0 <= offset < self.kind.shape[1]:
            raise InputError(
                f"day is {day}; the map holds {self.days[0]} to {self.days[-1]}."
                " Choose a day inside, or compute a map that has it."
            )
        return offset

    def rims(self, latitude_deg, day):
        """The `RimsByLatitude` of the hemisphere of a latitude, on a date and over the year.

        latitude_deg [deg].
        """
        half = self.latitude_deg >= 0 if latitude_deg >= 0 else self.latitude_deg <= 0
        rim_s = self.rim_s[half]
        return RimsByLatitude(
            latitude_deg=np.abs(self.latitude_deg[half]),
            day_s=rim_s[:, self.column(day)],
            median_s=np.nanmedian(rim_s, axis=1),
        )

    def save(self, path, *, overwrite=False):
        """Write the map as .npz, whole or not at all."""
        with whole(path, overwrite=overwrite) as draft, draft.open("wb") as stream:
            np.savez_compressed(
                stream,
                latitude_deg=self.latitude_deg,
                first_day=self.first_day.isoformat(),
                length_s=self.length_s.astype(np.float32),
                rim_s=self.rim_s.astype(np.float32),
                kind=self.kind,
            )

    @classmethod
    def load(cls, stream):
        """A map from a path or an open binary file."""
        with np.load(stream, allow_pickle=False) as held:
            return cls(
                latitude_deg=held["latitude_deg"],
                first_day=date.fromisoformat(str(held["first_day"])),
                length_s=held["length_s"],
                rim_s=held["rim_s"],
                kind=held["kind"],
            )


@dataclass(frozen=True, eq=False)
class RimsByLatitude:
    """How long the rim is green alone, by distance from the equator (L,) [deg].

    day_s, median_s (L,) [s]: on one date, NaN where it never is, and on the year's median day.
    """

    latitude_deg: np.ndarray
    day_s: np.ndarray
    median_s: np.ndarray


@cache
def shipped_map():
    """The map of 2027 in standard air that comes with the kit, every degree and every day.

    Made by `python -m lowsun.phenomena.polar_sunset`.
    """
    with (files("lowsun.data") / SHIPPED).open("rb") as stream:
        return SunsetMap.load(stream)


def sunset_map(
    first_day=date(2027, 1, 1),
    days=365,
    latitude_deg=None,
    atmosphere=None,
    *,
    executor=None,
    workers=2,
    progress=True,
):
    """The `SunsetMap` of consecutive days, from an eye 2 m above a level horizon.

    first_day: a date from 1899 to 2053; latitude_deg (L,) [deg], every whole degree where it is
    None; days 1 to 366.
    executor: any concurrent.futures executor; left open. Where it is None, `workers` processes are
    started and ended. progress: show a bar of the latitudes done.

    On a cluster of dask.distributed (the extra `lowsun[cluster]`), unchanged:
        with Client(address) as client:
            sunset_map(executor=client.get_executor())
    """
    require_day(first_day)
    require_kind("progress", progress, bool, "True or False")
    latitude = _latitudes(latitude_deg)
    count = require_whole("days", days, 1, 366, remedy="Give a whole number of days.")
    levels = _levels(atmosphere)
    first_s = float(terrestrial_s(datetime.combine(first_day, datetime.min.time(), tzinfo=UTC)))
    types = {"length_s": float, "rim_s": float, "kind": np.uint8}
    maps = {name: np.empty((latitude.size, count), dtype) for name, dtype in types.items()}
    with (
        _opened(executor, workers) as pool,
        tqdm(total=latitude.size, unit=say("latitude"), disable=not progress) as bar,
    ):
        for rows, part in _done(pool, latitude, first_s, count, levels):
            for name, values in part.items():
                maps[name][rows] = values
            bar.update(rows.stop - rows.start)
    return SunsetMap(latitude_deg=latitude, first_day=first_day, **maps)


def _latitudes(latitude_deg):
    wanted = np.arange(-90.0, 91.0) if latitude_deg is None else latitude_deg
    latitude = require_range("latitude_deg", wanted, -90, 90, unit="deg", remedy=LATITUDE_REMEDY)
    if latitude.ndim != 1 or latitude.size == 0:
        raise InputError(f"latitude_deg is shaped {latitude.shape}; give a list of latitudes.")
    return latitude


def _levels(atmosphere):
    """True altitudes [deg] of the lowest ray: visual, green, red."""
    level_ground = Place("any", 0.0, 0.0, EYE_HEIGHT_M)
    green, red = rim_horizons_deg(atmosphere, EYE_HEIGHT_M)
    return visible_horizon_deg(level_ground, atmosphere), green, red


@contextmanager
def _opened(executor, workers):
    if require_executor(executor) is not None:
        yield executor
        return
    count = require_whole("workers", workers, 1, 256)
    # Fresh processes: a notebook's kernel has threads, and a forked copy of those can hang.
    with ProcessPoolExecutor(count, mp_context=get_context("spawn")) as pool:
        yield pool


def _done(pool, latitude, first_s, days, levels):
    """Yield (rows, part of the map) in the order in which they are ready; stops all on an error."""
    tasks = {}
    try:
        for start in range(0, latitude.size, BAND):
            rows = slice(start, min(start + BAND, latitude.size))
            tasks[pool.submit(band, latitude[rows], first_s, days, levels)] = rows
        for task in as_completed(tasks):
            yield tasks[task], task.result()
    finally:
        for task in tasks:
            task.cancel()


def band(latitude_deg, first_s, days, levels):
    """The map of a few latitudes: a dict of arrays (L, D). Runs in a worker.

    latitude_deg [deg], first_s [s].
    """
    horizon, green, red = levels
    here = np.zeros_like(latitude_deg)
    eyes = Eyes("sun", latitude_deg, here, here + EYE_HEIGHT_M)
    path = course(eyes, first_s - MARGIN_S, first_s + days * DAY_S + MARGIN_S)
    calendar = _Calendar((latitude_deg.size, days), first_s)
    centres = path.crossings(horizon, CENTRE)
    return {
        "length_s": calendar.longest(*_sunsets(path, horizon, centres)),
        "rim_s": calendar.longest(*_rims(path, green, red)),
        "kind": calendar.kinds(path, horizon, centres),
    }


@dataclass(frozen=True)
class _Calendar:
    """Latitudes by days, and when the first day begins."""

    shape: tuple
    first_s: float

    def cells(self, index, tt_s):
        """Row and column of events, and which of them fall on the map."""
        day = np.floor((tt_s - self.first_s) / DAY_S).astype(int)
        return index, day, (day >= 0) & (day < self.shape[1])

    def longest(self, index, tt_s, length_s):
        """The longest length that begins on each day, NaN where none does."""
        rows, days, inside = self.cells(index, tt_s)
        inside &= np.isfinite(length_s)
        found = np.full(self.shape, -np.inf)
        np.maximum.at(found, (rows[inside], days[inside]), length_s[inside])
        return np.where(np.isfinite(found), found, np.nan)

    def kinds(self, path, horizon_deg, centres):
        """What the Sun does on each day, as places in `lowsun.sky.KINDS`."""
        counts = (self._count(centres.only(rising)) for rising in (False, True))
        low, high, radius = self._stands(path)
        return kinds(*counts, low - horizon_deg, high - horizon_deg, radius).astype(np.uint8)

    def _count(self, events):
        """How many events fall on each day."""
        rows, days, inside = self.cells(events.index, events.tt_s)
        found = np.zeros(self.shape, int)
        np.add.at(found, (rows[inside], days[inside]), 1)
        return found

    def _stands(self, path):
        """Lowest and highest true altitudes of the centre and semidiameters, by day [deg]."""
        low, high = np.full(self.shape, np.inf), np.full(self.shape, -np.inf)
        radius = np.empty(self.shape)
        for shift_s in (-CUT_S, 0.0, CUT_S):
            rows, days, inside = self.cells(path.index, path.tt_s[0] + shift_s)
            where = rows[inside], days[inside]
            np.minimum.at(low, where, path.true_altitude_deg[0][inside])
            np.maximum.at(high, where, path.true_altitude_deg[0][inside])
            radius[where] = path.semidiameter_deg[0][inside]
        return low, high, radius


def _sunsets(path, horizon_deg, centres):
    """Latitude, instant of the centre and length of all sunsets, NaN where a contact is missing."""
    falls, climbs = centres.only(False), _Line(centres.only(True))
    first = _Line(path.crossings(horizon_deg, LOWER_LIMB).only(False)).before(falls)
    last = _Line(path.crossings(horizon_deg, UPPER_LIMB).only(False)).after(falls)
    whole = (first > climbs.before(falls)) & (last < climbs.after(falls))
    with np.errstate(invalid="ignore"):  # infinities where a contact is missing
        return falls.index, falls.tt_s, np.where(whole, last - first, np.nan)


def _rims(path, green_deg, red_deg):
    """Latitude, beginning and length of the stretches in which a sinking upper limb is green."""
    through_red = path.crossings(red_deg, UPPER_LIMB)
    enters = through_red.only(False)
    gone = _Line(path.crossings(green_deg, UPPER_LIMB).only(False)).after(enters)
    back = _Line(through_red.only(True)).after(enters)
    return enters.index, enters.tt_s, np.minimum(gone, back) - enters.tt_s


class _Line:
    """Events of all latitudes on one line, one latitude after the other, for sorted look-up."""

    APART_S = 1e10  # between latitudes: 300 years, more than the ephemeris holds

    def __init__(self, events):
        self._keys = np.concatenate([[-np.inf], self._placed(events), [np.inf]])

    def _placed(self, events):
        return events.index * self.APART_S + events.tt_s

    def before(self, events):
        """The last instant before each event at its latitude, minus infinity where none is."""
        at = self._placed(events)
        gap = at - self._keys[np.searchsorted(self._keys, at) - 1]
        return np.where(gap < 0.1 * self.APART_S, events.tt_s - gap, -np.inf)

    def after(self, events):
        """The first instant after each event at its latitude, infinity where none is."""
        at = self._placed(events)
        gap = self._keys[np.searchsorted(self._keys, at, side="right")] - at
        return np.where(gap < 0.1 * self.APART_S, events.tt_s + gap, np.inf)
