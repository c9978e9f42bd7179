"""What the values of a state stand for: place, evening, air, haze and camera, kept where slow."""

from dataclasses import dataclass
from importlib.resources import files

from lowsun.fieldwork.camera import Camera, density_of_stops, shutter_words
from lowsun.kept import MB, kept
from lowsun.phenomena.evening import evening
from lowsun.physics import soundings
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import NO_TOP_M, Haze, visibility_km
from lowsun.physics.medium import Air
from lowsun.physics.soundings import Report
from lowsun.scenes import catalogue
from lowsun.scenes.catalogue import (
    ASCENTS,
    BY_SLIDERS,
    HAZE_DEPTH,
    HAZE_HEIGHT,
    HAZE_KIND,
    SHUTTERS,
)
from lowsun.sky import Place
from lowsun.words import say
from lowsun.words.speech import in_figures

FRAME_PX = (6000, 4000)
SEA_LAYER_M = 10.0  # a warmer or colder sea changes so much of the air
LEAST_HAZE_M = 10.0  # what lies under an inversion on the water holds haze as high as this
LOW_LAYERS_M = 2000.0  # bases of the inversions that a diagram makes room for
_OF_AIR = tuple(
    control.name
    for control in (
        catalogue.AIR, catalogue.SOUNDING, *catalogue.GROUND, *catalogue.LAYERS, HAZE_HEIGHT,
        catalogue.HAZE_UNDER,
    )
)  # fmt: skip


# ---- place and evening


def place_of(state, name=catalogue.LIGHTHOUSE):
    """The place of a state with latitude, longitude and eye height."""
    return Place(name, state["latitude_deg"], state["longitude_deg"], state["eye_height_m"])


@kept(6 * MB)
def evening_of(place, date, air, high_deg=21.0):
    """The `evening.Evening` through an `Air`, kept: haze that changes traces nothing anew."""
    return _traced_evening(place, date, air.atmosphere, high_deg).through(air.haze, air.ozone_du)


@kept(6 * MB)
def _traced_evening(place, date, atmosphere, high_deg):
    return evening(place, date, atmosphere, high_deg)


# ---- haze


def haze_of(state):
    """The `Haze` of a state with the controls of haze."""
    return Haze.of_kind(state[HAZE_DEPTH.name], state[HAZE_KIND.name])


def haze_words(state):
    """The haze as people know it: its depth, and how far a dark hill is seen through it."""
    depth, height = state[HAZE_DEPTH.name], state[HAZE_HEIGHT.name]
    if depth == 0:
        return say("no haze")
    kind, far = state[HAZE_KIND.name], visibility_km(haze_of(state), height)
    if kind == HAZE_KIND.default:
        return say("haze {depth:.2f}: you see {far:.0f} km", depth=depth, far=far)
    return say(
        "{kind} haze {depth:.2f}: you see {far:.0f} km", kind=say(kind), depth=depth, far=far
    )


# ---- camera


def camera_of(state, fastest="1/32000 s", slowest="30 s"):
    """The `Camera` of a state, with the words of its shutter's limits."""
    return Camera(
        focal_length_mm=state["focal_length_mm"],
        f_number=state["f_number"],
        pixel_um=state["pixel_um"],
        frame_px=FRAME_PX,
        iso=state["iso"],
        filter_density=density_of_stops(state["filter_stops"]),
        fastest_shutter_s=SHUTTERS[fastest],
        slowest_shutter_s=SHUTTERS[slowest],
    )


def shutter_said(exposure_s):
    """An exposure as it is said: `1/8000 s`, `2.5 s`, with the decimal sign of the language."""
    return in_figures(shutter_words(exposure_s))


# ---- air: made by sliders or read from an ascent, with layers of one's own on top


def atmosphere_at(temperature_c, pressure_hpa):
    """The standard `Atmosphere` with the ground's temperature [degC] and pressure [hPa] given."""
    return Atmosphere.standard(temperature_c + ZERO_CELSIUS_K, 100.0 * pressure_hpa)


def even_air(state):
    """The `Air` of a state: standard, of its haze and, where it sets them, warmth and pressure."""
    atmosphere = atmosphere_at(state.get("temperature_c", 15), state.get("pressure_hpa", 1013))
    return Air(atmosphere.with_haze(state[HAZE_HEIGHT.name]), haze_of(state))


@dataclass(frozen=True, eq=False)
class Profile:
    """An atmosphere, how far up its layers reach [m], and the report of its ascent, if any."""

    atmosphere: Atmosphere
    layers_top_m: float
    report: Report | None


def air_of(state):
    """The `Air` of a state with the controls of air and haze."""
    return Air(profile_of(state).atmosphere, haze_of(state))


def profile_of(state):
    """The `Profile` of a state with the controls of air."""
    return _profile(*(state[name] for name in _OF_AIR))


@kept(1 * MB)
def _profile(
    air, sounding, temperature_c, pressure_hpa, lapse_k_per_km, base_m, depth_m, rise_k, sea_k,
    haze_height_m, haze_under,
):  # fmt: skip
    ascent = _ascent(air, sounding, lapse_k_per_km / 1000.0)
    if ascent is None:
        atmosphere = Atmosphere.standard(
            temperature_c + ZERO_CELSIUS_K, 100.0 * pressure_hpa, 0.0, lapse_k_per_km / 1000.0
        )
    else:
        atmosphere = ascent.atmosphere()
    if rise_k:
        atmosphere = atmosphere.with_inversion(base_m, depth_m, rise_k)
    if sea_k:
        atmosphere = atmosphere.with_surface_layer(sea_k, SEA_LAYER_M)
    bases = [base_m] * bool(rise_k) + [layer.base_m for layer in _low_inversions(ascent)]
    top = max(min(bases), LEAST_HAZE_M) if haze_under and bases else NO_TOP_M
    atmosphere = atmosphere.with_haze(haze_height_m, top)
    tops = [
        rise_k and base_m + depth_m,
        sea_k and SEA_LAYER_M,
        *(layer.top_m for layer in _low_inversions(ascent)),
    ]
    return Profile(atmosphere, max(tops), ascent.report if ascent else None)


def _low_inversions(ascent):
    found = ascent.report.inversions if ascent else ()
    return [layer for layer in found if layer.base_m < LOW_LAYERS_M]


def _ascent(air, sounding, lapse_k_per_m):
    """The player's own ascent before all, else the one chosen; None for the sliders' air."""
    if sounding is not None:
        return _own_ascent(sounding, lapse_k_per_m)
    return None if air == BY_SLIDERS else _shipped_ascent(air, lapse_k_per_m)


@kept(6 * MB)
def _own_ascent(sounding, lapse_k_per_m):
    return soundings.parse(sounding.content, sounding.name, lapse_k_per_m)[0]


@kept(2 * MB)
def _shipped_ascent(air, lapse_k_per_m):
    name, which = ASCENTS[air]
    content = (files("lowsun.data") / "soundings" / name).read_bytes()
    return soundings.parse(content, name, lapse_k_per_m)[which]
