"""Questions about the setting Sun."""

from datetime import timedelta

import numpy as np

from lowsun.errors import InputError
from lowsun.phenomena import flash_light
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.scenes.setting_sun import scene as setting_sun
from lowsun.words import say, term

BEACH_EYE_M = 2.0
FAR_S = -600.0  # outside the close clock: the limbs' course then spans an hour
LAST_S = -0.3  # just before the last sliver
CALM_S = -60.0
COLOURS = ("red", "orange", "yellow", "green", "blue")
MIRROR, DARK = term("its image in the water"), term("nothing: the sea stays as dark as beside it")
NO_SUNSET = term("The Sun does not set here on this day. Choose another day or latitude.")
MIRRORED = 1.5  # times as bright as the sea beside it: a likeness is seen at a glance


def _evening(scene, state, **changed):
    evening = coarse(scene, state, **changed).evening
    if evening.sunset.last_sliver is None:
        raise InputError(say(NO_SUNSET))
    return evening


def _set_in_truth_s(scene, state):
    _evening(scene, state)
    course = coarse(scene, state, seconds=FAR_S)
    upper_limb, seconds = course.airless_upper_limb_arcmin, course.seconds
    if not upper_limb[0] > 0 > upper_limb[-1]:
        raise InputError(
            say("Without air the Sun would not set in this hour. Choose a lower latitude.")
        )
    return -float(np.interp(0.0, -upper_limb, seconds))


def _sooner_at_the_beach_s(scene, state):
    here, beach = (
        _evening(scene, state, eye_height_m=eye).sunset.last_sliver
        for eye in (state["eye_height_m"], BEACH_EYE_M)
    )
    return (here - beach).total_seconds()


def _last_colour(scene, state):
    evening = _evening(scene, state)
    light = flash_light.sliver(evening.curve, evening.sun(LAST_S).true_altitude_deg)
    colour = str(light.colours[0])
    return {"cyan": "green", "violet": "blue", "purple": "red"}.get(colour, colour)


def _under_the_sun(scene, state):
    _evening(scene, state)
    seen = coarse(scene, state, wind_m_per_s=0.0, seconds=CALM_S, magnification=1)
    light = seen.picture.luminance_cd_per_m2
    rows = seen.field.high_arcmin + np.linspace(0, -seen.field.height_arcmin, light.shape[0])
    sea = light[rows < 0]
    below, beside = sea[:, sea.shape[1] // 2].max(), sea[:, 0].max()
    return MIRROR if below > MIRRORED * beside else DARK


def _own_last_sliver_h(scene, state):
    evening = _evening(scene, state)
    last = evening.sunset.last_sliver + timedelta(seconds=30)
    local = last.astimezone(evening.place.timezone)
    return local.hour + local.minute / 60


QUESTIONS = (
    Amount(
        name="set_in_truth",
        scene=setting_sun.name,
        words=term(
            "Without air, how many seconds before the last sliver that you see would the"
            " whole Sun have set?"
        ),
        unit="s",
        held="seconds",
        hint=term(
            "On the horizon the air lifts the Sun by a little more than its own height. How"
            " long does the Sun take to sink its own height?"
        ),
        truth=_set_in_truth_s,
    ),
    Amount(
        name="beach",
        scene=setting_sun.name,
        words=term(
            "You go down to the beach, your eye 2 m above the sea. How many seconds sooner"
            " does the last sliver go?"
        ),
        unit="s",
        held="eye_height_m",
        hint=term(
            "From a height the horizon lies lower, by the dip. The Sun sinks a quarter of"
            " an arcminute a second at the equator, and less elsewhere."
        ),
        truth=_sooner_at_the_beach_s,
    ),
    Choose(
        name="last_colour",
        scene=setting_sun.name,
        words=term("Magnify the last half minute. Which colour goes last?"),
        options=COLOURS,
        held="magnification",
        hint=term(
            "Air bends short waves more than long ones, so their image of the Sun stands"
            " higher. But which of them still come through so much air?"
        ),
        truth=_last_colour,
    ),
    Choose(
        name="calm",
        scene=setting_sun.name,
        words=term(
            "Let the wind drop to nothing, a minute before the last sliver. What joins the"
            " Sun from below the horizon?"
        ),
        options=(MIRROR, term("a red glow over the whole sea"), DARK),
        held="wind_m_per_s",
        hint=term(
            "Without wind the water is flat. What does flat water do with light that meets"
            " it at so low an angle?"
        ),
        truth=_under_the_sun,
    ),
    Amount(
        name="your_evening",
        scene=setting_sun.name,
        words=term(
            "Type your own latitude, longitude and a day you remember. At what hour did the"
            " last sliver go, by the clock (20.5 is half past eight)?"
        ),
        unit="h",
        near=0.012,
        decimals=2,
        held="day",
        hint=term(
            "In summer clocks are an hour ahead. How far are you from the middle of your"
            " time zone? Every degree west is four minutes later."
        ),
        truth=_own_last_sliver_h,
    ),
)
