"""Whether the levels of an ascent hold together: order, repeats, pressures against heights."""

from dataclasses import replace

import numpy as np

from lowsun.physics import air
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.atmosphere import GAS_CONSTANT, MOLAR_MASS, STANDARD_GRAVITY
from lowsun.physics.soundings.levels import NEAREST_LEVELS_M, AscentError, Profile
from lowsun.words import say

HIGHEST_START_M = 6000.0  # above every sounding station; the low Sun needs the air below
HYPSOMETRIC_M_PER_K = GAS_CONSTANT / (STANDARD_GRAVITY * MOLAR_MASS)
STANDARD_PRESSURE_PA = 101_325.0  # at the sea, US Standard Atmosphere 1976
ALIKE_K = 5.0  # rows of one level that differ by more contradict each other


def usable(levels):
    """The levels that have a temperature and a place: a pressure or, in CSV, a height.

    Raises AscentError with its line.
    """
    placed = np.isfinite(levels.pressure_pa)
    if not levels.pressure_needed:
        placed |= np.isfinite(levels.geopotential_m)
    usable = placed & np.isfinite(levels.temperature_k)
    if usable.sum() < 2:
        raise AscentError(
            say(
                "{usable} of {all} levels of this ascent have a temperature and a pressure or"
                " height",
                usable=usable.sum(),
                all=usable.size,
            ),
            say("Two levels or more are needed; give the temperatures of the ascent."),
            line=int(levels.line[0]),
            column=say("temperature"),
        )
    return Profile(
        levels.line[usable],
        levels.pressure_pa[usable],
        levels.geopotential_m[usable],
        levels.temperature_k[usable],
        levels.relative_humidity[usable],
    )


def with_heights(profile, station_m=None):
    """Missing heights from the hypsometric equation, fitted to the known ones on either side.

    Without any, they count from the station's height, or else from 1013.25 hPa at the sea.
    Returns the profile, how many heights were computed, and what is to be said of them.
    station_m [m]. Raises AscentError with its line.
    """
    known = np.isfinite(profile.geopotential_m)
    if known.all():
        return profile, 0, ()
    pressed = np.isfinite(profile.pressure_pa)
    climb = np.full(known.shape, np.nan)
    climb[pressed] = _climb_m(profile.take(pressed))
    if not known.any():
        start, said = _start_m(profile, station_m)
        return replace(profile, geopotential_m=start + climb), known.size, (said,)
    both = known & pressed
    if not both.any():
        raise AscentError(
            say("no level has a pressure, a temperature and a height"),
            say("Give all three for one level or more, the lowest first."),
            line=int(profile.line[0]),
            column=say("height"),
        )
    place = np.arange(known.size)
    offset = np.interp(place, place[both], (profile.geopotential_m - climb)[both])
    heights = np.where(known, profile.geopotential_m, climb + offset)
    return replace(profile, geopotential_m=heights), int((~known).sum()), ()


def _start_m(profile, station_m):
    """Height of the lowest level, and how it was found."""
    if station_m is not None:
        return station_m, say(
            "heights follow from the pressures, from the station's {height:g} m", height=station_m
        )
    scale = HYPSOMETRIC_M_PER_K * _virtual_k(profile)[0]
    start = max(scale * np.log(STANDARD_PRESSURE_PA / profile.pressure_pa[0]), 0.0)
    return start, say(
        "heights follow from the pressures, with {pressure:g} hPa at the sea: for each hPa less"
        " there they are 8 m lower",
        pressure=STANDARD_PRESSURE_PA / 100,
    )


def _climb_m(profile):
    """Geopotential height over the first level: (R / g0 M) mean(Tv) ln(p1/p2), summed [gpm].

    The hypsometric equation. Source: WMO Guide to Instruments and Methods of Observation
    (WMO-No. 8), volume I, part I, chapter 12 (from memory).
    """
    virtual = _virtual_k(profile)
    mean = 0.5 * (virtual[1:] + virtual[:-1])
    steps = -HYPSOMETRIC_M_PER_K * mean * np.diff(np.log(profile.pressure_pa))
    return np.concatenate([[0.0], np.cumsum(steps)])


def _virtual_k(profile):
    """Temperature of dry air as dense: T / (1 - (1 - M_w / M_d) e / p) [K], (N,).

    Air so thin and warm that vapour would be a fifth of it is taken as dry.
    """
    temperature, pressure = profile.temperature_k, profile.pressure_pa
    saturation = air.saturation_vapour_pressure_pa(temperature)
    share = whole_humidity(profile) * saturation / pressure
    share = np.where(share < 0.2, share, 0.0)
    return temperature / (1.0 - (1.0 - air.WATER_MOLAR_MASS / air.dry_molar_mass()) * share)


