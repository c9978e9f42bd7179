"""How long green is seen: the flashes of an air by their light, whatever their geometry allows."""

from dataclasses import dataclass, replace

import numpy as np

from lowsun.errors import require_kind, require_number, require_range, takes
from lowsun.phenomena import flash_light, mirage
from lowsun.phenomena.green_flash.geometry import (
    GREEN_NM,
    RED_NM,
    RIM,
    Flash,
    flashes_between,
)
from lowsun.phenomena.instruments import EYE, Binoculars, Camera, NakedEye
from lowsun.phenomena.low_sun import SUN_DIAMETER_ARCMIN
from lowsun.phenomena.seen_light import NOT_GREEN, seen_light
from lowsun.phenomena.sky_beside import sky_beside_cd_per_m2
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import Air
from lowsun.physics.runs import runs

BANDS_NM = np.union1d(np.arange(440.0, 681.0, 20.0), [GREEN_NM, RED_NM])  # what the eye lives on
FINE_BANDS_NM = np.union1d(np.arange(400.0, 701.0, 12.5), [GREEN_NM, RED_NM])
HIGH_DEG = 1.5  # no flash stands higher over the horizontal
DEPTH_STEP = 0.005  # how closely `lost_from_depth` looks for a depth of haze
FOLD_DEG = 0.5 / 60.0  # how far a fold may lie beside the piece it holds
LOWEST_SUN_DEG = -10.0  # deeper no table of the sky reaches, nor any duct
# How far the upper limb has sunk since the red image went [arcsec]: the instants looked at.
DEPTHS_ARCSEC = np.concatenate(
    [[-90, -60, -40, -28, -20, -15], np.arange(-12.0, 24.0, 1.5), np.geomspace(24, 600, 18)]
)


@dataclass(frozen=True)
class Quality:
    """How finely light is summed: tolerance of the curve and step of the rows [arcsec], bands.

    settled: share of itself by which a ray's bending between wavelengths may stray.
    """

    bands_nm: tuple
    tolerance_arcsec: float
    step_arcsec: float
    probes: int
    settled: float = rays.SETTLED


FINE = Quality(tuple(FINE_BANDS_NM), 0.25, 1.0, 4)
# Seconds within 0.25 of FINE's in half the time, but where a flash only just has a colour to name.
# Rows wider apart lose or triple the slivers seen from on high.
QUICK = Quality(tuple(BANDS_NM), 0.5, 1.0, 2, 1e-5)


@dataclass(frozen=True)
class Seen:
    """A `Flash` by its light: from which to which altitude of the upper limb green is seen.

    begins_true_altitude_deg, ends_true_altitude_deg: of the upper limb, falling; None where no
    green is seen. height_arcsec: of the piece when green is first seen, 0 where it is not.
    sky_cd_per_m2: of the sky beside it.
    """

    flash: Flash
    begins_true_altitude_deg: float | None
    ends_true_altitude_deg: float | None
    height_arcsec: float
    sky_cd_per_m2: float

    @property
    def is_seen(self):
        """Is green seen at all?"""
        return self.begins_true_altitude_deg is not None

    @property
    def depth_arcsec(self):
        """How far the limb sinks while green is seen [arcsec]; 0 where it is not."""
        if not self.is_seen:
            return 0.0
        return 3600.0 * (self.begins_true_altitude_deg - self.ends_true_altitude_deg)

    @property
    def rank(self):
        """What to sort by: the longest seen; of those unseen, the first in geometry."""
        return self.depth_arcsec, self.flash.kind != RIM, self.flash.rank

    def duration_s(self, vertical_speed_arcsec_per_s):
        """How long green is seen [s] for a vertical speed of the Sun [arcsec/s], its size.

        vertical_speed_arcsec_per_s [arcsec/s] 0.0001 to 15.1. Raises OutOfRangeError
        outside.
        """
        return self.depth_arcsec / require_range(
            "vertical_speed_arcsec_per_s",
            vertical_speed_arcsec_per_s,
            *mirage.SPEED_RANGE_ARCSEC_PER_S,
            unit="arcsec/s",
        )


@takes(air=(Air, Atmosphere), instrument=(NakedEye, Binoculars, Camera), quality=Quality)
def seen_flashes(
    air,
    eye_height_m,
    instrument=EYE,
    sun_diameter_arcmin=SUN_DIAMETER_ARCMIN,
    quality=FINE,
    sky_cd_per_m2=None,
):
    """The flashes of an air by their light, from low apparent altitudes up: a tuple of `Seen`.

    Each of `flashes` with the altitudes of the limb between which the uppermost piece that is
    noticed is seen to be green (`seen_light`), before the sky beside it. air: an
    `Air`, or an `Atmosphere` with a clear evening's haze in it; instrument: of
    `lowsun.phenomena.instruments`; sky_cd_per_m2 [cd/m2]: in place of the sky's own luminance
    there, 0 to 1e12; the others as in `flashes`. Raises OutOfRangeError outside.
    Accuracy: 0.02 s of summing; the eye's thresholds differ by a factor of two between people,
    which is a tenth or two of a second in even air.
    """
    if sky_cd_per_m2 is not None:
        sky_cd_per_m2 = require_number("sky_cd_per_m2", sky_cd_per_m2, 0, 1e12, unit="cd/m2")
    curve = _curve(air, eye_height_m, quality)
    return _seen_through(curve, instrument, sun_diameter_arcmin, quality, sky_cd_per_m2)


