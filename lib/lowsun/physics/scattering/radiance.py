"""Radiance of the sky: the light sent towards the eye, summed along the line of sight.

The phase function of light scattered once is the same all along a line of sight, since the Sun
stands in the same direction from every point of it.
"""

import numpy as np

from lowsun.errors import (
    OutOfRangeError,
    require_number,
    require_range,
    require_row,
    require_whole,
    takes,
)
from lowsun.kept import MB, kept
from lowsun.physics.scattering import optics
from lowsun.physics.scattering.air import require_sky_air
from lowsun.physics.scattering.grid import (
    LEVEL_M,
    ORDER_LEVEL_M,
    SUN_ABOVE_HORIZON_DEG,
    WAVELENGTH_NM,
    ZENITH_DISTANCE_DEG,
    between,
    bilinear,
    cubic_matrix,
    straight_dip_deg,
)
from lowsun.physics.scattering.moments import DEGREE, basis
from lowsun.physics.scattering.orders import turned
from lowsun.physics.scattering.paths import horizon_altitude_deg, paths
from lowsun.physics.scattering.shells import shells
from lowsun.physics.scattering.spectrum import sunlit_weights
from lowsun.physics.scattering.store import sky_table
from lowsun.physics.sunlight import irradiance

SUN_ALTITUDE_RANGE_DEG = (-10.0, 90.0)
BEYOND_TWILIGHT = (
    "Deeper, the last sunlit air lies above the 85 km where the table ends, and stars and airglow,"
    " which it leaves out, begin to count. Raise the Sun."
)
EYE_HEIGHT_RANGE_M = (0.0, 9000.0)
BEAM_NODES, FIELD_NODES = 56, 32
COLOUR_NM = np.array([600.0, 555.0, 450.0])  # X, Y and Z mostly consist of these
LINES, FEW_LINES = (44, 25), (18, 13)  # altitudes and azimuths of a panorama's lines of sight
ALTITUDE_SCALE_DEG = 8.0


@takes(single=bool)
def sky_radiance(
    air, sun_true_altitude_deg, altitude_deg, azimuth_deg, *, eye_height_m=2.0, single=False
):
    """Spectral radiance of the clear sky [W/m2/sr/nm] at WAVELENGTH_NM, shape (..., W).

    L = sum over the line of sight of T (beta_air P_air F + beta_haze P_haze F + beta P * I) ds,
    F the direct light, I the light scattered before; single=True leaves the last term out.
    air: an `Air`, or an `Atmosphere` (a clear evening's haze and 300 DU are then added);
    sun_true_altitude_deg [deg] -10 to 90, one number; altitude_deg [deg, apparent] from the
    horizon to 90 and azimuth_deg [deg from the Sun] broadcast; eye_height_m [m] 0 to 9000.
    Accuracy: 12 % with haze up to depth 0.07, 25 % at depth 0.2, against a Monte Carlo count.
    Leaves out polarisation (a few per cent), the Sun's own disc and the change of the Sun's
    distance (3 %).
    """
    ratio = sky_ratio(
        air, sun_true_altitude_deg, altitude_deg, azimuth_deg, eye_height_m, single=single
    )
    return ratio * irradiance(WAVELENGTH_NM)


@takes(single=bool)
def sky_xyz(
    air,
    sun_true_altitude_deg,
    altitude_deg,
    azimuth_deg,
    *,
    eye_height_m=2.0,
    single=False,
    steps=BEAM_NODES,
):
    """Absolute CIE XYZ of the clear sky [cd/m2], shape (..., 3); otherwise as `sky_radiance`.

    steps: along each line of sight; more make differences between near directions smoother.
    """
    ratio = sky_ratio(
        air,
        sun_true_altitude_deg,
        altitude_deg,
        azimuth_deg,
        eye_height_m,
        single=single,
        steps=steps,
    )
    return ratio @ sunlit_weights()


