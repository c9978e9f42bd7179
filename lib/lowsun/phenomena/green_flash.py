"""The green flash as geometry: which kind an air makes, from where, when, how long and how large.

Air lifts short waves higher than long ones. At each lowest point of the transfer curve a piece of
the Sun vanishes, its red image first and its green one when the limb has sunk on by the difference
of the two: between the two stands the flash. Its light is in `lowsun.phenomena.flash_light`.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np

from lowsun import sky
from lowsun.errors import OutOfRangeError, require_range, require_whole
from lowsun.phenomena import mirage
from lowsun.phenomena.flash_light import RIM_NM
from lowsun.phenomena.low_sun import SUN_DIAMETER_ARCMIN
from lowsun.physics import rays
from lowsun.sky.contacts import air_or_standard

# Green is all that is left of the Sun's light when 520 nm still comes and 630 nm does not: beyond
# 630 nm lies most of what the red horizon Sun sends, and little below 520 nm gets through the air.
GREEN_NM, RED_NM = RIM_NM

RIM = "rim only"
INFERIOR = "inferior mirage"
MOCK = "mock mirage"
SUB_DUCT = "sub-duct"

LEVEL_ARCMIN = 1.0  # a fold nearer to the horizontal is made by air above the eye
SAME_FOLD_ARCMIN = 4.0  # a red and a green fold no further apart belong together
ABOVE_FOLD_ARCMIN = 5.0  # where the image's size tells what made the fold
SQUEEZED = 0.6  # magnification there: warm seas leave 0.8 to 1.2, inversions less than a half
# A green piece less high is a thread, whose size and length hang on centimetres of the air.
LEAST_HEIGHT_ARCSEC = 2.0
# An eye's minute of arc through binoculars of ten times: of several flashes one as high as this
# counts before any smaller one, however long.
SHOWS_ARCSEC = 6.0
SEARCH = timedelta(days=2)  # each way from the last sliver; near a pole the limb takes its time
CLOSEST_EYES_M = 1.0  # waves and standing up move an eye by as much


@dataclass(frozen=True)
class Flash:
    """One flash an air makes for an eye: what of the Sun goes from red to green before it goes.

    kind: "rim only", "inferior mirage", "mock mirage" or "sub-duct" (Young, Kattawar & Parviainen
    1997, Applied Optics 36, 2689, and Young's later articles).
    red_true_altitude_deg, green_true_altitude_deg: of the upper limb when the red and when the
    green image of the piece vanishes. height_arcsec, width_arcsec: of what is green alone, at its
    largest, when the red vanishes.
    """

    kind: str
    apparent_altitude_deg: float
    red_true_altitude_deg: float
    green_true_altitude_deg: float
    height_arcsec: float
    width_arcsec: float

    @property
    def depth_arcsec(self):
        """How far the limb sinks while the flash lasts [arcsec]."""
        return 3600.0 * (self.red_true_altitude_deg - self.green_true_altitude_deg)

    @property
    def shows(self):
        """Is it 6" high or more, so that binoculars show it as more than a thread?"""
        return self.height_arcsec >= SHOWS_ARCSEC

    @property
    def rank(self):
        """What to sort flashes by: those that show before those that do not, then the longest."""
        return self.shows, self.depth_arcsec

    def duration_s(self, vertical_speed_arcsec_per_s):
        """How long it lasts for a vertical speed of the Sun [arcsec/s], its size."""
        return self.depth_arcsec / require_range(
            "vertical_speed_arcsec_per_s",
            vertical_speed_arcsec_per_s,
            *mirage.SPEED_RANGE_ARCSEC_PER_S,
            unit="arcsec/s",
        )


def flashes(atmosphere, eye_height_m, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
    """All flashes the setting Sun makes through this air for an eye, a tuple of `Flash`.

    From the lowest apparent altitude up; at sunrise the same ones run backwards. eye_height_m [m]
    0 to 20 000. Empty where the red image of every piece outlasts the green one.
    Leaves out how much light is left, waves, and air that varies sideways.
    """
    green, red = (
        mirage.curve_near_horizon(atmosphere, eye_height_m, nm) for nm in (GREEN_NM, RED_NM)
    )
    return flashes_between(green, red, sun_diameter_arcmin)


def flashes_between(green, red, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
    """The `flashes` of an air whose curves for GREEN_NM and RED_NM have been traced.

    green, red: from `mirage.curve_near_horizon`.
    """
    radius_arcsec = 3600.0 * mirage.sun_radius_deg(sun_diameter_arcmin)
    green_turns = mirage.turns(green)
    red_folds = [turn for turn in mirage.turns(red) if turn.lowest]
    found = []
    for place, turn in enumerate(green_turns):
        partner = _partner(turn, red_folds)
        if turn.lowest and partner is not None and _stands_alone(place, green_turns, partner):
            found.append(_flash(green, green_turns, place, partner, radius_arcsec))
    return tuple(flash for flash in found if flash.height_arcsec >= LEAST_HEIGHT_ARCSEC)


def _partner(turn, folds):
    """The red fold that goes with a green one, if it vanishes before it."""
    near = min(
        folds,
        key=lambda fold: abs(fold.apparent_altitude_deg - turn.apparent_altitude_deg),
        default=None,
    )
    if near is None or near.true_altitude_deg <= turn.true_altitude_deg:
        return None
    apart = 60.0 * abs(near.apparent_altitude_deg - turn.apparent_altitude_deg)
    return near if apart < SAME_FOLD_ARCMIN else None


def _stands_alone(place, turns, red_fold):
    """Has the green piece come off its neighbours when the red one vanishes?"""
    rims = [t for t in turns[max(place - 1, 0) : place + 2] if not t.lowest]
    return all(rim.true_altitude_deg > red_fold.true_altitude_deg for rim in rims)


def _flash(curve, turns, place, red_fold, radius_arcsec):
    turn = turns[place]
    sunk = min(3600.0 * (red_fold.true_altitude_deg - turn.true_altitude_deg), radius_arcsec)
    return Flash(
        kind=_kind(curve, turns, place),
        apparent_altitude_deg=turn.apparent_altitude_deg,
        red_true_altitude_deg=float(red_fold.true_altitude_deg),
        green_true_altitude_deg=float(turn.true_altitude_deg),
        height_arcsec=3600.0 * mirage.height_below_deg(curve, turn, red_fold.true_altitude_deg),
        width_arcsec=2.0 * float(np.sqrt(sunk * (2.0 * radius_arcsec - sunk))),
    )


def _kind(curve, turns, place):
    """The kind of flash that a lowest point of the green curve makes, told from the curve."""
    turn = turns[place]
    below = turns[place - 1] if place else None
    in_duct = rays.Fate.TRAPPED in (turn.fate_below, turn.fate_above)
    above_level = 60.0 * turn.apparent_altitude_deg > LEVEL_ARCMIN  # rising rays come down again
    if turn.at_end:
        return SUB_DUCT if in_duct or above_level else RIM
    if below is not None and below.at_end and not _squeezed(curve, turn):
        return INFERIOR
    return SUB_DUCT if 60.0 * abs(turn.apparent_altitude_deg) < LEVEL_ARCMIN else MOCK


def _squeezed(curve, turn):
    """Is the image above a fold less high than it is wide, as an inversion makes it?"""
    above = turn.apparent_altitude_deg + ABOVE_FOLD_ARCMIN / 60.0
    rise = np.interp(above, curve.apparent_altitude_deg, curve.true_altitude_deg)
    return SQUEEZED * (rise - turn.true_altitude_deg) > ABOVE_FOLD_ARCMIN / 60.0


# --- at a place and a date --------------------------------------------------------------------


@dataclass(frozen=True)
class TimedFlash:
    """A `Flash` with its instants, aware UTC datetimes: from the last red to the last green.

    At sunrise from the first green to the first red.
    """

    flash: Flash
    begins: datetime
    ends: datetime

    @property
    def duration_s(self):
        """How long it lasts [s]."""
        return (self.ends - self.begins).total_seconds()


@dataclass(frozen=True)
class Forecast:
    """The flashes of one sunset or sunrise, and what is known of the main one.

    That is the longest of those that show in binoculars, or else of all. kind None, and `reason`
    in words, where there is none. Instants are aware UTC datetimes.
    flashes: all of them, in order of time.
    """

    place: sky.Place
    date: date
    rising: bool
    flashes: tuple
    reason: str | None

    @property
    def main(self):
        """The main `TimedFlash`, or None."""
        return max(self.flashes, key=lambda timed: timed.flash.rank, default=None)

    @property
    def kind(self):
        """The kind of the main flash."""
        return self._of_main("kind")

    @property
    def begins(self):
        """When the main flash begins."""
        return self.main.begins if self.main else None

    @property
    def ends(self):
        """When the main flash ends."""
        return self.main.ends if self.main else None

    @property
    def duration_s(self):
        """How long the main flash lasts [s]; 0 where there is none."""
        return self.main.duration_s if self.main else 0.0

    @property
    def height_arcsec(self):
        """Largest height of the main flash [arcsec]."""
        return self._of_main("height_arcsec")

    @property
    def width_arcsec(self):
        """Largest width of the main flash [arcsec]."""
        return self._of_main("width_arcsec")

    def _of_main(self, name):
        return getattr(self.main.flash, name) if self.main else None


def forecast(place, date, atmosphere=None, rising=False):
    """What flashes the air makes at a place on a local date: a `Forecast`.

    place: a `sky.Place`, whose eye height counts; date: datetime.date in place.timezone;
    atmosphere: an Atmosphere, by default the standard one; rising: at sunrise instead of sunset.
    Good to the tenth of a second for the air given; real air moves sunset by some ten seconds, and
    a mirage more (common experience, no source). Leaves out whether the eye sees it: see
    `lowsun.phenomena.flash_light`.
    """
    air = air_or_standard(atmosphere)
    passage = (sky.sunrise if rising else sky.sunset)(place, date, air)
    sliver = passage.first_sliver if rising else passage.last_sliver
    if sliver is None:
        return Forecast(place, date, rising, (), passage.reason)
    diameter = float(sky.sun(place, sliver).angular_diameter_arcmin)
    found = flashes(air, place.eye_height_m, diameter)
    timed = [_timed(place, sliver, flash, rising) for flash in found]
    kept = tuple(sorted((t for t in timed if t is not None), key=lambda t: t.begins))
    return Forecast(place, date, rising, kept, None if kept else _why_none(found))


def _why_none(found):
    if found:
        return "the Sun turns back before the green image of its limb has gone."
    return (
        "in this air and from this height the Sun thins out to a thread before its colours part;"
        " by_eye_height shows from where they do."
    )


def _timed(place, sliver, flash, rising):
    """The flash with the instants nearest to the last, or first, sliver; None without them."""
    red, green = (
        [
            crossing.when
            for crossing in sky.crossings(
                place, sliver - SEARCH, sliver + SEARCH, level, rising=rising, limb="upper"
            )
        ]
        for level in (flash.red_true_altitude_deg, flash.green_true_altitude_deg)
    )
    first, last = (green, red) if rising else (red, green)
    begins = min(first, key=lambda when: abs(when - sliver), default=None)
    ends = min((when for when in last if begins and when > begins), default=None)
    return TimedFlash(flash, begins, ends) if ends else None


# --- from where -------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class ByEyeHeight:
    """The main flash from each height: arrays (E,) along eye_height_m, rising.

    kind "" and sizes 0 where there is none. depth_arcsec: how far the limb sinks meanwhile.
    """

    eye_height_m: np.ndarray
    kind: np.ndarray
    depth_arcsec: np.ndarray
    height_arcsec: np.ndarray
    width_arcsec: np.ndarray

    @property
    def best(self):
        """Index of the height from which the flash lasts longest and shows: where to stand."""
        return int(np.lexsort((self.depth_arcsec, self.height_arcsec >= SHOWS_ARCSEC))[-1])

    def duration_s(self, vertical_speed_arcsec_per_s):
        """How long each lasts [s] for a vertical speed of the Sun [arcsec/s], its size."""
        return self.depth_arcsec / require_range(
            "vertical_speed_arcsec_per_s",
            vertical_speed_arcsec_per_s,
            *mirage.SPEED_RANGE_ARCSEC_PER_S,
            unit="arcsec/s",
        )


def by_eye_height(atmosphere, low_m=1.5, high_m=300.0, count=24, rounds=3):
    """Where to stand: the main flash of this air from heights between two limits.

    low_m, high_m [m] 0.5 to 20 000; `count` heights (2 to 500), evenly spread in their logarithm,
    and `rounds` (0 to 10) of one more on either side of the best, none closer to it than a metre.
    Returns a `ByEyeHeight`.
    """
    low, high = require_range("low_m, high_m", [low_m, high_m], 0.5, 20_000.0, unit="m")
    if low >= high:
        raise OutOfRangeError(f"low_m is {low:g} m and high_m {high:g} m; give low_m below high_m.")
    found = {
        float(eye): _main(atmosphere, eye)
        for eye in np.geomspace(low, high, require_whole("count", count, 2, 500))
    }
    for _ in range(require_whole("rounds", rounds, 0, 10)):
        for eye in _beside_best(found):
            found[eye] = _main(atmosphere, eye)
    return _table(found)


def _main(atmosphere, eye_height_m):
    return max(flashes(atmosphere, eye_height_m), key=lambda flash: flash.rank, default=None)


def _beside_best(found):
    """Heights halfway from the best one to its neighbours, where they are not too close."""
    heights = sorted(found)
    best = _table(found).best
    return [
        0.5 * (low + high)
        for low, high in pairwise(heights[max(best - 1, 0) : best + 2])
        if high - low >= 2.0 * CLOSEST_EYES_M
    ]


def _table(found):
    heights = sorted(found)

    def column(name, without):
        return np.array([getattr(found[eye], name) if found[eye] else without for eye in heights])

    return ByEyeHeight(
        eye_height_m=np.array(heights),
        kind=column("kind", ""),
        depth_arcsec=column("depth_arcsec", 0.0),
        height_arcsec=column("height_arcsec", 0.0),
        width_arcsec=column("width_arcsec", 0.0),
    )
