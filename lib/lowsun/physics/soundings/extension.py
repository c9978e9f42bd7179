"""From the levels of an ascent to air from the sea to 86 km, in balance with its pressure."""

import numpy as np

from lowsun.errors import OutOfRangeError
from lowsun.physics.atmosphere import (
    COLDEST_TROPOPAUSE_K,
    FADE_BASE_M,
    FADE_TOP_M,
    STANDARD_BASES_M,
    STANDARD_LEVELS_M,
    STANDARD_TEMPERATURES_K,
    Atmosphere,
    geometric_height_m,
    standard_temperature_k,
)
from lowsun.physics.soundings.levels import NEAREST_LEVELS_M, AscentError
from lowsun.words import say

LAPSE_BELOW_K_PER_M = 0.0065  # US Standard Atmosphere 1976
TROPOPAUSE_M, TROPOPAUSE_K = STANDARD_BASES_M[1], STANDARD_TEMPERATURES_K[1]
LEAST_FADE_M = 10e3


def anchor(profile):
    """Height [m], pressure [Pa] and line of the lowest level whose pressure was measured.

    Raises AscentError with its line.
    """
    pressed = np.flatnonzero(np.isfinite(profile.pressure_pa))
    if not pressed.size:
        raise AscentError(
            say("no level above the sea has a pressure and a temperature"),
            say("Give the pressure of the lowest level."),
            line=int(profile.line[0]),
            column=say("pressure"),
        )
    at = pressed[0]
    return profile.height_m[at], profile.pressure_pa[at], int(profile.line[at])


def extended(profile, anchor, lapse_below_k_per_m):
    """An Atmosphere from the sea to 86 km whose pressure is the anchor's at its height.

    lapse_below_k_per_m [K/m].
    """
    below_m, above_m = _heights_to_add(profile)
    geopotential = np.concatenate([below_m, profile.geopotential_m, above_m])
    below_k = profile.temperature_k[0] + lapse_below_k_per_m * (profile.geopotential_m[0] - below_m)
    above_k = _standard_shape_k(above_m, profile.geopotential_m[-1], profile.temperature_k[-1])
    temperature = np.concatenate([below_k, profile.temperature_k, above_k])
    humidity = np.concatenate(
        [
            np.full(below_m.shape, profile.relative_humidity[0]),
            profile.relative_humidity,
            np.zeros(above_m.shape),
        ]
    )
    return _balanced(geometric_height_m(geopotential), temperature, humidity, anchor)


def _heights_to_add(profile):
    first, last = profile.geopotential_m[[0, -1]]
    below = np.array([0.0]) if first > 0.0 else np.array([])
    return below, STANDARD_LEVELS_M[last + NEAREST_LEVELS_M <= STANDARD_LEVELS_M]


def _standard_shape_k(geopotential_m, from_m, from_k):
    """The 1976 standard's gradients, going on from a temperature at a height."""
    standard = standard_temperature_k(geopotential_m)
    offset = from_k - standard_temperature_k(from_m)
    coldest = min(from_k, COLDEST_TROPOPAUSE_K)
    troposphere = np.maximum(standard + offset, coldest)
    if from_m < TROPOPAUSE_M:
        offset = max(offset, coldest - TROPOPAUSE_K)
    begin = max(from_m, FADE_BASE_M)
    end = max(FADE_TOP_M, begin + LEAST_FADE_M)
    fade = np.clip((end - geopotential_m) / (end - begin), 0.0, 1.0)
    return np.where(geopotential_m < TROPOPAUSE_M, troposphere, standard + offset * fade)


def _balanced(height, temperature, humidity, anchor):
    """Vapour makes the balance slightly unlike a scaling; four rounds settle it below 1e-9."""
    anchor_m, anchor_pa, line = anchor
    surface = 101_325.0
    try:
        for _ in range(4):
            air = Atmosphere.from_profile(height, temperature, surface, humidity)
            surface *= anchor_pa / air.at(anchor_m)[1]
        return Atmosphere.from_profile(height, temperature, surface, humidity)
    except OutOfRangeError as refused:
        raise AscentError(
            say(
                "{here:g} hPa at {height:.0f} m makes {sea:.0f} hPa at the sea",
                here=anchor_pa / 100,
                height=anchor_m,
                sea=surface / 100,
            ),
            say("Check the unit of pressure and the height of this level."),
            line=line,
            column=say("pressure, height"),
        ) from refused
