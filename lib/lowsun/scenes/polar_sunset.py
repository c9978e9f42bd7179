"""From the equator to the poles: how the disc goes down, and how long its green rim stands."""

from dataclasses import dataclass
from datetime import UTC, date, timedelta
from functools import lru_cache

import numpy as np

from lowsun.drawing.polar import (
    CELL_ARCMIN,
    PATH_BOX,
    PORTRAITS,
    STRIP_ARCMIN,
    STRIP_BOX,
    PolarPicture,
)
from lowsun.errors import OutOfRangeError
from lowsun.phenomena import low_sun, polar_sunset
from lowsun.phenomena.polar_sunset import latitude_text
from lowsun.scenes.controls import Choice, Number, Range
from lowsun.scenes.polar_words import describe, duration
from lowsun.scenes.scene import Scene
from lowsun.sky import Place

EYE_HEIGHT_M = 2.0
CAMP_LATITUDE_DEG = 89.0  # an invented ice camp
MINUTES, HOUR, ONE_DAY, WEEK, DESCENT = (
    "two minutes",
    "an hour",
    "a day",
    "a week",
    "the whole descent",
)
SPANS = {
    MINUTES: timedelta(minutes=2),
    HOUR: timedelta(hours=1),
    ONE_DAY: timedelta(days=1),
    WEEK: timedelta(days=7),
}
DISCS = {MINUTES: 7, HOUR: 13, ONE_DAY: 25, WEEK: 169, DESCENT: 0}  # outlined along the way
POINTS = {MINUTES: 61, HOUR: 121, ONE_DAY: 289, WEEK: 1009, DESCENT: 241}  # of the way
FINE = 2  # pixels of the portraits for one of the picture's at 1280 x 720
HIGHEST_OUTLINE_DEG = 75.0  # above, bearings crowd and no outline in bearings is to scale
DISC_DEG = 0.7  # width of the computed disc in the path


@dataclass(frozen=True)
class Window:
    """What part of the horizon the path shows, true to scale [deg]; hashable, to see a change."""

    left: float
    right: float
    low: float
    high: float
    tick_deg: float
    altitude_ticks: tuple
    bearing_is: str
    label: str
    line_pt: float


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need."""

    passage: polar_sunset.Contacts
    descent: polar_sunset.Descent | None
    now: object
    share: float
    speed: polar_sunset.VerticalSpeed
    rim: polar_sunset.GreenRim
    ragged: polar_sunset.GreenRim | None
    put_off: timedelta | None
    window: Window
    sky: tuple
    way_deg: tuple
    limbs_deg: tuple
    now_deg: tuple
    skyline_deg: tuple
    where: str
    portraits: np.ndarray
    strip_skyline_arcmin: tuple
    notes: tuple
    step_labels: tuple
    clock: tuple
    map_latitude_deg: np.ndarray
    day_rim_s: np.ndarray
    year_rim_s: np.ndarray
    here_rim: tuple
    ragged_rim: tuple
    rim_words: tuple


# --- what is looked at ------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Evening:
    """The place, its air and date, and the span that is shown."""

    passage: polar_sunset.Contacts
    air: object
    ridges: polar_sunset.Ridges | None
    descent: polar_sunset.Descent | None
    start: object
    end: object
    span: str

    @property
    def place(self):
        return self.passage.place

    def at(self, share):
        return self.start + share * (self.end - self.start)

    def skyline_arcmin(self, bearing_deg):
        """Height of the ridges over the level horizon."""
        if self.ridges is None:
            return np.zeros_like(np.asarray(bearing_deg, dtype=float))
        return self.ridges.at(bearing_deg)


def _evening(state):
    place = Place(
        latitude_text(state["latitude_deg"]),
        state["latitude_deg"],
        state["longitude_deg"],
        EYE_HEIGHT_M,
    )
    return _evening_of(
        place,
        date(int(state["year"]), 1, 1) + timedelta(days=round(state["day_of_year"]) - 1),
        _air(state["surface_temperature_c"], state["inversion_k"]),
        _ridges(state["ridges_arcmin"]),
        state["span"],
    )


def _evening_of(place, day, air, ridges, span):
    passage = _passage(place, day, air)
    descent = _descent(place, day.year, air) if span == DESCENT else None
    if span == DESCENT:
        start, end = _whole(passage, descent)
    else:
        start, end = (passage.middle + sign * SPANS[span] / 2 for sign in (-1, 1))
    return Evening(passage, air, ridges, descent, start, end, span)


@lru_cache(maxsize=32)
def _air(surface_temperature_c, inversion_k):
    return polar_sunset.polar_air(surface_temperature_c + 273.15, inversion_k)


@lru_cache(maxsize=32)
def _ridges(highest_arcmin):
    return polar_sunset.Ridges.invented(highest_arcmin) if highest_arcmin else None


@lru_cache(maxsize=64)
def _curve(air):
    return low_sun.curve_for_picture(air, EYE_HEIGHT_M, high_deg=2.5)


@lru_cache(maxsize=64)
def _passage(place, day, air):
    return polar_sunset.contacts_at(place, day, air)


@lru_cache(maxsize=64)
def _descent(place, year, air):
    """The year's descent, None where the Sun comes up, or goes down, every day."""
    try:
        found = polar_sunset.descent(place, year, air)
    except OutOfRangeError:
        return None
    return found if found.begins is not None else None


