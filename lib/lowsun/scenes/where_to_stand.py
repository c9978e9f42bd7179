"""From which height the green of an air's flash is seen longest."""

from dataclasses import dataclass

import numpy as np

from lowsun import sky
from lowsun.drawing.where_to_stand import HIGH_M, LOW_M, WhereToStandPicture
from lowsun.phenomena import green_flash
from lowsun.phenomena.green_flash import LONGEST_ARCSEC, RIM
from lowsun.physics.atmosphere import Atmosphere
from lowsun.scenes import catalogue, made
from lowsun.scenes.kept import Kept
from lowsun.scenes.made import air_of
from lowsun.scenes.scene import Scene
from lowsun.words import say, term

HEIGHTS, ROUNDS = 13, 3  # as many more stand at inversions and ducts: 40 name the same place
DRAFT_HEIGHTS, DRAFT_ROUNDS = 8, 1
EQUATOR_ARCSEC_PER_S = 15.0
LOWEST_SPEED_ARCSEC_PER_S = 0.1  # slower the Sun does not set but rolls: another notebook's story
THIN_M = 5.0  # a window so thin is worth a word
LONGEST_PUBLISHED_S = 15.0  # Young's summary; middle latitudes
NEAR_ENOUGH = 1 / 3  # naming a height in whole metres leaves at least this share of the seconds


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need, arrays along the heights.

    duration_s: green that is seen; geometric_s: green that outlasts red, seen or not; window_m:
    from where at least half as long as from the best; best_m, best_s, best_kind, best_arcsec: where
    to stand, for how long a flash, of which kind, how high; lost_from: where none is seen, the
    depth of this haze from which that is so.
    """

    atmosphere: Atmosphere
    eye_height_m: np.ndarray
    kind: np.ndarray
    duration_s: np.ndarray
    geometric_s: np.ndarray
    window_m: tuple[float, float]
    best_m: float
    best_s: float
    best_kind: str
    best_arcsec: float
    conditions: str
    lost_from: float | None
    speed_arcsec_per_s: float
    reason: str

    @property
    def worth_going(self):
        """Is more than a rim seen from anywhere?"""
        return self.best_s > 0.0 and self.best_kind != RIM

    @property
    def best_words(self):
        """The height to stand at as it is named: in metres, and closer where it must be."""
        if self.best_m == round(self.best_m):
            return f"{self.best_m:.0f} m"
        return say(
            "{height:.0f} m, at {exact} m to be exact", height=self.best_m, exact=self.best_m
        )


@dataclass(frozen=True, eq=False)
class _Heights:
    """A table of heights, the main flash from the one that is named, and what haze hides it."""

    table: green_flash.ByEyeHeight
    best_m: float
    seen: green_flash.Seen | None
    lost_from: float | None = None


def compute(state):
    """The main flash from every height, timed by the Sun of that place and day."""
    return _result(state, _searched(*_case(state)))


def draft(state):
    """The same from fewer heights, where the air is new."""
    case = _case(state)
    return _result(state, _searched(*case) if _searched.holds(*case) else sketch(*case))


def _case(state):
    instrument = catalogue.INSTRUMENTS[state["instrument"]]
    return air_of(state), instrument


def _result(state, heights):
    speed, reason = _speed(state["latitude_deg"], state["day"])
    table, seen, atmosphere = heights.table, heights.seen, air_of(state).atmosphere
    return Result(
        atmosphere=atmosphere,
        eye_height_m=table.eye_height_m,
        kind=table.kind,
        duration_s=table.duration_s(speed),
        geometric_s=table.geometric_duration_s(speed),
        window_m=table.window_m,
        best_m=heights.best_m,
        best_s=seen.duration_s(speed) if seen else 0.0,
        best_kind=seen.flash.kind if seen else "",
        best_arcsec=seen.height_arcsec if seen else 0.0,
        conditions=f"({say(state['instrument'])}; {made.haze_words(state)})",
        lost_from=heights.lost_from,
        speed_arcsec_per_s=speed,
        reason=reason,
    )


def search(air, instrument):
    """Every height for an air and an instrument, and the one to name (half a second)."""
    table = green_flash.by_eye_height(air, LOW_M, HIGH_M, HEIGHTS, ROUNDS, instrument=instrument)
    if not table.depth_arcsec.any():
        lost_from = _lost_from(table, air, instrument)
        return _Heights(table, LOW_M, None, lost_from)
    return _Heights(table, *_named(table, air, instrument))


def _named(table, air, instrument):
    """The height that is named [m], and what is seen from it."""
    enough = NEAR_ENOUGH * min(table.depth_arcsec[table.longest], LONGEST_ARCSEC)
    for eye in _named_m(table):
        seen = _main(air, eye, instrument)
        if _worth(seen, table.kind[table.longest]) >= enough:
            break
    return eye, seen


def _lost_from(table, air, instrument):
    """Depth of the haze from which no flash is seen from the lowest height of any kind."""
    eyes = [table.eye_height_m[table.kind == kind][0] for kind in set(table.kind) - {""}]
    found = [green_flash.lost_from_depth(air, eye, instrument) for eye in eyes]
    return max((depth for depth in found if depth is not None), default=None)


_searched = Kept(search, most=64)


def _named_m(table):
    """Heights to name in the order in which they are wanted: whole metres first [m]."""
    wanted = table.middle_m, float(table.eye_height_m[table.longest])
    whole = [float(max(round(eye), np.ceil(LOW_M))) for eye in wanted]
    return [*whole, *(round(eye, 1) for eye in wanted)]


def _worth(seen, kind):
    return min(seen.depth_arcsec, LONGEST_ARCSEC) if seen and seen.flash.kind == kind else 0.0


def sketch(air, instrument):
    """The same from fewer heights."""
    table = green_flash.by_eye_height(
        air, LOW_M, HIGH_M, DRAFT_HEIGHTS, rounds=DRAFT_ROUNDS, instrument=instrument
    )
    eye = float(table.eye_height_m[table.best])
    return _Heights(table, float(round(eye)), _main(air, eye, instrument, green_flash.QUICK))


def _main(air, eye_height_m, instrument, quality=green_flash.FINE):
    return green_flash.main_of(
        green_flash.seen_flashes(air, eye_height_m, instrument, quality=quality)
    )


def _speed(latitude_deg, day):
    """How fast the setting Sun sinks ["/s], or the speed at the equator and why not."""
    place = sky.Place("", latitude_deg, catalogue.LIGHTHOUSE_LONGITUDE_DEG)
    sunset = sky.sunset(place, day)
    if sunset.last_sliver is None:
        return EQUATOR_ARCSEC_PER_S, say("The Sun does not set there on that day")
    speed = abs(sky.sun(place, sunset.last_sliver).vertical_speed_arcsec_per_s)
    if speed < LOWEST_SPEED_ARCSEC_PER_S:
        return EQUATOR_ARCSEC_PER_S, say("The Sun rolls along the horizon there")
    return float(speed), ""


def describe(result):
    """Where to stand, for how long a flash, of which kind, and how easily the place is found."""
    if not (result.geometric_s > 0.0).any():
        return say("From no height does the green outlast the red in this air.")
    if not result.best_s:
        seen = (
            say(" Below a depth of {depth:.2f} it is seen.", depth=result.lost_from)
            if result.lost_from
            else ""
        )
        return say(
            "Nowhere: too little green comes through to be seen {conditions}.{seen}",
            conditions=result.conditions,
            seen=seen,
        )
    if not result.worth_going:
        said = say(
            "Nowhere more than a rim: even from {place} it is {height:.0f}″ high and"
            " green for {seconds:.1f} s {conditions}.",
            place=result.best_words,
            height=result.best_arcsec,
            seconds=result.best_s,
            conditions=result.conditions,
        )
        return said + _at_the_equator(result)
    return say(
        "Stand at {place}: green, by {kind}, is seen for {seconds:.1f} s"
        " {conditions}. {window}{at_the_equator}",
        place=result.best_words,
        kind=say(result.best_kind),
        seconds=result.best_s,
        conditions=result.conditions,
        window=_window(result),
        at_the_equator=_at_the_equator(result),
    )


def _window(result):
    low, high = result.window_m
    if high - low > THIN_M:
        return say(
            "From {low:.0f} to {high:.0f} m it lasts at least half as long.", low=low, high=high
        )
    longest = (
        say(", and the longest published is 15 s")
        if round(result.best_s) > LONGEST_PUBLISHED_S
        else ""
    )
    return say(
        "The layer to stand in is {high:.1f} m thick{longest}.", high=high - low, longest=longest
    )


def _at_the_equator(result):
    if not result.reason:
        return ""
    return say(
        " {reason}: timed for the equator, {speed:.1f}″ a second.",
        reason=result.reason,
        speed=result.speed_arcsec_per_s,
    )


scene = Scene(
    name="where_to_stand",
    title=term("Where to stand"),
    question=term("From which height is the green flash seen longest?"),
    controls=(
        catalogue.AIR,
        *catalogue.LAYERS,
        *catalogue.HAZE_CONTROLS,
        catalogue.HAZE_UNDER,
        catalogue.INSTRUMENT,
        catalogue.LATITUDE.slider(step=1, low=-89, high=89, default=52),
        catalogue.DAY,
        *catalogue.GROUND,
        catalogue.SOUNDING,
    ),
    compute=compute,
    draft=draft,
    picture=WhereToStandPicture,
    describe=describe,
    seldom=(
        *catalogue.HAZE_SELDOM,
        "haze_under",
        "temperature_c",
        "pressure_hpa",
        "lapse_k_per_km",
    ),
    cues=(
        term("Where would you stand: on the beach, on the cliff, on the hill?"),
        term("Move the inversion up: the best place moves with it."),
        term("The faint line is what geometry allows. Where does the light cut it off, and why?"),
    ),
    doing=term("Looking from thirty heights"),
)
