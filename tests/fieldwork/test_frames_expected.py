"""What is expected of a camera against what is measured on the kit's own picture.

One is cut along the upright middle of the disc, the other is a blurred, noisy raster; they share
the traced air and the way in which limbs are measured.
"""

import numpy as np
import pytest

import simulated
from lowsun.fieldwork import frame, frames
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.frames.expected import channel_weights, expected, over
from lowsun.phenomena import low_sun
from lowsun.physics import sensors
from lowsun.physics.atmosphere import Atmosphere

CAMERA = Camera(
    focal_length_mm=400,
    f_number=11,
    pixel_um=5,
    frame_px=(1000, 800),
    fastest_shutter_s=1 / 32000,
    filter_density=3.0,
)
SENSOR = sensors.STOCK


@pytest.fixture(scope="module")
def curve():
    return low_sun.curve_for_picture(Atmosphere.standard().with_haze(1500.0), 95.0)


def exposed(curve, altitude_deg):
    """A frame whose brightest channel reaches a third of what is full."""
    first = frame.expose(curve, altitude_deg, CAMERA, 1 / 1000)
    share = first.level.max() / first.full_level
    again = 0.33e-3 / share if share < 1 else 1 / 32000
    return frame.expose(curve, altitude_deg, CAMERA, again, seed=1)


@pytest.mark.parametrize("altitude_deg", [2.0, 0.3, -0.3])
def test_raster_and_limbs_agree_in_the_cameras_channels(curve, altitude_deg):
    wanted = expected(
        curve, altitude_deg, channel_weights(SENSOR, curve.wavelength_nm, developed=False)
    )
    reading = frames.measure(simulated.raw_picture(exposed(curve, altitude_deg)))
    upper, lower = wanted.pixels(CAMERA.arcsec_per_pixel)
    assert reading.axis_ratio == pytest.approx(wanted.axis_ratio, rel=0.001)
    # The model is cut upright alone, the frame's limb is seen over 90 degrees of it.
    assert reading.upper_green_over_red_px == pytest.approx(upper, rel=0.03)
    assert reading.lower_green_over_red_px == pytest.approx(lower, rel=0.08)
    assert reading.arcsec_per_px == pytest.approx(CAMERA.arcsec_per_pixel, rel=0.001)


def test_a_developed_picture_moves_its_channels_farther_apart(curve):
    raw, developed = (
        expected(curve, 0.0, channel_weights(SENSOR, curve.wavelength_nm, developed=each))
        for each in (False, True)
    )
    assert developed.upper_arcsec > 1.2 * raw.upper_arcsec
    assert developed.axis_ratio == pytest.approx(raw.axis_ratio, abs=0.002)


def test_without_air_there_is_nothing_to_tell_apart(curve):
    # 20 degrees up refraction flattens by 0.2 % and disperses by 2 % of what it does at 0.
    high, low = (
        expected(curve, altitude, channel_weights(SENSOR, curve.wavelength_nm, developed=False))
        for altitude in (19.0, 0.0)
    )
    assert high.axis_ratio == pytest.approx(1.0, abs=0.004)
    assert high.upper_arcsec < 0.15 * low.upper_arcsec


def test_a_limb_below_the_horizon_is_not_known(curve):
    weights = channel_weights(SENSOR, curve.wavelength_nm, developed=False)
    half_set = expected(curve, -0.9, weights)
    assert half_set.axis_ratio is None
    assert half_set.lower_arcsec is None
    assert half_set.upper_arcsec > 0
    ratio, upper, lower = over(curve, [0.0, -0.9, -3.0], weights)
    assert np.isfinite(ratio).tolist() == [True, False, False]
    assert np.isfinite(upper).tolist() == [True, True, False]
    assert np.isfinite(lower).tolist() == [True, False, False]
