"""The sky around a low Sun, pixel by pixel: what disc, torn piece and last sliver stand before.

Light scattered once by haze falls off steeply from the Sun: its phase function is read at every
pixel. All other light changes little across a picture a degree or two wide and is read at a few
altitudes.
"""

from dataclasses import dataclass, replace
from math import ceil, floor, log2

import numpy as np

from lowsun.errors import (
    OutOfRangeError,
    require_kind,
    require_number,
    require_row,
    require_values,
    takes,
)
from lowsun.kept import KB, MB, kept
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.colour import xyz_weights
from lowsun.physics.extinction import Haze
from lowsun.physics.medium import Air, air_of
from lowsun.physics.scattering import WAVELENGTH_NM, sky_horizon_deg
from lowsun.physics.scattering.grid import straight_matrix
from lowsun.physics.scattering.optics import haze_phase, rayleigh_phase
from lowsun.physics.scattering.radiance import (
    SUN_ALTITUDE_RANGE_DEG,
    scattered_parts,
    scattering_cosine,
    sun_altitude,
)
from lowsun.physics.scattering.spectrum import sunlit_weights

__all__ = ["LowSky", "lighting_air", "low_sky"]

WIDEST_DEG = 16.0  # the sky reaches so far to either side of the Sun's vertical
NARROW_DEG = 1.5  # so near it all light but the aureole's changes by under 2 %
ALTITUDE_NODES, NEAREST_DEG = 20, 0.02
UP_NODES, ASIDE_NODES, CLOSEST_DEG = 24, 24, 0.03  # the aureole's nodes crowd about the Sun
SUN_STEP_DEG = 0.1  # over such a step of the Sun the logarithm of light runs straight
LEAST_LIGHT = 1e-30  # over the Sun's: none
ABOVE_HORIZON_DEG = 0.002  # the lowest line of sight: on the horizon itself it would meet the sea


@dataclass(frozen=True, eq=False)
class LowSky:
    """The sky's light about the Sun's vertical, at altitudes (E,) and azimuths from the Sun (A,).

    even (A, E, W) [1/sr]: all but what haze sends on at once; haze (A, E, W): that, its phase
    function left out; both divided by the Sun's irradiance above the air. sun_deg: where the Sun is
    seen; weights (W, 3): of an eye or a sensor, for what `seen` gives.
    """

    altitude_deg: np.ndarray
    azimuth_deg: np.ndarray
    even: np.ndarray
    haze: np.ndarray
    of: Haze
    sun_deg: float
    weights: np.ndarray

    def seen(self, altitude_deg, azimuth_deg, out=None):
        """XYZ [cd/m2], or a sensor's channels, at altitudes (R,) [deg, apparent] and azimuths (H,).

        azimuths from the Sun [deg]; both within what the sky was asked for. Returns (R, H, 3),
        float32; out: such an array to be filled.
        """
        rows, across = self._checked(altitude_deg, azimuth_deg)
        up, aside = self._up_nodes(rows), _aside_nodes(across)
        light = self._at_nodes(up, aside)
        return over_a_picture(straight_matrix(up, rows), light, straight_matrix(aside, across), out)

    def _up_nodes(self, rows):
        """Altitudes between which light runs straight: the sky's own, and closer at the Sun."""
        near = np.geomspace(CLOSEST_DEG, 90.0, UP_NODES)
        nodes = np.concatenate([self.altitude_deg, self.sun_deg - near, self.sun_deg + near])
        low, high = rows.min(), max(rows.max(), rows.min() + CLOSEST_DEG)
        return np.unique(np.concatenate([[low, high], nodes[(nodes > low) & (nodes < high)]]))

    def _at_nodes(self, up_deg, aside_deg):
        """What is taken in at every pair of altitude and azimuth, (U, S, 3), float32."""
        angle = _angle_deg(self.sun_deg, up_deg[:, None], aside_deg)
        phase = haze_phase(self.of, np.cos(np.radians(angle)), WAVELENGTH_NM)
        even, haze = (
            np.einsum(
                "as,auw->usw", self._shares(aside_deg), _read(self.altitude_deg, part, up_deg)
            )
            for part in (self.even, self.haze)
        )
        return ((even + haze * phase) @ self.weights).astype(np.float32)

    def spectrum(self, altitude_deg, azimuth_deg):
        """Radiance divided by the Sun's irradiance [1/sr] at altitudes and azimuths that
        broadcast."""
        checked = self._checked(altitude_deg, azimuth_deg, require_values)
        altitude, azimuth = np.broadcast_arrays(*checked)
        cosine = np.cos(np.radians(_angle_deg(self.sun_deg, altitude, azimuth)))
        phase = haze_phase(self.of, cosine, WAVELENGTH_NM).reshape(altitude.size, -1)
        light = sum(
            weight[:, None]
            * sum(
                factor * at_altitudes(self.altitude_deg, part, altitude.ravel())
                for factor, part in ((1.0, even), (phase, haze))
            )
            for weight, even, haze in zip(
                self._shares(azimuth.ravel()), self.even, self.haze, strict=True
            )
        )
        return light.reshape(*altitude.shape, -1)

    def _shares(self, across):
        """How much the light at each of the azimuths counts, (A, H), float32."""
        return parabola_shares(self.azimuth_deg, across)

    def _checked(self, altitude_deg, azimuth_deg, check=require_row):
        low, high = self.altitude_deg[[0, -1]]
        rows = check("altitude_deg", altitude_deg, low, high, unit="deg")
        wide = max(self.azimuth_deg[-1], NARROW_DEG)
        return rows, check("azimuth_deg", azimuth_deg, 0.0, wide, unit="deg")


