"""Portraits of the disc: computed pictures of one instant, or of several side by side."""

import numpy as np

from lowsun.errors import require_number, require_raster, takes
from lowsun.kept import KB, MB, kept
from lowsun.phenomena import low_sun, seascape
from lowsun.phenomena.low_sky import lighting_air
from lowsun.phenomena.low_sun import Frame
from lowsun.phenomena.polar_sunset.tracks import Track
from lowsun.physics import colour, scattering
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.medium import Air

POLAR_HAZE = Haze(0.02)  # the air over the inner ice is far cleaner than any sea's; from memory
LIMB_BANDS = 49  # so many that a magnified rim of a minute of arc shows no steps
LIMB_ROOM = 0.25  # this share of the frame's height is kept free over the limb
LOWEST_DEG = -5.0  # no air here shows a Sun as low
SKY_SUN_DEG = (-10.0, 9.0)  # between which its sky is shown
SKY_HIGHEST_DEG = 10.0  # up to which the air is traced for it
HIGHEST_DEG = 2.5  # up to which the air is traced; the Sun's lower limb over it is not pictured


@takes(moment=Track, atmosphere=Atmosphere, frame=Frame)
def portrait(moment, atmosphere, frame):
    """The disc of a one-instant `Track` in a `low_sun.Frame`: uint8 sRGB (rows, columns, 3).

    Exposed for itself, and black where the Sun is down or above the frame.
    """
    lower_limb = moment.true_altitude_deg - moment.semidiameter_deg
    if moment.shown == 0 or lower_limb > frame.high_deg:
        return np.zeros((frame.rows, frame.columns, 3), np.uint8)
    return low_sun.picture(
        _curve(atmosphere, moment.place.eye_height_m, low_sun.BANDS),
        float(moment.true_altitude_deg),
        frame,
        sun_diameter_arcmin=float(120 * moment.semidiameter_deg),
    ).rgb


@takes(moment=Track, atmosphere=Atmosphere, frame=Frame)
def in_its_sky(moment, atmosphere, frame):
    """The Sun of a one-instant `Track` in its sky: uint8 sRGB (rows, columns, 3), as an eye has it.

    frame: up to 16 deg to each side of the Sun; what lies under the horizon is a calm sea, to be
    covered by the ground. The Sun 10 deg below to 9 above the horizontal: where it stands
    elsewhere, `portrait`. Leaves out what `seascape` does, and the light that snow throws back.
    """
    sun = float(moment.true_altitude_deg)
    if not SKY_SUN_DEG[0] <= sun <= SKY_SUN_DEG[1]:
        return portrait(moment, atmosphere, frame)
    curve = _curve(atmosphere, moment.place.eye_height_m, low_sun.BANDS, SKY_HIGHEST_DEG)
    light = seascape.seascape(
        curve,
        lighting_air(curve.air),
        sun,
        frame,
        horizon_deg=float(moment.horizon_deg),
        eye_height_m=moment.place.eye_height_m,
        wind_m_per_s=seascape.CALM,
        sun_diameter_arcmin=float(120 * moment.semidiameter_deg),
    )
    return seascape.as_seen(light).rgb


