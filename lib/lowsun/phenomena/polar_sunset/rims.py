"""How long the green rim stands alone: after the last red has gone and before the last green goes.

Air lifts green light higher than red, so the lowest clear green ray comes from farther under the
horizon than the lowest red one. Between the two altitudes a limb is green and no more. At the
equator the upper limb is through in a second; at a pole it takes a quarter of an hour.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from lowsun.data import table
from lowsun.errors import InputError, OutOfRangeError, require_number, require_range, takes
from lowsun.kept import KB, kept
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import GREEN_NM, RED_NM
from lowsun.physics.runs import runs
from lowsun.sky import clock_times, seen_from, sun
from lowsun.sky.courses import UPPER_LIMB, course, eyes_at
from lowsun.sky.ephemeris import geocentric_at
from lowsun.sky.place import require_place
from lowsun.sky.times import instant_s

LONGEST = timedelta(days=60)
TURN_ARCSEC_PER_S = 15.04  # the sky's, at the equator of the sky
BAND_STEP = 0.2  # in one step the limb may move so far against a ridge, in green bands
MOST_STEPS = 400_000
ACROSS = 81  # places along the limb that are looked at over a ragged horizon
RIDGE_RANGE_ARCMIN = (0.0, 600.0)


@dataclass(frozen=True, eq=False)
class Ridges:
    """A ragged horizon: how high it stands above the level one, all round.

    bearing_deg (N,) rising, 0 to below 360: azimuth, or at a pole longitude; height_arcmin (N,) 0
    to 600, apparent; straight between, and on from the last to the first.
    """

    bearing_deg: np.ndarray
    height_arcmin: np.ndarray

    def __post_init__(self):
        bearing = require_range("bearing_deg", self.bearing_deg, 0, 360, unit="deg")
        height = require_range(
            "height_arcmin", self.height_arcmin, *RIDGE_RANGE_ARCMIN, unit="arcmin"
        )
        if bearing.ndim != 1 or bearing.shape != height.shape or bearing.size == 0:
            raise InputError(
                f"bearing_deg and height_arcmin are shaped {bearing.shape} and {height.shape}; give"
                " one height for each bearing."
            )
        if np.any(np.diff(bearing) <= 0) or bearing[-1] == 360:
            raise InputError("bearing_deg must rise from 0 to below 360. Sort it, drop repeats.")
        object.__setattr__(self, "bearing_deg", bearing)
        object.__setattr__(self, "height_arcmin", height)

    @classmethod
    def invented(cls, height_arcmin):
        """The pressure ridges around the kit's invented ice camp, the highest of that height.

        height_arcmin [arcmin]. Raises OutOfRangeError outside.
        """
        limits = RIDGE_RANGE_ARCMIN
        height_arcmin = require_number("height_arcmin", height_arcmin, *limits, unit="arcmin")
        shape = table("polar_ridges")
        return cls(shape["bearing_deg"], height_arcmin * shape["height"])

    def at(self, bearing_deg):
        """Height above the level horizon [arcmin] at bearings of any shape.

        bearing_deg [deg] -3600 to 3600. Raises OutOfRangeError outside.
        """
        bearing = require_range("bearing_deg", bearing_deg, -3600, 3600, unit="deg")
        return np.interp(bearing, self.bearing_deg, self.height_arcmin, period=360)

    @property
    def steepest(self):
        """Steepest slope [arcmin of height per arcmin of bearing]."""
        bearing = np.append(self.bearing_deg, self.bearing_deg[0] + 360)
        height = np.append(self.height_arcmin, self.height_arcmin[0])
        return float(np.max(np.abs(np.diff(height) / np.diff(bearing)), initial=0)) / 60


@dataclass(frozen=True)
class GreenRim:
    """When the upper limb showed green and no red. All empty and 0 where it never did.

    stretches: pairs of aware UTC datetimes; reason in words where there are none.
    """

    stretches: tuple
    reason: str | None

    @property
    def lasting_s(self):
        """Length of each stretch [s]."""
        return tuple((ends - begins).total_seconds() for begins, ends in self.stretches)

    @property
    def longest_s(self):
        """The longest unbroken stretch [s]."""
        return max(self.lasting_s, default=0.0)

    @property
    def total_s(self):
        """All stretches together [s]."""
        return sum(self.lasting_s)

    @property
    def on_and_off_s(self):
        """From the first green to the last [s], breaks included, as displays are reported."""
        if not self.stretches:
            return 0.0
        return (self.stretches[-1][1] - self.stretches[0][0]).total_seconds()


@takes(atmosphere=Atmosphere)
def rim_horizons_deg(atmosphere=None, eye_height_m=2.0):
    """True altitudes [deg] of the lowest clear ray in green (520 nm) and in red (630 nm).

    The green one is the lower by the width of the rim. Raises OutOfRangeError in air that holds
    rays near the ground: the last light then leaks from a duct as torn strips, in no order of
    colour, and a rim has no width.
    """
    return _rim_horizons(
        atmosphere or Atmosphere.standard(),
        require_number("eye_height_m", eye_height_m, *rays.EYE_HEIGHT_RANGE_M, unit="m"),
    )


@takes(atmosphere=Atmosphere, ridges=Ridges)
def green_rim(place, start, end, atmosphere=None, ridges=None):
    """The stretches between two instants in which the limb over the horizon is green alone.

    On a level horizon the upper limb stands between the green and the red horizon, and
    time = (R_green - R_red) / vertical speed
    as long as the speed holds; where it does not, at skimming Suns, the stretch is followed.
    Over `ridges` the same is asked at each of 81 places along the limb: green somewhere, red
    nowhere. start, end: aware datetimes, 60 days apart at most. Returns a `GreenRim`.
    Accuracy: level, the root of the ephemeris; ragged, a fifth of the time in which the limb
    crosses the band. Leaves out ridges narrower than 1', and that haze or the eye may leave no
    green to be seen.
    """
    require_place(place)
    air = atmosphere or Atmosphere.standard()
    first, last = instant_s(start, "start"), instant_s(end, "end")
    _refuse_span(start, end, last - first)
    try:
        green, red = rim_horizons_deg(air, place.eye_height_m)
    except OutOfRangeError as refused:
        return GreenRim((), str(refused))
    if ridges is None:
        stretches = _level_stretches(place, first, last, green, red)
    else:
        stretches = _ragged_stretches(place, first, last, air, ridges)
    return GreenRim(
        tuple((clock_times(begins), clock_times(ends)) for begins, ends in stretches),
        None if len(stretches) else "The upper limb does not pass the horizon in this span.",
    )


@kept(500 * KB)
def _rim_horizons(atmosphere, eye_height_m):
    lifted = rays.horizon_apparent_altitude_deg(atmosphere, eye_height_m, RED_NM)
    green, red = (
        rays.horizon_true_altitude_deg(atmosphere, eye_height_m, nm) for nm in (GREEN_NM, RED_NM)
    )
    if lifted > 0 or not green < red:
        raise OutOfRangeError(
            f"the visible horizon stands at {60 * lifted:.1f} arcmin from an eye at"
            f" {eye_height_m:g} m, green light down to {green:.3f} and red to {red:.3f} deg true:"
            " a duct, out of which the last light comes torn and in no order of colour."
            " Weaken the inversion, or raise the eye."
        )
    return green, red


# --- level ------------------------------------------------------------------------------------


def _level_stretches(place, first, last, green_deg, red_deg):
    """Pairs of instants [s] between which the upper limb is over the green horizon, under the red.

    The limb enters the band at one edge and leaves it at either; entries and leavings alternate.
    """
    path = course(eyes_at("sun", place), first, last)
    below, above = (path.crossings(level, UPPER_LIMB) for level in (green_deg, red_deg))
    edges = np.concatenate([below.tt_s, above.tt_s])
    enters = np.concatenate([below.rising, ~above.rising])
    order = np.argsort(edges, kind="stable")
    edges, enters = edges[order], enters[order]
    if _limb_within(place, first, green_deg, red_deg):
        edges, enters = np.append(first, edges), np.append(True, enters)
    if enters.size and enters[-1]:
        edges, enters = np.append(edges, last), np.append(enters, False)
    return list(zip(edges[enters], edges[~enters], strict=True))


def _limb_within(place, tt_s, green_deg, red_deg):
    seen = eyes_at("sun", place).look(0, tt_s)
    return green_deg <= seen.true_altitude_deg + seen.angular_diameter_arcmin / 120 < red_deg


# --- ragged -----------------------------------------------------------------------------------


def _ragged_stretches(place, first, last, air, ridges):
    skylines = [_Skyline(place, air, nm, ridges) for nm in (GREEN_NM, RED_NM)]
    stretches = []
    for begins, ends in _worth_looking(place, first, last, skylines):
        times = _fine_times(place, begins, ends, skylines)
        shown = _green_alone(place, times, skylines)
        stretches += _shown_spans(times, shown)
    return stretches


class _Skyline:
    """True altitude [deg] of the lowest ray over the ridges in one wavelength, by bearing."""

    def __init__(self, place, air, wavelength_nm, ridges):
        self.ridges = ridges
        self.level_deg = rays.horizon_true_altitude_deg(air, place.eye_height_m, wavelength_nm)
        horizon = rays.horizon_apparent_altitude_deg(air, place.eye_height_m, wavelength_nm)
        highest = max(float(ridges.height_arcmin.max()), 1.0)
        above = np.append(0.0, np.geomspace(rays.SLIVER_ARCSEC / 60, highest, 300))
        curve = rays.transfer_curve(
            air, place.eye_height_m, horizon + np.maximum(above, above[1]) / 60, wavelength_nm
        )
        self._above, self._true = above, curve.true_altitude_deg

    def at(self, bearing_deg):
        return np.interp(self.ridges.at(bearing_deg), self._above, self._true)

    @property
    def highest_deg(self):
        return float(self._true.max())


def _worth_looking(place, first, last, skylines):
    """Spans with the upper limb over the level green horizon and under the highest red ridge."""
    green, red = skylines
    return _level_stretches(place, first, last, green.level_deg, red.highest_deg + 1e-3)


def _fine_times(place, begins, ends, skylines):
    """Instants close enough that the limb moves a fifth of the green band between two."""
    green, red = skylines
    speed = sun(place, clock_times(np.linspace(begins, ends, 33))).vertical_speed_arcsec_per_s
    fastest = np.abs(speed).max() + TURN_ARCSEC_PER_S * red.ridges.steepest
    step = BAND_STEP * 3600 * (red.level_deg - green.level_deg) / fastest
    count = 2 + int((ends - begins) / step)
    if count > MOST_STEPS:
        raise OutOfRangeError(
            f"the limb takes {(ends - begins) / 86400:.1f} days to pass these ridges, {count}"
            f" steps; allowed are {MOST_STEPS}. Lower or flatten the ridges, or shorten the span."
        )
    return np.linspace(begins, ends, count)


def _green_alone(place, times, skylines):
    """Whether anywhere along the limb green is over the ridges and nowhere red, (T,)."""
    seen = seen_from(
        geocentric_at("sun", times), place.latitude_deg, place.longitude_deg, place.eye_height_m
    )
    bearing = seen.subpoint_longitude_deg % 360 if place.at_pole else seen.azimuth_deg
    radius = seen.angular_diameter_arcmin / 120
    share = np.sin(np.linspace(-np.pi / 2, np.pi / 2, ACROSS))
    limb = seen.true_altitude_deg[:, None] + radius[:, None] * np.sqrt(1 - share**2)
    where = bearing[:, None] + radius[:, None] * share
    green, red = ((limb > skyline.at(where)).any(axis=1) for skyline in skylines)
    return green & ~red


def _shown_spans(times, shown):
    """First and last instants of the runs of True, widened to the middle of the steps."""
    half = 0.5 * (times[1] - times[0])
    return [(times[a] - half, times[b - 1] + half) for a, b in runs(shown)]


def _refuse_span(start, end, seconds):
    if not isinstance(start, datetime) or not 0 < seconds <= LONGEST.total_seconds():
        raise OutOfRangeError(
            f"start is {start} and end {end}, {seconds / 86400:.2f} days apart; allowed is more"
            f" than 0 and at most {LONGEST.days} days. Exchange the two, or look at a shorter span."
        )
