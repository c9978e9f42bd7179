"""Questions about the evening plan."""

from datetime import date, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import InputError
from lowsun.scenes import made
from lowsun.scenes.evening_plan import scene as evening_plan
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.scenes.which_evenings import scene as which_evenings
from lowsun.words import term

SOUTH_DEG = -34.5
HIGH_M = 1000.0
SIDES = (term("to the left"), term("to the right"), term("straight down"))
STRAIGHT_DEG = 0.01  # nobody sees such a change of bearing in a minute


def _last(state, **changed):
    state = state | changed
    air = made.atmosphere_at(state["temperature_c"], state["pressure_hpa"])
    sunset = sky.sunset(made.place_of(state), state["day"], air)
    if sunset.last_sliver is None:
        raise InputError(sunset.reason)
    return sunset


def _frames_apart(scene, state):
    year = state["day"].year
    june, december = (
        float(_last(state, day=date(year, month, 21)).last_sliver_azimuth_deg) for month in (6, 12)
    )
    wide_px = made.FRAME_PX[0]
    half = np.arctan(wide_px / 2 * state["pixel_um"] / 1000.0 / state["focal_length_mm"])
    return abs((june - december + 180.0) % 360.0 - 180.0) / np.degrees(2 * half)


def _drifts(scene, state):
    sunset = _last(state, latitude_deg=SOUTH_DEG)
    place = made.place_of(state | {"latitude_deg": SOUTH_DEG})
    times = [sunset.last_sliver - timedelta(minutes=1), sunset.last_sliver]
    before, after = sky.sun(place, times).azimuth_deg
    turn = (after - before + 180.0) % 360.0 - 180.0
    if abs(turn) < STRAIGHT_DEG:
        return SIDES[2]
    return SIDES[1] if turn > 0 else SIDES[0]


def _later_up_there_s(scene, state):
    here, high = (_last(state, eye_height_m=eye) for eye in (state["eye_height_m"], HIGH_M))
    return (high.last_sliver - here.last_sliver).total_seconds()


def _in_june(scene, state):
    """Evenings in the same gap, turned so that its middle is the sunset of midsummer."""
    solstice = {
        "temperature_c": 15.0,
        "pressure_hpa": 1013.0,
        "day": date(int(state["year"]), 6, 21),
    }
    middle = float(_last(state | solstice).last_sliver_azimuth_deg)
    wide = (state["high_deg"] - state["low_deg"]) % 360.0
    edges = {"low_deg": (middle - wide / 2) % 360.0, "high_deg": (middle + wide / 2) % 360.0}
    return int(coarse(scene, state, **edges).found.inside.sum())


QUESTIONS = (
    Amount(
        name="frames_apart",
        scene=evening_plan.name,
        words=term(
            "How many frames of your lens lie along the horizon between the last sliver of"
            " 21 June and that of 21 December?"
        ),
        unit=term("frames"),
        near=0.2,
        held="day",
        hint=term(
            "At the equator the sunset wanders 47° in half a year, at 52° almost twice as"
            " far. A frame is about 57° times the sensor's width divided by the focal"
            " length."
        ),
        truth=_frames_apart,
    ),
    Choose(
        name="drifts",
        scene=evening_plan.name,
        words=term("Go to latitude −34.5°. To which side does the setting Sun drift there?"),
        options=SIDES,
        held="latitude_deg",
        hint=term(
            "The Sun goes round the pole of the sky. In the south that pole stands over the"
            " southern horizon: to the left of someone who looks west."
        ),
        truth=_drifts,
    ),
    Amount(
        name="later_up_there",
        scene=evening_plan.name,
        words=term(
            "Climb from where you stand to 1000 m. By how many seconds does the last sliver"
            " come later?"
        ),
        unit="s",
        near=0.2,
        held="eye_height_m",
        hint=term(
            "The dip of the horizon is 1.76′ times the root of the metres, and light from"
            " so low is bent longer. The Sun sinks a quarter of an arcminute a second at"
            " the equator."
        ),
        truth=_later_up_there_s,
    ),
    Amount(
        name="in_june",
        scene=which_evenings.name,
        words=term(
            "Turn your gap, as wide as it is, so that its middle is where the Sun goes down"
            " on 21 June. On how many evenings of the year does the Sun go down in it?"
        ),
        unit=term("evenings"),
        near=0.2,
        decimals=0,
        held="low_deg",
        hint=term(
            "In March the sunset wanders every evening by a Sun's breadth or more. In June"
            " it turns round."
        ),
        truth=_in_june,
    ),
)