@takes(air=Air)
@kept(200 * KB)
def lighting_air(air):
    """The air that lights the sky: the standard one with this air's haze, as high as it reaches.

    So warmth and pressure, which change the sky's light by some per cent, cost no table.
    """
    heights = air.atmosphere.haze_scale_height_m, air.atmosphere.haze_top_m
    return replace(air, atmosphere=Atmosphere.standard().with_haze(*heights))


def low_sky(
    air,
    sun_true_altitude_deg,
    sun_apparent_altitude_deg,
    high_deg,
    wide_deg=0.0,
    *,
    eye_height_m,
    responses=xyz_weights,
):
    """The sky about the Sun's vertical from the sea horizon up to high_deg: a `LowSky`.

    air: a scattering `Air` or an Atmosphere; sun_true_altitude_deg [deg] -10 to 90;
    sun_apparent_altitude_deg [deg]: where the Sun is seen, or would be: the aureole is centred
    there, since the air near the eye is lit from there; high_deg [deg, apparent] above the horizon,
    to 90; wide_deg [deg] 0 to 16: how far to each side, 1.5 at least; eye_height_m [m] 0 to 9000;
    responses: as in `spectrum.sunlit_weights`, for the eye by default.
    Raises OutOfRangeError outside these.
    Accuracy: that of `scattering.sky_radiance`; within 3 % between its altitudes and azimuths.
    Leaves out the seeing of the horizon through a mirage: the sky begins at the smooth air's.
    """
    low = sky_horizon_deg(air, eye_height_m) + ABOVE_HORIZON_DEG
    seen_deg = require_number(
        "sun_apparent_altitude_deg", sun_apparent_altitude_deg, -20.0, 95.0, unit="deg"
    )
    high_deg = require_number("high_deg", high_deg, -20.0, 91.0, unit="deg")
    weights = sunlit_weights(responses)
    if not high_deg > low + NEAREST_DEG:
        raise OutOfRangeError(
            f"high_deg is {high_deg:g} deg; the sky begins at {low:.2f} deg. Look higher."
        )
    rows = low + np.concatenate(
        [
            [0.0],
            np.geomspace(NEAREST_DEG, reach_deg(high_deg - low, 90.0 - low), ALTITUDE_NODES - 1),
        ]
    )
    across = azimuth_nodes_deg(wide_deg)
    molecules, haze, more = parts_about_sun(
        air_of(air), sun_true_altitude_deg, rows, across, float(eye_height_m)
    )
    cosine = scattering_cosine(seen_deg, rows, across[:, None])[..., None]
    even = rayleigh_phase(cosine) * molecules + more
    return LowSky(rows, across, even, haze, air_of(air).haze, seen_deg, weights)


def parts_about_sun(air, sun_true_altitude_deg, altitude_deg, azimuth_deg, eye_height_m):
    """`scattered_parts` of altitudes (E,) at azimuths (A,) from the Sun, (3, A, E, W), float32.

    Light falls by factors: its logarithm is read by straight lines between Suns a step apart, which
    are kept. While the Sun sinks through a step nothing is summed. Within 1 % in luminance of the
    sum at the Sun itself down to -5 deg.
    sun_true_altitude_deg [deg], altitude_deg [deg], azimuth_deg [deg], eye_height_m [m].
    """
    lines = altitude_deg.tobytes(), azimuth_deg.tobytes(), eye_height_m
    return between_suns(lambda step: _log_parts(air, step, *lines), sun_true_altitude_deg)


def between_suns(log_light, sun_true_altitude_deg):
    """Light at a Sun's altitude [deg]; log_light gives its logarithm at each `sun_of_step`."""
    sun = sun_altitude(sun_true_altitude_deg)
    step = floor(sun / SUN_STEP_DEG)
    share = np.float32(sun / SUN_STEP_DEG - step)
    lower = log_light(step)
    return np.exp(lower + share * (log_light(step + 1) - lower) if share else lower)


