"""How the dark segment and the arch rise and fade while the Sun sinks."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import require_number, takes
from lowsun.kept import KB, kept
from lowsun.phenomena.earth_shadow.sights import seen, vertex
from lowsun.physics.scattering import EYE_HEIGHT_RANGE_M
from lowsun.physics.scattering.air import require_sky_air

DEPRESSION_DEG = np.arange(0.0, 8.1, 0.5)
ROUNDS = 5  # so often the half degree in which something fades is halved
FOLLOWED = (
    "edge_deg",
    "slope_per_deg",
    "contrast",
    "bright_peak_deg",
    "pink_peak_deg",
    "pink_low_deg",
    "pink_high_deg",
    "pinkness",
    "colour_step",
)


@dataclass(frozen=True, eq=False)
class Course:
    """The dark segment and the arch of one air against the Sun's depression, arrays (N,).

    depression_deg: 0 to 8 [deg]; the rest as in `SeenShadow`. edge_fades_deg, pink_fades_deg:
    depression at which each can no longer be told [deg]. The edge goes at 5.4 to 5.7 in any clear
    air, 0.4 sooner or 0.2 later for an eye half or twice as good: it then stands 20 deg up on air
    40 km high, with 0.3 % of the density at the sea. Down to 7 a bluer lower sky remains, without
    a border.
    """

    depression_deg: np.ndarray
    edge_deg: np.ndarray
    slope_per_deg: np.ndarray
    contrast: np.ndarray
    bright_peak_deg: np.ndarray
    pink_peak_deg: np.ndarray
    pink_low_deg: np.ndarray
    pink_high_deg: np.ndarray
    pinkness: np.ndarray
    colour_step: np.ndarray
    edge_fades_deg: float
    pink_fades_deg: float

    @property
    def pinkest_deg(self):
        """Depression at which the arch stands out most from the segment [deg].

        By the whole step in colour and not by its steepness: the eye sees a step in colour no
        worse for being spread over degrees (Mullen 1985, J. Physiol. 359, 381, from memory).
        The best is flat: 1.9 on a clear evening at sea, and within 5 % of it from 1 to 2.6. Haze
        that reaches higher moves it up: 1.5 with a scale height of 1500 m.
        A degree of altitude holds most contrast as soon as the Sun is down, in luminance and in
        colour, because the border spreads out as it climbs.
        """
        return vertex(self.depression_deg, self.colour_step, int(np.argmax(self.colour_step)))[0]

    @property
    def fades_deg(self):
        """Depression at which the last of the two has gone [deg]."""
        return max(self.edge_fades_deg, self.pink_fades_deg)

    def at_depressions(self, sun_depression_deg):
        """edge_deg, pink_low_deg, pink_peak_deg and pink_high_deg at depressions [deg], by name.

        NaN for what is not there. Between the nodes on straight lines: 0.1 deg off down to 3 deg,
        the upper border up to 1 deg off where it goes.
        """
        d = np.clip(sun_depression_deg, 0.0, None)
        names = ("edge_deg", "pink_low_deg", "pink_peak_deg", "pink_high_deg")
        return {
            name: np.interp(d, self.depression_deg, getattr(self, name), right=np.nan)
            for name in names
        }


@takes(rough=bool)
def course(air, *, eye_height_m=2.0, rough=False):
    """The course of an air's dark segment and arch, kept: half a second the first time.

    rough: a draft in a sixth of the time, looked at every degree alone.
    eye_height_m [m] 0 to 9000. Raises OutOfRangeError outside.
    """
    eye = require_number("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    return _kept(require_sky_air(air), eye, rough)


@kept(500 * KB)
def _kept(air, eye_height_m, rough):
    depression_deg, rounds = (DEPRESSION_DEG[::2], 0) if rough else (DEPRESSION_DEG, ROUNDS)

    def look(depression):
        return seen(air, -depression, eye_height_m=eye_height_m, rough=rough)

    looks = [look(depression) for depression in depression_deg]
    columns = {name: np.array([getattr(one, name) for one in looks]) for name in FOLLOWED}
    ends = {
        f"{name}_fades_deg": _fades(look, looks, depression_deg, f"shows_{name}", rounds)
        for name in ("edge", "pink")
    }
    return Course(depression_deg=depression_deg, **columns, **ends)


def _fades(look, looks, depression_deg, name, rounds):
    """Depression at which what was there is there no more, between two nodes by halving."""
    shows = [getattr(one, name) for one in looks]
    if not any(shows):
        return 0.0
    last = len(shows) - 1 - shows[::-1].index(True)
    if last == len(shows) - 1:
        return float(depression_deg[-1])
    there, gone = depression_deg[last], depression_deg[last + 1]
    for _ in range(rounds):
        middle = (there + gone) / 2.0
        there, gone = (middle, gone) if getattr(look(middle), name) else (there, middle)
    return float((there + gone) / 2.0)
