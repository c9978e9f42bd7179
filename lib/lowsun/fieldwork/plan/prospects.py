"""Is tonight worth it: the flash by eye height over airs, and what haze leaves of it."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import LowsunError, require_number, require_whole, takes
from lowsun.fieldwork.plan.airs import LIMITS, Ranges, air_over, evenly, main_flash
from lowsun.phenomena import green_flash
from lowsun.phenomena.evening import Evening
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, HAZE_SCALE_HEIGHT_M, Haze, rayleigh_depth
from lowsun.physics.medium import Air
from lowsun.words import term

GIVEN = term("the haze given")
HEIGHTS_M = (2.0, 10.0, 30.0, 100.0)  # beach, pier, dune, cliff
AIRS = 8
CONTRAST = 0.02  # least that is told on the horizon; Koschmieder 1924, the "meteorological range"
AIR_SCALE_HEIGHT_M = 8430.0  # of the molecules: 101 325 Pa divided by 1.225 kg/m3 and g


@dataclass(frozen=True, eq=False)
class Worth:
    """What can be known beforehand of a flash.

    heights_m (H,): of the eye; share (H,): of the airs in which a flash is seen from there through
    the haze given, 0 to 1; kind (H,): the commonest, "" without; low_s, high_s (H,): tenth and
    ninetieth percentile of how long [s], NaN without. seen_s: by the name of a haze, how long the
    flash of the air given is seen [s], 0 where haze hides it.
    """

    heights_m: np.ndarray
    share: np.ndarray
    kind: np.ndarray
    low_s: np.ndarray
    high_s: np.ndarray
    airs: int
    seen_s: dict[str, float]


@takes(tonight=Evening, ranges=Ranges, base=Atmosphere)
def worth(tonight, ranges, *, base=None, count=AIRS):
    """The `Worth` of a `phenomena.evening.Evening` with a last sliver; None without.

    ranges: `Ranges` of what is not known; base: an `Atmosphere`, such as an ascent's, to which
    only the sea's excess is then added; count 1 to 1000 airs. The evening's own haze stands beside
    those of `HAZE`.
    """
    number = require_whole("count", count, 1, 1000)
    if not tonight.sets:
        return None
    speed = abs(float(tonight.sun(0).vertical_speed_arcsec_per_s))
    haze = tonight.air.haze
    airs = [Air(air_over(base, ranges.at(share)), haze) for share in evenly(number, len(LIMITS))]
    found = [_from_height(airs, eye, speed) for eye in HEIGHTS_M]
    share, kind, low, high = (np.array(column) for column in zip(*found, strict=True))
    hazes = {name: one for name, one in HAZE.items() if one.depth_550}
    if haze not in hazes.values():
        hazes = {GIVEN: haze} | hazes
    place, day, air = tonight.place, tonight.sunset.date, tonight.air
    seen = {
        name: green_flash.forecast(place, day, air.with_haze(one)).duration_s
        for name, one in hazes.items()
    }
    return Worth(np.array(HEIGHTS_M), share, kind, low, high, number, seen)


def haze_of_visibility(visibility_km, exponent=1.3):
    """The `Haze` of a visibility [km] 5 to 300, by its optical depth straight up.

    extinction = 3.912 / V, less the air's own 0.0116 a km; depth = that times 1500 m, the height
    over which haze thins to 0.37. exponent: Angstrom's.
    Source: Koschmieder 1924 with a contrast of 0.02 (American Meteorological Society, Glossary,
    "meteorological range"). Leaves out that haze may lie higher or lower.
    """
    seen_km = require_number("visibility_km", visibility_km, 5, 300, unit="km")
    of_air = float(rayleigh_depth(550.0)) / AIR_SCALE_HEIGHT_M
    of_haze = max(0.0, -np.log(CONTRAST) / (1000 * seen_km) - of_air)
    return Haze(of_haze * HAZE_SCALE_HEIGHT_M, exponent)


def _from_height(airs, eye_height_m, speed_arcsec_per_s):
    """Share of the airs with a flash, the commonest kind, and its length's percentiles."""
    mains = [_main(air, eye_height_m) for air in airs]
    kept = [one for one in mains if one is not None]
    if not kept:
        return 0.0, "", np.nan, np.nan
    kinds = [one.flash.kind for one in kept]
    low, high = np.percentile([one.depth_arcsec / speed_arcsec_per_s for one in kept], (10, 90))
    return len(kept) / len(mains), max(set(kinds), key=kinds.count), low, high


def _main(air, eye_height_m):
    try:
        return main_flash(air, eye_height_m)
    except LowsunError:  # no horizon is seen from there: no flash either
        return None