def sun_of_step(step):
    """The altitude of a step [deg]; the last may lie beyond what the sky is known for."""
    return float(np.clip(step * SUN_STEP_DEG, *SUN_ALTITUDE_RANGE_DEG))


def logarithm(light):
    """That of light, single precision; where there is none, of next to none."""
    return np.log(np.maximum(light, LEAST_LIGHT)).astype(np.float32)


@kept(6 * MB)
def _log_parts(air, step, altitude_bytes, azimuth_bytes, eye_height_m):
    altitude, azimuth = np.frombuffer(altitude_bytes), np.frombuffer(azimuth_bytes)
    parts = scattered_parts(air, sun_of_step(step), altitude, azimuth[:, None], eye_height_m)
    return logarithm(np.stack(parts))


def azimuth_nodes_deg(wide_deg):
    """Azimuths from the Sun [deg] at which light is computed for a picture so wide each way.

    wide_deg [deg] 0 to 16. Raises OutOfRangeError outside.
    """
    wide = require_number("wide_deg", wide_deg, 0.0, WIDEST_DEG, unit="deg")
    if wide <= NARROW_DEG:
        return np.array([0.0])
    return reach_deg(wide, WIDEST_DEG) * np.array([0.0, 0.5, 1.0])


def reach_deg(wanted_deg, most_deg):
    """The next half power of two [deg], most_deg at most.

    Nodes that go so far serve all fields of about this size: a field that moves or grows a little
    finds what was summed along them.
    """
    return min(2.0 ** (ceil(2.0 * log2(wanted_deg)) / 2.0), most_deg)


def parabola_shares(nodes, values):
    """Weights (N, V) by which what is known at one node or three is read at values (V,)."""
    x = np.asarray(values, dtype=float)
    if nodes.size == 1:
        return np.ones((1, x.size), dtype=np.float32)
    shares = [np.prod([(x - b) / (a - b) for b in nodes if b != a], axis=0) for a in nodes]
    return np.array(shares, dtype=np.float32)


def over_a_picture(up, light, aside, out=None):
    """Light known at pairs of nodes (U, S, 3) read in a picture by up (R, U) and aside (H, S).

    Returns (R, H, 3), float32, its channels each in one piece: what comes after is quick then.
    out: such an array to be filled.
    """
    channels = np.moveaxis(np.asarray(light, dtype=np.float32), -1, 0)
    columns = aside.astype(np.float32).T
    filled = None if out is None else np.moveaxis(_room(out, up.shape[0], aside.shape[0]), -1, 0)
    return np.moveaxis(np.matmul(up.astype(np.float32) @ channels, columns, out=filled), 0, -1)


def _room(out, rows, columns):
    """An array to be filled, or an error that says what is wanted."""
    wanted = f"a float32 array shaped ({rows}, {columns}, 3) that may be written to"
    out = require_kind("out", out, np.ndarray, wanted)
    if out.dtype != np.float32 or out.shape != (rows, columns, 3) or not out.flags.writeable:
        raise OutOfRangeError(f"out is {out.dtype} shaped {out.shape}; give {wanted}.")
    return out


def at_altitudes(nodes_deg, values, altitude_deg):
    """Values (E, ...) at the nodes, read at altitudes (R,) by straight lines.

    nodes_deg [deg], altitude_deg [deg].
    """
    place = np.interp(altitude_deg, nodes_deg, np.arange(nodes_deg.size, dtype=float))
    below = np.minimum(place.astype(np.intp), nodes_deg.size - 2)
    share = (place - below).astype(values.dtype).reshape(-1, *[1] * (values.ndim - 1))
    return values[below] * (1 - share) + values[below + 1] * share


def _angle_deg(sun_deg, altitude_deg, azimuth_deg):
    """Angle between a direction and the Sun [deg], exact where it is small."""
    up = np.sin(np.radians(np.subtract(altitude_deg, sun_deg)) / 2.0) ** 2
    aside = np.cos(np.radians(altitude_deg)) * np.cos(np.radians(sun_deg))
    square = up + aside * np.sin(np.radians(azimuth_deg) / 2.0) ** 2
    return np.degrees(2.0 * np.arcsin(np.sqrt(square)))


def _aside_nodes(across_deg):
    """Azimuths between which light runs straight: closer at the Sun."""
    widest = max(across_deg.max(), 2.0 * CLOSEST_DEG)
    return np.concatenate([[0.0], np.geomspace(CLOSEST_DEG, widest, ASIDE_NODES)])


def _read(nodes_deg, parts, altitude_deg):
    """Light (A, E, W) known at altitudes (E,), read at others (U,)."""
    return np.stack([at_altitudes(nodes_deg, part, altitude_deg) for part in parts])
