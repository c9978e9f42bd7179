"""The mirror of a calm sea: it joins the sky at the horizon, turned over and squeezed."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import LowsunError, OutOfRangeError
from lowsun.phenomena import calm_sea, low_sun
from lowsun.phenomena.calm_sea import mirrored_disc, mirrored_sky
from lowsun.phenomena.low_sky import low_sky
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.scattering import Air, sky_horizon_deg

EYE_M = 95.0
ATMOSPHERE = Atmosphere.standard()
AIR = Air(atmosphere=ATMOSPHERE)
HORIZON_DEG = sky_horizon_deg(AIR, EYE_M)
FRAME = low_sun.Frame(HORIZON_DEG + 0.1, 6.0, 600, 600)


def mirror_curve():
    return calm_sea._mirror_curve(AIR, EYE_M, FRAME)


def test_at_the_horizon_the_mirror_image_joins_the_image():
    # A ray that just misses the water and one that just touches it come from the same sky.
    just_above = rays.transfer_curve(ATMOSPHERE, EYE_M, HORIZON_DEG + 0.0005, 570.0)
    mirrored = mirror_curve()
    band = np.argmin(np.abs(mirrored.wavelength_nm - 570.0))
    assert mirrored.true_altitude_deg[band, -1] == pytest.approx(
        float(just_above.true_altitude_deg), abs=0.03
    )
    assert mirrored.air_column[band, -1] == pytest.approx(float(just_above.air_column), rel=0.03)


def test_going_down_the_mirror_shows_higher_sky():
    true = mirror_curve().true_altitude_deg[12]
    assert np.all(np.diff(true) < 0)  # apparent altitudes rise, the sky they show sinks


def test_angles_at_the_water_by_hand_without_air():
    # R cos(e) = (R + h) cos(a): the sine rule in the triangle of the Earth's centre, eye and water.
    straight = Air(atmosphere=ATMOSPHERE, refraction=False)
    horizon = sky_horizon_deg(straight, EYE_M)
    down = np.radians(-horizon + np.array([0.05, 0.2, 0.6]))
    radius = 6_371_000.0
    by_hand = np.degrees(np.arccos((radius + EYE_M) / radius * np.cos(down)))
    got = calm_sea._lines(straight, EYE_M, -np.degrees(down)).grazing_deg
    assert_allclose(got, by_hand, rtol=5e-3)


def test_mirrored_disc_is_squeezed_and_as_wide():
    sun = low_sun.curve_for_picture(ATMOSPHERE, EYE_M).apparent_at(-0.2) > 0
    disc = mirrored_disc(AIR, -0.2, FRAME, eye_height_m=EYE_M, sun_diameter_arcmin=31.988)
    lit = disc.values[..., 1] > 0.2 * disc.values[..., 1].max()
    high = lit[:, 0].sum() * FRAME.arcsec_per_px / 60
    wide = 2 * lit.sum(axis=1).max() * FRAME.arcsec_per_px / 60
    assert sun
    assert wide == pytest.approx(32.0, abs=1.0)
    assert 5.0 < high < 0.8 * 32.0
    assert disc.lit_rows_deg.max() < HORIZON_DEG


def test_sky_in_the_mirror_is_the_sky_above_the_horizon_there():
    # On the horizon water mirrors all: the mirror image is as bright as the sky it joins.
    rows = HORIZON_DEG - np.array([0.004, 0.5])
    seen = mirrored_sky(AIR, -1.5, rows, np.array([0.0, 0.5]), eye_height_m=EYE_M)
    sky = low_sky(AIR, -1.5, -1.0, 1.0, eye_height_m=EYE_M).seen([HORIZON_DEG + 0.004], [0.0, 0.5])
    assert_allclose(seen[0, :, 1], sky[0, :, 1], rtol=0.25)
    # Deeper it mirrors less: at 0.7 deg 95 %, by Fresnel.
    assert np.all(seen[1, :, 1] > 0)


def test_above_the_horizon_is_no_sea():
    with pytest.raises(OutOfRangeError, match=r"altitude_deg is 0.1 deg; the sea begins at -0.29"):
        mirrored_sky(AIR, -1.0, np.array([0.1]), np.array([0.0]), eye_height_m=EYE_M)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"air": None}, "air is None; give an Air"),
        ({"eye_height_m": [95.0]}, "eye_height_m holds 1 numbers; give one"),
        ({"altitude_deg": -1.0}, "give numbers in a row"),
        ({"azimuth_deg": [20.0]}, "azimuth_deg is 20 deg; allowed is 0 to 16"),
        ({"sun_true_altitude_deg": [1.0, 2.0]}, "sun_true_altitude_deg holds 2 numbers"),
    ],
)
def test_what_is_no_air_eye_or_row_is_named(given, said):
    good = {"air": AIR, "sun_true_altitude_deg": 1.0, "altitude_deg": [-1.0], "azimuth_deg": [0.0]}
    with pytest.raises(LowsunError, match=said):
        mirrored_sky(**good | {"eye_height_m": EYE_M} | given)
    if given.keys() & {"air", "eye_height_m"}:
        with pytest.raises(LowsunError, match=said):
            mirrored_disc(
                **{"air": AIR, "eye_height_m": EYE_M} | given,
                sun_true_altitude_deg=1.0,
                frame=FRAME,
                sun_diameter_arcmin=32.0,
            )
