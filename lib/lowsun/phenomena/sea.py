"""The sea below a low Sun: the sky mirrored by its waves, the glitter, light from the depths, haze.

The waves' slopes decide everything: each facet mirrors another part of the sky, and the lower an
eye looks the more it sees only those that face it.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import OutOfRangeError, require_number, require_row
from lowsun.kept import KB, MB, kept
from lowsun.phenomena.low_sky import (
    ABOVE_HORIZON_DEG,
    NARROW_DEG,
    azimuth_nodes_deg,
    between_suns,
    logarithm,
    over_a_picture,
    parabola_shares,
    reach_deg,
    sun_of_step,
)
from lowsun.physics import water
from lowsun.physics.colour import xyz_weights
from lowsun.physics.rays import VISUAL_NM
from lowsun.physics.scattering import WAVELENGTH_NM, level_irradiance_ratio, sky_table
from lowsun.physics.scattering.air import require_sky_air
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    between,
    bilinear,
    straight_matrix,
)
from lowsun.physics.scattering.optics import depths, haze_phase, rayleigh_phase
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.radiance import scattered_parts, scattering_cosine, sun_altitude
from lowsun.physics.scattering.shells import shells
from lowsun.physics.scattering.spectrum import sunlit_weights

ROWS, NEAREST_DEG = 8, 0.003  # altitudes traced below the horizon, and the highest of them
TOWARD, ASIDE = 24, 13  # slopes summed over: along the line of sight and across it
STEEPEST = 4.0  # slopes go as far, in units of their root mean square
SKY_UP_DEG = np.concatenate([[0.02], np.geomspace(0.5, 90.0, 14)])
SKY_ASIDE_DEG = np.array([0.0, 2.0, 5.0, 10.0, 20.0, 35.0, 55.0, 80.0, 120.0, 180.0])
SUN_UP_DEG = np.concatenate([np.arange(0.0, 3.0, 0.05), np.arange(3.0, 91.0, 1.0)])
LEAST_GRAZING_RAD = 1e-4


@dataclass(frozen=True, eq=False)
class Sea:
    """The sea's light at altitudes below the horizon (E,), rising, and azimuths (A,) from the Sun.

    even (A, E, 3) [cd/m2]: all but the glitter, as it reaches the eye; glint (E, 3) [cd/m2]: the
    glitter for one facet in a unit of slope; grazing_rad, sun_rad (E,): how steeply the line of
    sight meets the water there, and how high the Sun stands over it; spread (E,): the facets seen
    and lit; variance: mean square slope along any direction.
    """

    altitude_deg: np.ndarray
    azimuth_deg: np.ndarray
    even: np.ndarray
    glint: np.ndarray
    grazing_rad: np.ndarray
    sun_rad: np.ndarray
    spread: np.ndarray
    variance: float

    def seen(self, altitude_deg, azimuth_deg, out=None):
        """XYZ [cd/m2], or a sensor's channels, at altitudes (R,) and azimuths (H,), (R, H, 3).

        azimuths from the Sun; altitudes below the horizon; both within what the sea was asked for.
        out: an array (R, H, 3) to be filled, float32.
        azimuth_deg [deg], altitude_deg [deg]. Raises OutOfRangeError outside.
        """
        low, high = self.altitude_deg[[0, -1]]
        rows = np.minimum(require_row("altitude_deg", altitude_deg, low, 90.0, unit="deg"), high)
        wide = max(self.azimuth_deg[-1], NARROW_DEG)
        across = require_row("azimuth_deg", azimuth_deg, 0.0, wide, unit="deg")
        up = straight_matrix(self.altitude_deg, rows)
        columns = parabola_shares(self.azimuth_deg, across).T
        light = over_a_picture(up, self.even.swapaxes(0, 1), columns, out)
        facets = self._facets(rows, across)
        for channel, glint in zip(np.moveaxis(light, -1, 0), (up @ self.glint).T, strict=True):
            channel += facets * glint[:, None].astype(np.float32)
        return light

    def _facets(self, rows, across):
        """Share of the visible facets, in a unit of slope, that show the Sun: (R, H)."""
        graze, sun, spread = (
            np.interp(rows, self.altitude_deg, each)[:, None]
            for each in (self.grazing_rad, self.sun_rad, self.spread)
        )
        up2 = _up_squared(graze, sun, np.radians(across))
        steep = (1.0 / up2 - 1.0) * np.float32(-0.5 / self.variance)
        return np.exp(steep) / (up2**2 * np.float32(8.0 * np.pi * self.variance * spread))


def sea(
    air,
    sun_true_altitude_deg,
    low_deg,
    wide_deg=0.0,
    *,
    eye_height_m,
    wind_m_per_s,
    responses=xyz_weights,
):
    """The sea about the Sun's vertical, from low_deg up to the horizon: a `Sea`.

    L = T (mean over visible facets of R L_sky + glitter + 0.012 E / pi) + (1 - T) L_horizon, with
    T the air's transmission from the water to the eye.
    air: a scattering `Air` or an Atmosphere; sun_true_altitude_deg [deg] -10 to 90, at the eye;
    low_deg [deg, apparent] below the horizon; wide_deg [deg] 0 to 16: how far to each side, 1.5 at
    least; eye_height_m [m] 0.5 to 9000; wind_m_per_s [m/s] 0.5 to 15; responses: as in
    `spectrum.sunlit_weights`, for the eye by default. Raises OutOfRangeError outside these.
    Slopes: Cox & Munk 1954, the same along and across the wind; mirror: Fresnel; waves hide each
    other: Smith 1967; airlight: Koschmieder 1924 (from memory), the horizon's sky standing for it.
    Leaves out the wind's direction, foam, swell, light mirrored twice (a ray mirrored downwards is
    given the horizon's sky), and that the sky over far water is seen from there.
    """
    air, sun_deg = require_sky_air(air), sun_altitude(sun_true_altitude_deg)
    eye = require_number("eye_height_m", eye_height_m, 0.5, 9000.0, unit="m")
    wind = require_number("wind_m_per_s", wind_m_per_s, *water.WIND_RANGE_M_PER_S, unit="m/s")
    low_deg = require_number("low_deg", low_deg, -90.0, 90.0, unit="deg")
    variance, weights = sum(water.slope_variances(wind)) / 2.0, sunlit_weights(responses)
    across = azimuth_nodes_deg(wide_deg)
    seen = _seen(air, eye, _depth_deg(air, eye, low_deg))
    # Water ahead lies nearer to where the Sun is overhead, and has it higher.
    beam, sun_rad = _sun_over_water(air, sun_deg + seen.turn_deg)
    glint = seen.through * beam * _mirror_to_sun(seen.grazing_rad, sun_rad)
    return Sea(
        altitude_deg=seen.altitude_deg,
        azimuth_deg=across,
        even=_even(air, sun_deg, across, seen, eye, variance, responses),
        glint=glint @ weights,
        grazing_rad=seen.grazing_rad,
        sun_rad=sun_rad,
        spread=_spread(seen.grazing_rad, sun_rad, variance),
        variance=variance,
    )


def _even(air, sun_deg, across, seen, eye_height_m, variance, responses):
    """All light but the glitter (A, E, 3) [cd/m2], read between Suns a step apart."""
    case = across.tobytes(), seen, eye_height_m, variance, responses
    return between_suns(lambda step: _log_even(air, step, *case), sun_deg)


@kept(3 * MB)
def _log_even(air, step, azimuth_bytes, seen, eye_height_m, variance, responses):
    sun_deg = sun_of_step(step)
    across, weights = np.frombuffer(azimuth_bytes), sunlit_weights(responses)
    sky = _SkyOverWater.of(air, sun_deg, weights)
    mirrored = np.stack([sky.mirrored(seen.grazing_rad, variance, az) for az in across])
    from_below = water.LEAVING_REFLECTANCE / np.pi * sum(level_irradiance_ratio(air, sun_deg))
    horizon = _horizon_sky(air, sun_deg, eye_height_m, azimuth_bytes)[:, None]
    # The sky's own colours stand for those of its mirror image on their way to the eye.
    through = (seen.through * sky.mean) @ weights / (sky.mean @ weights)
    light = (
        through * mirrored + (seen.through * from_below + (1.0 - seen.through) * horizon) @ weights
    )
    return logarithm(light)


@dataclass(frozen=True, eq=False)
class _Seen:
    """Where lines of sight meet the water (E,): how steeply, how far round the Earth, how clear."""

    altitude_deg: np.ndarray
    grazing_rad: np.ndarray
    turn_deg: np.ndarray
    through: np.ndarray


def _depth_deg(air, eye_height_m, low_deg):
    """How far below the horizon the sea is asked for, and a little farther."""
    horizon = float(horizon_altitude_deg(shells(air.atmosphere, air.refraction), eye_height_m))
    if not low_deg < horizon - NEAREST_DEG:
        raise OutOfRangeError(
            f"low_deg is {low_deg:g} deg; the sea begins at {horizon:.2f} deg. Look lower."
        )
    return reach_deg(horizon - low_deg, 90.0 + horizon)


@kept(300 * KB)
def _seen(air, eye_height_m, depth_deg):
    here = shells(air.atmosphere, air.refraction)
    horizon = float(horizon_altitude_deg(here, eye_height_m))
    rows = horizon - np.geomspace(NEAREST_DEG, depth_deg, ROWS)[::-1]
    rays = paths(here, eye_height_m, rows, 48)
    crossed = rays.columns[:, -1] @ depths(air, WAVELENGTH_NM)
    grazing = np.arcsin(np.maximum(-rays.sine[:, -1], LEAST_GRAZING_RAD))
    return _Seen(rows, grazing, rays.turn_deg[:, -1], np.exp(-crossed))


@dataclass(frozen=True, eq=False)
class _SkyOverWater:
    """The sky as the water has it at SKY_UP_DEG, SKY_ASIDE_DEG, and its mean spectrum (W,)."""

    seen: np.ndarray
    mean: np.ndarray

    @classmethod
    def of(cls, air, sun_deg, weights):
        sky = _sky_over_water(air, sun_deg)
        return cls((sky @ weights).astype(np.float32), sky[:, 0].mean(axis=0))

    def mirrored(self, grazing_rad, variance, azimuth_deg=0.0):
        """The sky in the visible facets, looking so far aside of the Sun [deg], (E, 3)."""
        reach = STEEPEST * np.sqrt(variance)
        toward = np.linspace(-reach, reach, TOWARD)[:, None]
        aside = np.linspace(-reach, reach, ASIDE)
        graze = grazing_rad[:, None, None]
        facing = np.maximum(toward * np.cos(graze) + np.sin(graze), 0.0)
        share = np.exp(-(toward**2 + aside**2) / (2.0 * variance)) * facing
        up, away, cosine = _reflected(graze, toward, aside)
        rows = between(SKY_UP_DEG, up)
        sky = bilinear(self.seen, rows, between(SKY_ASIDE_DEG, np.abs(away + azimuth_deg)))
        mirror = water.fresnel_reflectance(cosine, water.water_index(VISUAL_NM))
        return np.einsum(
            "eta,etac->ec", share * mirror / share.sum(axis=(1, 2), keepdims=True), sky
        )


@kept(4 * MB)
def _sky_over_water(air, sun_deg):
    """Radiance divided by the Sun's irradiance at SKY_UP_DEG, SKY_ASIDE_DEG, (U, S, W), float32."""
    up = SKY_UP_DEG[:, None]
    once, haze, more = scattered_parts(air, sun_deg, up, SKY_ASIDE_DEG, 0.0)
    cosine = scattering_cosine(sun_deg, up, SKY_ASIDE_DEG)
    by_haze = haze_phase(air.haze, cosine, WAVELENGTH_NM) * haze
    sky = rayleigh_phase(cosine)[..., None] * once + by_haze + more
    return sky.astype(np.float32)


