"""Questions about the Earth's shadow."""

import numpy as np

from lowsun import sky
from lowsun.drawing.twilight import TO_SUN
from lowsun.errors import InputError
from lowsun.phenomena import earth_shadow
from lowsun.physics import colour
from lowsun.scenes import twilight_sky
from lowsun.scenes.earth_shadow import scene as shadow
from lowsun.scenes.questions.kinds import Amount, Choose
from lowsun.scenes.shadow_evening import scene as shadow_evening
from lowsun.words import say, term

FROM_DEG, TO_DEG = 1.0, 4.0
LOW_DEG = 1.0  # well inside the shadow
CHANGES = ("stronger", "paler", term("as before"))
NOTICED = 0.03  # a share of change in colour below which it is as before
OZONE_DEPRESSION_DEG = 5.0


def _seen(state, depression_deg, **taken):
    air = twilight_sky.air_of(state, **taken)
    return earth_shadow.seen(air, -depression_deg, eye_height_m=state["eye_height_m"])


def _climbs_deg(scene, state):
    low, high = (_seen(state, depression).edge_deg for depression in (FROM_DEG, TO_DEG))
    if np.isnan(low) or np.isnan(high):
        raise InputError(say("In this air the shadow shows no edge. Take haze away."))
    return high - low


def _scattered_again(scene, state):
    air, eye = twilight_sky.air_of(state), state["eye_height_m"]
    once, all_of_it = (
        earth_shadow.seen(air, -2.0, eye_height_m=eye, single=single) for single in (True, False)
    )
    light = [np.interp(LOW_DEG, each.altitude_deg, each.luminance) for each in (once, all_of_it)]
    return 100.0 * (1.0 - light[0] / light[1])


def _blue_without_ozone(scene, state):
    with_ozone, without = (
        _blue_high_up(scene, state | {"no_ozone": none}) for none in (False, True)
    )
    return _change(without / with_ozone)


def _blue_high_up(scene, state):
    """How far the colour high over the Sun lies from white towards blue: z over x + y + z."""
    asked = state | {"facing": TO_SUN, "depression_deg": OZONE_DEPRESSION_DEG, "once": False}
    xyz = scene.result(**asked).picture.xyz[0].mean(axis=0)
    return 1.0 - colour.chromaticity(xyz).sum()


def _pink_without_haze(scene, state):
    pink = [_seen(state, 2.0, haze=haze).pinkness for haze in (True, False)]
    return _change(pink[1] / pink[0])


def _change(times):
    if abs(times - 1.0) < NOTICED:
        return CHANGES[2]
    return CHANGES[0] if times > 1.0 else CHANGES[1]


def _turn_round_min(scene, state):
    watch = scene.result(**state).watch
    if watch.best is None:
        raise InputError(watch.reason)
    ends = sky.sunrise if state["morning"] else sky.sunset
    edge = ends(watch.place, state["day"])
    gone = edge.first_sliver if state["morning"] else edge.last_sliver
    return abs((watch.best - gone).total_seconds()) / 60.0


QUESTIONS = (
    Amount(
        name="climbs",
        scene=shadow.name,
        words=term(
            "Let the Sun sink from 1° to 4° under the horizon. By how many degrees does the"
            " shadow's edge climb?"
        ),
        unit="°",
        held="depression_deg",
        hint=term(
            "In straight light the edge would climb as fast as the Sun sinks. But the"
            " lowest lit air is far away and shows little."
        ),
        truth=_climbs_deg,
    ),
    Amount(
        name="scattered_again",
        scene=shadow.name,
        words=term(
            "With the Sun 2° down, how many per cent of the shadow's light, 1° over the"
            " horizon, have been scattered more than once?"
        ),
        unit="%",
        near=0.1,
        held="once",
        hint=term(
            "Follow that line of sight on the side view, up and away from the Sun. Where"
            " along it does air still get sunlight, and how much air is there?"
        ),
        truth=_scattered_again,
    ),
    Choose(
        name="no_ozone",
        scene=shadow.name,
        words=term(
            "Look towards the Sun with the Sun 5° down. Take the ozone away: what becomes"
            " of the blue high up?"
        ),
        options=CHANGES,
        held="no_ozone",
        hint=term(
            "Ozone takes out yellow and orange light. The light comes to the air overhead"
            " on a long, low path through the ozone."
        ),
        truth=_blue_without_ozone,
    ),
    Choose(
        name="no_haze_pink",
        scene=shadow.name,
        words=term(
            "Look towards the shadow with the Sun 2° down. Take the haze away: what becomes of the"
            " pink of the arch?"
        ),
        options=CHANGES,
        held="no_haze",
        hint=term(
            "Haze lies low. It takes out light that has grazed the Earth, and scatters"
            " nearly alike in every colour."
        ),
        truth=_pink_without_haze,
    ),
    Amount(
        name="turn_round",
        scene=shadow_evening.name,
        words=term(
            "How many minutes lie between the last sliver and the moment at which the arch"
            " stands out most?"
        ),
        unit="min",
        near=0.3,
        held="share_percent",
        hint=term(
            "It is best with the Sun about 2° down; on the horizon it stands half a degree"
            " down already. How many minutes does the Sun take for the rest at your"
            " latitude?"
        ),
        truth=_turn_round_min,
    ),
)
