"""Any air: real ascents, inversions and warm or cold seas, and what they make of the Sun."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lowsun.drawing.any_air import HIGH_ARCMIN, LOW_ARCMIN, VIEW_BOX, AnyAirPicture
from lowsun.phenomena import green_flash, low_sun, mirage
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.rays import horizon_apparent_altitude_deg, transfer_curve
from lowsun.physics.soundings.findings import find_ducts
from lowsun.scenes import shared
from lowsun.scenes.airs import AIR_CHOICE, GROUND, LAYERS, SOUNDING, air_of
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene

CURVE_NM = (650.0, 520.0)
DUCTS_BELOW_M = 5000.0
SHOWN_TOPS_M = (50, 100, 150, 250, 500, 750, 1000, 1500, 2000, 3000, 8000)


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need; lengths on the sky in arcmin."""

    atmosphere: Atmosphere
    findings: str
    picture: low_sun.DiscPicture
    outline: mirage.Outline
    flash: green_flash.Flash | None
    eye_height_m: float
    shown_height_m: float
    shown_temperature_c: tuple[float, float]
    ducts_m: tuple[tuple[float, float], ...]
    above_horizon_arcmin: np.ndarray
    from_sun_arcmin: np.ndarray
    sun_above_horizon_direction_arcmin: float


def compute(state):
    """The three views for the air, the eye and the Sun of a state."""
    air = air_of(state)
    atmosphere = air.atmosphere
    eye, sun = state["eye_height_m"], state["sun_true_altitude_arcmin"]
    horizon = float(horizon_apparent_altitude_deg(atmosphere, eye))
    curve = _curve(atmosphere, eye, horizon)
    return Result(
        atmosphere=atmosphere,
        findings=air.findings,
        picture=low_sun.picture(
            _picture_curve(atmosphere, eye),
            sun / 60.0,
            _frame(horizon),
            haze=HAZE[state["haze"]],
            exposure_stops=state["exposure_stops"],
        ),
        outline=mirage.outline(_visual_curve(atmosphere, eye), sun / 60.0),
        flash=_last_flash(atmosphere, eye),
        eye_height_m=eye,
        **_shown(atmosphere, eye, air.layers_top_m),
        ducts_m=_ducts(atmosphere),
        above_horizon_arcmin=60.0 * (curve.apparent_altitude_deg - horizon),
        from_sun_arcmin=60.0 * curve.true_altitude_deg - sun,
        sun_above_horizon_direction_arcmin=sun - 60.0 * horizon,
    )


@lru_cache(maxsize=16)
def _picture_curve(atmosphere, eye_height_m):
    return low_sun.curve_for_picture(atmosphere, eye_height_m, high_deg=3.0)


@lru_cache(maxsize=16)
def _curve(atmosphere, eye_height_m, horizon_deg):
    rows = horizon_deg + np.arange(LOW_ARCMIN, HIGH_ARCMIN, 0.02) / 60.0
    return transfer_curve(atmosphere, eye_height_m, rows, np.array(CURVE_NM))


@lru_cache(maxsize=16)
def _visual_curve(atmosphere, eye_height_m):
    return mirage.curve_near_horizon(atmosphere, eye_height_m)


@lru_cache(maxsize=16)
def _last_flash(atmosphere, eye_height_m):
    found = green_flash.flashes(atmosphere, eye_height_m)
    return min(found, key=lambda flash: flash.green_true_altitude_deg, default=None)


@lru_cache(maxsize=16)
def _ducts(atmosphere):
    return tuple((duct.base_m, duct.top_m) for duct in find_ducts(atmosphere, 0.0, DUCTS_BELOW_M))


def _frame(horizon_deg):
    _, _, columns, rows = VIEW_BOX
    scale = 60.0 * (HIGH_ARCMIN - LOW_ARCMIN) / rows
    return low_sun.Frame(horizon_deg + HIGH_ARCMIN / 60.0, scale, rows, columns)


def _shown(atmosphere, eye_height_m, layers_top_m):
    """Limits of the temperature diagram, in round numbers: the eye and the layers are in it."""
    least = 1.25 * max(eye_height_m, layers_top_m, 30.0)
    top = next(limit for limit in SHOWN_TOPS_M if limit >= least)
    shown = atmosphere.temperature_k[atmosphere.height_m <= top] - 273.15
    limits = (5 * np.floor(shown.min() / 5) - 0.5, 5 * np.ceil(shown.max() / 5) + 0.5)
    return {"shown_height_m": float(top), "shown_temperature_c": tuple(map(float, limits))}


def describe(result):
    """What the ascent holds, what is left of the disc, and which flash this air makes."""
    parts = [result.findings, _disc_words(result.outline), _flash_words(result.flash)]
    return " ".join(part for part in parts if part)


def _disc_words(outline):
    pieces = outline.low_deg.size
    if pieces == 0:
        return "Nothing of the Sun is seen."
    standing = "The Sun stands whole" if pieces == 1 else f"The Sun stands in {pieces} pieces"
    return f"{standing}, {outline.axis_ratio:.2f} times as high as wide."


def _flash_words(flash):
    if flash is None:
        return "No green outlasts the red."
    if flash.kind == "rim only":
        return f"Last of all goes a green rim, {flash.height_arcsec:.0f}″ high."
    return f"Last of all goes a flash by {flash.kind}, {flash.height_arcsec:.0f}″ high."


scene = Scene(
    name="any_air",
    title="Any air",
    question="What does the air of tonight make of the Sun?",
    controls=(
        Range(
            name="sun_true_altitude_arcmin",
            label="true altitude of the Sun",
            unit="′",
            low=-150,
            high=30,
            step=0.2,
            default=-46,
        ),
        Range(
            name="eye_height_m",
            label="eye above the sea",
            unit="m",
            low=1,
            high=1500,
            step=1,
            default=95,
        ),
        AIR_CHOICE,
        *LAYERS,
        *GROUND,
        shared.HAZE_CHOICE,
        shared.EXPOSURE,
        SOUNDING,
    ),
    compute=compute,
    picture=AnyAirPicture,
    describe=describe,
    cues=(
        "Where would the Sun be without air? Follow the dashed line.",
        "Trace one row: from the picture left to the curve, then down to the Sun.",
        "Where the curve turns back, one piece of Sun stands in two rows: which is upside down?",
    ),
    doing="Tracing rays through this air",
)
