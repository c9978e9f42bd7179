"""Questions about any air and where to stand in it."""

import numpy as np

from lowsun.errors import InputError
from lowsun.physics import rays
from lowsun.scenes.any_air import VISUAL_NM
from lowsun.scenes.any_air import scene as any_air
from lowsun.scenes.made import air_of
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.scenes.where_to_stand import scene as where_to_stand
from lowsun.words import say, term

DUCT = {
    "air": "sea, thin duct near 920 m",
    "inversion_k": 0.0,
    "sun_true_altitude_arcmin": -75.0,
}
HEIGHTS_M = {"880 m": 880.0, "920 m": 920.0, "1000 m": 1000.0}
SUNS_ARCMIN = np.arange(-30.0, -60.25, -0.5)
HIGHER_M = 40.0


def _lifted_arcmin(scene, state):
    air, eye = air_of(state | {"inversion_k": 0.0}).atmosphere, state["eye_height_m"]
    horizon = float(rays.horizon_apparent_altitude_deg(air, eye)) + 1 / 3600
    true = float(rays.transfer_curve(air, eye, horizon, VISUAL_NM).true_altitude_deg)
    if np.isnan(true):
        raise InputError(say("In this air no light comes from the horizon. Choose another air."))
    return 60.0 * (horizon - true)


def _pieces(seen):
    return seen.outline.low_deg.size


def _torn_from_arcmin(scene, state):
    torn = state | {"inversion_k": 2.5}
    for sun in SUNS_ARCMIN:
        if _pieces(coarse(scene, torn, sun_true_altitude_arcmin=float(sun))) > 1:
            return -float(sun)
    raise InputError(
        say("In this air the Sun stays whole down to −60′. Lower the inversion's base.")
    )


def _torn_most(scene, state):
    found = {
        words: _pieces(coarse(scene, state, **DUCT, eye_height_m=eye))
        for words, eye in HEIGHTS_M.items()
    }
    return max(found, key=found.get)


def _best_height_m(scene, state):
    base = state["inversion_base_m"] + HIGHER_M
    seen = scene.result(**state | {"inversion_base_m": base})
    if not seen.best_s:
        raise InputError(
            say(
                "From no height is a flash seen in that air. Take haze away, or a stronger"
                " inversion."
            )
        )
    return seen.best_m


QUESTIONS = (
    Amount(
        name="lifted",
        scene=any_air.name,
        words=term(
            "Put the inversion to 0 K. By how much does the air lift what stands on the horizon?"
        ),
        unit="′",
        held="inversion_k",
        hint=term(
            "The Sun is half a degree high, and when its lower limb touches the sea it has"
            " set in truth."
        ),
        truth=_lifted_arcmin,
    ),
    Amount(
        name="torn_from",
        scene=any_air.name,
        words=term(
            "Put the inversion to 2.5 K and lower the Sun in small steps from −30′. At how"
            " many arcminutes below 0° does it first stand in two pieces?"
        ),
        unit="′",
        near=0.06,
        held="sun_true_altitude_arcmin",
        hint=term(
            "An upright line stands for one height on the Sun. Move it along the curve with"
            " the Sun: when does the band of the disc reach the place where the curve turns"
            " back?"
        ),
        truth=_torn_from_arcmin,
    ),
    Choose(
        name="torn_most",
        scene=any_air.name,
        words=term(
            "Choose the ascent with the thin duct, no inversion of your own, the Sun at"
            " −75′. From which height does it stand in the most pieces?"
        ),
        options=tuple(HEIGHTS_M),
        held="eye_height_m",
        hint=term(
            "A duct holds rays that run nearly level inside it. For whom is that a blank"
            " strip across the Sun?"
        ),
        truth=_torn_most,
    ),
    Amount(
        name="best_height",
        scene=where_to_stand.name,
        words=term("Move the inversion's base 40 m up. At which height do you stand best then?"),
        unit="m",
        near=0.25,
        decimals=0,
        held="inversion_base_m",
        hint=term(
            "A mock mirage is seen from just above the layer in which the air grows warmer"
            " upwards, or from within it."
        ),
        truth=_best_height_m,
    ),
)
