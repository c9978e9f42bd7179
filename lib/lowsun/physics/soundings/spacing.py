"""Levels far enough apart, and settled enough, for rays to be traced through them."""

from dataclasses import replace

import numpy as np

from lowsun.physics.atmosphere import GAS_CONSTANT, MOLAR_MASS, STANDARD_GRAVITY
from lowsun.physics.soundings.levels import NEAREST_LEVELS_M, AscentError
from lowsun.words import say

DRY_ADIABATIC_K_PER_M = STANDARD_GRAVITY * MOLAR_MASS / (3.5 * GAS_CONSTANT)  # g0 / c_p
ROUNDING_K = 0.1  # two temperatures written to 0.1 K differ by up to this much for nothing
WARM_GROUND_DEPTH_M = 500.0  # how far up a steep lapse over warm ground is believed
SCALE_HEIGHT_M = 8000.0  # density falls by e over it; a weight, not a balance


def spaced(profile, inversions):
    """Levels 30 m apart or more; the bases and tops of inversions stay before others.

    The temperature of each is read off the straight line fitted to all levels within 15 m of
    it: a lone level or a pair keeps its values, dense noisy levels give their mean.
    """
    height = profile.height_m
    ends = {0, *np.searchsorted(height, [m for i in inversions for m in (i.base_m, i.top_m)])}
    keep = _apart(height, sorted(int(at) for at in ends))
    if len(keep) < 2:
        raise AscentError(
            say("the ascent spans {span:.1f} m", span=height[-1] - height[0]),
            say(
                "Two levels {nearest:g} m apart or more are needed; give the levels above.",
                nearest=NEAREST_LEVELS_M,
            ),
            line=int(profile.line[-1]),
            column=say("height"),
        )
    temperature = [_fitted_k(height, profile.temperature_k, at) for at in keep]
    return replace(profile.take(keep), temperature_k=np.array(temperature))


def _apart(height, first_choice):
    """Indices of levels 30 m apart or more, the first choices before the others."""
    chosen = []
    for at in first_choice:
        if not chosen or height[at] - height[chosen[-1]] >= NEAREST_LEVELS_M:
            chosen.append(at)
    ceilings = np.append(height[chosen[1:]] - NEAREST_LEVELS_M, np.inf)
    keep = []
    for at, following, ceiling in zip(chosen, [*chosen[1:], height.size], ceilings, strict=True):
        keep.append(at)
        for between in range(at + 1, following):
            if height[keep[-1]] + NEAREST_LEVELS_M <= height[between] <= ceiling:
                keep.append(between)
    return keep


def _fitted_k(height, temperature, at):
    low, high = np.searchsorted(height, height[at] + np.array([-0.5, 0.5]) * NEAREST_LEVELS_M)
    if high - low < 3:
        return temperature[at]
    near, values = height[low:high] - height[low:high].mean(), temperature[low:high]
    slope = near @ (values - values.mean()) / (near @ near)
    return values.mean() + slope * (height[at] - height[low:high].mean())


def settled(profile):
    """Lapses steeper than the dry adiabatic by more than rounding are mixed, heat conserved.

    T + G z + 0.1 K per layer may not fall with height: neighbours that break this are given
    their common mean (pool adjacent violators), each level weighing as the air it stands for.
    """
    height, temperature = profile.height_m, profile.temperature_k
    slack = ROUNDING_K * np.arange(height.size)
    potential = temperature + DRY_ADIABATIC_K_PER_M * height + slack
    weight = _depth_m(height) * np.exp(-height / SCALE_HEIGHT_M)
    free = _warm_ground_levels(height, potential)
    mixed = potential.copy()
    mixed[free:] = _never_falling(potential[free:], weight[free:])
    moved = np.abs(mixed - potential) > 1e-9
    calm = np.where(moved, temperature + mixed - potential, temperature)
    return replace(profile, temperature_k=calm), int(moved.sum())


def _depth_m(height):
    """Depth of the air each level stands for: half the way to its neighbours."""
    halves = 0.5 * np.diff(height)
    return np.append(halves, 0.0) + np.append(0.0, halves)


def _warm_ground_levels(height, potential):
    """How many levels belong to the unbroken steep lapse that begins at the lowest one."""
    at = 0
    while (
        at + 1 < height.size
        and potential[at + 1] < potential[at]
        and height[at + 1] - height[0] <= WARM_GROUND_DEPTH_M
    ):
        at += 1
    return at


def _never_falling(values, weights):
    """The nearest sequence that never falls, by weighted least squares."""
    pools = []
    for value, weight in zip(values.tolist(), weights.tolist(), strict=True):
        pools.append((value, weight, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (low, a, m), (high, b, n) = pools[-2:]
            pools[-2:] = [((low * a + high * b) / (a + b), a + b, m + n)]
    return np.repeat([value for value, _, _ in pools], [count for _, _, count in pools])
