"""Disc, sky and sea in one frame: each where it belongs, without a seam and without a jump."""

from functools import cache

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import LowsunError
from lowsun.phenomena import low_sun
from lowsun.phenomena.seascape import as_seen, seascape, stands_out
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air

EYE_M = 95.0
ATMOSPHERE = Atmosphere.standard()
HORIZON_DEG = float(rays.horizon_apparent_altitude_deg(ATMOSPHERE, EYE_M))
FRAME = low_sun.Frame(HORIZON_DEG + 0.6, 20.0, 180, 120)


@cache
def air(depth=0.07):
    return Air(atmosphere=ATMOSPHERE, haze=Haze(depth, 0.8))


@cache
def curve():
    return low_sun.curve_for_picture(ATMOSPHERE, EYE_M)


def light(sun_deg, depth=0.07, frame=FRAME, horizon_deg=HORIZON_DEG):
    return seascape(
        curve(),
        air(depth),
        sun_deg,
        frame,
        horizon_deg=horizon_deg,
        eye_height_m=EYE_M,
        wind_m_per_s=5.0,
    )


def test_the_disc_is_the_discs_own_light_before_the_sky():
    disc = low_sun.disc_light(curve().through(air().haze), -0.4, FRAME)
    whole, sky = light(-0.4).values, light(-0.4).values.copy()
    rows = slice(disc.top, disc.top + disc.values.shape[0])
    sky[rows, : disc.values.shape[1]] -= disc.values
    # What is left has no disc in it: it falls smoothly from row to row above the horizon.
    above = FRAME.apparent_altitude_deg > HORIZON_DEG + 0.02
    steps = np.diff(np.log(sky[above, 0, 1]))
    assert np.abs(np.diff(steps)).max() < 0.02
    assert whole[rows][:, 0, 1].max() > 100 * sky[rows][:, 0, 1].max()


def test_sky_and_sea_meet_at_the_horizon_that_was_traced():
    for horizon in (HORIZON_DEG, HORIZON_DEG + 0.1):
        y = light(-2.0, horizon_deg=horizon).values[:, 60 // 2, 1]
        # The sky changes smoothly and so does the sea: where they meet the slope jumps.
        edge = FRAME.apparent_altitude_deg[1 + np.abs(np.diff(np.log(y), 2)).argmax()]
        assert edge == pytest.approx(horizon, abs=2 * FRAME.arcsec_per_px / 3600)


@pytest.mark.parametrize("above", [0.2, 0.5, 0.8])
def test_a_row_on_the_horizon_shows_a_share_of_both(above):
    row_deg = 0.01
    frame = low_sun.Frame(HORIZON_DEG + (10 + above) * row_deg, 3600 * row_deg, 21, 8)
    sky, row, below, lower = light(1.0, frame=frame).values[9:13, :, 1]
    sea = 2 * below - lower  # it darkens towards the horizon
    assert (sea > 1.3 * sky).all()
    assert_allclose((row - sea) / (sky - sea), above, rtol=0, atol=0.08)


def test_the_evening_has_no_jump():
    # From the disc's last sliver into dusk, the sky aside dims by the same small steps.
    suns = np.arange(-0.6, -1.5, -0.05)
    y = np.array([light(sun).values[20, -1, 1] for sun in suns])
    steps = y[1:] / y[:-1]
    assert np.all((steps > 0.85) & (steps < 1.0))
    assert np.abs(np.diff(steps)).max() < 0.03


def test_thick_haze_puts_the_low_disc_out():
    # Common practice, no source: in thick haze the Sun is gone before it reaches the horizon.
    clear, thick = (light(-0.5, depth).values[..., 1] for depth in (0.03, 0.45))
    row = np.argmin(np.abs(FRAME.apparent_altitude_deg - HORIZON_DEG - 0.1))
    assert clear[row, 0] > 30 * clear[row, -1]
    assert thick[row, 0] < 1.05 * thick[row, -1]


def test_all_of_the_frame_has_light():
    lit = light(0.5)
    assert lit.values.shape == (180, 60, 3)
    assert lit.top == 0
    assert (lit.values > 0).all()
    picture = lit.whole(lit.values)
    assert_allclose(picture, picture[:, ::-1])


def test_disc_and_sky_both_keep_their_colour_in_the_picture():
    # Four stops lie between them here, and an eye sees both: neither white nor black.
    picture = as_seen(light(-0.4))
    row = np.argmin(np.abs(FRAME.apparent_altitude_deg - HORIZON_DEG - 0.2))
    disc, sky = (picture.rgb[row, column].astype(int) for column in (60, 0))
    assert picture.luminance_cd_per_m2[row, 60] > 10 * picture.luminance_cd_per_m2[row, 0]
    for colour in (disc, sky):
        assert colour[0] > colour[1] > colour[2]  # red over green over blue at sunset
        assert 40 < colour.max() < 256
    assert disc.sum() > sky.sum()


def test_exposure_brightens_what_is_shown():
    assert as_seen(light(-0.4), 1.0).rgb.mean() > 1.1 * as_seen(light(-0.4)).rgb.mean()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"sun_true_altitude_deg": [1.0, 2.0]}, "sun_true_altitude_deg holds 2 numbers; give one"),
        ({"horizon_deg": None}, "horizon_deg is None, which is not a number"),
        ({"horizon_deg": 40.0}, "horizon_deg is 40 deg; allowed is -10 to 10"),
        ({"wind_m_per_s": "calm"}, "wind_m_per_s is 'calm', which is not a number"),
        ({"responses": np.ones((24, 3))}, "give a function of wavelengths"),
        ({"eye_height_m": np.nan}, "eye_height_m is nan"),
    ],
)
def test_what_is_no_sun_horizon_or_wind_is_named(given, said):
    good = {
        "sun_true_altitude_deg": -0.4,
        "horizon_deg": HORIZON_DEG,
        "eye_height_m": EYE_M,
        "wind_m_per_s": 5.0,
    }
    with pytest.raises(LowsunError, match=said):
        seascape(curve(), air(), frame=FRAME, **good | given)


def test_what_is_no_light_or_picture_is_named():
    with pytest.raises(LowsunError, match="light is 5; give a LitHalf"):
        as_seen(5)
    with pytest.raises(LowsunError, match="picture is None; give a DiscPicture"):
        stands_out(None)
