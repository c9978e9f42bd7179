"""What an eye sees through the air: the transfer curve, and the horizon.

Rays are traced in `lowsun.physics.layers`; here they are asked for, at any set of wavelengths.
"""

import numpy as np

from lowsun.errors import (
    OutOfRangeError,
    answer_of,
    require_number,
    require_range,
    require_values,
    require_whole,
    takes,
)
from lowsun.kept import MB, kept
from lowsun.physics import air
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import ozone_share_above
from lowsun.physics.layers import (
    EARTH_RADIUS_M,
    Bounds,
    Family,
    Fate,
    Levels,
    samples_m,
)
from lowsun.physics.medium import Air, air_of
from lowsun.physics.transfer import TransferCurve

EYE_HEIGHT_RANGE_M = (0.0, 20_000.0)
VISUAL_NM = 570.0  # the middle of the reddened Sun's visible light
# Green is all that is left of the Sun's light when 520 nm still comes and 630 nm does not: beyond
# 630 nm lies most of what the red horizon Sun sends, and little below 520 nm gets through the air.
GREEN_NM, RED_NM = 520.0, 630.0
SLIVER_ARCSEC = 0.05  # nearer than this to the horizon nothing is seen of the Sun


SETTLED = 1e-7  # share of the whole, 0.2 mas at the horizon, that the last coefficient may have


