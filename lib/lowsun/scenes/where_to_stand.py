"""From which height the green flash of an air lasts longest."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lowsun import sky
from lowsun.drawing.where_to_stand import HIGH_M, LOW_M, WhereToStandPicture
from lowsun.phenomena import green_flash
from lowsun.physics.atmosphere import Atmosphere
from lowsun.scenes import shared
from lowsun.scenes.airs import AIR_CHOICE, GROUND, LAYERS, SOUNDING, air_of
from lowsun.scenes.controls import Day, Range
from lowsun.scenes.scene import Scene

HEIGHTS = 24
EQUATOR_ARCSEC_PER_S = 15.0
LOWEST_SPEED_ARCSEC_PER_S = 0.1  # slower the Sun does not set but rolls: another notebook's story


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need, arrays along the heights."""

    atmosphere: Atmosphere
    eye_height_m: np.ndarray
    kind: np.ndarray
    duration_s: np.ndarray
    best: int
    speed_arcsec_per_s: float
    reason: str
    shown_temperature_c: tuple[float, float]

    @property
    def best_m(self):
        """The height to stand at [m]."""
        return float(self.eye_height_m[self.best])


def compute(state):
    """The main flash from every height, timed by the Sun of that place and day."""
    air = air_of(state)
    heights = _by_height(air.atmosphere)
    speed, reason = _speed(state["latitude_deg"], state["day"])
    return Result(
        atmosphere=air.atmosphere,
        eye_height_m=heights.eye_height_m,
        kind=heights.kind,
        duration_s=heights.duration_s(speed),
        best=heights.best,
        speed_arcsec_per_s=speed,
        reason=reason,
        shown_temperature_c=_shown_c(air.atmosphere),
    )


@lru_cache(maxsize=32)
def _by_height(atmosphere):
    return green_flash.by_eye_height(atmosphere, LOW_M, HIGH_M, HEIGHTS)


def _speed(latitude_deg, day):
    """How fast the setting Sun sinks ["/s], or the speed at the equator and why not."""
    place = sky.Place("", latitude_deg, shared.LIGHTHOUSE_LONGITUDE_DEG)
    sunset = sky.sunset(place, day)
    if sunset.last_sliver is None:
        return EQUATOR_ARCSEC_PER_S, "The Sun does not set there on that day"
    speed = abs(sky.sun(place, sunset.last_sliver).vertical_speed_arcsec_per_s)
    if speed < LOWEST_SPEED_ARCSEC_PER_S:
        return EQUATOR_ARCSEC_PER_S, "The Sun rolls along the horizon there"
    return float(speed), ""


def _shown_c(atmosphere):
    shown = atmosphere.temperature_k[atmosphere.height_m <= HIGH_M] - 273.15
    return (float(5 * np.floor(shown.min() / 5)), float(5 * np.ceil(shown.max() / 5)))


def describe(result):
    """Where to stand, for how long a flash, of which kind."""
    when = f"{result.reason}; at the equator" if result.reason else "There"
    best = result.best
    if not result.kind[best]:
        return "From no height does the green outlast the red in this air."
    return (
        f"Stand at {result.best_m:.0f} m: the flash, {_name(result.kind[best])}, lasts"
        f" {result.duration_s[best]:.1f} s. {when} the Sun sinks"
        f" {result.speed_arcsec_per_s:.1f}″ a second."
    )


def _name(kind):
    return "no more than a rim" if kind == green_flash.RIM else f"by {kind}"


scene = Scene(
    name="where_to_stand",
    title="Where to stand",
    question="From which height does the green flash last longest?",
    controls=(
        AIR_CHOICE,
        *LAYERS,
        Range(
            name="latitude_deg", label="latitude", unit="°", low=-89, high=89, step=1, default=52
        ),
        Day(name="day", label="day", default=shared.EQUINOX),
        *GROUND,
        SOUNDING,
    ),
    compute=compute,
    picture=WhereToStandPicture,
    describe=describe,
    seldom=("temperature_c", "pressure_hpa", "lapse_k_per_km"),
    cues=(
        "Where would you stand: on the beach, on the cliff, on the hill?",
        "Move the inversion up: the best place moves with it.",
    ),
    doing="Looking from thirty heights",
)
