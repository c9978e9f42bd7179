"""Questions that a learner answers with a number before the scene shows it.

The truth is computed by the scene for the learner's own settings, never kept.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lowsun.errors import InputError
from lowsun.scenes.setting_sun import scene as setting_sun

BEACH_EYE_M = 2.0


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is asked of a scene, what stays still until a guess is made, and what is true.

    truth(scene, state) -> the number in `unit`; a guess within `near` of it (a share) is right.
    """

    name: str
    scene: str
    words: str
    unit: str
    held: str
    hint: str
    truth: Callable[[object, Mapping], float]
    near: float = 0.15


def _sooner_at_the_beach_s(scene, state):
    here, beach = (
        scene.result(**state | {"eye_height_m": eye}).evening.sunset.last_sliver
        for eye in (state["eye_height_m"], BEACH_EYE_M)
    )
    if here is None or beach is None:
        raise InputError("The Sun does not set here on this day. Choose another day or latitude.")
    return (here - beach).total_seconds()


def _times_narrower(scene, state):
    low, high = (
        scene.result(**state | {"lower_limb_deg": altitude}).limb_width_arcsec[0]
        for altitude in (0.0, 20.0)
    )
    return low / high


def _flash_without_haze_s(scene, state):
    span = scene.result(**state | {"haze": "none", "seconds": 0.0}).flash_span
    return 0.0 if span is None else span[1] - span[0]


QUESTIONS = (
    Question(
        name="beach",
        scene=setting_sun.name,
        words="You go down to the beach, your eye 2 m above the sea. How many seconds sooner does"
        " the last sliver go?",
        unit="s",
        held="eye_height_m",
        hint="From a height the horizon lies lower, by the dip. The Sun sinks a quarter of an"
        " arcminute a second at the equator, and less elsewhere.",
        truth=_sooner_at_the_beach_s,
    ),
    Question(
        name="narrower",
        scene="rims",
        words="Raise the Sun from the sea to 20°. How many times narrower does its upper rim"
        " become?",
        unit="times",
        held="lower_limb_deg",
        hint="The rim is a fixed share of the refraction: about 34′ on the sea. How much is left"
        " where the light crosses three times the air overhead?",
        truth=_times_narrower,
    ),
    Question(
        name="no_haze",
        scene="last_light",
        words="Take all the haze away. How many seconds does the flash last?",
        unit="s",
        held="haze",
        hint="The sentence tells how long it lasts now. Haze takes the blue most, and the end of"
        " the flash is the bluest part.",
        truth=_flash_without_haze_s,
    ),
)


def question(name):
    """The question of that name, or an InputError that names those there are."""
    for each in QUESTIONS:
        if each.name == name:
            return each
    known = ", ".join(each.name for each in QUESTIONS)
    raise InputError(f"There is no question {name!r}; choose one of: {known}.")