@lru_cache(maxsize=64)
def _put_off(place, year, air):
    try:
        return polar_sunset.put_off(place, year, air).by
    except OutOfRangeError:
        return None


def _whole(passage, descent):
    """From the first contact to the last sliver: of the year, or of the evening."""
    if descent is not None:
        return _widened(descent.begins, descent.ends)
    if passage.length_s is not None:
        return _widened(passage.first_contact, passage.last_sliver)
    return passage.middle - ONE_DAY_SPAN / 2, passage.middle + ONE_DAY_SPAN / 2


ONE_DAY_SPAN = SPANS[ONE_DAY]


def _widened(begins, ends):
    margin = 0.04 * (ends - begins)
    return begins - margin, ends + margin


# --- the computation --------------------------------------------------------------------------


def compute(state):
    """The path, seven portraits, the clock and the rim for one state."""
    evening = _evening(state)
    share = state["share"] / 100
    now = evening.at(share)
    path = _path(evening)
    moment = _moment(evening, now)
    window = _window(evening, path, moment)
    rim, ragged = _rims(evening)
    return Result(
        passage=evening.passage,
        descent=evening.descent,
        now=now,
        share=share,
        speed=polar_sunset.vertical_speed(evening.place, now),
        rim=rim,
        ragged=ragged,
        put_off=_put_off(evening.place, evening.passage.date.year, evening.air),
        window=window,
        **_seen_path(evening, path, moment, window),
        **_strip(evening),
        clock=_clock(evening),
        **_rim_chart(evening, rim, ragged),
    )


@lru_cache(maxsize=16)
def _track(place, start, end, air, count):
    return polar_sunset.track(place, start, end, air, count)


def _path(evening):
    count = POINTS[evening.span]
    return _track(evening.place, evening.start, evening.end, evening.air, count)


def _moment(evening, now):
    return polar_sunset.track(evening.place, now, now + timedelta(seconds=1), evening.air, 2)


def _window(evening, path, moment):
    """The part of the horizon to show, one scale both ways."""
    shape = PATH_BOX[2] / PATH_BOX[3]
    height, low, tick, step = {
        MINUTES: (0.83, -0.12, 0.5, 0.2),
        DESCENT: (0.83, -0.12, 0.5, 0.2),
        HOUR: (6.0, -0.6, 5.0, 2.0),
    }.get(evening.span, (360 / shape, -18.0, 45.0, 30.0))
    if height < 10:
        centre = _bearing_of(moment if evening.span == DESCENT else _anchor(evening))
    else:
        centre = 180.0 if evening.place.latitude_deg >= 0 else 0.0
    base = path.horizon_deg if height < 1 else 0.0
    width = height * shape
    bottom, top = base + low, base + low + height
    ticks = np.arange(np.ceil(bottom / step), np.floor(min(top, 90) / step) + 1) * step
    return Window(
        left=centre - width / 2,
        right=centre + width / 2,
        low=bottom,
        high=top,
        tick_deg=tick,
        altitude_ticks=tuple(np.round(ticks, 6) + 0.0),  # no negative zero
        bearing_is=path.bearing_is,
        label="longitude of the meridian ahead" if path.bearing_is == "longitude" else "bearing",
        line_pt=2.0 if height > 10 else 1.2,
    )


