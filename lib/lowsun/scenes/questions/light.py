"""Questions about the last light and what a camera makes of it."""

from dataclasses import replace

import numpy as np

from lowsun.errors import InputError
from lowsun.phenomena import green_flash
from lowsun.scenes.catalogue import INSTRUMENTS
from lowsun.scenes.exposure_ladder import scene as exposure_ladder
from lowsun.scenes.last_light import EVEN_AIR, WARM_SEA
from lowsun.scenes.last_light import scene as last_light
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.words import say, term

CHANNELS = ("red", "green", "blue")
NOTHING_BURNT = 0.005  # a share of burnt-out pixels not worth a word
FIRST_RUNG = 0
HIDING = (0.1, 0.4)  # depths of haze of which one hides the green, in most airs
LOW_EYE_M = 6.0


def _set(result):
    if not result.evening.sets:
        raise InputError(result.evening.sunset.reason)
    return result


def _without_haze(scene, state):
    seen = _set(coarse(scene, state, haze=0.0, seconds=0.0))
    return {"cyan": "green", "violet": "blue"}.get(seen.colour_now, seen.colour_now)


def _burnt_first(scene, state):
    shares = _set(coarse(scene, state)).shot.clipped_share
    if shares.max() < NOTHING_BURNT:
        raise InputError(say("Nothing is burnt out at this shutter time. Take a longer one."))
    return CHANNELS[int(np.argmax(shares))]


def _flash_without_haze_s(scene, state):
    span = coarse(scene, state, haze=0.0, seconds=0.0).flash_span
    return 0.0 if span is None else span[1] - span[0]


def _lost_depth(scene, state):
    evening, instrument = _set(coarse(scene, state)).evening, INSTRUMENTS[state["instrument"]]
    for thick in HIDING:
        air = evening.air.with_haze(replace(evening.air.haze, depth_550=thick))
        depth = green_flash.lost_from_depth(air, evening.place.eye_height_m, instrument)
        if depth is not None:
            return depth
    raise InputError(say("In this air no haze hides the green, or none shows it. Change the air."))


def _times_higher(scene, state):
    even, warm = (
        _set(coarse(scene, state, air=air, eye_height_m=LOW_EYE_M)).forecast.height_arcsec
        for air in (EVEN_AIR, WARM_SEA)
    )
    if not even or not warm:
        raise InputError(say("This air makes no green. Take haze away."))
    return warm / even


def _stops_apart(scene, state):
    seen = scene.result(**state)
    if seen.ladder is None:
        raise InputError(seen.evening.sunset.reason)
    return float(np.log2(seen.sunlit_s / seen.ladder.rungs[FIRST_RUNG].disc.longest_s))


QUESTIONS = (
    Choose(
        name="no_blue",
        scene=last_light.name,
        words=term(
            "Set the haze to 0 and let the seconds run to the last sliver. Which colour"
            " goes last then?"
        ),
        options=("red", "yellow", "green", "blue"),
        held="seconds",
        hint=term(
            "The blue image of the Sun stands highest. But clean air too scatters light:"
            " which light most, and through how much air has it come?"
        ),
        truth=_without_haze,
    ),
    Choose(
        name="burnt_first",
        scene=last_light.name,
        words=term(
            "The eye sees green, the camera writes another colour. Which channel has burnt"
            " out first?"
        ),
        options=CHANNELS,
        held="shutter",
        hint=term("What the eye sees there is one colour. Which channel gets most of it?"),
        truth=_burnt_first,
    ),
    Amount(
        name="no_haze",
        scene=last_light.name,
        words=term("Take all the haze away. How many seconds is green seen?"),
        unit="s",
        held="haze",
        hint=term(
            "The sentence tells how long it is seen now. Haze takes the blue most, and the"
            " end is the bluest part."
        ),
        truth=_flash_without_haze_s,
    ),
    Amount(
        name="lost_from",
        scene=last_light.name,
        words=term("Put haze in. From which depth on is green no longer seen?"),
        unit=term("of depth"),
        near=0.3,
        decimals=2,
        held="haze",
        hint=term(
            "A clear evening at sea has a depth of 0.05, the oceans' mean is 0.1. Light on"
            " the horizon crosses haze more than fifty times over."
        ),
        truth=_lost_depth,
    ),
    Amount(
        name="warm_sea",
        scene=last_light.name,
        words=term(
            "Go down to 6 m over the sea, and let the sea be 2° warmer than the air. How"
            " many times as high does the green stand as there in even air?"
        ),
        unit=term("times"),
        near=0.3,
        held="air",
        hint=term(
            "Over a warm sea the last piece of the Sun shrinks between two images, from"
            " above and from below. Does the air also stretch what it shows?"
        ),
        truth=_times_higher,
    ),
    Amount(
        name="stops_apart",
        scene=exposure_ladder.name,
        words=term(
            "A sunlit beach, and the Sun itself ten minutes before the last sliver: how"
            " many stops apart are they?"
        ),
        unit=term("stops"),
        near=0.2,
        held="filter_stops",
        hint=term(
            "A stop is a factor of two, ten stops a thousand. At noon the Sun's disc is"
            " half a million times as bright as what it lights; how much of that is left so"
            " low?"
        ),
        truth=_stops_apart,
    ),
)
