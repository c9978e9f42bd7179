"""The green flash as geometry: which kind an air makes, how long and how large.

Air lifts short waves higher than long ones. At each lowest point of the transfer curve a piece of
the Sun vanishes, its red image first and its green one when the limb has sunk on by the difference
of the two: between the two stands the flash, whether or not there is light enough to see it.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import require_range
from lowsun.phenomena import mirage
from lowsun.phenomena.low_sun import SUN_DIAMETER_ARCMIN
from lowsun.physics import rays
from lowsun.physics.rays import GREEN_NM, RED_NM
from lowsun.words import term

RIM = term("rim only")
INFERIOR = term("inferior mirage")
MOCK = term("mock mirage")
SUB_DUCT = term("sub-duct")

# A shallower hollow of the curve holds no flash of its own: red and green part by 15" or more, and
# the kinks between an air's levels make hollows of an arcsecond.
NOTCH_ARCSEC = 4.0
LEVEL_ARCMIN = 1.0  # a fold nearer to the horizontal is made by air above the eye
SAME_FOLD_ARCMIN = 4.0  # a red and a green fold no further apart belong together
ABOVE_FOLD_ARCMIN = 5.0  # where the image's size tells what made the fold
SQUEEZED = 0.6  # magnification there: warm seas leave 0.8 to 1.2, inversions less than a half
# A green piece less high is a thread, whose size and length hang on centimetres of the air.
LEAST_HEIGHT_ARCSEC = 2.0
# An eye's minute of arc through binoculars of ten times: of several flashes one as high as this
# counts before any smaller one, however long.
SHOWS_ARCSEC = 6.0


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
        """How long it lasts for a vertical speed of the Sun [arcsec/s], its size.

        vertical_speed_arcsec_per_s [arcsec/s] 0.0001 to 15.1. Raises OutOfRangeError
        outside.
        """
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
    sun_diameter_arcmin [arcmin].
    """
    radius_arcsec = 3600.0 * mirage.sun_radius_deg(sun_diameter_arcmin)
    green_turns = mirage.turns(green, NOTCH_ARCSEC)
    red_folds = [turn for turn in mirage.turns(red, NOTCH_ARCSEC) if turn.lowest]
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
