"""One evening's setting Sun in its sky over its sea, for a real place and date."""

from dataclasses import dataclass

import numpy as np

from lowsun import sky, words
from lowsun.drawing.setting_sun import (
    FAR_S,
    NEAR_S,
    Field,
    SettingSunPicture,
    field_for,
)
from lowsun.kept import KB, kept
from lowsun.phenomena import low_sun
from lowsun.phenomena.evening import Evening
from lowsun.phenomena.seascape import as_seen, stands_out
from lowsun.scenes import catalogue, made
from lowsun.scenes.scene import Scene
from lowsun.scenes.scenery import left_out, scenery
from lowsun.sky import clock_text
from lowsun.words import say, term

NEAR_SECONDS = np.arange(NEAR_S[0], NEAR_S[1] + 1.0, 5.0)
FAR_SECONDS = np.linspace(*FAR_S, 85)
UNSURE_K, UNSURE_HPA = 5.0, 10.0  # how well an evening's air is known from a forecast
TOO_MUCH = {  # what the screen cannot show: too pure a colour, or too bright
    (True, False): term("{purer:.0f} % is purer than a screen can show"),
    (False, True): term("{brighter:.0f} % is brighter than a screen can show"),
    (True, True): term(
        "{purer:.0f} % is purer and {brighter:.0f} % is brighter than a screen can show"
    ),
}


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need."""

    evening: Evening
    seconds_now: float
    field: Field
    picture: low_sun.DiscPicture
    sun: object
    diameter_arcmin: float
    upper_limb_arcmin: float
    airless_arcmin: float
    bearing: str
    screen_note: str
    seconds: np.ndarray
    limbs_arcmin: np.ndarray
    airless_upper_limb_arcmin: np.ndarray
    spread_s: float

    @property
    def stands_out(self):
        """Is any of the disc 2 % brighter than the sky at the picture's edge in its row?"""
        return stands_out(self.picture)


def compute(state, fineness=1.0):
    """The picture of the instant and the course of the limbs around it."""
    evening = made.evening_of(made.place_of(state), state["day"], made.even_air(state))
    sun = evening.sun(state["seconds"])
    radius_deg = sun.angular_diameter_arcmin / 120.0
    seconds = NEAR_SECONDS if NEAR_S[0] <= state["seconds"] <= NEAR_S[1] else FAR_SECONDS
    horizon = evening.horizon_apparent_altitude_deg
    limbs = evening.sun(seconds).true_altitude_deg + radius_deg * np.array([[1.0], [0.0], [-1.0]])
    upper_limb = float(evening.above_horizon_arcmin(sun.true_altitude_deg + radius_deg))
    field = field_for(upper_limb, state["magnification"])
    picture, left_out = _picture(state, evening, sun, field.frame(horizon).sized(fineness))
    return Result(
        evening=evening,
        seconds_now=state["seconds"],
        field=field,
        picture=picture,
        sun=sun,
        diameter_arcmin=sun.angular_diameter_arcmin,
        upper_limb_arcmin=upper_limb,
        airless_arcmin=60.0 * (sun.true_altitude_deg - horizon),
        bearing=_bearing(sun.azimuth_deg),
        screen_note=left_out or _screen_note(picture),
        seconds=seconds,
        limbs_arcmin=evening.above_horizon_arcmin(limbs),
        airless_upper_limb_arcmin=60.0 * (limbs[0] - horizon),
        spread_s=_spread_s(
            evening.place, state["day"], state["temperature_c"], state["pressure_hpa"]
        ),
    )


@kept(100 * KB)
def _spread_s(place, day, temperature_c, pressure_hpa):
    """Half the span of the last sliver through airs so little warmer and denser, or less [s].

    NaN where the Sun does not set in all of them.
    """
    times = [
        sky.sunset(place, day, made.atmosphere_at(warmth, weight)).last_sliver
        for warmth in (temperature_c - UNSURE_K, temperature_c + UNSURE_K)
        for weight in (pressure_hpa - UNSURE_HPA, pressure_hpa + UNSURE_HPA)
    ]
    if None in times:
        return float("nan")
    return (max(times) - min(times)).total_seconds() / 2.0


