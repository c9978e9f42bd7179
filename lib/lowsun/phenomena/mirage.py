"""Mirages of the low Sun, read off the transfer curve of one wavelength.

Where the curve rises with apparent altitude an image stands erect, where it falls inverted; its
turning points are the altitudes at which pieces of the Sun part, meet, come and go.
"""

from dataclasses import dataclass, replace

import numpy as np

from lowsun.errors import InputError, require_number, require_range, require_values, takes
from lowsun.phenomena.low_sun import DIAMETER_RANGE_ARCMIN, SUN_DIAMETER_ARCMIN
from lowsun.physics import rays
from lowsun.physics.air import WAVELENGTH_RANGE_NM
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import Air, air_of
from lowsun.physics.rays import TransferCurve
from lowsun.physics.runs import runs

HIGHEST_DEG = 3.0  # above it no air bends the curve back
NOTCH_ARCSEC = 1.0  # a turn of the curve shallower in true altitude shows in no picture
# Of apparent altitude: the trembling of the air joins what is closer (common practice, no source).
APART_ARCSEC = 2.0
# The disc on the horizon has some 6e5 cd/m2 (handbooks, within a factor 3), ten times less through
# the longer way along a duct; the sky around it has some 1e3 (both common practice, no source). An
# eye tells a minute of arc apart: a thread 60" x 1e3 / 6e4 high shines no brighter in it than that.
THREAD_ARCSEC = 1.0
UNSEEN = 0.05  # magnification, of all images together, below which a strip is too thin to be seen
SPEED_RANGE_ARCSEC_PER_S = (1e-4, 15.1)  # up to the sky's own turning


@takes(atmosphere=(Atmosphere, Air))
def curve_near_horizon(
    atmosphere,
    eye_height_m,
    wavelength_nm=rays.VISUAL_NM,
    high_deg=HIGHEST_DEG,
    tolerance_arcsec=0.1,
    probes=rays.PROBES,
    settled=rays.SETTLED,
):
    """The `TransferCurve` from the lowest ray to `high_deg`, refined for mirages.

    atmosphere: an `Atmosphere`, or an `Air` whose haze and ozone dim the curve's light;
    eye_height_m [m] 0 to 20 000; wavelength_nm [nm] one number, as the rest of this module takes
    it, or (W,) to be taken apart by `TransferCurve.at`; high_deg [deg] -1 to 90; tolerance_arcsec:
    how far straight lines between its altitudes may stray [arcsec] 0.01 to 60, tried at so many
    `probes` among the wavelengths; settled [1]: as in `rays.transfer_curve`.
    """
    high = require_number("high_deg", high_deg, -1.0, 90.0, unit="deg")
    require_values("wavelength_nm", wavelength_nm, *WAVELENGTH_RANGE_NM, unit="nm")
    air = air_of(atmosphere)
    horizon = rays.horizon_apparent_altitude_deg(air.atmosphere, eye_height_m, wavelength_nm)
    low = min(high, -float(np.abs(horizon).max())) - 0.01
    apparent = rays.refined_altitudes_deg(
        air.atmosphere, eye_height_m, low, high, wavelength_nm, tolerance_arcsec, probes
    )
    return rays.transfer_curve(air, eye_height_m, apparent, wavelength_nm, settled=settled)


# --- images ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Image:
    """One image of a point of the sky: where it is seen, and how stretched upright [1]."""

    apparent_altitude_deg: float
    magnification: float

    @property
    def name(self):
        """erect or inverted."""
        return "erect" if self.magnification > 0.0 else "inverted"


@takes(curve=TransferCurve)
def images(curve, true_altitude_deg):
    """The images of a point of the sky at a true altitude [deg], a tuple of `Image` from the top.

    curve: of one wavelength. Empty where the point is not seen; one in smooth air; two more with
    every fold of the curve.
    true_altitude_deg [deg] -90 to 90. Raises OutOfRangeError outside.
    """
    target = require_number("true_altitude_deg", true_altitude_deg, -90.0, 90.0, unit="deg")
    apparent, true = _line(curve)
    low, rise, gap = true[:-1], np.diff(true), np.diff(apparent)
    at = _between(low, true[1:], target).nonzero()[0][::-1]
    seen = apparent[at] + gap[at] * (target - low[at]) / rise[at]
    return tuple(Image(float(a), float(m)) for a, m in zip(seen, gap[at] / rise[at], strict=True))


