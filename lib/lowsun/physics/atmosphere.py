"""The air as the rays meet it: temperature, pressure and humidity against height.

Every atmosphere is hydrostatic: temperature and humidity are given, pressure follows from the
pressure at the sea. New atmospheres are made from old ones and never change them.
"""

import hashlib
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from lowsun.errors import OutOfRangeError, keep_number, require_number, require_range
from lowsun.kept import KB, kept
from lowsun.physics import air
from lowsun.physics.extinction import (
    HAZE_SCALE_HEIGHT_M,
    HAZE_SCALE_RANGE_M,
    LEAST_TOP_M,
    NO_TOP_M,
    haze_share_above,
)

STANDARD_GRAVITY = 9.80665  # m/s2, US Standard Atmosphere 1976
GEOPOTENTIAL_RADIUS_M = 6_356_766.0  # m, US Standard Atmosphere 1976
MOLAR_MASS = 0.0289644  # kg/mol, dry air, US Standard Atmosphere 1976
GAS_CONSTANT = 8.31432  # J/(mol K), US Standard Atmosphere 1976
TOP_M = 86_000.0  # geometric height where the lower part of the 1976 standard ends

# US Standard Atmosphere 1976, table 4: base geopotential height [m], gradient above it [K/m].
STANDARD_BASES_M = np.array([0.0, 11e3, 20e3, 32e3, 47e3, 51e3, 71e3, 84_852.0])
STANDARD_GRADIENTS = np.array([-6.5e-3, 0.0, 1e-3, 2.8e-3, 0.0, -2.8e-3, -2e-3])
STANDARD_TEMPERATURES_K = 288.15 + np.concatenate(
    [[0.0], np.cumsum(STANDARD_GRADIENTS * np.diff(STANDARD_BASES_M))]
)

# Geopotential heights [m] between which temperature and humidity are taken as linear: the bases,
# and steps that grow as the humidity thins out, from 128 m at the sea to 3 km at the top.
STANDARD_LEVELS_M = np.union1d(3000.0 * np.expm1(np.arange(81) / 24.0), STANDARD_BASES_M)

COLDEST_TROPOPAUSE_K = 190.0  # over the tropics and the winter pole; common practice, no source
FADE_BASE_M, FADE_TOP_M = 20e3, 47e3  # a ground-born offset from the standard ends between these

LEAST_SPACING_M = 1e-3  # closer levels differ by rounding alone: their gradient would be noise

GROUND_TEMPERATURE_RANGE_K = (180.0, 333.15)  # beyond the coldest and hottest ever measured
GROUND_PRESSURE_RANGE_PA = (40_000.0, 110_000.0)
HEIGHT_RANGE_M = (-1000.0, 1e6)
LAPSE_RANGE_K_PER_M = (-0.005, 0.04)
INVERSION_RANGE_K = (0.0, 40.0)  # Antarctic winter inversions reach 30 K
SURFACE_EXCESS_RANGE_K = (-30.0, 30.0)


