"""Whether the levels of an ascent hold together: order, repeats, pressures against heights."""

from dataclasses import replace

import numpy as np

from lowsun.physics.atmosphere import GAS_CONSTANT, MOLAR_MASS, STANDARD_GRAVITY
from lowsun.physics.soundings.levels import NEAREST_LEVELS_M, ZERO_CELSIUS_K, Profile, refusal

HIGHEST_START_M = 6000.0  # above every sounding station; the low Sun needs the air below
ALIKE_K = 5.0  # rows of one level that differ by more contradict each other


def usable(levels, name):
    """The levels that have a temperature and a place: a pressure or, in CSV, a height."""
    placed = np.isfinite(levels.pressure_pa)
    if not levels.pressure_needed:
        placed |= np.isfinite(levels.geopotential_m)
    usable = placed & np.isfinite(levels.temperature_k)
    if usable.sum() < 2:
        raise refusal(
            name,
            f"{usable.sum()} of {usable.size} levels of this ascent have a temperature and a"
            " pressure or height",
            "Two levels or more are needed; give the temperatures of the ascent.",
            line=int(levels.line[0]),
            column="temperature",
        )
    return Profile(
        levels.line[usable],
        levels.pressure_pa[usable],
        levels.geopotential_m[usable],
        levels.temperature_k[usable],
        levels.relative_humidity[usable],
    )


def with_heights(profile, name):
    """Missing heights from the thickness equation, fitted to the known ones on either side."""
    known = np.isfinite(profile.geopotential_m)
    if not known.any():
        raise refusal(
            name,
            "no level with a temperature has a height",
            "Give the height of one level or more, the lowest first.",
            line=int(profile.line[0]),
            column="height",
        )
    if known.all():
        return profile, 0
    pressed = np.isfinite(profile.pressure_pa)
    climb = np.full(known.shape, np.nan)
    climb[pressed] = _climb_m(profile.pressure_pa[pressed], profile.temperature_k[pressed])
    both = known & pressed
    if not both.any():
        raise refusal(
            name,
            "no level has a pressure, a temperature and a height",
            "Give all three for one level or more, the lowest first.",
            line=int(profile.line[0]),
            column="height",
        )
    place = np.arange(known.size)
    offset = np.interp(place, place[both], (profile.geopotential_m - climb)[both])
    heights = np.where(known, profile.geopotential_m, climb + offset)
    return replace(profile, geopotential_m=heights), int((~known).sum())


def _climb_m(pressure_pa, temperature_k):
    """Geopotential height over the first level: (R / g0 M) mean(T) ln(p1/p2), summed [gpm]."""
    scale = GAS_CONSTANT / (STANDARD_GRAVITY * MOLAR_MASS)
    mean = 0.5 * (temperature_k[1:] + temperature_k[:-1])
    return np.concatenate([[0.0], np.cumsum(-scale * mean * np.diff(np.log(pressure_pa)))])


def without_repeats(profile, name):
    """Rows at the height, or within 30 m at the pressure, of the row before become one level."""
    rise = np.diff(profile.geopotential_m)
    same_pressure = np.diff(profile.pressure_pa) == 0.0
    repeats = (rise == 0.0) | (same_pressure & (np.abs(rise) < NEAREST_LEVELS_M))
    if not repeats.any():
        return profile, 0
    apart = repeats & (np.abs(np.diff(profile.temperature_k)) > ALIKE_K)
    if apart.any():
        at = int(np.argmax(apart))
        raise refusal(
            name,
            f"{_celsius(profile, at + 1)} contradicts {_celsius(profile, at)} on line"
            f" {profile.line[at]}, at the same level",
            "Delete the wrong row.",
            line=int(profile.line[at + 1]),
            column="temperature",
        )
    group = np.concatenate([[0], np.cumsum(~repeats)])
    first = np.flatnonzero(np.concatenate([[True], ~repeats]))
    means = [_group_mean(c, group) for c in list(vars(profile).values())[1:]]
    return Profile(profile.line[first], *means), int(repeats.sum())


def _group_mean(values, group):
    known = np.isfinite(values)
    count = np.bincount(group, known)
    total = np.bincount(group, np.where(known, values, 0.0))
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _celsius(profile, at):
    return f"{profile.temperature_k[at] - ZERO_CELSIUS_K:.1f} degC"


def require_low_start(profile, name):
    """Refuse an ascent without the lowest air, which shapes the low Sun more than all other."""
    lowest = profile.geopotential_m[0]
    if lowest > HIGHEST_START_M:
        raise refusal(
            name,
            f"the lowest level with a temperature is at {lowest:.0f} m; allowed is up to"
            f" {HIGHEST_START_M:.0f} m",
            "Give the levels below it.",
            line=int(profile.line[0]),
            column="height",
        )


def require_order(profile, name):
    """Refuse heights that fall and pressures that rise from row to row."""
    height, pressure = profile.geopotential_m, profile.pressure_pa
    falls = np.flatnonzero(np.diff(height) <= 0.0)
    if falls.size:
        at = int(falls[0]) + 1
        raise refusal(
            name,
            f"the height falls from {height[at - 1]:.0f} to {height[at]:.0f} m",
            "Heights must rise from row to row; sort the rows from the ground up or delete the"
            " wrong one.",
            line=int(profile.line[at]),
            column="height",
        )
    pressed = np.flatnonzero(np.isfinite(pressure))
    rises = np.flatnonzero(np.diff(pressure[pressed]) > 0.0)
    if rises.size:
        before, at = pressed[rises[0]], pressed[rises[0] + 1]
        raise refusal(
            name,
            f"the pressure rises from {pressure[before] / 100:g} to {pressure[at] / 100:g} hPa",
            "Pressures must fall from row to row; sort the rows from the ground up or delete the"
            " wrong one.",
            line=int(profile.line[at]),
            column="pressure",
        )


def require_balance(profile, name):
    """Heights in feet or pressures in another unit show as a layer too thick for its pressures.

    Allowed: 150 m, a tenth of the layer, and what rounding to 1 hPa does to thin air.
    """
    pressed = profile.take(np.isfinite(profile.pressure_pa))
    if pressed.line.size < 2:
        return
    told = np.diff(pressed.geopotential_m)
    due = np.diff(_climb_m(pressed.pressure_pa, pressed.temperature_k))
    wrong = np.abs(told - due) > 150.0 + 0.1 * told + 8e5 / pressed.pressure_pa[1:]
    if wrong.any():
        at = int(np.argmax(wrong))
        raise refusal(
            name,
            f"the layer from line {pressed.line[at]} to here is {told[at]:.0f} m thick by its"
            f" heights and {due[at]:.0f} m by its pressures",
            "Check the units of height (m) and pressure, and the values of these rows.",
            line=int(pressed.line[at + 1]),
            column="height, pressure",
        )


def above_sea(profile, name):
    """The levels at and above the sea, and a note on those left out."""
    below = profile.geopotential_m < 0.0
    if not below.any():
        return profile, ()
    if below.sum() > below.size - 2:
        raise refusal(
            name,
            "fewer than two levels lie above the sea",
            "Heights count from the sea, in metres; give the levels above it.",
            line=int(profile.line[0]),
            column="height",
        )
    return profile.take(~below), (f"{below.sum()} levels below the sea left out",)


def whole_humidity(profile):
    """Humidity at every level: linear between known ones, constant below, dry above them."""
    known = np.isfinite(profile.relative_humidity)
    if not known.any():
        return np.zeros(known.shape)
    height = profile.geopotential_m
    return np.interp(height, height[known], profile.relative_humidity[known], right=0.0)
