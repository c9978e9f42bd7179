"""The air of a scene: made by sliders or read from an ascent, with layers of one's own on top."""

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import NO_TOP_M
from lowsun.physics.soundings import Report
from lowsun.scenes import haze as hazes
from lowsun.scenes import shared
from lowsun.scenes.controls import Choice, File, Range, Switch

BY_SLIDERS = "made by the sliders"
ASCENTS = {
    "sea, thin duct near 920 m": ("marine-duct.csv", 0),
    "sea, smooth inversion": ("marine-inversion.csv", 0),
    "no inversion": ("marine-no-inversion.csv", 0),
    "Arctic coast, 00 UTC": ("arctic-coast-igra2.txt", 0),
    "Arctic coast, 12 UTC": ("arctic-coast-igra2.txt", 1),
}
SEA_LAYER_M = 10.0  # of air that a warmer or colder sea changes
LEAST_HAZE_M = 10.0  # what lies under an inversion on the water holds haze as high as this
LOW_LAYERS_M = 2000.0  # bases of the inversions that a diagram makes room for

AIR_CHOICE = Choice(
    name="air", label="the air", options=(BY_SLIDERS, *ASCENTS), default=BY_SLIDERS
)  # fmt: skip
LAYERS = (
    Range(
        name="inversion_base_m",
        label="inversion: base",
        unit="m",
        low=0,
        high=1500,
        step=5,
        default=40,
    ),
    Range(
        name="inversion_depth_m",
        label="inversion: depth",
        unit="m",
        low=5,
        high=500,
        step=5,
        default=40,
    ),
    Range(
        name="inversion_k",
        label="inversion: strength",
        unit="K",
        low=0,
        high=15,
        step=0.25,
        default=2.5,
    ),
    Range(
        name="sea_excess_k",
        label="sea warmer than the air",
        unit="K",
        low=-8,
        high=8,
        step=0.25,
        default=0,
    ),
)
GROUND = (
    shared.TEMPERATURE,
    shared.PRESSURE,
    Range(
        name="lapse_k_per_km",
        label="temperature lapse",
        unit="K/km",
        low=0,
        high=10,
        step=0.5,
        default=6.5,
    ),
)
HAZE_UNDER = Switch(name="haze_under", label="haze only under the lowest inversion")
SOUNDING = File(name="sounding", label="your own ascent", suffixes=(".csv", ".txt"))
_NAMES = tuple(
    control.name for control in (AIR_CHOICE, SOUNDING, *GROUND, *LAYERS, hazes.HEIGHT, HAZE_UNDER)
)


@dataclass(frozen=True, eq=False)
class Air:
    """An atmosphere, how far up its layers reach [m], and the report of its ascent, if any."""

    atmosphere: Atmosphere
    layers_top_m: float
    report: Report | None


def air_of(state):
    """The `Air` of a state with the controls of this file; the same object for the same values."""
    return _air(*(state[name] for name in _NAMES))


@lru_cache(maxsize=64)
def _air(
    air, sounding, temperature_c, pressure_hpa, lapse_k_per_km, base_m, depth_m, rise_k, sea_k,
    haze_height_m, haze_under,
):  # fmt: skip
    ascent = _ascent(air, sounding, lapse_k_per_km / 1000.0)
    if ascent is None:
        atmosphere = Atmosphere.standard(
            temperature_c + 273.15, 100.0 * pressure_hpa, 0.0, lapse_k_per_km / 1000.0
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
    return Air(atmosphere, max(tops), ascent.report if ascent else None)


def _low_inversions(ascent):
    found = ascent.report.inversions if ascent else ()
    return [layer for layer in found if layer.base_m < LOW_LAYERS_M]


def _ascent(air, sounding, lapse_k_per_m):
    """The player's own ascent before all, else the one chosen; None for the sliders' air."""
    if sounding is not None:
        return _own_ascent(sounding, lapse_k_per_m)
    return None if air == BY_SLIDERS else _shipped_ascent(air, lapse_k_per_m)


@lru_cache(maxsize=8)
def _own_ascent(sounding, lapse_k_per_m):
    return soundings.parse(sounding.content, sounding.name, lapse_k_per_m)[0]


@lru_cache(maxsize=8)
def _shipped_ascent(air, lapse_k_per_m):
    name, which = ASCENTS[air]
    content = (files("lowsun.data") / "soundings" / name).read_bytes()
    return soundings.parse(content, name, lapse_k_per_m)[which]