@takes(single=bool, rough=bool)
def sky_xyz_grid(
    air,
    sun_true_altitude_deg,
    altitude_deg,
    azimuth_deg,
    *,
    eye_height_m=2.0,
    single=False,
    rough=False,
):
    """XYZ [cd/m2] of all altitudes (E,) at all azimuths from the Sun (A,), shape (E, A, 3).

    As `sky_xyz`, but summed along some thousand lines of sight and read between them, which makes
    a whole panorama quick; within 1 % of it, 1.5 % in the haze's peak beside the Sun.
    rough: along a fifth as many, for a draft; within 0.2 % of the whole in the mean, 12 % in the
    lowest rows over the Sun.
    """

    rows = require_row("altitude_deg", altitude_deg, -90.0, 90.0, unit="deg")
    columns = require_row("azimuth_deg", azimuth_deg, -360.0, 720.0, unit="deg")
    air, sun, altitude, eye = _checked(air, sun_true_altitude_deg, rows, eye_height_m)
    azimuth = _azimuth(columns)
    up, around = FEW_LINES if rough else LINES
    lines, sides = _altitude_nodes(altitude.min(), altitude.max(), up), np.linspace(0, 180, around)
    off_sun = np.abs((azimuth + 180.0) % 360.0 - 180.0)
    rows, columns = cubic_matrix(lines, altitude), cubic_matrix(sides, off_sun)
    parts = _parts(air, sun, lines[:, None], sides, eye, single, BEAM_NODES)
    cosine = scattering_cosine(sun, altitude[:, None], off_sun)
    colours = optics.haze_phase(air.haze, cosine, COLOUR_NM)
    phases = (optics.rayleigh_phase(cosine)[..., None], colours, 1.0)
    seen = sum(
        phase * _read(rows, columns, part @ sunlit_weights())
        for phase, part in zip(phases, parts, strict=False)
    )
    # At the border of a shadow without any light a cubic swings below zero.
    return np.maximum(seen, 0.0)