@dataclass(frozen=True, eq=False)
class Atmosphere:
    """Levels of air from the sea to the top, in hydrostatic balance.

    height_m [m] geometric, above the sea, rising from 0; temperature_k [K];
    pressure_pa [Pa]; relative_humidity [1] over water; all shaped (N,).
    haze_scale_height_m [m] 100 to 10 000 and haze_top_m [m]: how haze thins out with height, and
    where it ends; how much of it there is belongs to a `Haze`.
    Between levels temperature and humidity are linear in height. Equal where the content is equal,
    and hashed by it.
    """

    height_m: np.ndarray
    temperature_k: np.ndarray
    pressure_pa: np.ndarray
    relative_humidity: np.ndarray
    haze_scale_height_m: float = HAZE_SCALE_HEIGHT_M
    haze_top_m: float = NO_TOP_M

    def __post_init__(self):
        limits = {
            "height_m": (0.0, 200e3, "m"),
            "temperature_k": (*air.TEMPERATURE_RANGE_K, "K"),
            "pressure_pa": (*air.PRESSURE_RANGE_PA, "Pa"),
            "relative_humidity": (0.0, 1.0, ""),
        }
        for name, (low, high, unit) in limits.items():
            levels = require_range(name, getattr(self, name), low, high, unit=unit).copy()
            levels.flags.writeable = False
            object.__setattr__(self, name, levels)
        _require_levels(self.height_m, self.temperature_k, self.pressure_pa, self.relative_humidity)
        keep_number(self, "haze_scale_height_m", *HAZE_SCALE_RANGE_M, unit="m")
        keep_number(self, "haze_top_m", LEAST_TOP_M, NO_TOP_M, unit="m")

    @cached_property
    def digest(self):
        """What the content hashes to: bytes that equal atmospheres share and others do not."""
        digest = hashlib.sha256()
        for levels in (
            self.height_m,
            self.temperature_k,
            self.pressure_pa,
            self.relative_humidity,
            np.array([self.haze_scale_height_m, self.haze_top_m]),
        ):
            # Rounded to 9 digits: the last bits of exp() differ between systems, the air does not.
            digest.update(np.char.mod("%.9g", levels).tobytes())
        return digest.digest()

    def __eq__(self, other):
        if not isinstance(other, Atmosphere):
            return NotImplemented
        return self is other or self.digest == other.digest

    def __hash__(self):
        return hash(self.digest)

    @classmethod
    def standard(
        cls, temperature_k=288.15, pressure_pa=101325.0, relative_humidity=0.0, lapse_k_per_m=0.0065
    ):
        """The US Standard Atmosphere 1976 with the ground's values and the lapse adjustable.

        Temperature falls by `lapse_k_per_m` up to 11 km, or up to where it reaches 190 K; above,
        the standard's gradients go on from there, and the offset from the standard fades out
        between 20 and 47 km. Humidity falls linearly to zero at the tropopause.

        temperature_k [K] 180 to 333.15, pressure_pa [Pa] 40 000 to 110 000 at the sea;
        relative_humidity [1] 0 to 1; lapse_k_per_m [K/m] -0.005 to 0.04, falling is positive.
        The defaults give the 1976 tables to 0.02 %.
        Source: US Standard Atmosphere 1976, NOAA-S/T 76-1562.
        """
        ground = require_number(
            "temperature_k", temperature_k, *GROUND_TEMPERATURE_RANGE_K, unit="K"
        )
        lapse = require_number("lapse_k_per_m", lapse_k_per_m, *LAPSE_RANGE_K_PER_M, unit="K/m")
        humidity = require_number("relative_humidity", relative_humidity, 0.0, 1.0)
        tropopause = _tropopause_m(ground, lapse)
        require_range(
            "The temperature at the tropopause",
            ground - lapse * tropopause,
            *air.TEMPERATURE_RANGE_K,
            unit="K",
            remedy="Lower temperature_k or raise lapse_k_per_m.",
        )
        pressure = require_number("pressure_pa", pressure_pa, *GROUND_PRESSURE_RANGE_PA, unit="Pa")
        return _standard(ground, pressure, humidity, lapse)

    @classmethod
    def from_profile(cls, height_m, temperature_k, surface_pressure_pa, relative_humidity=0.0):
        """An atmosphere of given temperatures; pressure by hydrostatic balance from the sea up.

        d ln p = -(g0 M / R T_virtual) dH over geopotential H.

        height_m [m] rising from 0, temperature_k [K], relative_humidity [1], shaped (N,) or, for
        humidity, a number; surface_pressure_pa [Pa] 40 000 to 110 000 at the first level.
        """
        height = require_range("height_m", height_m, 0.0, 200e3, unit="m")
        temperature = require_range(
            "temperature_k", temperature_k, *air.TEMPERATURE_RANGE_K, unit="K"
        )
        humidity = require_range("relative_humidity", relative_humidity, 0.0, 1.0)
        humidity = np.full(height.shape, humidity) if humidity.ndim == 0 else humidity
        surface = require_number(
            "pressure_pa", surface_pressure_pa, *GROUND_PRESSURE_RANGE_PA, unit="Pa"
        )
        _require_levels(height, temperature, humidity)
        pressure = _hydrostatic_pressure_pa(height, temperature, humidity, surface)
        return cls(height, temperature, pressure, humidity)

    def with_inversion(self, base_m, depth_m, strength_k):
        """This air with a layer in which temperature rises by `strength_k` from base to top.

        The rise is smooth (cubic, level gradients at both ends). The air above the layer keeps
        the excess it has gained at the top; the excess fades out linearly over the 10 km above.
        base_m [m] 0 to 10 000, depth_m [m] 1 to 5000, strength_k [K] 0 to 40: the temperature at
        the top less that at the base, as read off a sounding (0 is an isothermal layer).
        """
        base = require_number("base_m", base_m, 0.0, 10e3, unit="m")
        depth = require_number("depth_m", depth_m, 1.0, 5e3, unit="m")
        strength = require_number("strength_k", strength_k, *INVERSION_RANGE_K, unit="K")
        top = base + depth
        at_base, at_top = np.interp([base, top], self.height_m, self.temperature_k)
        excess = strength + at_base - at_top
        height = self._levels_with(
            np.linspace(base, top, LEVELS_IN_LAYER), [top + FADE_ABOVE_INVERSION_M]
        )
        fade = np.clip(1.0 - (height - top) / FADE_ABOVE_INVERSION_M, 0.0, 1.0)
        return self._warmed(height, excess * fade * _smooth_step((height - base) / depth))

    def with_haze(self, scale_height_m=HAZE_SCALE_HEIGHT_M, top_m=NO_TOP_M):
        """This air with haze that thins out over scale_height_m [m] and ends at top_m [m].

        scale_height_m 100 to 10 000; top_m 10 to 100 000, such as the base of an inversion.
        """
        return replace(self, haze_scale_height_m=scale_height_m, haze_top_m=top_m)

    def haze_share_above(self, height_m):
        """Share of the vertical column of haze above heights [m], as `extinction` has it."""
        return haze_share_above(height_m, self.haze_scale_height_m, self.haze_top_m)

    def with_surface_layer(self, excess_k, depth_m):
        """This air with a layer at the sea warmer or colder than it by `excess_k` at the surface.

        dT(h) = excess (1 - h/depth)^4 below `depth`: steepest at the surface, as over real water.
        excess_k [K] -30 to 30: positive for a sea warmer than the air, negative for a colder one;
        depth_m [m] 0.5 to 2000.
        """
        excess = require_number("excess_k", excess_k, *SURFACE_EXCESS_RANGE_K, unit="K")
        depth = require_number("depth_m", depth_m, 0.5, 2e3, unit="m")
        height = self._levels_with(depth * np.linspace(0.0, 1.0, LEVELS_IN_LAYER) ** 1.5)
        return self._warmed(height, excess * np.clip(1.0 - height / depth, 0.0, 1.0) ** 4)

    def at(self, height_m):
        """Temperature [K], pressure [Pa] and relative humidity [1] at heights within the levels.

        Temperature and humidity are linear between levels; pressure is hydrostatic for them.
        height_m [m]. Raises OutOfRangeError outside.
        """
        height = require_range("height_m", height_m, 0.0, self.height_m[-1], unit="m")
        temperature = np.interp(height, self.height_m, self.temperature_k)
        humidity = np.interp(height, self.height_m, self.relative_humidity)
        return temperature, self._pressure_at(height, temperature), humidity

    def _pressure_at(self, height, temperature):
        below = np.clip(np.searchsorted(self.height_m, height, side="right") - 1, 0, None)
        below = np.minimum(below, self.height_m.size - 2)
        geopotential = geopotential_height_m(self.height_m)
        rise = (geopotential_height_m(height) - geopotential[below]) / (
            geopotential[below + 1] - geopotential[below]
        )
        # ln p against geopotential bends by the layer's temperature gradient alone.
        share = rise * _mean_inverse(self.temperature_k[below], temperature)
        share /= _mean_inverse(self.temperature_k[below], self.temperature_k[below + 1])
        log_ratio = np.log(self.pressure_pa[below + 1] / self.pressure_pa[below])
        return self.pressure_pa[below] * np.exp(share * log_ratio)

    def _levels_with(self, *more):
        """The levels and more; a new one within 2 mm of an old one is the old one."""
        new = np.concatenate(more)
        above = np.clip(np.searchsorted(self.height_m, new), 1, self.height_m.size - 1)
        gap = np.minimum(np.abs(new - self.height_m[above - 1]), np.abs(self.height_m[above] - new))
        return np.union1d(self.height_m, new[gap > 2.0 * LEAST_SPACING_M])

    def _warmed(self, height, excess_k):
        temperature, _, humidity = self.at(height)
        warmed = Atmosphere.from_profile(
            height, temperature + excess_k, self.pressure_pa[0], humidity
        )
        return warmed.with_haze(self.haze_scale_height_m, self.haze_top_m)


