"""Rays through spherical layers of air: the transfer curve.

Along a ray n r cos(altitude) keeps its value, so sin^2 of its altitude at every level follows from
its altitude at the eye without any stepping. Refraction and the air crossed are both sums over
layers of the integral of dP / sin(altitude), where P(h) is ln n, or the amount of air below h. With
P a parabola in sin^2 inside a layer between altitudes a1 and a2 that is exactly

    2 dP u + C u v      u = 1 / (sin a1 + sin a2)      v = (sin a2 - sin a1) / (sin a2 + sin a1)

and u stays finite at a turning point and where n r does not change at all (a layer that bends as
the Earth curves). A whole family of rays is therefore two arrays, u and u v, times the layers'
weights, 2 dP and C. Rays that first go down pass the layers below the eye twice.
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
    Accuracy: 0.01" against step-by-step integration of the same air, down to the sea horizon and
    to within 2" of a duct's limits. Leaves out the Earth's flattening and air that varies sideways.
    Method: Bouguer's invariant in layers with n ~ r^-k; compare Auer & Standish 2000,
    Astron. J. 119, 2472, on integration without singularities.
    """
    apparent = require_range("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
    wavelength = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    levels = _levels(atmosphere, eye_height_m)
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


def refraction_arcsec(
    refractivity, kinks_m, eye_height_m, apparent_altitude_deg, earth_radius_m=EARTH_RADIUS_M
):
    """Refraction [arcsec] through any profile of n - 1, NaN where a ray never reaches space.

    refractivity: function of heights [m], shaped as they are, giving n - 1 [1]; kinks_m [m]: the
    heights from 0 to the top, 200 km at most, between which it is smooth; above the top n is 1.
    apparent_altitude_deg [deg] -90 to 90, number or (A,); earth_radius_m [m] 1e6 to 1e8.
    Returns the shape of the altitudes. Method and accuracy as of `transfer_curve`.
    """
    apparent = require_range("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
    radius = require_range("earth_radius_m", earth_radius_m, 1e6, 1e8, unit="m")
    kinks = require_range("kinks_m", kinks_m, 0.0, 200e3, unit="m")
    sample = _samples_m(kinks, _eye_height(kinks, eye_height_m))
    excess = require_range("refractivity", refractivity(sample), 0.0, 0.01)
    levels = Levels(sample, float(eye_height_m), np.empty((sample.size, 0)), float(radius))
    (bending,), _ = _rays(levels, levels.relative_index(excess), np.radians(apparent.ravel()))
    return 3600.0 * np.degrees(bending.reshape(apparent.shape))[()]


def horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """Apparent altitude of the visible horizon [deg]: below it rays meet the sea.

    Negative for an eye above the sea, positive for one in a duct that bends rising rays down.
    wavelength_nm number or (W,); returns that shape. Ranges as for `transfer_curve`.
    """
    wavelength = require_range("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    levels = _levels(atmosphere, eye_height_m)
    horizon = [_Bounds.of(levels, levels.index_at(nm)).horizon for nm in wavelength.flat]
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


def _eye_height(air_height_m, eye_height_m):
    eye = require_range("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    if eye.ndim:
        raise OutOfRangeError(
            f"eye_height_m is shaped {eye.shape}; allowed is one number. Trace one eye at a time."
        )
    if eye >= air_height_m[-1]:
        raise OutOfRangeError(
            f"eye_height_m is {eye:g} m; the air given ends at {air_height_m[-1]:g} m."
            " Continue the air above the eye."
        )
    return float(eye)


# --- levels ---------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Levels:
    """Levels from the sea to space, one of them the eye, with what every ray needs to know.

    sample_m (2N-1,): the levels and the middles between them, in turn; amount (2N-1, C): what is
    to be summed along the ray, counted from the sea up; dry, vapour (2N-1,): relative densities.
    """

    sample_m: np.ndarray
    eye_height_m: float
    amount: np.ndarray
    earth_radius_m: float = EARTH_RADIUS_M
    dry: np.ndarray | None = None
    vapour: np.ndarray | None = None

    @property
    def eye(self):
        """Index of the eye among the N levels."""
        return int(np.searchsorted(self.sample_m[::2], self.eye_height_m))

    @property
    def air_share_above_eye(self):
        return float(self.amount[-1, 0] - self.amount[2 * self.eye, 0])

    def index_at(self, wavelength_nm):
        """`relative_index` of this air at one wavelength."""
        dry, vapour = air.dispersions(wavelength_nm)
        return self.relative_index(self.dry * dry + self.vapour * vapour)

    def relative_index(self, refractivity):
        """ln n and ln(n r / n0 r0), 0 at the eye, both (2N-1,)."""
        log_n = np.log1p(refractivity)
        log_r = np.log1p(
            (self.sample_m - self.eye_height_m) / (self.earth_radius_m + self.eye_height_m)
        )
        return log_n, log_n - log_n[2 * self.eye] + log_r


def _levels(atmosphere, eye_height_m):
    eye = _eye_height(atmosphere.height_m, eye_height_m)
    sample = _samples_m(atmosphere.height_m, eye)
    temperature, pressure, humidity = atmosphere.at(sample)
    dry, vapour = air.relative_densities(temperature, pressure, humidity)
    above = np.stack([pressure / pressure[0], ozone_share_above(sample), haze_share_above(sample)])
    above[:, -1] = 0.0  # what lies over the top belongs to the top layer
    return Levels(sample, eye, 1.0 - above.T, dry=dry, vapour=vapour)


def _samples_m(kinks_m, eye_height_m):
    """Levels and middles [m]: the given levels, the eye, and fine steps between them.

    Above the eye 100 steps, growing with the root of the distance, as the path of a horizontal
    ray does, and far away with the distance itself; below it 40 m at the sea and one in 75 of the
    height above 3 km.
    """
    top = kinks_m[-1]
    root = np.linspace(0.0, np.arcsinh(np.sqrt((top - eye_height_m) / 6000.0)), 100)
    above = eye_height_m + 6000.0 * np.sinh(root) ** 2
    depth = np.log1p(eye_height_m / 3000.0)
    below = 3000.0 * np.expm1(np.linspace(0.0, depth, 2 + int(75.0 * depth)))
    level = np.union1d(np.append(kinks_m, eye_height_m), np.append(below, above[:-1]))
    return np.insert(level, np.arange(1, level.size), 0.5 * (level[1:] + level[:-1]))


# --- many wavelengths -----------------------------------------------------------------------

NODES = 5  # wavelengths traced for a smooth curve
ROUNDING_RAD = 2e-9  # 0.4 mas: a last coefficient below this leaves nothing to interpolate


def _trace(levels, wavelength_nm, altitude):
    """Bending [rad] and amounts [1] (4, W, A), NaN where lost, and fates (W, A).

    Bending is smooth in refractivity, hence in 1/wavelength^2: five wavelengths give the rest,
    except for rays near a limit of their fate, which are traced at every wavelength.
    """
    if wavelength_nm.size <= NODES:
        return _trace_each(levels, wavelength_nm, altitude)
    indices = [levels.index_at(nm) for nm in wavelength_nm]
    fate = np.stack([_Bounds.of(levels, index).fate(altitude) for index in indices])
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
    traced = [_rays(levels, levels.index_at(nm), altitude) for nm in wavelength_nm]
    return np.stack([sums for sums, _ in traced], axis=1), np.stack([fate for _, fate in traced])


def _interpolated(levels, wavelength_nm, altitude):
    """Sums (4, W, A) from Chebyshev nodes in 1/wavelength^2, and which rays they serve (A,)."""
    wavenumber2 = wavelength_nm**-2.0
    low, high = wavenumber2.min(), wavenumber2.max()
    nodes = np.polynomial.chebyshev.chebpts1(NODES)
    node_nm = (0.5 * (low + high) + 0.5 * (high - low) * nodes) ** -0.5
    traced = [_sum_over_layers(levels, levels.index_at(nm), altitude) for nm in node_nm]
    to_coefficients = np.linalg.inv(np.polynomial.chebyshev.chebvander(nodes, NODES - 1))
    coefficients = np.tensordot(to_coefficients, np.stack(traced), axes=1)
    position = (2.0 * wavenumber2 - low - high) / max(high - low, np.finfo(float).tiny)
    basis = np.polynomial.chebyshev.chebvander(position, NODES - 1)
    settled = np.abs(coefficients[-1, 0]) < ROUNDING_RAD
    return np.moveaxis(np.tensordot(basis, coefficients, axes=1), 0, 1), settled


# --- one wavelength -------------------------------------------------------------------------

BATCH = 64  # rays at once: as many as the processor's own memory holds


@dataclass(frozen=True)
class _Bounds:
    """Altitudes at the eye [rad, 0 or more] that decide a ray's fate.

    A ray rising more steeply than `escape` reaches space; one falling more steeply than `ground`
    meets the sea, and one falling less steeply turns and rises again.
    """

    escape: float
    ground: float

    @classmethod
    def of(cls, levels, index):
        eye = levels.eye
        # The ray turns where sin^2 = sin^2(a0) - cos^2(a0) (q^2 - 1) is 0, with q = n0 r0 / n r.
        steepness = np.expm1(-2.0 * index[1][::2])
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
    """Bending [rad] and amounts (1 + C, A), NaN where lost, and fates (A,) of one wavelength.

    index: ln n and ln(n r / n0 r0) at the samples, whatever the formula they come from.
    """
    fate = _Bounds.of(levels, index).fate(altitude)
    clear = fate == Fate.SPACE
    sums = np.full((1 + levels.amount.shape[1], altitude.size), np.nan)
    sums[:, clear] = _sum_over_layers(levels, index, altitude[clear])
    return sums, fate


def _sum_over_layers(levels, index, altitude):
    """Bending [rad] and amounts of rays known to reach space, (1 + C, A)."""
    weights = _layer_weights(levels, index)
    total = np.empty((1 + levels.amount.shape[1], altitude.size))
    for begins in range(0, altitude.size, BATCH):
        batch = slice(begins, begins + BATCH)
        total[:, batch] = _weighted_sums(levels, index, weights, altitude[batch])
    return total


def _weighted_sums(levels, index, weights, altitude):
    (log_n, log_nr), (slope, curve) = index, weights
    eye, cosine, rise = levels.eye, np.cos(altitude), np.expm1(-2.0 * log_nr[::2])
    sine2 = _sine_squared(altitude, rise[eye:])
    u, uv = _rising(sine2)
    total = u @ slope[eye:] + uv @ curve[eye:]
    down = altitude < 0.0
    if down.any():
        u, uv = _falling(_sine_squared(altitude[down], rise[eye::-1]))
        total[down] += 2.0 * (u @ slope[:eye][::-1] + uv @ curve[:eye][::-1])
    total[:, 0] *= cosine
    # From the top level, where n is not quite 1, into space.
    total[:, 0] += log_n[-1] * cosine * np.exp(-log_nr[-1]) / np.sqrt(sine2[:, -1])
    return total.T


def _layer_weights(levels, index):
    """What u and u v are multiplied with in each layer, both (N-1, 1 + C).

    For the bending P is -ln n, and its integrand has q = n0 r0 / n r besides 1 / sin.
    """
    log_n, log_nr = index
    amount = np.column_stack([-log_n, levels.amount])
    whole = np.diff(amount[::2], axis=0)
    rise = np.expm1(-2.0 * log_nr)
    # Share of the layer's change of sin^2 gained at its middle. Far from a half the layer bends
    # about as the Earth curves, and no parabola in sin^2 is to be had: P is taken as linear there.
    share = np.full(len(whole), np.nan)
    np.divide(np.diff(rise)[::2], np.diff(rise[::2]), out=share, where=np.diff(rise[::2]) != 0.0)
    usual = np.abs(share - 0.5) < 0.1
    share = np.where(usual, share, 0.5)[:, None]
    bulge = usual[:, None] * (amount[1::2] - amount[:-1:2] - share * whole)
    slope, curve = 2.0 * whole, (2.0 / 3.0) * bulge / (share * (1.0 - share))
    q = np.exp(-log_nr[1::2])
    slope[:, 0] *= q
    curve[:, 0] *= q
    return slope, curve


def _sine_squared(altitude, rise):
    """Squared sine of the rays' altitude at levels, negative beyond a turning point, (A, N)."""
    sine2, cosine2 = np.sin(altitude) ** 2, np.cos(altitude) ** 2
    return sine2[:, None] - cosine2[:, None] * rise


def _rising(sine2):
    """u and u v of the layers crossed upwards, both (A, N-1)."""
    sine = np.sqrt(sine2)
    u = sine[:, :-1] + sine[:, 1:]
    np.reciprocal(u, out=u)  # in place: these arrays are the cost of the whole tracer
    uv = sine[:, 1:] - sine[:, :-1]
    uv *= u
    uv *= u
    return u, uv


def _falling(sine2):
    """u and u v of the layers crossed downwards, to the turning point and no further.

    In the layer of the turning point only the share t = sin^2 a1 / (sin^2 a1 - sin^2 a2) of it is
    crossed: u = t / sin a1 there, and v = 4 t - 3 by the same parabola.
    """
    alive = np.logical_and.accumulate(sine2 > 0.0, axis=1)
    sine = np.sqrt(np.where(alive, sine2, 0.0))
    whole, turning = alive[:, 1:], alive[:, :-1] & ~alive[:, 1:]
    u = np.zeros(whole.shape)
    np.divide(1.0, sine[:, :-1] + sine[:, 1:], out=u, where=whole)
    uv = -np.diff(sine) * u * u
    drop = (sine2[:, :-1] - sine2[:, 1:])[turning]
    share = sine2[:, :-1][turning] / drop
    u[turning] = sine[:, :-1][turning] / drop
    uv[turning] = u[turning] * (4.0 * share - 3.0)
    return u, uv
