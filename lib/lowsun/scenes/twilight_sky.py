"""What the twilight scenes share: their controls, the air of a state, and the sky of a moment."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from lowsun.drawing.twilight import FIELDS, SKY_COLUMNS, SKY_ROWS, TO_SUN
from lowsun.phenomena import earth_shadow
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air
from lowsun.scenes import catalogue, made
from lowsun.scenes.kept import Kept
from lowsun.words import say, term

LEAST_CUT_DEG = -3.0  # with a higher Sun the side view would show nothing but day
LAST_MOUNTAIN_DEG = 5.0  # deeper, a mountain's shadow is lost in the Earth's
HIGHEST_EYE_M = 4000.0  # most mountains are lower
NEW_AIR = term("Following the light through the new air")

AIR = (
    *catalogue.HAZE_CONTROLS,
    catalogue.OZONE,
    catalogue.EYE.slider(step=5, high=HIGHEST_EYE_M),
)


@dataclass(frozen=True, eq=False)
class Curve:
    """How high edge and arch stand, arrays (N,) [deg].

    x: minutes from the instant `begins`, aware, in the place's zone; where that is None, the Sun's
    depression [deg]. now: on the same scale.
    """

    x: np.ndarray
    edge_deg: np.ndarray
    pink_peak_deg: np.ndarray
    pink_low_deg: np.ndarray
    pink_high_deg: np.ndarray
    opposite_deg: np.ndarray
    now: float
    begins: datetime | None


@dataclass(frozen=True, eq=False)
class Moment:
    """The sky of a moment and what stands in it: what the picture needs."""

    facing: str
    sun_depression_deg: float
    picture: earth_shadow.Panorama
    seen: earth_shadow.SeenShadow | None
    side: earth_shadow.SideView | None
    mountain: earth_shadow.MountainShadow | None
    curve: Curve
    middle: str


def air_of(state, *, haze=True, ozone=True):
    """The air of a state, its haze or its ozone left out if so wished."""
    of_haze = made.haze_of(state) if haze else Haze(0.0)
    atmosphere = Atmosphere.standard().with_haze(state["haze_height_m"])
    return Air(atmosphere, of_haze, state["ozone_du"] if ozone else 0.0)


@Kept
def course_of(air, eye_height_m):
    """How edge and arch climb, seen from a height in an air."""
    return earth_shadow.course(air, eye_height_m=eye_height_m)


def drafted_course(air, eye_height_m):
    """The same where it is known, and else a draft of it."""
    if course_of.holds(air, eye_height_m):
        return course_of(air, eye_height_m)
    return earth_shadow.course(air, eye_height_m=eye_height_m, rough=True)


def moment(state, air, depression_deg, curve, middle, *, once=False, rough=False):
    """The sky of a state's air and eye with the Sun at a depression [deg]; rough: a draft of it."""
    eye = state["eye_height_m"]
    sun = -depression_deg
    seen = None
    if depression_deg >= 0.0:
        seen = earth_shadow.seen(air, sun, eye_height_m=eye, single=once, rough=rough)
    return Moment(
        facing=state["facing"],
        sun_depression_deg=depression_deg,
        picture=_panorama(state, air, sun, once, rough),
        seen=seen,
        side=_side(depression_deg, seen),
        mountain=_mountain(eye, depression_deg),
        curve=curve,
        middle=middle,
    )


def _panorama(state, air, sun_true_altitude_deg, once, rough):
    field = FIELDS[state["facing"]]
    return earth_shadow.panorama(
        air,
        sun_true_altitude_deg,
        eye_height_m=state["eye_height_m"],
        facing_deg=field.facing_deg,
        width_deg=field.width_deg,
        high_deg=field.high_deg,
        rows=SKY_ROWS,
        columns=SKY_COLUMNS,
        single=once,
        rough=rough,
        exposure_stops=state["exposure_stops"],
    )


def _side(depression_deg, seen):
    if depression_deg < LEAST_CUT_DEG:
        return None
    sights = () if seen is None else (seen.edge_deg, seen.pink_peak_deg)
    return earth_shadow.side_view(depression_deg, sights)


def _mountain(eye_height_m, depression_deg):
    low = eye_height_m < earth_shadow.MOUNTAIN_RANGE_M[0]
    if low or not LEAST_CUT_DEG <= depression_deg <= LAST_MOUNTAIN_DEG:
        return None
    return earth_shadow.mountain_shadow(eye_height_m, -depression_deg)


def curve_of_course(course, depression_deg):
    """The climb against the Sun's depression."""
    return Curve(
        x=course.depression_deg,
        edge_deg=course.edge_deg,
        pink_peak_deg=course.pink_peak_deg,
        pink_low_deg=course.pink_low_deg,
        pink_high_deg=course.pink_high_deg,
        opposite_deg=course.depression_deg,
        now=depression_deg,
        begins=None,
    )


def middle_of(facing, bearing=""):
    """What stands in the middle of the picture."""
    what = say("the Sun below the horizon") if facing == TO_SUN else say("opposite the Sun")
    return f"{what}: {bearing}" if bearing else what


def sight_in_words(result):
    """Where edge and arch stand."""
    depth, seen = result.sun_depression_deg, result.seen
    if seen is None:
        return say("Sun {height:.1f}° up: {tip}", height=-depth, tip=_tip(result.mountain))
    sun = say("Sun {depth:.1f}° down:", depth=depth)
    if not seen.shows_edge:
        return say("{sun} the sky opposite shows no edge of the shadow any more.", sun=sun)
    edge = say("{sun} the shadow's edge stands {edge:.1f}° high", sun=sun, edge=seen.edge_deg)
    if not seen.shows_pink:
        return say("{edge}, without a pink arch.", edge=edge)
    return say(
        "{edge}, the pink arch from {pink_low:.1f}° to {pink_high:.1f}°.",
        edge=edge,
        pink_low=seen.pink_low_deg,
        pink_high=seen.pink_high_deg,
    )


def _tip(mountain):
    if mountain is None:
        return say("the Earth's shadow is still below the horizon.")
    if mountain.in_the_air:
        return say("your mountain's shadow has left the sea and points into the haze.")
    return say(
        "your mountain's shadow reaches {length:.0f} km over the sea.",
        length=mountain.length_m / 1000.0,
    )
