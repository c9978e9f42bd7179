"""The low Sun in its sky over its sea: one frame, one light, from broad day to the end of dusk."""

import numpy as np

from lowsun.errors import require_number, takes
from lowsun.phenomena import low_sun
from lowsun.phenomena.calm_sea import mirrored_disc, mirrored_sky
from lowsun.phenomena.low_sky import ABOVE_HORIZON_DEG, low_sky
from lowsun.phenomena.low_sun import Frame
from lowsun.phenomena.sea import NEAREST_DEG, sea
from lowsun.physics import colour
from lowsun.physics.rays import TransferCurve
from lowsun.physics.scattering import sky_horizon_deg
from lowsun.physics.scattering.radiance import sun_altitude

LEAST_CONTRAST = 0.02  # what is seen of a large target by day; as in Koschmieder's visibility
CALM = 0.0  # m/s of wind: the sea is a mirror; between it and 0.5 nothing was measured


@takes(curve=TransferCurve, frame=Frame)
def seascape(
    curve,
    air,
    sun_true_altitude_deg,
    frame,
    *,
    horizon_deg,
    eye_height_m,
    wind_m_per_s,
    sun_diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN,
    responses=colour.xyz_weights,
):
    """The light of disc, sky and sea in a frame, CIE XYZ [cd/m2]: a `low_sun.LitHalf` of all rows.

    curve: for pictures, from eye_height_m [m]; air: the `Air` that lights the sky, whose haze and
    ozone dim the disc too; sun_true_altitude_deg [deg] -10 to 20; frame: up to 16 deg to each side
    of the Sun; horizon_deg [deg] -10 to 10: apparent altitude of the traced sea horizon, where
    sky and sea meet, in mirages too; wind_m_per_s [m/s] 0 (calm) or 0.5 to 15; responses:
    `colour.xyz_weights`, or a `Sensor`'s `weights` for its channels [cd/m2 of sunlight]. Raises
    OutOfRangeError outside these.
    Leaves out what `low_sky` and `sea` leave out; a row on the horizon shows a share of both.
    """
    sun_true_altitude_deg = sun_altitude(sun_true_altitude_deg)
    horizon_deg = require_number("horizon_deg", horizon_deg, -10.0, 10.0, unit="deg")
    wind_m_per_s = require_number("wind_m_per_s", wind_m_per_s, CALM, 15.0, unit="m/s")
    seen_deg = float(curve.apparent_at(sun_true_altitude_deg))
    light = _surroundings(
        air,
        sun_true_altitude_deg,
        seen_deg,
        frame,
        horizon_deg,
        eye_height_m,
        wind_m_per_s,
        responses,
    )
    disc = low_sun.disc_light(
        curve.through(air.haze, air.ozone_du),
        sun_true_altitude_deg,
        frame,
        sun_diameter_arcmin=sun_diameter_arcmin,
        responses=responses,
    )
    _add(light, disc)
    if wind_m_per_s == CALM:
        mirrored = mirrored_disc(
            air,
            sun_true_altitude_deg,
            frame.raised(sky_horizon_deg(air, eye_height_m) - horizon_deg),
            eye_height_m=eye_height_m,
            sun_diameter_arcmin=sun_diameter_arcmin,
            responses=responses,
        )
        _add(light, mirrored)
    light.flags.writeable = False  # who asks again may be given the same
    return low_sun.LitHalf(frame, 0, light)


@takes(picture=low_sun.DiscPicture)
def stands_out(picture):
    """Is any of the disc noticeably brighter than the sky at the picture's edge in its row?

    picture: a `low_sun.DiscPicture` of a frame wider than the disc.
    """
    half = picture.lit.values[..., 1]  # from the middle to the edge
    return bool(np.any(half.max(axis=1) > (1.0 + LEAST_CONTRAST) * half[:, -1]))


@takes(light=low_sun.LitHalf)
def as_seen(light, exposure_stops=0.0):
    """What an eye takes in of a `seascape` at one glance: a `low_sun.DiscPicture`.

    light: its `LitHalf`; exposure_stops [stops] -20 to 20: how much brighter it is shown.
    The eye is adapted to the mean of the frame; see `colour.eye_response`.
    """
    colours = colour.srgb_at_a_glance(light.values, exposure_stops=exposure_stops)
    return low_sun.DiscPicture(light, colours)


def _add(light, disc):
    rows = slice(disc.top, disc.top + disc.values.shape[0])
    light[rows, : disc.values.shape[1]] += disc.values


def _surroundings(
    air, sun_deg, seen_deg, frame, horizon_deg, eye_height_m, wind_m_per_s, responses
):
    """Sky above the horizon and sea below it, (rows, half of the columns, 3), float32."""
    across = frame.half_columns_arcsec / 3600.0
    smooth = sky_horizon_deg(air, eye_height_m)
    height = frame.apparent_altitude_deg - horizon_deg  # above the horizon that is seen
    light = _light_for(frame.rows, across.size)
    above = _share_above(height, frame.arcsec_per_px / 3600.0)
    up, down = _rows_of(above > 0.0), _rows_of(above < 1.0)
    if up.stop > up.start:
        sky = low_sky(
            air,
            sun_deg,
            seen_deg + smooth - horizon_deg,
            smooth + max(height[0], 0.0) + 0.1,
            across[-1],
            eye_height_m=eye_height_m,
            responses=responses,
        )
        rows = np.maximum(height[up], ABOVE_HORIZON_DEG) + smooth
        sky.seen(rows, across, out=light[up])
    if down.stop > down.start:
        rows = np.minimum(height[down], -NEAREST_DEG) + smooth
        mixed = _rows_of((above > 0.0) & (above < 1.0))  # the horizon runs through them
        sky_there = light[mixed].copy()
        _fill_with_water(
            light[down], air, sun_deg, rows, across, eye_height_m, wind_m_per_s, responses
        )
        share = above[mixed, None, None].astype(np.float32)
        light[mixed] += share * (sky_there - light[mixed])
    return light


def _fill_with_water(
    light, air, sun_deg, rows_deg, across_deg, eye_height_m, wind_m_per_s, responses
):
    """Write the sea at rows and columns, the disc's own mirror image left out, into (R, H, 3)."""
    if wind_m_per_s == CALM:
        light[:] = mirrored_sky(
            air, sun_deg, rows_deg, across_deg, eye_height_m=eye_height_m, responses=responses
        )
        return
    seen = sea(
        air,
        sun_deg,
        rows_deg.min() - 0.02,
        across_deg[-1],
        eye_height_m=eye_height_m,
        wind_m_per_s=wind_m_per_s,
        responses=responses,
    )
    seen.seen(rows_deg, across_deg, out=light)


def _light_for(rows, columns):
    """Room for light, (rows, columns, 3); each channel lies in one piece, which is quick."""
    return np.moveaxis(np.empty((3, rows, columns), dtype=np.float32), 0, -1)


def _rows_of(chosen):
    """The slice of all rows that are chosen: they follow one another."""
    rows = np.flatnonzero(chosen)
    return slice(rows[0], rows[-1] + 1) if rows.size else slice(0, 0)


def _share_above(height_deg, row_deg):
    """How much of each row lies above the horizon, 0 to 1."""
    return np.clip(height_deg / row_deg + 0.5, 0.0, 1.0)