def _anchor(evening):
    return _moment(evening, evening.passage.middle)


def _bearing_of(moment):
    return float(moment.bearing_deg[0])


def _seen_path(evening, path, moment, window):
    centre = (window.left + window.right) / 2
    bearing = _around(path.bearing_deg, centre)
    wide = window.high - window.low > 1
    here = float(_around(moment.bearing_deg[:1], centre)[0])
    across = np.linspace(window.left, window.right, 737)
    return {
        "sky": _disc(evening, moment, window, here),
        "way_deg": _broken(bearing, path.apparent_altitude_deg) if wide else ([], []),
        "limbs_deg": _limbs(evening, path, centre),
        "now_deg": ([here], [_height(moment)]) if wide else ([], []),
        "skyline_deg": (across, path.horizon_deg + evening.skyline_arcmin(across) / 60),
        "where": _where(moment, window),
    }


def _height(moment):
    """Where the centre is seen, or the horizon where only the upper part of the disc is left."""
    if moment.shown[0] and np.isnan(moment.apparent_altitude_deg[0]):
        return moment.horizon_deg
    return float(moment.apparent_altitude_deg[0])


def _around(bearing_deg, centre_deg):
    """Bearings as they lie nearest to a centre."""
    return centre_deg + (bearing_deg - centre_deg + 180) % 360 - 180


def _broken(bearing_deg, altitude_deg):
    """The way with gaps where it leaves the panorama on one side and comes in on the other."""
    jumps = np.flatnonzero(np.abs(np.diff(bearing_deg)) > 90) + 1
    return np.insert(bearing_deg, jumps, np.nan), np.insert(altitude_deg, jumps, np.nan)


def _limbs(evening, path, centre_deg):
    """The refracted outlines at even steps, one line with gaps."""
    if not DISCS[evening.span]:
        return [], []
    every = (path.when.size - 1) // (DISCS[evening.span] - 1)
    middle = path.bearing_deg[::every, None]
    across = path.limb_bearing_deg[::every] - middle + _around(middle, centre_deg)
    altitude = path.limb_altitude_deg[::every]
    altitude = np.where(altitude < HIGHEST_OUTLINE_DEG, altitude, np.nan)
    closed = [np.hstack([part, part[:, :1], np.full_like(part[:, :1], np.nan)])
              for part in (across, altitude)]  # fmt: skip
    return tuple(part.ravel() for part in closed)


def _disc(evening, moment, window, bearing_deg):
    """The computed disc of the moment and where it stands, for windows that resolve it."""
    scale = 3600 * (window.high - window.low) / PATH_BOX[3]
    if window.high - window.low > 10:
        return np.zeros((1, 1, 3), np.uint8), (bearing_deg, bearing_deg + 1e-6, 0, 1e-6)
    columns = int(2 + 3600 * DISC_DEG / scale)
    frame = low_sun.Frame(window.high, scale, PATH_BOX[3], columns)
    half = columns * scale / 7200
    rgb = low_sun.picture(
        _curve(evening.air),
        float(moment.true_altitude_deg[0]),
        frame,
        sun_diameter_arcmin=float(120 * moment.semidiameter_deg[0]),
    ).rgb
    return rgb, (bearing_deg - half, bearing_deg + half, window.low, window.high)


def _where(moment, window):
    altitude = moment.apparent_altitude_deg[0]
    if moment.shown[0] == 0:
        return "the Sun is down"
    if altitude - 0.27 > window.high:
        return f"the Sun stands {altitude:.1f}° up, above this window"
    return ""