LEVELS_IN_LAYER = 101  # with 41 the folds of a mirage's curve wander by some arcsec, now by one
FADE_ABOVE_INVERSION_M = 10e3  # adds 1 K/km to the lapse above a 10 K inversion, no more


def geopotential_height_m(height_m):
    """Geopotential height H = r h / (r + h) [m] (US Standard Atmosphere 1976, eq. 18).

    height_m [m] -1000 to 1 000 000, any shape.
    """
    height_m = require_range("height_m", height_m, *HEIGHT_RANGE_M, unit="m")
    return GEOPOTENTIAL_RADIUS_M * height_m / (GEOPOTENTIAL_RADIUS_M + height_m)


def geometric_height_m(geopotential_m):
    """Geometric height h = r H / (r - H) [m] (US Standard Atmosphere 1976, eq. 19).

    geopotential_m [m] -1000 to 1 000 000, any shape.
    """
    geopotential_m = require_range("geopotential_m", geopotential_m, *HEIGHT_RANGE_M, unit="m")
    return GEOPOTENTIAL_RADIUS_M * geopotential_m / (GEOPOTENTIAL_RADIUS_M - geopotential_m)


def standard_temperature_k(geopotential_m):
    """Temperature of the US Standard Atmosphere 1976 [K], 0 to 84 852 geopotential metres."""
    height = require_range("geopotential_m", geopotential_m, 0.0, STANDARD_BASES_M[-1], unit="m")
    return np.interp(height, STANDARD_BASES_M, STANDARD_TEMPERATURES_K)