def main_of(seen):
    """The main one of `Seen`s: the longest seen, or else the first in geometry; None of none.

    Raises InputError where they are no list of `Seen`s.
    """
    require_kind("seen", seen, list | tuple, "what `seen_flashes` returns")
    for one in seen:
        require_kind("one of seen", one, Seen, "what `seen_flashes` returns")
    return max(seen, key=lambda one: one.rank, default=None)


@takes(air=Air)
def lost_from_depth(air, eye_height_m, instrument=EYE):
    """Depth of haze at 550 nm, of that exponent, from which no green is seen; None if it is seen.

    Found by halving, to 0.005. air: an `Air` through whose haze none is seen; its sky is kept: from
    140 to 250 cd/m2, what thicker and thinner haze leaves of it there, the depth changes by 0.006
    at most. The others as in `seen_flashes`.
    eye_height_m [m].
    """
    seen = seen_flashes(air, eye_height_m, instrument)
    sky = max((one.sky_cd_per_m2 for one in seen), default=0.0)

    curve = _curve(air, eye_height_m, QUICK)  # its rays are the same in any haze

    def is_seen(depth):
        thinner = curve.through(replace(air.haze, depth_550=depth), air.ozone_du)
        seen = _seen_through(thinner, instrument, SUN_DIAMETER_ARCMIN, QUICK, sky)
        return any(one.is_seen for one in seen)

    thin, thick = 0.0, air.haze.depth_550
    if sky == 0.0 or not is_seen(thin) or is_seen(thick):
        return None
    while thick - thin > DEPTH_STEP:
        middle = 0.5 * (thin + thick)
        thin, thick = (middle, thick) if is_seen(middle) else (thin, middle)
    return thick


def _curve(air, eye_height_m, quality):
    return mirage.curve_near_horizon(
        air,
        eye_height_m,
        np.array(quality.bands_nm),
        HIGH_DEG,
        quality.tolerance_arcsec,
        quality.probes,
        quality.settled,
    )


def _seen_through(curve, instrument, sun_diameter_arcmin, quality, sky_cd_per_m2):
    """The flashes along a curve by their light through its haze, a tuple of `Seen`."""
    found = flashes_between(curve.at(GREEN_NM), curve.at(RED_NM), sun_diameter_arcmin)
    diameter, step = float(sun_diameter_arcmin), quality.step_arcsec
    return tuple(_seen(curve, flash, instrument, diameter, step, sky_cd_per_m2) for flash in found)


def _seen(curve, flash, instrument, sun_diameter_arcmin, step_arcsec, sky):
    limb = flash.red_true_altitude_deg - DEPTHS_ARCSEC / 3600.0
    sun = limb - sun_diameter_arcmin / 120.0
    light = flash_light.column(
        curve,
        sun,
        sun_diameter_arcmin=sun_diameter_arcmin,
        step_arcsec=step_arcsec,
        about_deg=flash.apparent_altitude_deg,
    )
    if sky is None:
        sky = sky_beside_cd_per_m2(
            curve.air,
            max(float(sun[DEPTHS_ARCSEC == 0.0][0]), LOWEST_SUN_DEG),
            flash.apparent_altitude_deg,
            curve.eye_height_m,
        )
    sky = float(sky)
    green = seen_light(light, sky, instrument)
    its_own = _holds(green, flash.apparent_altitude_deg)
    begins, ends = longest_above_zero(DEPTHS_ARCSEC, np.where(its_own, green.margin, NOT_GREEN))
    if ends <= begins:
        return Seen(flash, None, None, 0.0, sky)
    return Seen(
        flash=flash,
        begins_true_altitude_deg=float(flash.red_true_altitude_deg - begins / 3600.0),
        ends_true_altitude_deg=float(flash.red_true_altitude_deg - ends / 3600.0),
        height_arcsec=float(np.interp(begins, DEPTHS_ARCSEC, green.height_arcsec)),
        sky_cd_per_m2=sky,
    )


def _holds(light, apparent_altitude_deg):
    """Does the piece hold the flash's own fold, (T,)? If not it is another flash's."""
    low, high = light.low_deg - FOLD_DEG, light.high_deg + FOLD_DEG
    return (low < apparent_altitude_deg) & (apparent_altitude_deg < high)


def longest_above_zero(place, margin):
    """Ends of the longest stretch in which straight lines between margins lie above 0.

    place (N,), rising; margin (N,). Both ends 0 where no margin is above 0.
    """
    spans = [
        (_zero_before(place, margin, begin), _zero_after(place, margin, end - 1))
        for begin, end in runs(margin > 0.0)
    ]
    return max(spans, key=lambda span: span[1] - span[0], default=(0.0, 0.0))


def _zero_before(place, margin, index):
    return place[0] if index == 0 else _crossing(place, margin, index - 1)


def _zero_after(place, margin, index):
    return place[-1] if index == place.size - 1 else _crossing(place, margin, index)


def _crossing(place, margin, index):
    share = margin[index] / (margin[index] - margin[index + 1])
    return place[index] + share * (place[index + 1] - place[index])
