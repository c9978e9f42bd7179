"""Questions about what the camera caught."""

import numpy as np

from lowsun.scenes import caught
from lowsun.scenes.questions.kinds import Amount, Choose
from lowsun.words import term

COLDER, WARMER, SAME = term("colder"), term("warmer"), term("the same")
SURE_K = 1.0
HAZY = 0.3
MORE_HPA = 20.0
HIGH_DEG, LOW_DEG = 6.0, 1.0
UP, DOWN, STILL = term("further above red's"), term("nearer to red's"), term("it stays where it is")
NOTICED_PX = 0.02
STEP_K = 5.0


def _shape(state, **air):
    """Height over width of the model's discs at the frames' instants, the measured ones' mean."""
    seen = caught.scene.result(**state | air)
    ratios = np.interp(seen.altitudes_deg, seen.line_altitudes_deg, seen.line_ratio)
    known = np.isfinite(ratios + seen.measured("axis_ratio"))
    return float(ratios[known].mean()), float(seen.measured("axis_ratio")[known].mean())


def _colder(scene, state):
    model, frames = _shape(state)
    apart = (frames - model) / _flatter_per_k(state)
    if abs(apart) < SURE_K:
        return SAME
    return COLDER if apart < 0 else WARMER


def _flatter_per_k(state, **air):
    """By how much a degree more of warmth changes the discs' height over width."""
    warmth = state["temperature_c"]
    step = -STEP_K if warmth + STEP_K > 45 else STEP_K
    here, there = (_shape(state, **air, temperature_c=t)[0] for t in (warmth, warmth + step))
    return (there - here) / step


def _undone_k(scene, state):
    pressure = state["pressure_hpa"]
    more = MORE_HPA if pressure + MORE_HPA <= 1050 else -MORE_HPA
    changed = _shape(state, pressure_hpa=pressure + more)[0] - _shape(state)[0]
    return abs(changed / _flatter_per_k(state, pressure_hpa=pressure + more))


def _flattens(scene, state):
    seen = scene.result(**state)
    steep = np.gradient(seen.line_ratio, seen.line_altitudes_deg)
    high, low = np.interp([HIGH_DEG, LOW_DEG], seen.line_altitudes_deg, steep)
    return "at 1°" if low > high else "at 6°"


def _in_haze(scene, state):
    clear, hazy = (scene.result(**state | {"haze": haze}).upper_px for haze in (0.0, HAZY))
    moved = hazy - clear
    if abs(moved) < NOTICED_PX:
        return STILL
    return UP if moved > 0 else DOWN


QUESTIONS = (
    Choose(
        name="frames_air",
        scene=caught.scene.name,
        words=term("Is the air of the frames colder or warmer than the sliders'?"),
        options=(COLDER, WARMER, SAME),
        held="temperature_c",
        hint=term(
            "Cold air is denser and bends light more, so it flattens the Sun more. Is the"
            " frame's disc flatter than the dashed one?"
        ),
        truth=_colder,
    ),
    Amount(
        name="pressure_undone",
        scene=caught.scene.name,
        words=term(
            "Make the pressure 20 hPa higher. How many degrees warmer must the air be, for"
            " the same shape?"
        ),
        unit="°C",
        near=0.35,
        held="pressure_hpa",
        hint=term(
            "Air as dense bends as much. Density goes with pressure divided by temperature,"
            " counted from −273 °C; and colder air lies lower, which bends light still"
            " more."
        ),
        truth=_undone_k,
    ),
    Choose(
        name="flattens",
        scene=caught.scene.name,
        words=term("Step through the frames. Where does the Sun flatten faster as it sinks?"),
        options=("at 6°", "at 1°"),
        held="frame",
        hint=term(
            "The air lifts the Sun by 9′ at 6°, by 24′ at 1° and by 34′ at 0°. Its lower"
            " limb is lifted more than its upper one: where by most?"
        ),
        truth=_flattens,
    ),
    Choose(
        name="in_haze",
        scene=caught.scene.name,
        words=term("Take the haze from none to 0.3. Where does green's upper limb go?"),
        options=(UP, DOWN, STILL),
        held="haze",
        hint=term(
            "Haze dims the lower part of the disc more than its upper part, and green more"
            " than red. A limb is found half way up its own light."
        ),
        truth=_in_haze,
    ),
)