def _reflected(grazing_rad, toward, aside):
    """Where a facet sends the line of sight: altitude, azimuth [deg], and cosine of incidence.

    The eye looks along +x; a facet of slopes (toward, aside) rises along x and y.
    """
    length = np.sqrt(1.0 + toward**2 + aside**2)
    normal = np.array(np.broadcast_arrays(-toward, -aside, np.ones_like(length))) / length
    to_eye = (-np.cos(grazing_rad), np.zeros_like(grazing_rad), np.sin(grazing_rad))
    cosine = np.clip(sum(v * n for v, n in zip(to_eye, normal, strict=True)), 0.0, 1.0)
    x, y, z = (2.0 * cosine * n - v for v, n in zip(to_eye, normal, strict=True))
    return (
        np.degrees(np.arcsin(np.clip(z, -1.0, 1.0))),
        np.degrees(np.arctan2(y, x)),
        cosine,
    )


@kept(2 * MB)
def _horizon_sky(air, sun_deg, eye_height_m, azimuth_bytes):
    """The sky on the horizon at azimuths (A,): what the air before the sea is, far off, (A, W)."""
    azimuth_deg = np.frombuffer(azimuth_bytes)
    here = shells(air.atmosphere, air.refraction)
    up = float(horizon_altitude_deg(here, eye_height_m)) + ABOVE_HORIZON_DEG
    once, haze, more = scattered_parts(air, sun_deg, up, azimuth_deg, eye_height_m)
    cosine = scattering_cosine(sun_deg, up, azimuth_deg)
    return (
        rayleigh_phase(cosine)[:, None] * once
        + haze_phase(air.haze, cosine, WAVELENGTH_NM) * haze
        + more
    )