def sky_horizon_deg(air, eye_height_m):
    """Apparent altitude at which the sky begins over the sea [deg], from eye_height_m [m].

    eye_height_m 0 to 9000. Raises OutOfRangeError outside.
    """
    air = require_sky_air(air)
    eye = require_number("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    return float(horizon_altitude_deg(shells(air.atmosphere, air.refraction), eye))


@takes(single=bool)
def sky_ratio(
    air,
    sun_true_altitude_deg,
    altitude_deg,
    azimuth_deg,
    eye_height_m,
    *,
    single=False,
    steps=BEAM_NODES,
):
    """Radiance divided by the Sun's irradiance above the air [1/sr], (..., W); as `sky_radiance`.

    steps [1] 2 to 2000. Raises OutOfRangeError outside.
    """
    air, sun, altitude, eye = _checked(air, sun_true_altitude_deg, altitude_deg, eye_height_m)
    azimuth, steps = _azimuth(azimuth_deg), require_whole("steps", steps, 2, 2000)
    molecules, haze, *more = _parts(air, sun, altitude, azimuth, eye, single, steps)
    cosine = scattering_cosine(sun, altitude, azimuth)
    by_haze = optics.haze_phase(air.haze, cosine, WAVELENGTH_NM) * haze
    once = optics.rayleigh_phase(cosine)[..., None] * molecules + by_haze
    return sum(more, once)


def scattered_parts(air, sun_true_altitude_deg, altitude_deg, azimuth_deg, eye_height_m):
    """What `sky_ratio` is made of, (..., W) each [1/sr]: by molecules once, haze once, and more.

    The phase functions of the first two are left out: multiply them by their own.
    """
    air, sun, altitude, eye = _checked(air, sun_true_altitude_deg, altitude_deg, eye_height_m)
    return _parts(air, sun, altitude, _azimuth(azimuth_deg), eye, False, BEAM_NODES)


def scattering_cosine(sun_altitude_deg, altitude_deg, azimuth_deg):
    """Cosine of the angle between a direction and the Sun; azimuth counted from the Sun.

    sun_altitude_deg [deg], altitude_deg [deg], azimuth_deg [deg].
    """
    a, s = np.radians(altitude_deg), np.radians(sun_altitude_deg)
    return np.sin(a) * np.sin(s) + np.cos(a) * np.cos(s) * np.cos(np.radians(azimuth_deg))


def _checked(air, sun_true_altitude_deg, altitude_deg, eye_height_m):
    air = require_sky_air(air)
    eye = require_number("eye_height_m", eye_height_m, *EYE_HEIGHT_RANGE_M, unit="m")
    altitude = require_range("altitude_deg", altitude_deg, -90.0, 90.0, unit="deg")
    horizon = sky_horizon_deg(air, eye)
    if np.any(altitude < horizon):
        raise OutOfRangeError(
            f"altitude_deg is {altitude.min():g} deg; from {eye:g} m the sea horizon stands at"
            f" {horizon:.2f} deg and the sky begins there. Look higher."
        )
    return air, sun_altitude(sun_true_altitude_deg), altitude, eye


def _azimuth(azimuth_deg):
    return require_range("azimuth_deg", azimuth_deg, -360.0, 720.0, unit="deg")


def sun_altitude(sun_true_altitude_deg):
    """The Sun's true altitude [deg] as a float within the table's range, or a clear error.

    Raises OutOfRangeError outside.
    """
    name, limits = "sun_true_altitude_deg", SUN_ALTITUDE_RANGE_DEG
    return require_number(name, sun_true_altitude_deg, *limits, unit="deg", remedy=BEYOND_TWILIGHT)


def _parts(air, sun, altitude, azimuth, eye, single, steps):
    """Light scattered once by molecules and by haze, phases left out, and more than once."""
    once = _once(air, sun, altitude, azimuth, eye, single, steps)
    return once if single else (*once, _more_than_once(air, sun, altitude, azimuth, eye))


def _once(air, sun, altitude, azimuth, eye, single, steps):
    rays = _rays(air, altitude, eye, steps)
    z, _ = _sun_along(rays, sun, azimuth)
    level = between(LEVEL_M, np.broadcast_to(rays.height_m, z.shape))
    above = between(SUN_ABOVE_HORIZON_DEG, 90.0 - z + straight_dip_deg(rays.height_m))
    light = bilinear(sky_table(air).beam, level, above)
    depths = optics.depths(air, WAVELENGTH_NM)
    # With all the light in view, what haze sends straight on has not left the line of sight.
    through = _through(rays, depths if single else optics.soft_depths(depths, air.haze))
    molecules, _, haze = optics.scattering(depths, air.haze)
    return (
        _sum_along(through * rays.species_per_m[..., :1] * molecules, light),
        _sum_along(through * rays.species_per_m[..., 2:] * haze, light),
    )


def _more_than_once(air, sun, altitude, azimuth, eye):
    rays = _rays(air, altitude, eye, FIELD_NODES)
    z, cos_azimuth = _sun_along(rays, sun, azimuth)
    level = between(ORDER_LEVEL_M, np.broadcast_to(rays.height_m, z.shape))
    light = bilinear(sky_table(air).moments, level, between(ZENITH_DISTANCE_DEG, z))
    seen = basis(np.broadcast_to(rays.sine, z.shape), cos_azimuth).astype(np.float32)
    depths = optics.depths(air, WAVELENGTH_NM)
    degrees = optics.by_degree(depths, air.haze, optics.HAZE_STRAIGHT_ON).astype(np.float32)
    sent = np.einsum("...k,dkw->...wd", rays.species_per_m.astype(np.float32), degrees)
    scattered = sum(
        sent[..., degree] * np.einsum("...wm,...m->...w", light[..., here], seen[..., here])
        for degree, here in enumerate(d == DEGREE for d in range(3))
    )
    return _sum_along(_through(rays, optics.soft_depths(depths, air.haze)), scattered)


def _rays(air, altitude, eye, nodes):
    return _remembered_rays(
        air.atmosphere, air.refraction, eye, altitude.shape, altitude.tobytes(), nodes
    )


@kept(6 * MB)
def _remembered_rays(atmosphere, refraction, eye, shape, altitude_bytes, nodes):
    altitude = np.frombuffer(altitude_bytes).reshape(shape)
    return paths(shells(atmosphere, refraction), eye, altitude, nodes)


def _sun_along(rays, sun_true_altitude_deg, azimuth_deg):
    """Sun's zenith distance [deg] and the ray's cosine of azimuth from it at every node."""
    toward = np.cos(np.radians(azimuth_deg))[..., None]
    return turned(90.0 - sun_true_altitude_deg, rays.turn_deg, toward)


def _through(rays, depths):
    return (np.exp(-rays.columns @ depths) * rays.step_m[..., None]).astype(np.float32)


def _sum_along(weight, light):
    return np.einsum("...sw,...sw->...w", weight, light)


def _altitude_nodes(low, high, count):
    """Closer together near the horizon, where a degree means more."""
    ends = np.arcsinh(np.array([low, max(high, low + 1.0)]) / ALTITUDE_SCALE_DEG)
    nodes = ALTITUDE_SCALE_DEG * np.sinh(np.linspace(*ends, count))
    nodes[[0, -1]] = low, min(max(high, low + 1.0), 90.0)
    return nodes


def _read(rows, columns, nodes):
    """Values at nodes (E', A', 3) read at rows (E, E') and columns (A, A')."""
    channels = np.moveaxis(nodes, -1, 0)
    return np.moveaxis(rows @ channels @ columns.T, 0, -1)