@takes(moment=Track, atmosphere=Atmosphere, rough=bool)
def limb_portrait(moment, atmosphere, rows, columns, height_arcsec, foot_arcsec, *, rough=False):
    """The upper limb magnified before the sky of the horizon: a `low_sun.DiscPicture`.

    The frame is height_arcsec [arcsec] high. It holds the limb, and while the limb is nearer to
    the horizon than the frame is high, the horizon: foot_arcsec [arcsec] of ground are then shown.
    Exposed for the limb, or for the sky where that is brighter, so that the green ends when it is
    lost in it. For a one-instant `Track`; None where the Sun is higher or lower than is magnified.
    rough: a draft, in as many bands as a disc that is not magnified, whose air is traced for both.
    height_arcsec 1 to 7200, foot_arcsec 0 to 7200. Raises OutOfRangeError outside.
    """
    rows, columns = require_raster(rows, columns)
    height_arcsec = require_number("height_arcsec", height_arcsec, 1.0, 7200.0, unit="arcsec")
    foot_arcsec = require_number("foot_arcsec", foot_arcsec, 0.0, 7200.0, unit="arcsec")
    curve = _curve(atmosphere, moment.place.eye_height_m, low_sun.BANDS if rough else LIMB_BANDS)
    frame = _limb_frame(curve, moment, rows, columns, height_arcsec, foot_arcsec)
    sun = float(moment.true_altitude_deg)
    if frame.high_deg > HIGHEST_DEG or sun < LOWEST_DEG:
        return None
    diameter = float(120 * moment.semidiameter_deg)
    disc = low_sun.disc_light(curve, sun, frame, sun_diameter_arcmin=diameter)
    sky = _sky_beside(round(sun, 1), moment.place.eye_height_m)
    light = np.zeros((rows, frame.half_columns_arcsec.size, 3), dtype=np.float32)
    light[frame.apparent_altitude_deg > moment.horizon_deg] = sky
    lit = slice(disc.top, disc.top + disc.values.shape[0])
    light[lit, : disc.values.shape[1]] += disc.values
    return low_sun.DiscPicture(low_sun.LitHalf(frame, 0, light), colour.srgb_from_xyz(light))


def _limb_frame(curve, moment, rows, columns, height_arcsec, foot_arcsec):
    """From a foot under the horizon, or from so far under the limb once that is higher."""
    limb = float(curve.apparent_at(moment.true_altitude_deg + moment.semidiameter_deg))
    scale = height_arcsec / rows
    lowest = moment.horizon_deg + (height_arcsec - foot_arcsec) / 3600
    return low_sun.Frame(max(lowest, limb + LIMB_ROOM * height_arcsec / 3600), scale, rows, columns)


@kept(100 * KB)
def _sky_beside(sun_true_altitude_deg, eye_height_m):
    """XYZ of the sky on the horizon under the Sun [cd/m2], in standard air."""
    air = Air(haze=POLAR_HAZE)
    up = scattering.sky_horizon_deg(air, eye_height_m) + 0.01
    return scattering.sky_xyz(air, sun_true_altitude_deg, up, 0.0, eye_height_m=eye_height_m)


@takes(track=Track, atmosphere=Atmosphere)
def portraits(track, atmosphere, high_arcmin, arcsec_per_px, rows, columns):
    """The discs of a `Track` side by side, (rows, columns, 3), each in its share of the columns.

    high_arcmin [arcmin]: the upper edge over the level horizon.
    high_arcmin 0 to 5400, arcsec_per_px [arcsec] 0.001 to 600. Raises OutOfRangeError outside.
    """
    rows, columns = require_raster(rows, columns)
    high = require_number("high_arcmin", high_arcmin, 0, 5400, unit="arcmin")
    scale = require_number("arcsec_per_px", arcsec_per_px, *low_sun.PX_RANGE_ARCSEC, unit="arcsec")
    return _portraits(track, atmosphere, high, scale, rows, columns)


@kept(10 * MB)
def _portraits(track, atmosphere, high_arcmin, arcsec_per_px, rows, columns):
    high_deg = track.horizon_deg + high_arcmin / 60
    edges = np.rint(np.linspace(0, columns, track.when.size + 1)).astype(int)
    frames = (low_sun.Frame(high_deg, arcsec_per_px, rows, int(w)) for w in np.diff(edges))
    return np.hstack(
        [portrait(one, atmosphere, frame) for one, frame in zip(track, frames, strict=True)]
    )


@kept(5 * MB)
def _curve(atmosphere, eye_height_m, bands, high_deg=HIGHEST_DEG):
    nm = low_sun.bands_nm(bands)
    return low_sun.curve_for_picture(Air(atmosphere, POLAR_HAZE), eye_height_m, high_deg, nm)
