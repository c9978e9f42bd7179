"""Sky and sea about the Sun of a scene, or why they are left black."""

from functools import partial

from lowsun.kept import MB, kept
from lowsun.phenomena.low_sky import lighting_air
from lowsun.phenomena.seascape import CALM, seascape
from lowsun.physics.scattering import EYE_HEIGHT_RANGE_M, SUN_ALTITUDE_RANGE_DEG
from lowsun.scenes.catalogue import WIND
from lowsun.words import say

HIGHEST_SUN_DEG = 20.0  # up to which the disc is traced
LEAST_WIND_M_PER_S = 0.5  # below it nobody has measured the sea's slopes: it is taken as calm
LOWEST_EYE_M = 0.5  # nearer to the water a wave hides the sea

# Kept, so that a hand on the exposure or on the shutter computes no light. At 1920 px, the widest
# that is live, one has 5 MB. Those of wider films (9 MB at 2560 px, 19 at 3840) are not kept.
_kept = kept(8 * MB)(seascape)


def left_out(eye_height_m, sun_true_altitude_deg):
    """Why sky and sea are black; empty where they are not."""
    if eye_height_m > EYE_HEIGHT_RANGE_M[1]:
        highest = EYE_HEIGHT_RANGE_M[1] / 1000
        return say("above {highest:g} km the sky's light is left out", highest=highest)
    if not SUN_ALTITUDE_RANGE_DEG[0] <= sun_true_altitude_deg <= HIGHEST_SUN_DEG:
        return say("with the Sun so high or so low the sky's light is left out")
    return ""


def scenery(state, curve, sun_true_altitude_deg, horizon_deg, sun_diameter_arcmin, lit=None):
    """A `seascape` that lacks only its frame (and, for a sensor, its responses); None if left out.

    state: with an eye's height; its wind, or that of the control's start; lit: the `Air` whose haze
    lights the sky, by default the curve's.
    """
    eye = state["eye_height_m"]
    if left_out(eye, sun_true_altitude_deg):
        return None
    wind = state.get(WIND.name, WIND.default)
    return partial(
        _kept,
        curve,
        lighting_air(lit or curve.air),
        float(sun_true_altitude_deg),
        horizon_deg=float(horizon_deg),
        eye_height_m=max(eye, LOWEST_EYE_M),
        wind_m_per_s=wind if wind >= LEAST_WIND_M_PER_S else CALM,
        sun_diameter_arcmin=float(sun_diameter_arcmin),
    )
