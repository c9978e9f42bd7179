"""Rays through spherical layers of air: the transfer curve.

Along a ray n r cos(altitude) keeps its value, so the altitude of a ray at every level follows from
its altitude at the eye without any stepping. With n a power of r inside each thin layer, a layer
between altitudes a1 and a2 bends the ray by

    ln(n1 / n2) cot((a1 + a2) / 2) = ln(n1 / n2) (cos a1 + cos a2) / (sin a1 + sin a2)

and stretches its path to 2 dh / (sin a1 + sin a2). Both hold the one quantity 1/(sin a1 + sin a2),
which stays finite at a turning point and where n r does not change at all (a layer that bends as
the Earth curves). A whole family of rays is therefore one array of these, times the layers'
weights. Rays that first go down pass the layers below the eye twice.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from lowsun.errors import OutOfRangeError, require_range
from lowsun.physics import air
from lowsun.physics.extinction import haze_share_above, ozone_share_above

EARTH_RADIUS_M = 6_371_000.0  # mean radius, IUGG
EYE_HEIGHT_RANGE_M = (0.0, 20_000.0)
VISUAL_NM = 570.0  # the middle of the reddened Sun's visible light
SLIVER_ARCSEC = 0.05  # nearer than this to the horizon nothing is seen of the Sun


class Fate(IntEnum):
    """What became of a ray followed from the eye."""

    SPACE = 0
    SEA = 1  # met the sea or the ground
    TRAPPED = 2  # held in a duct for ever


@dataclass(frozen=True, eq=False)
class TransferCurve:
    """Where light that arrives at an apparent altitude comes from, and through how much air.

    Arrays are shaped (W, A), wavelength by altitude, or less where a number was asked for.
    true_altitude_deg, air_mass and the columns are NaN where `fate` is not Fate.SPACE.
    air_mass: the air crossed over the air above the eye; air_column, ozone_column, haze_column:
    the amounts crossed over the whole vertical amount above the sea, [1].
    """

    atmosphere: object
    eye_height_m: float
    apparent_altitude_deg: np.ndarray
    wavelength_nm: np.ndarray
    true_altitude_deg: np.ndarray
    fate: np.ndarray
    air_mass: np.ndarray
    air_column: np.ndarray
    ozone_column: np.ndarray
    haze_column: np.ndarray

    @property
    def refraction_arcsec(self):
        """Apparent less true altitude [arcsec]."""
        return 3600.0 * (self.apparent_altitude_deg - self.true_altitude_deg)


def transfer_curve(atmosphere, eye_height_m, apparent_altitude_deg, wavelength_nm):
    """The transfer curve of an atmosphere for an eye above the sea.

    eye_height_m [m] 0 to 20 000, one number; apparent_altitude_deg [deg] -90 to 90, number or
    (A,); wavelength_nm [nm, vacuum] 230 to 1690, number or (W,). Returns a `TransferCurve`.
    Accuracy: 0.02" against Hohenkerk & Sinclair's integration of the same smooth air from the
    zenith to the horizon. Leaves out the Earth's flattening and air that varies sideways.
    Method: Bouguer's invariant in layers with n ~ r^-k; compare Auer & Standish 2000,
    Astron. J. 119, 2472, on integration without singularities.
    """
    apparent = require_range("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
    wavelength = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    levels = _levels(atmosphere, _eye_height(atmosphere, eye_height_m))
    sums, fate = _trace(levels, wavelength.ravel(), np.radians(apparent.ravel()))
    shape = wavelength.shape + apparent.shape
    refraction, air_column, ozone, haze = (part.reshape(shape) for part in sums)
    return TransferCurve(
        atmosphere=atmosphere,
        eye_height_m=levels.eye_height_m,
        apparent_altitude_deg=apparent,
        wavelength_nm=wavelength,
        true_altitude_deg=apparent - np.degrees(refraction),
        fate=fate.reshape(shape),
        air_mass=air_column / levels.air_share_above_eye,
        air_column=air_column,
        ozone_column=ozone,
        haze_column=haze,
    )


def horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """Apparent altitude of the visible horizon [deg]: below it rays meet the sea.

    Negative for an eye above the sea, positive for one in a duct that bends rising rays down.
    wavelength_nm number or (W,); returns that shape. Ranges as for `transfer_curve`.
    """
    wavelength = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    levels = _levels(atmosphere, _eye_height(atmosphere, eye_height_m))
    horizon = [_Bounds.of(levels.relative_index(nm), levels.eye).horizon for nm in wavelength.flat]
    return np.degrees(np.reshape(horizon, wavelength.shape))[()]


def horizon_dip_arcmin(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """Dip of the sea horizon below the horizontal [arcmin]; negative where it stands above.

    In air of one ray curvature k: dip = sqrt(2 h (1 - k) / R).
    """
    return -60.0 * horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm)


def horizon_true_altitude_deg(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """True altitude [deg] of the last point of the sky that goes, at or above the horizon.

    The lowest true altitude over all rays that clear the horizon by 0.05" or more: in smooth air
    that of the horizon ray itself; where a mirage lifts lower sky above the horizon, that of the
    mirage. wavelength_nm one number.
    """
    horizon = horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm)
    above_deg = np.geomspace(SLIVER_ARCSEC, 3600.0, 400) / 3600.0
    curve = transfer_curve(atmosphere, eye_height_m, horizon + above_deg, float(wavelength_nm))
    return float(np.nanmin(curve.true_altitude_deg))


def _eye_height(atmosphere, eye_height_m):
    eye = require_range("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    if eye.ndim:
        raise OutOfRangeError(
            f"eye_height_m is shaped {eye.shape}; allowed is one number. Trace one eye at a time."
        )
    if eye >= atmosphere.height_m[-1]:
        raise OutOfRangeError(
            f"eye_height_m is {eye:g} m; the air given ends at {atmosphere.height_m[-1]:g} m."
            " Continue the air above the eye."
        )
    return float(eye)


# --- layers ---------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Levels:
    """Levels from the sea to space with what every ray needs to know of them.

    height_m (N,); eye: index of the level at the eye; dry, vapour (N,): relative densities;
    column (N-1, 3): shares of the whole column of air, ozone and haze in each layer.
    """

    height_m: np.ndarray
    eye: int
    dry: np.ndarray
    vapour: np.ndarray
    column: np.ndarray
    earth_radius_m: float = EARTH_RADIUS_M

    @property
    def eye_height_m(self):
        return float(self.height_m[self.eye])

    @property
    def air_share_above_eye(self):
        return float(self.column[self.eye :, 0].sum())

    def relative_index(self, wavelength_nm):
        """ln n (N,) and ln(n r / n0 r0) (N,), 0 at the eye, of the levels."""
        dry, vapour = air.dispersions(wavelength_nm)
        return _relative_index(self, self.dry * dry + self.vapour * vapour)


def _levels(atmosphere, eye_height_m):
    height = _level_heights(atmosphere.height_m, eye_height_m)
    temperature, pressure, humidity = atmosphere.at(height)
    dry, vapour = air.relative_densities(temperature, pressure, humidity)
    above = np.stack([pressure / pressure[0], ozone_share_above(height), haze_share_above(height)])
    above[:, -1] = 0.0  # what lies over the top belongs to the top layer
    return Levels(
        height_m=height,
        eye=int(np.searchsorted(height, eye_height_m)),
        dry=dry,
        vapour=vapour,
        column=-np.diff(above, axis=1).T,
    )


def _level_heights(given_m, eye_height_m):
    """The given levels, the eye, and between them steps fine near the eye and near the sea.

    Above the eye 400 steps, growing with the root of the distance, as the path of a horizontal
    ray does, and far away with the distance itself; below it 20 m at the sea and one in 150 of
    the height above 3 km: together 0.015" at the horizon.
    """
    top = given_m[-1]
    above = _rooted_steps(top - eye_height_m, 400)
    near_below = _rooted_steps(eye_height_m, 1 + int(np.ceil(eye_height_m / 100.0)))
    count = 1 + int(np.ceil(150.0 * np.log1p(eye_height_m / 3000.0)))
    from_sea = 3000.0 * np.expm1(np.linspace(0.0, np.log1p(eye_height_m / 3000.0), count))
    steps = np.concatenate([eye_height_m + above, eye_height_m - near_below[:30], from_sea])
    return np.union1d(np.append(given_m, eye_height_m), np.clip(steps, 0.0, top))


def _rooted_steps(span_m, count):
    root = np.arcsinh(np.sqrt(span_m / 6000.0))
    return 6000.0 * np.sinh(np.linspace(0.0, root, count)) ** 2


def _relative_index(levels, refractivity):
    log_n = np.log1p(refractivity)
    eye = levels.eye
    eye_radius = levels.earth_radius_m + levels.height_m[eye]
    log_r = np.log1p((levels.height_m - levels.height_m[eye]) / eye_radius)
    return log_n, log_n - log_n[eye] + log_r


# --- many wavelengths -----------------------------------------------------------------------

NODES = 5  # wavelengths traced for a smooth curve
ROUNDING_RAD = 2e-9  # 0.4 mas: a last coefficient below this leaves nothing to interpolate


def _trace(levels, wavelength_nm, altitude):
    """Bending [rad] and columns [1] (4, W, A), NaN where lost, and fates (W, A).

    Bending is smooth in refractivity, hence in 1/wavelength^2: five wavelengths give the rest,
    except for rays near a limit of their fate, which are traced at every wavelength.
    """
    if wavelength_nm.size <= NODES:
        return _trace_each(levels, wavelength_nm, altitude)
    indices = [levels.relative_index(nm) for nm in wavelength_nm]
    fate = np.stack([_Bounds.of(index, levels.eye).fate(altitude) for index in indices])
    sums = np.full((4, *fate.shape), np.nan)
    smooth = (fate == Fate.SPACE).all(axis=0)
    sums[..., smooth], settled = _interpolated(levels, wavelength_nm, altitude[smooth])
    smooth[smooth] = settled
    for band, index in enumerate(indices):
        alone = ~smooth & (fate[band] == Fate.SPACE)
        if alone.any():
            sums[:, band, alone] = _sum_over_layers(levels, index, altitude[alone])
    return sums, fate


def _trace_each(levels, wavelength_nm, altitude):
    traced = [_rays(levels, levels.relative_index(nm), altitude) for nm in wavelength_nm]
    return np.stack([sums for sums, _ in traced], axis=1), np.stack([fate for _, fate in traced])


def _interpolated(levels, wavelength_nm, altitude):
    """Sums (4, W, A) from Chebyshev nodes in 1/wavelength^2, and which rays they serve (A,)."""
    wavenumber2 = wavelength_nm**-2.0
    low, high = wavenumber2.min(), wavenumber2.max()
    nodes = np.polynomial.chebyshev.chebpts1(NODES)
    node_nm = (0.5 * (low + high) + 0.5 * (high - low) * nodes) ** -0.5
    traced = [_sum_over_layers(levels, levels.relative_index(nm), altitude) for nm in node_nm]
    to_coefficients = np.linalg.inv(np.polynomial.chebyshev.chebvander(nodes, NODES - 1))
    coefficients = np.tensordot(to_coefficients, np.stack(traced), axes=1)
    position = (2.0 * wavenumber2 - low - high) / max(high - low, np.finfo(float).tiny)
    basis = np.polynomial.chebyshev.chebvander(position, NODES - 1)
    settled = np.abs(coefficients[-1, 0]) < ROUNDING_RAD
    return np.moveaxis(np.tensordot(basis, coefficients, axes=1), 0, 1), settled


# --- one wavelength -------------------------------------------------------------------------


@dataclass(frozen=True)
class _Bounds:
    """Altitudes at the eye [rad, 0 or more] that decide a ray's fate.

    A ray rising more steeply than `escape` reaches space; one falling more steeply than `ground`
    meets the sea, and one falling less steeply turns and rises again.
    """

    escape: float
    ground: float

    @classmethod
    def of(cls, index, eye):
        _, log_nr = index
        # The ray turns where sin^2 = sin^2(a0) - cos^2(a0) (q^2 - 1) is 0, with q = n0 r0 / n r.
        steepness = np.expm1(-2.0 * log_nr)
        escape = np.arctan(np.sqrt(max(0.0, steepness[eye:].max())))
        return cls(float(escape), float(np.arctan(np.sqrt(steepness[: eye + 1].max()))))

    @property
    def horizon(self):
        return self.escape if self.escape > self.ground else -self.ground

    def fate(self, altitude):
        steep = np.abs(altitude)
        clear_above = (steep > self.escape) | ((steep == 0.0) & (self.escape == 0.0))
        meets_ground = steep > self.ground
        rising = np.where(clear_above, Fate.SPACE, np.where(meets_ground, Fate.SEA, Fate.TRAPPED))
        falling = np.where(meets_ground, Fate.SEA, np.where(clear_above, Fate.SPACE, Fate.TRAPPED))
        return np.where(altitude < 0.0, falling, rising).astype(np.int8)


def _rays(levels, index, altitude):
    """Bending [rad] and columns [1] (4, A), NaN where lost, and fates (A,) of one wavelength.

    index: ln n and ln(n r / n0 r0) of the levels, whatever the formula they come from.
    """
    fate = _Bounds.of(index, levels.eye).fate(altitude)
    clear = fate == Fate.SPACE
    sums = np.full((4, altitude.size), np.nan)
    sums[:, clear] = _sum_over_layers(levels, index, altitude[clear])
    return sums, fate


def _sum_over_layers(levels, index, altitude):
    """Bending [rad] and columns [1] of rays known to reach space, (4, A)."""
    log_n, log_nr = index
    eye, cosine = levels.eye, np.cos(altitude)
    weights = _layer_weights(log_n, log_nr, levels.column)
    sine2 = _sine_squared(altitude, log_nr[eye:])
    total = _rising(sine2) @ weights[eye:]
    down = altitude < 0.0
    if down.any():
        below = _sine_squared(altitude[down], log_nr[eye::-1])
        total[down] += 2.0 * _falling(below) @ weights[:eye][::-1]
    total[:, 0] *= cosine
    # From the top level, where n is not quite 1, into space.
    total[:, 0] += log_n[-1] * cosine * np.exp(-log_nr[-1]) / np.sqrt(sine2[:, -1])
    return total.T


def _layer_weights(log_n, log_nr, column):
    """What 1/(sin a1 + sin a2) is multiplied with in each layer, (N-1, 4)."""
    q = np.exp(-log_nr)
    bending = -np.diff(log_n) * (q[:-1] + q[1:])
    return np.column_stack([bending, 2.0 * column])


def _sine_squared(altitude, log_nr):
    """Squared sine of the rays' altitude at levels, negative beyond a turning point, (A, N)."""
    sine2, cosine2 = np.sin(altitude) ** 2, np.cos(altitude) ** 2
    return sine2[:, None] - cosine2[:, None] * np.expm1(-2.0 * log_nr)


def _rising(sine2):
    """1/(sin a1 + sin a2) of the layers crossed upwards, (A, N-1)."""
    sine = np.sqrt(sine2)
    return 1.0 / (sine[:, :-1] + sine[:, 1:])


def _falling(sine2):
    """1/(sin a1 + sin a2) of the layers crossed downwards, to the turning point and no further.

    In the layer of the turning point only the share sin^2 a1 / (sin^2 a1 - sin^2 a2) of it is
    crossed, the square being linear in height there.
    """
    alive = np.logical_and.accumulate(sine2 > 0.0, axis=1)
    sine = np.sqrt(np.where(alive, sine2, 0.0))
    whole, turning = alive[:, 1:], alive[:, :-1] & ~alive[:, 1:]
    crossed = np.zeros(whole.shape)
    np.divide(1.0, sine[:, :-1] + sine[:, 1:], out=crossed, where=whole)
    np.divide(sine[:, :-1], sine2[:, :-1] - sine2[:, 1:], out=crossed, where=turning)
    return crossed
