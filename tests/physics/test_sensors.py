"""Illustrative sensors against a measured camera and by what a balance must do."""

import colour as reference
import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import colour, sensors, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.rays import transfer_curve
from lowsun.physics.sensors import INFRARED_CUT_REMOVED, STOCK

WAVELENGTH_NM = np.arange(380.0, 831.0, 5.0)
BOTH = pytest.mark.parametrize("sensor", [STOCK, INFRARED_CUT_REMOVED], ids=lambda s: s.name)


@pytest.fixture(scope="module")
def measured():
    # A colour camera measured by the National Physical Laboratory, as colour-science ships it.
    return next(iter(reference.MSDS_CAMERA_SENSITIVITIES.values()))


def test_channels_lie_where_measured_ones_lie(measured):
    # Centres of gravity over the visible within 15 nm: an illustrative sensor, not a copy. The
    # measured red also answers weakly from 400 to 560 nm, which is left out: 25 nm.
    wavelength_nm = measured.wavelengths
    ours, theirs = STOCK.response(wavelength_nm), measured.values

    def centre_nm(response):
        return wavelength_nm @ response / response.sum(axis=0)

    assert np.all(np.abs(centre_nm(ours) - centre_nm(theirs)) < [25, 15, 15])


def test_channels_peak_where_measured_ones_peak(measured):
    wavelength_nm = measured.wavelengths
    ours = wavelength_nm[STOCK.response(wavelength_nm).argmax(axis=0)]
    theirs = wavelength_nm[measured.values.argmax(axis=0)]
    assert_allclose(ours, theirs, rtol=0, atol=15)


@BOTH
def test_sunlight_gives_its_luminance_in_green(sensor):
    light = sunlight.centre_radiance(WAVELENGTH_NM)
    share_of_luminance = sensor.raw(light, WAVELENGTH_NM)[1] / colour.luminance(
        light, WAVELENGTH_NM
    )
    # The disc's centre is a little bluer than its mean, on which the scale is set.
    assert share_of_luminance == pytest.approx(1, abs=0.03)


@BOTH
def test_balance_and_matrix_keep_white_white(sensor):
    light = sunlight.irradiance(WAVELENGTH_NM)
    raw = sensor.raw(light, WAVELENGTH_NM)
    assert_allclose(raw * sensor.white_balance, raw.max(), rtol=1e-9, atol=0)
    assert sensor.white_balance.min() == pytest.approx(1, abs=1e-12)
    assert_allclose(sensor.matrix.sum(axis=1), 1, rtol=0, atol=1e-12)
    shown = sensor.develop(raw, raw.max())
    assert_allclose(shown, 1, rtol=0, atol=1e-9)


def test_stock_camera_finds_colours_of_soft_surfaces():
    # Reflecting surfaces of three hues in sunlight: the eye's colour and the camera's agree in
    # hue within 12 nm of dominant wavelength.
    for centre_nm in (455.0, 530.0, 610.0):
        surface = 0.1 + 0.5 * np.exp(-(((WAVELENGTH_NM - centre_nm) / 45) ** 2) / 2)
        light = surface * sunlight.irradiance(WAVELENGTH_NM)
        raw = STOCK.raw(light, WAVELENGTH_NM)
        linear = colour.decode_srgb(STOCK.develop(raw, 2 * raw.max()))
        camera_nm = colour.dominant_wavelength_nm(
            colour.chromaticity(colour.xyz_from_linear_srgb(linear))
        )
        eye_nm = colour.dominant_wavelength_nm(
            colour.chromaticity(colour.xyz_from_spectrum(light, WAVELENGTH_NM))
        )
        assert camera_nm == pytest.approx(float(eye_nm), abs=12)


def test_infrared_cut_stops_what_the_eye_does_not_see():
    deep_red = (WAVELENGTH_NM >= 740).astype(float)
    stopped = STOCK.raw(deep_red, WAVELENGTH_NM)
    seen = INFRARED_CUT_REMOVED.raw(deep_red, WAVELENGTH_NM)
    assert np.all(stopped < 0.01 * seen)


def test_low_sun_burns_out_the_red_first():
    curve = transfer_curve(Atmosphere.standard(), 2.0, [0.5, 60.0], WAVELENGTH_NM)
    light = curve.through(HAZE["very clear"]).transmission().T * sunlight.centre_radiance(
        WAVELENGTH_NM
    )
    low, high = STOCK.raw(light, WAVELENGTH_NM)
    red, green, blue = low
    assert red > green > blue
    assert np.argmax(high) == 1


def test_burnt_out_is_white_and_half_burnt_out_changes_hue():
    orange = np.array([3.0, 1.5, 0.1])
    assert_allclose(STOCK.develop([9.0, 9.0, 9.0], 1.0), 1, rtol=0, atol=1e-9)
    exposed = STOCK.develop(orange, 6.0)
    burnt = STOCK.develop(orange, 1.0)
    assert burnt[1] / burnt[0] > exposed[1] / exposed[0]


@BOTH
def test_scalar_and_array_agree(sensor):
    grid = sensor.response(np.full((2, 4), 550.0))
    assert grid.shape == (2, 4, 3)
    assert_allclose(grid, np.broadcast_to(sensor.response(550.0), (2, 4, 3)), rtol=0, atol=0)


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: STOCK.response(900), r"wavelength_nm is 900 nm; allowed is 380 to 830"),
        (lambda: STOCK.weights([600, 500]), r"rising wavelengths"),
        (lambda: STOCK.develop([1, 1, -1], 1), r"raw is -1 cd/m2"),
        (lambda: STOCK.develop([1, 1, 1], 0), r"saturation is 0 cd/m2"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


def test_names_say_illustrative():
    assert all("illustrative" in sensor.name for sensor in (STOCK, INFRARED_CUT_REMOVED))
    assert "Illustrative" in sensors.__doc__
