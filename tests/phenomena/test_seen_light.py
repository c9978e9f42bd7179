"""What is seen of the last light: pieces, thresholds and colours of made-up strips of light."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import LowsunError
from lowsun.phenomena import flash_light, seen_light
from lowsun.phenomena.flash_light import Column
from lowsun.phenomena.instruments import EYE, Binoculars, Camera
from lowsun.physics import eye

WAVELENGTH_NM = np.linspace(400.0, 700.0, 31)
ALTITUDE_DEG = np.arange(0.0, 600.0) / 3600.0
WIDTH_RAD = np.radians(120.0 / 3600.0)  # of every strip: two minutes of arc
SKY = 700.0


def band(nm):
    """A narrow band of radiance of 1 cd/m2 about a wavelength, (W,) [W/m2/sr/nm]."""
    light = np.exp(-0.5 * ((WAVELENGTH_NM - nm) / 12.0) ** 2)
    return light / (683.0 * np.trapezoid(light * _y_bar(), WAVELENGTH_NM))


def _y_bar():
    from lowsun.physics.colour import colour_matching

    return colour_matching(WAVELENGTH_NM)[:, 1]


def strips(*pieces):
    """A `Column` of one instant with strips (low, high [arcsec], nm, cd/m2)."""
    radiance = np.zeros((1, ALTITUDE_DEG.size, WAVELENGTH_NM.size))
    for low, high, nm, cd in pieces:
        radiance[0, low:high] = cd * band(nm)
    rim = np.zeros(radiance.shape[:2], dtype=bool)
    return Column(WAVELENGTH_NM, ALTITUDE_DEG, radiance, radiance * WIDTH_RAD, rim)


def seen(column, instrument=EYE, sky=SKY):
    return seen_light.seen_light(column, sky, instrument)


def test_light_is_luminance_times_area():
    light = seen(strips((100, 110, 530, 2e4)))
    area = np.radians(10 / 3600) * WIDTH_RAD
    assert_allclose(light.sliver.illuminance_lx, 2e4 * area, rtol=0.01)
    assert_allclose(light.area_sr, area, rtol=0.01)
    assert_allclose(light.height_arcsec, 9.0, atol=0.01)  # from the first row to the last


def test_green_is_seen_from_the_threshold_that_tells_colours():
    area = np.radians(10 / 3600) * WIDTH_RAD
    least = float(eye.threshold_lx(area, SKY, eye.TOLD_BY_COLOUR)) / area
    for factor, wanted in ((0.9, False), (1.1, True)):
        light = seen(strips((100, 110, 530, factor * least)))
        assert light.green.tolist() == light.colour_told.tolist() == [wanted]
        assert light.noticed.tolist() == [True]
    dim = seen(strips((100, 110, 530, 0.1 * least)))
    assert dim.noticed.tolist() == [False]


@pytest.mark.parametrize(("nm", "wanted"), [(480, True), (530, True), (555, True), (580, False)])
def test_its_own_colour_counts(nm, wanted):
    light = seen(strips((100, 130, nm, 1e5)))
    assert light.green.tolist() == [wanted]
    named = str(light.sliver.colours[0]) in flash_light.FLASH_COLOURS
    assert named == wanted


def test_the_uppermost_piece_that_is_noticed_counts():
    # A thread too dim to be noticed hides nothing; one that is noticed does.
    for thread, wanted in ((1.0, True), (1e6, False)):
        light = seen(strips((100, 130, 530, 1e5), (300, 304, 620, thread)))
        assert light.green.tolist() == [wanted]


def test_pieces_closer_than_a_minute_are_one_to_the_eye_and_two_to_glass():
    column = strips((100, 130, 620, 1e5), (160, 180, 530, 1e5))
    assert seen(column).green.tolist() == [False]
    assert seen(column, Binoculars(40, 8)).green.tolist() == [True]
    assert seen(strips((100, 130, 620, 1e5), (200, 220, 530, 1e5))).green.tolist() == [True]


def test_a_brighter_sky_hides_it():
    column = strips((100, 110, 530, 3e3))
    assert seen(column, sky=100.0).green.tolist() == [True]
    assert seen(column, sky=1e4).green.tolist() == [False]


def test_a_camera_is_exposed_for_green_and_burns_out_above():
    column = strips((100, 110, 530, 3e4))
    assert seen(column, Camera(2.0, burns_out_cd_per_m2=1.0)).green.tolist() == [True]
    two = strips((100, 110, 530, 3e4))
    brighter = Column(
        WAVELENGTH_NM,
        ALTITUDE_DEG,
        np.concatenate([two.radiance, 5 * two.radiance]),
        np.concatenate([two.line, 5 * two.line]),
        np.zeros((2, ALTITUDE_DEG.size), dtype=bool),
    )
    assert seen(brighter, Camera(2.0)).green.tolist() == [True, False]


def test_nothing_left_is_nothing_seen():
    light = seen(strips())
    assert not light.noticed.any()
    assert not light.green.any()
    assert np.isnan(light.height_arcsec).all()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"column": None}, "column is None; give a Column"),
        ({"instrument": "eye"}, "instrument is 'eye'; give a NakedEye"),
        ({"sky": "bright"}, "sky_cd_per_m2 is 'bright', which is not a number"),
        ({"sky": [SKY, SKY]}, "give one number, or one for each of the 1 instants"),
        ({"sky": np.nan}, "sky_cd_per_m2 is nan"),
    ],
)
def test_what_is_no_column_sky_or_instrument_is_named(given, said):
    with pytest.raises(LowsunError, match=said):
        seen(**{"column": strips((100, 110, 530, 2e4))} | given)
