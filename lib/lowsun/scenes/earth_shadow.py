"""The Earth's shadow and the pink arch, and which cause paints which colour."""

from dataclasses import dataclass

from lowsun.drawing.twilight import TwilightPicture
from lowsun.scenes import catalogue
from lowsun.scenes import twilight_sky as twilight
from lowsun.scenes.controls import Range, Switch
from lowsun.scenes.scene import Scene
from lowsun.words import say, term

CHANGED = {
    "no_ozone": term("Without ozone."),
    "no_haze": term("Without haze."),
    "once": term("Light scattered once only."),
}


@dataclass(frozen=True, eq=False)
class Result(twilight.Moment):
    """The sky, and in words what was taken away."""

    changed: tuple


def compute(state):
    """The sky with the Sun at a depression, and how edge and arch climb."""
    return _result(state, twilight.course_of)


def draft(state):
    """The same along fewer lines of sight, and the climb at fewer depressions where it is new."""
    return _result(state, twilight.drafted_course, rough=True)


def _result(state, course_of, *, rough=False):
    air = twilight.air_of(state, haze=not state["no_haze"], ozone=not state["no_ozone"])
    depression = state["depression_deg"]
    course = course_of(air, state["eye_height_m"])
    moment = twilight.moment(
        state,
        air,
        depression,
        twilight.curve_of_course(course, depression),
        twilight.middle_of(state["facing"]),
        once=state["once"],
        rough=rough,
    )
    changed = tuple(say(words) for name, words in CHANGED.items() if state[name])
    return Result(**vars(moment), changed=changed)


def describe(result):
    """Where edge and arch stand, and what was taken away."""
    return " ".join([twilight.sight_in_words(result), *result.changed])


scene = Scene(
    name="earth_shadow",
    title=term("The Earth's shadow"),
    question=term("What is the blue band opposite the sunset, and why does pink lie on it?"),
    controls=(
        Range(
            name="depression_deg",
            label=term("depression of the Sun"),
            unit="°",
            low=-2,
            high=8,
            step=0.1,
            default=2,
        ),
        Switch(name="once", label=term("light scattered once only")),
        catalogue.FACING,
        Switch(name="no_ozone", label=term("no ozone")),
        Switch(name="no_haze", label=term("no haze")),
        *twilight.AIR,
        catalogue.EXPOSURE,
    ),
    compute=compute,
    draft=draft,
    picture=TwilightPicture,
    describe=describe,
    doing=twilight.NEW_AIR,
    seldom=(*catalogue.HAZE_SELDOM, "eye_height_m", "exposure_stops"),
    cues=(
        term("Where is the Sun now? Point at it, then at the point opposite."),
        term("Take the ozone away: which blue stays and which goes?"),
        term("Let light be scattered once only: who lights the shadow, then?"),
        term("Guess how fast the band climbs before you let the Sun sink."),
    ),
)