@takes(atmosphere=(Atmosphere, Air))
def transfer_curve(
    atmosphere, eye_height_m, apparent_altitude_deg, wavelength_nm, *, settled=SETTLED
):
    """The transfer curve of an atmosphere for an eye above the sea.

    atmosphere: an `Atmosphere`, or an `Air` whose haze and ozone dim the curve's light;
    eye_height_m [m] 0 to 20 000, one number; apparent_altitude_deg [deg] -90 to 90, number or
    (A,); wavelength_nm [nm, vacuum] 230 to 1690, number or (W,); settled [1] 1e-9 to 1e-3: share
    of itself by which a ray's bending between wavelengths may stray. Returns a `TransferCurve`.
    Accuracy, with the usual share: 0.01" against step-by-step integration of the same air, down to
    the sea horizon and to within 2" of a duct's limits. Leaves out the Earth's flattening and air
    that varies sideways. Method: Bouguer's invariant in thin layers (`lowsun.physics.layers`);
    compare Auer & Standish 2000, Astron. J. 119, 2472, on integration without singularities.
    """
    apparent = require_range("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
    wavelength = require_values("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    whole = air_of(atmosphere)
    levels, refractivity = _levels_in(whole.atmosphere, eye_height_m)
    share = require_number("settled", settled, 1e-9, 1e-3)
    sums, fate = _trace(
        levels, refractivity, wavelength.ravel(), np.radians(apparent.ravel()), share
    )
    shape = wavelength.shape + apparent.shape
    refraction, air_column, ozone, haze = (part.reshape(shape) for part in sums)
    return TransferCurve(
        air=whole,
        eye_height_m=levels.eye_height_m,
        apparent_altitude_deg=apparent,
        wavelength_nm=wavelength,
        true_altitude_deg=apparent - np.degrees(refraction),
        fate=fate.reshape(shape),
        air_mass=air_column / levels.amount_above_eye[0],
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
    radius = require_number("earth_radius_m", earth_radius_m, 1e6, 1e8, unit="m")
    kinks = require_range("kinks_m", kinks_m, 0.0, 200e3, unit="m")
    if kinks.ndim != 1 or kinks.size < 2 or np.any(np.diff(kinks) <= 0.0):
        raise OutOfRangeError("kinks_m must be two heights or more that rise. Sort them.")
    sample = samples_m(kinks, _eye_height(kinks, eye_height_m))
    excess = _profile(refractivity, sample)
    levels = Levels(sample, float(eye_height_m), np.empty((sample.size, 0)), radius)
    index, altitude = levels.index(excess), np.radians(apparent.ravel())
    bending = np.full(altitude.shape, np.nan)
    clear = Bounds.of(levels, index).fate(altitude) == Fate.SPACE
    bending[clear] = Family(levels, index).sums(altitude[clear])[0]
    return 3600.0 * np.degrees(bending.reshape(apparent.shape))[()]


def _profile(refractivity, height_m):
    """n - 1 at heights (N,), or an error where a user's function does not give it."""
    found = answer_of("refractivity", refractivity, "a function of heights", height_m)
    excess = require_range("refractivity", found, 0.0, 0.01)
    if excess.shape != height_m.shape:
        raise OutOfRangeError(
            f"refractivity of heights shaped {height_m.shape} is shaped {excess.shape}; give a"
            " function that returns n - 1 for each height."
        )
    return excess


@takes(atmosphere=Atmosphere)
def horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """Apparent altitude of the visible horizon [deg]: below it rays meet the sea.

    Negative for an eye above the sea, positive for one in a duct that bends rising rays down.
    wavelength_nm number or (W,); returns that shape. Ranges as for `transfer_curve`.
    wavelength_nm [nm] 230 to 1690. Raises OutOfRangeError outside.
    """
    wavelength = require_values("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    levels, refractivity = _levels_in(atmosphere, eye_height_m)
    return np.degrees(Bounds.of(levels, levels.index(refractivity(wavelength))).horizon)[()]


@takes(atmosphere=Atmosphere)
def horizon_dip_arcmin(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """Dip of the sea horizon below the horizontal [arcmin]; negative where it stands above.

    In air of one ray curvature k: dip = sqrt(2 h (1 - k) / R).
    """
    return -60.0 * horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength_nm)


@takes(atmosphere=Atmosphere)
def horizon_true_altitude_deg(atmosphere, eye_height_m, wavelength_nm=VISUAL_NM):
    """True altitude [deg] of the last point of the sky that goes, at or above the horizon.

    The lowest true altitude over all rays that keep 0.05" from the horizon, and from the edges of a
    duct: in smooth air that of the horizon ray itself; where a mirage lifts lower sky above the
    horizon, that of the mirage. Infinite where no ray within 3 deg reaches space. wavelength_nm
    [nm] 230 to 1690, one number. Raises OutOfRangeError outside.
    """
    name, limits = "wavelength_nm", air.WAVELENGTH_RANGE_NM
    wavelength = require_number(name, wavelength_nm, *limits, unit="nm")
    horizon = abs(float(horizon_apparent_altitude_deg(atmosphere, eye_height_m, wavelength)))
    low, high = max(-90.0, -horizon - 0.01), min(90.0, horizon + 3.0)
    apparent = refined_altitudes_deg(atmosphere, eye_height_m, low, high, wavelength)
    true = transfer_curve(atmosphere, eye_height_m, apparent, wavelength).true_altitude_deg
    return float(np.nanmin(true)) if np.isfinite(true).any() else np.nan


# --- where to trace -------------------------------------------------------------------------

EDGE_ARCSEC = SLIVER_ARCSEC  # how far beside a limit of fate altitudes stand
SPLITS = (0.3, 0.7)  # shares of an interval: off the middle, where a point of inflection would hide
ROUNDS = 20
PROBES = 4  # wavelengths at which the curve is tried


@takes(atmosphere=Atmosphere)
def refined_altitudes_deg(
    atmosphere,
    eye_height_m,
    low_deg,
    high_deg,
    wavelength_nm=VISUAL_NM,
    tolerance_arcsec=0.25,
    probes=PROBES,
):
    """Apparent altitudes [deg] between which the transfer curve is a straight line.

    Traced there and interpolated linearly, the curve is within `tolerance_arcsec` [0.01 to 60] of
    itself in true altitude, or in apparent altitude where the curve is steeper than 1: no edge in
    a picture is jagged. That is tried at `probes` wavelengths, 1 to 16, through the range given, or
    at the shortest alone; at others the grazing rays of a sounding's sharp kinks may stray by a few
    arcsec. On both sides of every wavelength's limits of fate stands an altitude.
    low_deg, high_deg [deg] -90 to 90; wavelength_nm [nm] number or (W,). Returns (A,), rising.
    """
    low, high = require_range("low_deg, high_deg", [low_deg, high_deg], -90, 90, unit="deg")
    wavelength = require_values("wavelength_nm", wavelength_nm, *air.WAVELENGTH_RANGE_NM, unit="nm")
    require_range("high_deg", high, low, 90.0, unit="deg", remedy="Swap low_deg and high_deg.")
    tolerance = require_number("tolerance_arcsec", tolerance_arcsec, 0.01, 60.0, unit="arcsec")
    levels, refractivity = _levels_in(atmosphere, eye_height_m)
    altitude = _seeds_deg(levels, refractivity, atmosphere.height_m, wavelength.ravel())
    altitude = np.unique(np.clip(altitude, low, high))
    count = require_whole("probes", probes, 1, 16)
    probed = np.unique(np.quantile(wavelength, np.linspace(0.0, 1.0, count)))
    return _split_where_bent(altitude, _Probe(levels, refractivity(probed)), tolerance / 3600.0)


class _Probe:
    """True altitudes [deg] of a few wavelengths, (W, A), NaN where a ray is lost."""

    def __init__(self, levels, refractivity):
        index = levels.index(refractivity)
        self._bounds = Bounds.of(levels, index)
        self._families = [Family(levels, bent) for bent in zip(*index, strict=True)]

    def __call__(self, apparent_deg):
        altitude = np.radians(apparent_deg)
        clear = self._bounds.fate(altitude) == Fate.SPACE
        bending = np.full(clear.shape, np.nan)
        for band, family in enumerate(self._families):
            bending[band, clear[band]] = family.sums(altitude[clear[band]])[0]
        return apparent_deg - np.degrees(bending)


def _seeds_deg(levels, refractivity, kinks_m, wavelength_nm):
    """Altitudes all over the sky, beside every jump of the curve, and of rays that graze kinks."""
    index = levels.index(refractivity(wavelength_nm))
    jumps = np.degrees(_jumps(levels, index))
    steepness = np.expm1(-2.0 * index[1][wavelength_nm.size // 2])
    grazing = np.degrees(np.arctan(np.sqrt(np.maximum(steepness, 0.0))))
    kink, above = np.isin(levels.sample_m, kinks_m), levels.sample_m >= levels.eye_height_m
    falling, rising = -grazing[kink], grazing[kink & above]  # what rises meets no kink below
    sky = np.sinh(np.arange(-6.3, 6.31, 0.1)) / 3.0  # 2' apart at the horizon, a tenth far off
    smooth = np.concatenate([rising, falling, sky])
    beside = EDGE_ARCSEC / 3600.0
    clear = np.abs(smooth[:, None] - jumps).min(axis=1) > beside
    return np.concatenate([jumps - beside, jumps + beside, smooth[clear]])


def _jumps(levels, index):
    """Altitudes [rad] at which the curve ends, or jumps as falling rays slip past a duct's top."""
    bounds = Bounds.of(levels, index)
    down = np.expm1(-2.0 * index[1][..., 2 * levels.eye :: -2])
    first = down >= np.maximum.accumulate(down, axis=-1)
    passed = first[..., 1:-1] & (down[..., 2:] < down[..., 1:-1])
    slips = -np.arctan(np.sqrt(down[..., 1:-1][passed]))
    return np.concatenate([bounds.escape, -bounds.escape, -bounds.ground, slips])


def _split_where_bent(altitude, true_deg, tolerance_deg):
    true = true_deg(altitude)
    unsure = _beside_a_bend(altitude, true, tolerance_deg)
    for _ in range(ROUNDS):
        gap, rise = np.diff(altitude), np.diff(true)
        at = (unsure & (gap > tolerance_deg)).nonzero()[0]
        if at.size == 0:
            break
        between = altitude[at] + np.multiply.outer(SPLITS, gap[at])
        found = true_deg(between.ravel()).reshape(-1, *between.shape)
        straight = true[:, None, at] + np.multiply.outer(SPLITS, rise[:, at]).swapaxes(0, 1)
        allowed = tolerance_deg * np.maximum(1.0, np.abs(rise[:, None, at]) / gap[at])
        bent = ~(np.abs(found - straight) <= allowed).all(axis=(0, 1))
        bent &= ~np.isnan(found).all(axis=(0, 1))
        new, new_true = between[:, bent].ravel(), found[..., bent].reshape(len(true), -1)
        altitude = np.concatenate([altitude, new])
        true = np.concatenate([true, new_true], axis=1)
        order = np.argsort(altitude)
        altitude, true = altitude[order], true[:, order]
        is_new = order >= altitude.size - new.size
        unsure = is_new[1:] | is_new[:-1]
    return altitude


def _beside_a_bend(altitude, true, tolerance_deg):
    """Intervals that may stray from their chord, seen from how the slope changes beside them.

    A parabola strays by an eighth of what is asked here; grazing rays stand at every kink.
    """
    gap = np.diff(altitude)
    slope = np.diff(true) / gap
    turn = np.pad(np.abs(np.diff(slope)), ((0, 0), (1, 1)))
    strays = np.maximum(turn[:, 1:], turn[:, :-1]) * gap
    return ~(strays <= tolerance_deg * np.maximum(1.0, np.abs(slope))).all(axis=0)


def _eye_height(air_height_m, eye_height_m):
    eye = require_number("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    if eye >= air_height_m[-1]:
        raise OutOfRangeError(
            f"eye_height_m is {eye:g} m; the air given ends at {air_height_m[-1]:g} m."
            " Continue the air above the eye."
        )
    return eye


def _levels_in(atmosphere, eye_height_m):
    """Levels for an eye in this air, and n - 1 at their samples as a function of wavelength."""
    return _kept_levels(atmosphere, _eye_height(atmosphere.height_m, eye_height_m))


@kept(3 * MB)
def _kept_levels(atmosphere, eye):
    # A picture asks for horizon, refinement and curve of one air in turn.
    sample = samples_m(atmosphere.height_m, eye)
    temperature, pressure, humidity = atmosphere.at(sample)
    haze = atmosphere.haze_share_above(sample)
    above = np.stack([pressure / pressure[0], ozone_share_above(sample), haze])
    above[:, -1] = 0.0  # what lies over the top belongs to the top layer
    dry, vapour = air.relative_densities(temperature, pressure, humidity)

    def refractivity(wavelength_nm):
        of_dry, of_vapour = air.dispersions(wavelength_nm)
        return of_dry[..., None] * dry + of_vapour[..., None] * vapour

    return Levels(sample, eye, 1.0 - above.T), refractivity


# --- many wavelengths -----------------------------------------------------------------------

NODES = (4, 9)  # wavelengths traced for a smooth curve, and for rays on which that is too few
LEAST = (5, 28)  # wavelengths for which that pays: nine serve one of three rays left, or fewer
NARROWEST_NM = 1.0  # a narrower band leaves the nodes no room


def _trace(levels, refractivity, wavelength_nm, altitude, share):
    """Bending [rad] and amounts [1] (4, W, A), NaN where lost, and fates (W, A).

    Bending is smooth in refractivity: a few wavelengths give the rest, except for rays near a limit
    of their fate, which are traced at every wavelength.
    """
    index = levels.index(refractivity(wavelength_nm))
    fate = Bounds.of(levels, index).fate(altitude)
    sums = np.full((1 + levels.amount.shape[1], *fate.shape), np.nan)
    open_rays = (fate == Fate.SPACE).all(axis=0)
    for nodes, least in (
        zip(NODES, LEAST, strict=True) if np.ptp(wavelength_nm) > NARROWEST_NM else ()
    ):
        if wavelength_nm.size >= least and open_rays.any():
            rays = open_rays.nonzero()[0]
            found, settled = _interpolated(
                levels, refractivity, wavelength_nm, altitude[rays], nodes, share
            )
            sums[:, :, rays[settled]] = found if settled.all() else found[..., settled]
            open_rays[rays[settled]] = False
    alone = np.isnan(sums[0]) & (fate == Fate.SPACE)
    for band in alone.any(axis=1).nonzero()[0]:
        rays, bent = alone[band], (index[0][band], index[1][band])
        sums[:, band, rays] = Family(levels, bent).sums(altitude[rays])
    return sums, fate


def _interpolated(levels, refractivity, wavelength_nm, altitude, nodes, share):
    """Sums (4, W, A) from a few wavelengths, and which rays they serve (A,)."""
    node_nm = _node_wavelengths_nm(wavelength_nm.min(), wavelength_nm.max(), nodes)
    index = levels.index(refractivity(node_nm))
    traced = [Family(levels, bent).sums(altitude) for bent in zip(*index, strict=True)]
    basis_at_nodes, basis = (_basis(nm, node_nm) for nm in (node_nm, wavelength_nm))
    coefficients = np.linalg.inv(basis_at_nodes) @ np.stack(traced, axis=1)
    # A ray that grazes a kink at some wavelength may fit by chance in one of the sums, not in all.
    settled = np.abs(coefficients[:, -1]) <= share * np.abs(coefficients[:, 0])
    return basis @ coefficients, settled.all(axis=0)


def _node_wavelengths_nm(shortest, longest, nodes):
    """Wavelengths whose refractivities are Chebyshev nodes of the range, its ends among them."""
    spectrum = np.linspace(longest, shortest, 256)
    dry = air.dispersions(spectrum)[0]
    middle, half = 0.5 * (dry[-1] + dry[0]), 0.5 * (dry[-1] - dry[0])
    return np.interp(middle + half * np.polynomial.chebyshev.chebpts2(nodes), dry, spectrum)


def _basis(wavelength_nm, node_nm):
    """Chebyshev polynomials (W, nodes) of the refractivity of dry air over the nodes' range."""
    node, dry = air.dispersions(node_nm)[0], air.dispersions(wavelength_nm)[0]
    half = max(0.5 * np.ptp(node), np.finfo(float).tiny)
    position = (dry - 0.5 * (node.min() + node.max())) / half
    return np.polynomial.chebyshev.chebvander(position, node_nm.size - 1)
