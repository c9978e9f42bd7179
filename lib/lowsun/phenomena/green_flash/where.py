"""From which height green is seen longest."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from lowsun.errors import OutOfRangeError, require_range, require_whole, takes
from lowsun.phenomena import mirage
from lowsun.phenomena.green_flash.geometry import RIM, SUB_DUCT
from lowsun.phenomena.green_flash.seen import QUICK, Quality, main_of, seen_flashes
from lowsun.phenomena.instruments import EYE, Binoculars, Camera, NakedEye
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.ducts import grazing_heights_m
from lowsun.physics.medium import Air, air_of
from lowsun.physics.runs import runs

HEIGHT_RANGE_M = (0.5, 20_000.0)
CLOSEST_EYES_M = 1.0  # waves and standing up move an eye by as much
# A duct's flash is longest where level rays graze its end: eyes tried first under each duct.
GRAZING_ARCMIN = (4.0, 3.0, 2.2, 1.6, 1.1, 0.7, 0.35)
JUST_ABOVE_M = 0.05  # so far above a duct's window no colour gets out level any more
RED_END_NM = 700.0  # gets out from highest up
# 15 s, the longest published (Young), times 11.5"/s of middle latitudes: seconds beyond hang on
# decimetres of a duct that no real air keeps level, and make no place better.
LONGEST_ARCSEC = 172.0
AS_GOOD = 0.95  # a place is as good where this share of the longest is seen
SETTLED_SHARE = 0.02  # a middle so near to a height tried is not tried; a share of those as good
LEAST_RISE_K = 0.5  # weaker layers make no flash
IN_LAYER = (0.1, 0.4, 0.6, 0.8, 1.05)  # shares of the way from the base of an inversion to its top


@dataclass(frozen=True, eq=False)
class ByEyeHeight:
    """The main flash from each height: arrays (E,) along eye_height_m, rising.

    kind "" and sizes 0 where there is none. depth_arcsec: how far the limb sinks while green is
    seen; geometric_depth_arcsec: while green outlasts red, seen or not; height_arcsec: of the piece
    when green is first seen. duct_ends_m (D,): from above each level green is trapped.
    """

    eye_height_m: np.ndarray
    kind: np.ndarray
    depth_arcsec: np.ndarray
    geometric_depth_arcsec: np.ndarray
    height_arcsec: np.ndarray
    duct_ends_m: np.ndarray

    @property
    def best(self):
        """Index of where to stand: in the middle of the heights from where green is seen longest.

        That is within 5 % of the longest, which a place one finds easily is worth; under a duct at
        least half as long, since from a little higher nothing is seen at all.
        """
        return int(np.abs(self.eye_height_m - self.middle_m).argmin())

    @property
    def middle_m(self):
        """The middle of those heights [m], by their logarithm."""
        return float(np.sqrt(np.prod(self.as_good_m)))

    @property
    def longest(self):
        """Index of the height from which green is seen longest; beyond 172 arcsec all are equal.

        A mirage's flash counts before a rim, which is thinner than an eye can tell.
        """
        worth = self._worth
        return int(np.lexsort((worth, (self.kind != RIM) & (worth > 0.0)))[-1])

    @property
    def window_m(self):
        """Heights about the longest from which green is seen at least half as long (low, high).

        Heights in [m].
        """
        return self._lasting(0.5)

    @property
    def as_good_m(self):
        """Heights about the longest from which green is seen about as long (low, high).

        Heights in [m].
        """
        return self._lasting(0.5 if self.kind[self.longest] == SUB_DUCT else AS_GOOD)

    def _lasting(self, share):
        enough, at = share * self._worth[self.longest], self.longest
        low, high = (_edge(self.eye_height_m, self._worth, at, enough, step) for step in (-1, 1))
        trapped = self.duct_ends_m[self.duct_ends_m > low]
        return low, float(min(high, *trapped)) if trapped.size else high

    @property
    def _worth(self):
        return np.minimum(self.depth_arcsec, LONGEST_ARCSEC)

    def duration_s(self, vertical_speed_arcsec_per_s):
        """How long green is seen [s], (E,), for a vertical speed of the Sun [arcsec/s]."""
        return self.depth_arcsec / _speed(vertical_speed_arcsec_per_s)

    def geometric_duration_s(self, vertical_speed_arcsec_per_s):
        """How long green outlasts red [s], (E,), for a vertical speed of the Sun [arcsec/s]."""
        return self.geometric_depth_arcsec / _speed(vertical_speed_arcsec_per_s)


@takes(air=(Air, Atmosphere), instrument=(NakedEye, Binoculars, Camera), quality=Quality)
def by_eye_height(
    air,
    low_m=1.5,
    high_m=300.0,
    count=24,
    rounds=3,
    instrument=EYE,
    quality=QUICK,
):
    """Where to stand: the main flash of this air from heights between two limits.

    low_m, high_m [m] 0.5 to 20 000; `count` heights (2 to 500), evenly spread in their logarithm,
    those just under every duct and in every inversion, and `rounds` (0 to 10) of one more on either
    side of the best, none closer to it than a metre. air, instrument: as in `seen_flashes`.
    Returns a `ByEyeHeight`.
    """
    low, high = require_range("low_m, high_m", [low_m, high_m], *HEIGHT_RANGE_M, unit="m")
    if low >= high:
        raise OutOfRangeError(f"low_m is {low:g} m and high_m {high:g} m; give low_m below high_m.")
    spread = np.geomspace(low, high, require_whole("count", count, 2, 500))

    def main(eye):
        return main_of(seen_flashes(air, eye, instrument, quality=quality))

    atmosphere = air_of(air).atmosphere
    under = grazing_heights_m(atmosphere, [*GRAZING_ARCMIN, 0.0])
    above = grazing_heights_m(atmosphere, [0.0], RED_END_NM) + JUST_ABOVE_M
    tried = np.concatenate([under.ravel(), above.ravel(), _at_inversions(atmosphere)])
    inside = tried[(tried > low) & (tried < high)]
    found = {eye: main(eye) for eye in np.union1d(spread, inside).tolist()}
    for _ in range(require_whole("rounds", rounds, 0, 10)):
        eyes = _next_eyes(_table(found, under[:, -1]))
        if not eyes:
            break
        found |= {eye: main(eye) for eye in eyes}
    return _table(found, under[:, -1])


def _at_inversions(atmosphere):
    """Heights in and just above every layer that warms upwards [m]: there mock mirages begin."""
    warms = np.diff(atmosphere.temperature_k) > 0.0
    base, top = runs(warms).T
    strong = atmosphere.temperature_k[top] - atmosphere.temperature_k[base] > LEAST_RISE_K
    low, high = (atmosphere.height_m[at[strong]] for at in (base, top))
    return (low + np.multiply.outer(IN_LAYER, high - low)).ravel()


def _next_eyes(table):
    """The middle of the best heights, and those halfway to the longest's neighbours."""
    at = table.longest
    halfway = {
        0.5 * (low + high)
        for low, high in pairwise(table.eye_height_m[max(at - 1, 0) : at + 2].tolist())
        if high - low >= 2.0 * CLOSEST_EYES_M
    }
    low, high = table.as_good_m
    near = SETTLED_SHARE * (high - low)
    settled = np.abs(table.eye_height_m - table.middle_m).min() <= near
    return halfway if settled else halfway | {table.middle_m}


def _table(found, duct_ends_m):
    seen = [found[eye] for eye in sorted(found)]
    return ByEyeHeight(
        eye_height_m=np.array(sorted(found)),
        kind=np.array([one.flash.kind if one else "" for one in seen]),
        depth_arcsec=np.array([one.depth_arcsec if one else 0.0 for one in seen]),
        geometric_depth_arcsec=np.array([one.flash.depth_arcsec if one else 0.0 for one in seen]),
        height_arcsec=np.array([one.height_arcsec if one else 0.0 for one in seen]),
        duct_ends_m=duct_ends_m,
    )


def _edge(place, value, index, enough, step):
    """Where straight lines from an index on fall below what is enough; the end if they do not."""
    while 0 <= index + step < place.size:
        here, there = index, index + step
        if value[there] < enough:
            share = (value[here] - enough) / (value[here] - value[there])
            return float(place[here] + share * (place[there] - place[here]))
        index = there
    return float(place[index])


def _speed(vertical_speed_arcsec_per_s):
    return require_range(
        "vertical_speed_arcsec_per_s",
        vertical_speed_arcsec_per_s,
        *mirage.SPEED_RANGE_ARCSEC_PER_S,
        unit="arcsec/s",
    )