@takes(curve=TransferCurve)
def unseen_strips(curve, low_deg, high_deg):
    """Strips of the sky of which next to nothing is seen: true altitudes [deg], (S, 2), rising.

    All images of such a strip together have less than a twentieth of its height. Looks from low_deg
    to high_deg [deg], true altitudes; what lies below the lowest ray is a strip as well.
    Raises OutOfRangeError for altitudes beyond -90 to 90.
    """
    low, high = require_range("low_deg, high_deg", [low_deg, high_deg], -90.0, 90.0, unit="deg")
    lower, upper, gap = _pieces_of(curve)
    bounds = np.unique(np.clip(np.concatenate([[low, high], lower, upper]), low, high))
    middle = 0.5 * (bounds[1:] + bounds[:-1])
    dark = _stacked(lower, upper, gap / (upper - lower), middle) < UNSEEN
    framed = np.concatenate([[False], dark, [False]])
    begins, ends = framed[1:] & ~framed[:-1], framed[:-1] & ~framed[1:]
    return np.column_stack([bounds[begins], bounds[ends]])


def _line(curve):
    """Apparent and true altitudes (A,) [deg] of a curve of one wavelength."""
    true = np.asarray(curve.true_altitude_deg)
    if true.ndim == 2 and true.shape[0] == 1:
        true = true[0]
    if true.ndim != 1 or true.size < 2:
        raise InputError(
            f"the curve's true altitudes are shaped {np.shape(curve.true_altitude_deg)}; wanted are"
            " those of one wavelength. Trace one, as curve_near_horizon does."
        )
    return curve.apparent_altitude_deg, true


def _between(one, other, target):
    return (np.minimum(one, other) <= target) & (target < np.maximum(one, other))


def _pieces_of(curve):
    """Lower and upper true altitude and apparent height [deg] of the curve's straight pieces."""
    apparent, true = _line(curve)
    ends = np.sort([true[:-1], true[1:]], axis=0)
    some = ends[1] > ends[0]
    return ends[0, some], ends[1, some], np.diff(apparent)[some]


def _stacked(low, high, weight, target):
    """Sum of the weights of all pieces that hold each target."""
    edges = np.concatenate([low, high])
    order = np.argsort(edges, kind="stable")
    total = np.cumsum(np.concatenate([weight, -weight])[order])
    return np.append(0.0, total)[np.searchsorted(edges[order], target, side="right")]


# --- outline --------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Outline:
    """What is seen of the disc at one instant: its separate pieces, from the top down.

    low_deg, high_deg (P,): apparent altitudes of each piece's ends; width_arcsec (P,): its widest
    row.
    """

    low_deg: np.ndarray
    high_deg: np.ndarray
    width_arcsec: np.ndarray

    @property
    def axis_ratio(self):
        """Height divided by width of the whole outline, 1 for a circle; NaN where nothing is
        seen."""
        if self.low_deg.size == 0:
            return np.nan
        return float(3600.0 * (self.high_deg[0] - self.low_deg[-1]) / self.width_arcsec.max())