def without_repeats(profile):
    """Rows at the height, or within 30 m at the pressure, of the row before become one level.

    Raises AscentError with its line.
    """
    rise = np.diff(profile.geopotential_m)
    same_pressure = np.diff(profile.pressure_pa) == 0.0
    repeats = (rise == 0.0) | (same_pressure & (np.abs(rise) < NEAREST_LEVELS_M))
    if not repeats.any():
        return profile, 0
    apart = repeats & (np.abs(np.diff(profile.temperature_k)) > ALIKE_K)
    if apart.any():
        at = int(np.argmax(apart))
        raise AscentError(
            say(
                "{here} contradicts {before} on line {line}, at the same level",
                here=_celsius(profile, at + 1),
                before=_celsius(profile, at),
                line=int(profile.line[at]),
            ),
            say("Delete the wrong row."),
            line=int(profile.line[at + 1]),
            column=say("temperature"),
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
    return say("{temperature:.1f} degC", temperature=profile.temperature_k[at] - ZERO_CELSIUS_K)


def require_low_start(profile):
    """Refuse an ascent without the lowest air, which shapes the low Sun more than all other.

    Raises AscentError with its line.
    """
    lowest = profile.geopotential_m[0]
    if lowest > HIGHEST_START_M:
        raise AscentError(
            say(
                "the lowest level with a temperature is at {lowest:.0f} m; allowed is up to"
                " {highest:.0f} m",
                lowest=lowest,
                highest=HIGHEST_START_M,
            ),
            say("Give the levels below it."),
            line=int(profile.line[0]),
            column=say("height"),
        )


def require_order(profile):
    """Refuse heights that fall and pressures that rise from row to row.

    Raises AscentError with its line.
    """
    height, pressure = profile.geopotential_m, profile.pressure_pa
    falls = np.flatnonzero(np.diff(height) <= 0.0)
    if falls.size:
        at = int(falls[0]) + 1
        raise AscentError(
            say(
                "the height falls from {before:.0f} to {here:.0f} m",
                before=height[at - 1],
                here=height[at],
            ),
            say(
                "Heights must rise from row to row; sort the rows from the ground up or delete the"
                " wrong one."
            ),
            line=int(profile.line[at]),
            column=say("height"),
        )
    pressed = np.flatnonzero(np.isfinite(pressure))
    rises = np.flatnonzero(np.diff(pressure[pressed]) > 0.0)
    if rises.size:
        before, at = pressed[rises[0]], pressed[rises[0] + 1]
        raise AscentError(
            say(
                "the pressure rises from {before:g} to {here:g} hPa",
                before=pressure[before] / 100,
                here=pressure[at] / 100,
            ),
            say(
                "Pressures must fall from row to row; sort the rows from the ground up or delete"
                " the wrong one."
            ),
            line=int(profile.line[at]),
            column=say("pressure"),
        )


def require_balance(profile):
    """Heights in feet or pressures in another unit show as a layer too thick for its pressures.

    Allowed: 150 m, a tenth of the layer, and what rounding to 1 hPa does to thin air.
    Raises AscentError with its line.
    """
    pressed = profile.take(np.isfinite(profile.pressure_pa))
    if pressed.line.size < 2:
        return
    told = np.diff(pressed.geopotential_m)
    due = np.diff(_climb_m(pressed))
    wrong = np.abs(told - due) > 150.0 + 0.1 * told + 8e5 / pressed.pressure_pa[1:]
    if wrong.any():
        at = int(np.argmax(wrong))
        raise AscentError(
            say(
                "the layer from line {line} to here is {told:.0f} m thick by its heights and"
                " {due:.0f} m by its pressures",
                line=int(pressed.line[at]),
                told=told[at],
                due=due[at],
            ),
            say("Check the units of height (m) and pressure, and the values of these rows."),
            line=int(pressed.line[at + 1]),
            column=say("height, pressure"),
        )


def above_sea(profile):
    """The levels at and above the sea, and a note on those left out.

    Raises AscentError with its line.
    """
    below = profile.geopotential_m < 0.0
    if not below.any():
        return profile, ()
    if below.sum() > below.size - 2:
        raise AscentError(
            say("fewer than two levels lie above the sea"),
            say("Heights count from the sea, in metres; give the levels above it."),
            line=int(profile.line[0]),
            column=say("height"),
        )
    return profile.take(~below), (
        say("{levels} levels below the sea left out", levels=below.sum()),
    )


def whole_humidity(profile):
    """Humidity at every level: linear between known ones, constant below, dry above them."""
    known = np.isfinite(profile.relative_humidity)
    if not known.any():
        return np.zeros(known.shape)
    place = _place(profile)
    return np.interp(place, place[known], profile.relative_humidity[known], right=0.0)


def _place(profile):
    """What rises from level to level: the height, or its number where a height is missing."""
    if np.isfinite(profile.geopotential_m).all():
        return profile.geopotential_m
    return np.arange(profile.line.size)


def without_humidity(profile):
    """A note where an ascent says nothing about its vapour."""
    known = np.isfinite(profile.relative_humidity).any()
    return () if known else (say("no humidity in the file, so the air is taken as dry"),)