# --- portraits --------------------------------------------------------------------------------


def _strip(evening):
    moments = _track(evening.place, evening.start, evening.end, evening.air, PORTRAITS)
    across = np.linspace(0, CELL_ARCMIN, 60)
    bearing = moments.bearing_deg[:, None] + (across - CELL_ARCMIN / 2) / 60
    where = across + CELL_ARCMIN * np.arange(PORTRAITS)[:, None]
    return {
        "portraits": _portraits(evening.air, moments),
        "strip_skyline_arcmin": (where.ravel(), evening.skyline_arcmin(bearing).ravel()),
        "notes": tuple(_note(moments, k) for k in range(PORTRAITS)),
        "step_labels": tuple(_step_label(evening, when) for when in moments.when),
    }


@lru_cache(maxsize=16)
def _portraits(air, moments):
    """The discs side by side, each exposed for itself."""
    low, high = STRIP_ARCMIN
    rows = FINE * STRIP_BOX[3]
    scale = 60 * (high - low) / rows
    edges = np.round(np.arange(PORTRAITS + 1) * 60 * CELL_ARCMIN / scale).astype(int)
    frames = [
        low_sun.Frame(moments.horizon_deg + high / 60, scale, rows, int(columns))
        for columns in np.diff(edges)
    ]
    return np.hstack([_portrait(air, moments, k, frame) for k, frame in enumerate(frames)])


def _portrait(air, moments, k, frame):
    high = moments.true_altitude_deg[k] - moments.semidiameter_deg[k] > frame.high_deg
    if moments.shown[k] == 0 or high:
        return np.zeros((frame.rows, frame.columns, 3), np.uint8)
    return low_sun.picture(
        _curve(air),
        float(moments.true_altitude_deg[k]),
        frame,
        sun_diameter_arcmin=float(120 * moments.semidiameter_deg[k]),
    ).rgb


def _note(moments, k):
    """In words what a portrait cannot show."""
    if moments.shown[k] == 0:
        return "down"
    over = moments.apparent_altitude_deg[k] - moments.horizon_deg
    return f"{over:.0f}° up" if 60 * over > STRIP_ARCMIN[1] + 16 else ""


def _step_label(evening, when):
    local = (when + timedelta(milliseconds=500)).astimezone(evening.place.timezone)
    length = evening.end - evening.start
    if length <= SPANS[MINUTES] * 5:
        return f"{local:%H:%M:%S}"
    if length <= SPANS[HOUR] * 12:
        return f"{local:%H:%M}"
    day = f"{local.day} {local:%b}"
    return f"{local:%H:%M}\n{day}" if length < 8 * ONE_DAY_SPAN else day


# --- clock ------------------------------------------------------------------------------------


def _clock(evening):
    return tuple((name, *_clock_lines(evening.place, when)) for name, when in _instants(evening))


def _instants(evening):
    passage, descent = evening.passage, evening.descent
    if descent is not None:
        last = polar_sunset.nearest_passage(
            evening.place, descent.ends, passage.horizon_true_altitude_deg, later=False
        )
        return (
            ("the year's first contact", descent.begins),
            ("centre, last time", last),
            ("last sliver", descent.ends),
        )
    return (
        ("first contact", passage.first_contact),
        ("centre", passage.centre),
        ("last sliver", passage.last_sliver),
    )


def _clock_lines(place, when):
    if when is None:
        return ("none", "")
    universal = (when + timedelta(milliseconds=500)).astimezone(UTC)
    local = universal.astimezone(place.timezone)
    lines = [f"{universal.day} {universal:%b %H:%M:%S} UTC"]
    if local.utcoffset():
        lines.insert(0, f"{local.day} {local:%b %H:%M:%S} {_zone_text(local)}")
    return (*lines, "")[:2]


def _zone_text(local):
    """The zone by its offset, `UTC+1` or `UTC-3:30`."""
    hours, minutes = f"{local:%z}"[:3], f"{local:%z}"[3:5]
    return f"UTC{int(hours):+d}" + ("" if minutes == "00" else f":{minutes}")