def _sun_over_water(air, sun_true_deg):
    """Direct light square to the Sun, over that above the air (E, W), and its altitude [rad]."""
    level = between(LEVEL_M, np.zeros_like(sun_true_deg))
    beam = bilinear(sky_table(air).beam, level, between(SUN_ABOVE_HORIZON_DEG, sun_true_deg))
    return beam, np.radians(np.interp(sun_true_deg, _true_over_water_deg(air), SUN_UP_DEG))


@kept(200 * KB)
def _true_over_water_deg(air):
    """True altitudes of what is seen from the water at SUN_UP_DEG."""
    rays = paths(shells(air.atmosphere, air.refraction), 0.0, SUN_UP_DEG, 48)
    return SUN_UP_DEG - rays.bending_deg


def _up_squared(grazing_rad, sun_rad, across_rad):
    """Square of the upward part of the normal that mirrors the Sun to the eye, float32.

    n = (s - e) / |s - e|, e the line of sight and s the way to the Sun; |s - e|^2 = 2 - 2 e.s.
    """
    up = np.float32(np.sin(sun_rad) + np.sin(grazing_rad)) ** 2
    # 2 - 2 e.s = up + (difference of the level parts) + 4 cos cos sin^2(across / 2)
    level = np.float32(np.cos(sun_rad) - np.cos(grazing_rad)) ** 2
    turn = np.float32(4.0 * np.cos(sun_rad) * np.cos(grazing_rad))
    return up / (up + level + turn * np.float32(np.sin(across_rad / 2.0) ** 2))


def _mirror_to_sun(grazing_rad, sun_rad):
    """Reflectance of the facets that show the Sun in its vertical, (E, W)."""
    cosine = np.sin((grazing_rad + sun_rad) / 2.0)[:, None]
    return water.fresnel_reflectance(cosine, water.water_index(WAVELENGTH_NM))


def _spread(grazing_rad, sun_rad, variance):
    """Area of the facets that are seen and lit, over the level water below them (E,).

    sin(grazing) (1 + L of the eye + L of the Sun), L Smith's.
    """
    to_eye, to_sun = (
        water.hidden_over_seen(np.tan(np.maximum(each, LEAST_GRAZING_RAD)), variance)
        for each in (grazing_rad, sun_rad)
    )
    return np.sin(grazing_rad) * (1.0 + to_eye + to_sun)