@kept(500 * KB)
def _standard(ground_k, pressure_pa, humidity, lapse_k_per_m):
    tropopause = _tropopause_m(ground_k, lapse_k_per_m)
    geopotential = np.union1d(STANDARD_LEVELS_M, tropopause)
    temperature = _standard_shape_k(geopotential, ground_k, lapse_k_per_m, tropopause)
    dryness = np.clip(1.0 - geopotential / tropopause, 0.0, 1.0)
    return Atmosphere.from_profile(
        geometric_height_m(geopotential), temperature, pressure_pa, humidity * dryness
    )


def _tropopause_m(ground_k, lapse_k_per_m):
    """Where the troposphere ends: 11 km, or lower where the air has cooled to 190 K [gpm]."""
    if lapse_k_per_m <= 0.0:
        return STANDARD_BASES_M[1]
    return min(STANDARD_BASES_M[1], max(ground_k - COLDEST_TROPOPAUSE_K, 1.0) / lapse_k_per_m)


def _standard_shape_k(geopotential_m, ground_k, lapse_k_per_m, tropopause_m):
    below = ground_k - lapse_k_per_m * np.minimum(geopotential_m, tropopause_m)
    offset = below[-1] - STANDARD_TEMPERATURES_K[1]
    fade = np.clip((FADE_TOP_M - geopotential_m) / (FADE_TOP_M - FADE_BASE_M), 0.0, 1.0)
    standard = standard_temperature_k(np.maximum(geopotential_m, STANDARD_BASES_M[1]))
    return np.where(geopotential_m <= tropopause_m, below, standard + offset * fade)


def _hydrostatic_pressure_pa(height, temperature, humidity, surface_pressure_pa):
    steps = np.diff(geopotential_height_m(height)) * STANDARD_GRAVITY * MOLAR_MASS / GAS_CONSTANT
    virtual = temperature
    # Vapour lightens the air by a share of the pressure that is being sought: two rounds settle
    # it below 1e-9, since the share changes by a millionth from round to round.
    for _ in range(3):
        drop = steps * _mean_inverse(virtual[:-1], virtual[1:])
        pressure = surface_pressure_pa * np.exp(-np.concatenate([[0.0], np.cumsum(drop)]))
        virtual = air.virtual_temperature_k(temperature, pressure, humidity)
    return pressure


def _mean_inverse(lower_k, upper_k):
    """Mean of 1/T over a layer in which T is linear: ln(T2/T1) / (T2 - T1)."""
    contrast = (upper_k - lower_k) / (upper_k + lower_k)
    small = np.abs(contrast) < 1e-4  # the series' next term is then below 1e-17
    safe = np.where(small, 1.0, contrast)
    ratio = np.where(small, 1.0 + contrast**2 / 3.0, np.arctanh(safe * ~small) / safe)
    return 2.0 * ratio / (upper_k + lower_k)


def _smooth_step(u):
    v = np.clip(u, 0.0, 1.0)
    return v * v * (3.0 - 2.0 * v)


def _require_levels(height, *columns):
    if height.ndim != 1 or height.size < 2 or any(c.shape != height.shape for c in columns):
        raise OutOfRangeError(
            f"The levels are shaped {height.shape} and {[c.shape for c in columns]}; allowed are"
            " arrays of one length, two levels or more. Give every level a value in each column."
        )
    stuck = np.diff(height) < LEAST_SPACING_M
    if height[0] != 0.0 or stuck.any():
        first = 0 if height[0] != 0.0 else int(np.argmax(stuck)) + 1
        raise OutOfRangeError(
            f"height_m[{first}] is {height[first]:g} m; heights begin at 0 m, the sea, and rise by"
            f" {LEAST_SPACING_M:g} m or more."
            " Sort the levels, drop repeated ones and add the ground."
        )
