"""One evening's setting Sun, second by second, for a real place and date."""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from lowsun.drawing.look import compass_point
from lowsun.drawing.setting_sun import HIGH_ARCMIN, LOW_ARCMIN, SettingSunPicture
from lowsun.phenomena import low_sun
from lowsun.phenomena.evening import Evening
from lowsun.physics.extinction import HAZE
from lowsun.scenes import shared
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene
from lowsun.sky import clock_text

ROWS, COLUMNS = 484, 736  # the view's own pixels at 1280 x 720
SECONDS = np.arange(-240.0, 16.0, 5.0)


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need."""

    evening: Evening
    seconds_now: float
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


def compute(state, fineness=1.0):
    """The picture of the instant and the course of the limbs around it."""
    evening = shared.evening_of(
        shared.place_of(state),
        state["day"],
        shared.standard_air(state["temperature_c"], state["pressure_hpa"]),
    )
    sun = evening.sun(state["seconds"])
    radius_deg = sun.angular_diameter_arcmin / 120.0
    track = evening.sun(SECONDS)
    horizon = evening.horizon_apparent_altitude_deg
    limbs = track.true_altitude_deg + radius_deg * np.array([[1.0], [0.0], [-1.0]])
    picture = low_sun.picture(
        evening.curve,
        sun.true_altitude_deg,
        _frame(horizon).sized(fineness),
        sun_diameter_arcmin=sun.angular_diameter_arcmin,
        haze=HAZE[state["haze"]],
        exposure_stops=state["exposure_stops"],
    )
    return Result(
        evening=evening,
        seconds_now=state["seconds"],
        picture=picture,
        sun=sun,
        diameter_arcmin=sun.angular_diameter_arcmin,
        upper_limb_arcmin=float(evening.above_horizon_arcmin(sun.true_altitude_deg + radius_deg)),
        airless_arcmin=60.0 * (sun.true_altitude_deg - horizon),
        bearing=_bearing(sun.azimuth_deg),
        screen_note=_screen_note(picture),
        seconds=SECONDS,
        limbs_arcmin=evening.above_horizon_arcmin(limbs),
        airless_upper_limb_arcmin=60.0 * (limbs[0] - horizon),
    )


def _frame(horizon_deg):
    scale = 60.0 * (HIGH_ARCMIN - LOW_ARCMIN) / ROWS
    return low_sun.Frame(horizon_deg + HIGH_ARCMIN / 60.0, scale, ROWS, COLUMNS)


def _bearing(azimuth_deg):
    if np.isnan(azimuth_deg):
        return "at a pole no bearing exists"
    return f"bearing {azimuth_deg:.1f}° {compass_point(azimuth_deg)}"


def _screen_note(picture):
    """What of the disc the screen cannot show: more colourful, or brighter, than its best."""
    lit = picture.colours.linear.any(axis=-1)
    if not lit.any():
        return ""
    shares = {
        "more colourful": picture.colours.outside_gamut[lit].mean(),
        "over-exposed": picture.colours.too_bright[lit].mean(),
    }
    notes = [f"{share:.0%} {what}" for what, share in shares.items() if share >= 0.01]
    return f"beyond this screen: {', '.join(notes)}" if notes else ""


def describe(result):
    """The instant, what is left of the Sun, and where it really is."""
    evening = result.evening
    clock = clock_text(evening.place, evening.when(result.seconds_now))
    if not evening.sets:
        return evening.sunset.reason
    if result.seconds_now >= 0:
        return f"{clock}: the Sun is gone; the last sliver went at {_at(result)}."
    return (
        f"{clock}: the upper limb stands {result.upper_limb_arcmin:.1f}′ high,"
        f" {_without_air(result)} Last sliver {_at(result)}."
    )


def _at(result):
    sunset = result.evening.sunset
    rounded = sunset.last_sliver + timedelta(seconds=0.5)
    last = rounded.astimezone(result.evening.place.timezone)
    bearing = sunset.last_sliver_azimuth_deg
    where = "" if np.isnan(bearing) else f", bearing {bearing:.1f}°"
    return f"{last:%H:%M:%S}{where}"


def _without_air(result):
    top = result.airless_arcmin + result.diameter_arcmin / 2
    if top < 0:
        return "yet without air the whole Sun would have set."
    return f"without air it would be at {top:.1f}′."


scene = Scene(
    name="setting_sun",
    title="The setting Sun",
    question="When and where does the last sliver go, and what does it look like?",
    controls=(
        Range(
            name="seconds",
            label="time from the last sliver",
            unit="s",
            low=-240,
            high=15,
            step=1,
            default=-180,
        ),
        shared.DAY,
        shared.LATITUDE,
        shared.LONGITUDE,
        shared.EYE,
        shared.TEMPERATURE,
        shared.PRESSURE,
        shared.HAZE_CHOICE,
        shared.EXPOSURE,
    ),
    compute=compute,
    sized=True,
    picture=SettingSunPicture,
    describe=describe,
    seldom=("temperature_c", "pressure_hpa", "exposure_stops"),
    cues=(
        "Where is the Sun in truth, above the horizon or below?",
        "Watch the lower edge: why is it flatter than the upper?",
        "Take the haze away, then put it back: which colours go first?",
    ),
)