# --- rim --------------------------------------------------------------------------------------


def _rims(evening):
    """The green rim of the sunset, over the level horizon and over the ridges."""
    start, end = _rim_span(evening)
    level = _rim(evening.place, start, end, evening.air, None)
    if evening.ridges is None:
        return level, None
    return level, _rim(evening.place, start, end, evening.air, evening.ridges)


def _rim_span(evening):
    """From before the first contact to after the last sliver, or the day around the middle.

    Of the year's descent, the hours before its last sliver.
    """
    passage, half_day = evening.passage, ONE_DAY_SPAN / 2
    if evening.descent is not None:
        return evening.descent.ends - half_day, evening.descent.ends + timedelta(hours=1)
    begins, ends = passage.middle - half_day, passage.middle + half_day
    if passage.centre is not None:
        begins, ends = passage.first_contact or begins, passage.last_sliver or ends
    return begins - timedelta(minutes=5), ends + timedelta(hours=1)


@lru_cache(maxsize=64)
def _rim(place, start, end, air, ridges):
    return polar_sunset.green_rim(place, start, end, air, ridges)


def _rim_chart(evening, rim, ragged):
    charts = polar_sunset.shipped_map()
    north = evening.place.latitude_deg >= 0
    rows = charts.latitude_deg >= 0 if north else charts.latitude_deg <= 0
    latitude = np.abs(charts.latitude_deg[rows])
    here = abs(evening.place.latitude_deg)
    year = charts.rim_s[rows]
    return {
        "map_latitude_deg": latitude,
        "day_rim_s": year[:, charts.column(evening.passage.date)],
        "year_rim_s": np.nanmedian(year, axis=1),
        "here_rim": ([here], [rim.longest_s]) if rim.longest_s else ([], []),
        "ragged_rim": ([here], [ragged.total_s]) if ragged and ragged.total_s else ([], []),
        "rim_words": _rim_words(rim, ragged),
    }


def _rim_words(rim, ragged):
    words = [f"here: {duration(rim.longest_s)}"] if rim.longest_s else ["here: none"]
    if ragged is not None:
        words.append(f"over ridges: {duration(ragged.total_s)} in all")
    return tuple(words)


scene = Scene(
    name="polar_sunset",
    title="The long sunsets of the poles",
    question="Why does the Sun set in two minutes at the equator and in 33 hours at a pole?",
    controls=(
        Range(
            name="latitude_deg",
            label="latitude, north positive",
            unit="°",
            low=-90,
            high=90,
            step=0.01,
            default=CAMP_LATITUDE_DEG,
        ),
        Range(
            name="day_of_year",
            label="day of the year",
            low=1,
            high=365,
            step=1,
            default=268,
        ),
        Choice(name="span", label="show", options=(*SPANS, DESCENT), default=ONE_DAY),
        Range(
            name="share",
            label="how far through it",
            unit="%",
            low=0,
            high=100,
            step=0.5,
            default=50,
        ),
        Range(
            name="surface_temperature_c",
            label="air at the surface",
            unit="°C",
            low=-70,
            high=15,
            step=1,
            default=-20,
        ),
        Range(
            name="inversion_k",
            label="inversion on the surface, 300 m deep",
            unit="K",
            low=0,
            high=30,
            step=1,
            default=0,
        ),
        Range(
            name="ridges_arcmin",
            label="highest ridge on the horizon",
            unit="′",
            low=0,
            high=10,
            step=0.5,
            default=0,
        ),
        Number(name="year", label="year", low=1900, high=2052, default=2027),
        Number(
            name="longitude_deg",
            label="longitude, east positive",
            unit="°",
            low=-180,
            high=180,
            default=0,
        ),
    ),
    compute=compute,
    picture=PolarPicture,
    describe=describe,
    cues=(
        "Ask before you move: how long does the Sun take to set at the pole?",
        "Take the latitude from the equator to the pole and watch the seven portraits.",
        "At the pole, choose a day, then a week: which way does the Sun go?",
    ),
)