@takes(curve=TransferCurve)
def outline(curve, sun_true_altitude_deg, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
    """The visible `Outline` of the Sun with its centre at a true altitude [deg].

    curve: of one wavelength. Widths are true widths: air narrows a disc across by 0.03 % at most.
    sun_true_altitude_deg [deg] -90 to 90. Raises OutOfRangeError outside.
    """
    centre = float(
        require_number("sun_true_altitude_deg", sun_true_altitude_deg, -90.0, 90.0, unit="deg")
    )
    radius = sun_radius_deg(sun_diameter_arcmin)
    apparent, true = _line(curve)
    offset = true - centre
    limbs = [i.apparent_altitude_deg for t in (radius, -radius) for i in images(curve, centre + t)]
    bounds = np.unique(np.concatenate([limbs, apparent[_stretches(true).ravel()]]))
    off_axis = np.interp(0.5 * (bounds[1:] + bounds[:-1]), apparent, offset)
    framed = np.concatenate([[False], np.abs(off_axis) < radius, [False]])
    low = bounds[framed[1:] & ~framed[:-1]][::-1]
    high = bounds[framed[:-1] & ~framed[1:]][::-1]
    nearest = [_nearest(apparent, offset, *ends) for ends in zip(low, high, strict=True)]
    half_width = np.sqrt(np.maximum(radius**2 - np.square(nearest), 0.0))
    return Outline(low, high, 7200.0 * half_width)


def sun_radius_deg(sun_diameter_arcmin):
    """The Sun's radius [deg] from its diameter [arcmin], which is 31 to 33."""
    diameter = require_number(
        "sun_diameter_arcmin", sun_diameter_arcmin, *DIAMETER_RANGE_ARCMIN, unit="arcmin"
    )
    return diameter / 120.0


def _stretches(true):
    """First and last places of the curve's unbroken stretches of two points or more, (S, 2)."""
    found = runs(np.isfinite(true)) - [0, 1]
    return found[found[:, 1] > found[:, 0]]


def _nearest(apparent, offset, low, high):
    """Smallest distance of a part of the curve from the Sun's centre [deg]."""
    inside = offset[(apparent > low) & (apparent < high)]
    ends = np.interp([low, high], apparent, offset)
    part = np.concatenate([ends[:1], inside, ends[1:]])
    part = part[np.isfinite(part)]
    return 0.0 if part.min() <= 0.0 <= part.max() else np.abs(part).min()


# --- what happens as the Sun goes down --------------------------------------------------------


@dataclass(frozen=True)
class Turn:
    """A turning point of the curve, or an end of it.

    lowest: a lowest point, else a highest. true_altitude_deg: of the point; of a lowest point the
    level at which it is 1" wide: what of the Sun is seen below that is too thin a thread.
    low_deg, high_deg: apparent altitudes down and up to which the curve rises from a lowest point
    or falls from a highest. at_end: the curve ends here; just below and above it a ray fares as
    `fate_below`, `fate_above`.
    """

    apparent_altitude_deg: float
    true_altitude_deg: float
    lowest: bool
    at_end: bool
    low_deg: float
    high_deg: float
    fate_below: rays.Fate
    fate_above: rays.Fate


@takes(curve=TransferCurve)
def turns(curve, notch_arcsec=NOTCH_ARCSEC, apart_arcsec=APART_ARCSEC):
    """The curve's lowest and highest points in turn, from low apparent altitudes up: `Turn`s.

    Neighbours in an unbroken stretch of curve differ by `notch_arcsec` or more in true altitude and
    by `apart_arcsec` or more in apparent altitude [arcsec, 0 to 3600]. The curve's top end, at the
    highest altitude traced, is not one of them. curve: of one wavelength.
    """
    least = require_range(
        "notch_arcsec, apart_arcsec", [notch_arcsec, apart_arcsec], 0.0, 3600.0, unit="arcsec"
    )
    apparent, true = _line(curve)
    found = []
    for first, last in _stretches(true):
        part = slice(first, last + 1)
        places = first + _zigzag(true[part], apparent[part], *(least / 3600.0))
        found += [_turn(curve, places, position) for position in range(places.size)]
    return tuple(turn for turn in found if turn.apparent_altitude_deg < apparent[-1])


def _zigzag(true, apparent, notch, apart):
    """Indices of both ends and of the turning points that differ enough from each other."""
    slope = np.sign(np.diff(true))
    kept = [0, *(np.flatnonzero(slope[1:] * slope[:-1] < 0) + 1).tolist(), true.size - 1]
    while len(kept) > 2:
        steps = np.abs(np.diff(true[kept]))
        steps[(steps >= notch) & (np.diff(apparent[kept]) >= apart)] = np.inf
        smallest = int(np.argmin(steps))
        if np.isinf(steps[smallest]):
            break
        # Both go, unless one is an end of the curve, which stays.
        del kept[max(1, smallest) : min(smallest + 2, len(kept) - 1)]
    return np.array(kept)


def _turn(curve, places, position):
    apparent, true = _line(curve)
    fate, place = np.ravel(curve.fate), places[position]
    low, high = places[max(position - 1, 0)], places[min(position + 1, places.size - 1)]
    lowest = bool(true[place] < true[high if place == low else low])
    hollow = slice(low, high + 1)
    level = true[place]
    if lowest:
        level = _thread_deg(apparent[hollow], true[hollow])
    return Turn(
        apparent_altitude_deg=float(apparent[place]),
        true_altitude_deg=float(level),
        lowest=lowest,
        at_end=position in (0, places.size - 1),
        low_deg=float(apparent[low]),
        high_deg=float(apparent[high]),
        fate_below=rays.Fate(fate[max(place - 1, 0)]),
        fate_above=rays.Fate(fate[min(place + 1, fate.size - 1)]),
    )


def _thread_deg(apparent, true):
    """True altitude [deg] below which a hollow of the curve shows no more than a thread."""
    low, rise, gap = np.minimum(true[1:], true[:-1]), np.abs(np.diff(true)), np.diff(apparent)
    some = rise > 0.0
    low, rise, gap = low[some], rise[some], gap[some]
    edge = np.concatenate([low, low + rise])
    order = np.argsort(edge, kind="stable")
    edge, rate = edge[order], np.cumsum(np.concatenate([gap / rise, -gap / rise])[order])
    shown = np.concatenate([[0.0], np.cumsum(rate[:-1] * np.diff(edge))])
    return float(np.interp(THREAD_ARCSEC / 3600.0, shown, edge))


@takes(curve=TransferCurve, turn=Turn)
def height_below_deg(curve, turn, true_altitude_deg):
    """Apparent height [deg] of what stands in a hollow of the curve below a true altitude [deg].

    That of the piece of the Sun, about a lowest point, whose upper limb is there.
    true_altitude_deg [deg] -90 to 90. Raises OutOfRangeError outside.
    """
    below = require_number("true_altitude_deg", true_altitude_deg, -90.0, 90.0, unit="deg")
    apparent, true = _line(curve)
    hollow = (apparent >= turn.low_deg) & (apparent <= turn.high_deg) & np.isfinite(true)
    apparent, true = apparent[hollow], true[hollow]
    low, high = np.minimum(true[1:], true[:-1]), np.maximum(true[1:], true[:-1])
    share = np.clip((below - low) / np.maximum(high - low, 1e-12), 0.0, 1.0)
    return float(np.sum(share * np.diff(apparent)))


@dataclass(frozen=True)
class Event:
    """A change in the number of pieces of the Sun, seen at an apparent altitude.

    kind: "appears" (a piece), "touches down" (on the horizon, or an edge of a dark strip), "joins"
    (two pieces), "detaches" (one piece from another), "lifts off" (a piece, from such an edge),
    "vanishes" (a piece). limb: of the Sun, "upper" or "lower". sun_true_altitude_deg: of its
    centre then.
    """

    kind: str
    limb: str
    apparent_altitude_deg: float
    sun_true_altitude_deg: float
    wavelength_nm: float

    def seconds_after(self, sun_true_altitude_deg, vertical_speed_arcsec_per_s):
        """Seconds [s] since the sinking Sun's centre stood at a true altitude [deg].

        vertical_speed_arcsec_per_s [arcsec/s] 0.0001 to 15.1. Raises OutOfRangeError
        outside.
        """
        speed = require_range(
            "vertical_speed_arcsec_per_s",
            vertical_speed_arcsec_per_s,
            *SPEED_RANGE_ARCSEC_PER_S,
            unit="arcsec/s",
            remedy="Give its size; events_rising mirrors what happens at sunrise.",
        )
        return 3600.0 * (sun_true_altitude_deg - self.sun_true_altitude_deg) / speed


# What happens at a turning point of the curve when a limb of the sinking Sun passes it:
# (limb, is it a lowest point, does the curve end there).
SETTING = {
    ("upper", True, False): "vanishes",
    ("upper", True, True): "vanishes",
    ("upper", False, False): "detaches",
    ("upper", False, True): "lifts off",
    ("lower", True, False): "joins",
    ("lower", True, True): "touches down",
    ("lower", False, False): "appears",
    ("lower", False, True): "appears",
}
MIRRORED = {
    "vanishes": "appears",
    "appears": "vanishes",
    "detaches": "joins",
    "joins": "detaches",
    "lifts off": "touches down",
    "touches down": "lifts off",
}


@takes(curve=TransferCurve)
def events_setting(curve, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN, notch_arcsec=NOTCH_ARCSEC):
    """What happens to the pieces of the setting Sun, a tuple of `Event` in order of time.

    curve: of one wavelength. A limb's image passes a lowest point of the curve and is gone, or a
    highest and is cut in two; every such passage is one event of the upper and one of the lower
    limb. `Event.seconds_after` gives its time for a vertical speed.
    sun_diameter_arcmin [arcmin], notch_arcsec [arcsec].
    """
    radius = sun_radius_deg(sun_diameter_arcmin)
    found = [
        Event(
            kind=SETTING[limb, turn.lowest, turn.at_end],
            limb=limb,
            apparent_altitude_deg=turn.apparent_altitude_deg,
            sun_true_altitude_deg=turn.true_altitude_deg - offset,
            wavelength_nm=float(np.ravel(curve.wavelength_nm)[0]),
        )
        for turn in turns(curve, notch_arcsec)
        for limb, offset in (("upper", radius), ("lower", -radius))
    ]
    return tuple(sorted(found, key=lambda event: -event.sun_true_altitude_deg))


@takes(curve=TransferCurve)
def events_rising(curve, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN, notch_arcsec=NOTCH_ARCSEC):
    """What happens to the pieces of the rising Sun: `events_setting` run backwards.

    sun_diameter_arcmin [arcmin], notch_arcsec [arcsec].
    """
    setting = events_setting(curve, sun_diameter_arcmin, notch_arcsec)
    return tuple(replace(event, kind=MIRRORED[event.kind]) for event in reversed(setting))