def _picture(state, evening, sun, frame):
    """Disc, sky and sea as an eye takes them in; or the disc alone, and why."""
    true, diameter = float(sun.true_altitude_deg), sun.angular_diameter_arcmin
    horizon = evening.horizon_apparent_altitude_deg
    light = scenery(state, evening.curve, true, horizon, diameter)
    if light is not None:
        return as_seen(light(frame), state["exposure_stops"]), ""
    black = low_sun.picture(
        evening.curve, true, frame,
        exposure_stops=state["exposure_stops"], sun_diameter_arcmin=diameter,
    )  # fmt: skip
    return black, left_out(state["eye_height_m"], true)


def _bearing(azimuth_deg):
    bearing = words.bearing(azimuth_deg, 1)
    return (
        say("bearing {bearing}", bearing=bearing) if bearing else say("at a pole no bearing exists")
    )


def _screen_note(picture):
    """What of the picture the screen cannot show, in plain words."""
    purer, brighter = picture.colours.outside_gamut.mean(), picture.colours.too_bright.mean()
    message = TOO_MUCH.get((purer >= 0.01, brighter >= 0.01))
    return say(message, purer=100 * purer, brighter=100 * brighter) if message else ""


def describe(result):
    """The instant, what is left of the Sun, and where it really is."""
    evening = result.evening
    clock = clock_text(evening.place, evening.when(result.seconds_now))
    if not evening.sets:
        return evening.sunset.briefly
    if result.seconds_now >= 0:
        return say(
            "{clock}: the Sun is gone; the last sliver went at {last_sliver}.",
            clock=clock,
            last_sliver=_at(result),
        )
    hidden = "" if result.stands_out else say(", hidden by the haze")
    return say(
        "{clock}: the upper limb stands {upper_limb:.1f}′ high{hidden}, {without_air}"
        " Last sliver {last_sliver}.",
        clock=clock,
        upper_limb=result.upper_limb_arcmin,
        hidden=hidden,
        without_air=_without_air(result),
        last_sliver=_at(result),
    )


def _at(result):
    sunset = result.evening.sunset
    last = words.clock(sunset.last_sliver, result.evening.place.timezone)
    bearing = words.bearing(sunset.last_sliver_azimuth_deg, 1, point=False)
    where = say(", bearing {bearing}", bearing=bearing) if bearing else ""
    spread = f" ± {result.spread_s:.0f} s" if result.spread_s >= 0.5 else ""
    return f"{last}{spread}{where}"


def _without_air(result):
    top = result.airless_arcmin + result.diameter_arcmin / 2
    if top < 0:
        return say("yet without air the whole Sun would have set.")
    return say("without air it would be at {top:.1f}′.", top=top)


scene = Scene(
    name="setting_sun",
    title=term("The setting Sun"),
    question=term("When and where does the last sliver go, and what does it look like?"),
    controls=(
        catalogue.SECONDS.narrowed(low=FAR_S[0], high=FAR_S[1]),
        catalogue.MAGNIFICATION,
        catalogue.WIND,
        catalogue.DAY,
        catalogue.LATITUDE,
        catalogue.LONGITUDE,
        catalogue.EYE,
        catalogue.TEMPERATURE,
        catalogue.PRESSURE,
        *catalogue.HAZE_CONTROLS,
        catalogue.EXPOSURE,
    ),
    compute=compute,
    sized=True,
    picture=SettingSunPicture,
    describe=describe,
    seldom=(*catalogue.HAZE_SELDOM, "temperature_c", "pressure_hpa", "exposure_stops"),
    cues=(
        term("Where is the Sun in truth, above the horizon or below?"),
        term("Watch the lower edge: why is it flatter than the upper?"),
        term("Take the haze away, then put it back: which colours go first?"),
    ),
)
