"""The camera against ISO 2720, ISO 12232 and plain optics."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq
from scipy.special import j1

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork import camera
from lowsun.fieldwork.camera import Camera

CLIFF = Camera(focal_length_mm=600.0, f_number=8.0, pixel_um=4.0, frame_px=(6000, 4000))
STOPPED = replace(CLIFF, f_number=16.0)
NOON, HORIZON = 1.6e9, 6e5  # cd/m2, handbook orders of magnitude


@pytest.mark.parametrize(
    ("luminance", "ev"),
    [
        # EV100 = log2(8 L), ISO 2720 with K = 12.5.
        (1.6e9, 33.58),
        (6e5, 22.19),
        (3200, 14.64),
    ],
)
def test_exposure_value(luminance, ev):
    assert camera.exposure_value(luminance) == pytest.approx(ev, abs=5e-3)


@pytest.mark.parametrize(
    ("diameter_arcmin", "focal_over_image"),
    [
        # Focal length over the image of the Sun: 1 au, July, January.
        (31.974, 107.5),
        (31.46, 109.3),
        (32.53, 105.7),
    ],
)
def test_image_of_the_sun(diameter_arcmin, focal_over_image):
    ratio = CLIFF.focal_length_mm / CLIFF.sun_image_mm(diameter_arcmin)
    assert ratio == pytest.approx(focal_over_image, abs=0.06)


def test_image_of_the_sun_fills_its_pixels():
    # The almanacs' disc, 2 x 959.63", divided by the scale, two ways round.
    assert CLIFF.sun_px() == pytest.approx(2 * 959.63 / CLIFF.arcsec_per_pixel, rel=1e-4)
    assert CLIFF.holds_sun()
    assert not replace(CLIFF, focal_length_mm=4000.0, f_number=16.0).holds_sun()


def test_scale_by_hand():
    # 4 um over 600 mm is 6.667e-6 rad, 1.3751".
    assert CLIFF.arcsec_per_pixel == pytest.approx(1.3751, abs=1e-4)
    assert CLIFF.pixels(27.502) == pytest.approx(20, abs=1e-3)


def test_field_of_full_frame():
    # 36 x 24 mm at 50 mm: 39.6 by 27.0 deg (common practice).
    wide, high = Camera(50.0, 8.0, 6.0, (6000, 4000)).field_deg
    assert (wide, high) == pytest.approx((39.6, 27.0), abs=0.05)


def test_diffraction_disc_is_airys():
    # Half of the peak of (2 J1(x) / x)^2, x = pi angle aperture / wavelength; scipy's J1.
    half = brentq(lambda x: (2 * j1(x) / x) ** 2 - 0.5, 1.0, 2.5)
    width_rad = 2 * half / np.pi * 550e-9 / (CLIFF.aperture_mm * 1e-3)
    assert CLIFF.diffraction_arcsec(550) == pytest.approx(np.degrees(width_rad) * 3600, rel=1e-3)


def test_blurs_add_as_squares():
    assert CLIFF.blur_arcsec(0) == CLIFF.diffraction_arcsec()
    assert CLIFF.blur_arcsec(4.0) ** 2 == pytest.approx(16 + CLIFF.diffraction_arcsec() ** 2)


def test_trail_of_the_turning_sky():
    # 15.04"/s for 1/4 s at 1.3751" a pixel.
    assert CLIFF.trail_px(15.04, 0.25) == pytest.approx(15.04 / 4 / 1.3751, rel=1e-4)


def test_saturation_follows_the_standard():
    # ISO 12232: S = 78 / H_sat, so ISO 100 saturates at 0.78 lx s.
    longest_s = CLIFF.longest_exposure_s(3200.0)
    exposed = CLIFF.focal_plane_exposure_lxs(3200.0, longest_s)
    assert exposed == pytest.approx(0.78, rel=1e-12)
    assert CLIFF.saturation_share(3200.0, longest_s) == pytest.approx(1, rel=1e-12)


def test_stops_double_and_filters_multiply():
    twice = replace(CLIFF, iso=200.0)
    assert CLIFF.longest_exposure_s(NOON) == pytest.approx(2 * twice.longest_exposure_s(NOON))
    dark = replace(CLIFF, filter_density=5.0)
    ratio = dark.longest_exposure_s(NOON) / CLIFF.longest_exposure_s(NOON)
    assert ratio == pytest.approx(1e5, rel=1e-9)
    open_one_stop = replace(CLIFF, f_number=8 / np.sqrt(2))
    ratio = CLIFF.longest_exposure_s(NOON) / open_one_stop.longest_exposure_s(NOON)
    assert ratio == pytest.approx(2, rel=1e-9)


@pytest.mark.parametrize(
    ("exposure_s", "words"),
    [(1 / 8000, "1/8000 s"), (0.25, "1/4 s"), (2.5, "2.5 s"), (1283.0, "1280 s")],
)
def test_shutter_words(exposure_s, words):
    assert camera.shutter_words(exposure_s) == words


def test_density_and_stops():
    # Density 3.0 is a thousandth, 9.97 stops.
    assert camera.stops_of_density(3.0) == pytest.approx(9.966, abs=1e-3)
    assert camera.density_of_stops(camera.stops_of_density(1.8)) == pytest.approx(1.8)


def test_horizon_sun_needs_no_filter_where_noon_does():
    assert STOPPED.filter_density_needed(HORIZON) == 0
    density = STOPPED.filter_density_needed(NOON)
    assert density > 2
    filtered = replace(STOPPED, filter_density=density)
    assert filtered.shutter_s(NOON) == pytest.approx(STOPPED.fastest_shutter_s, rel=1e-9)


def test_headroom_is_kept():
    exposure_s = STOPPED.shutter_s(HORIZON, headroom_stops=1.0)
    assert STOPPED.saturation_share(HORIZON, exposure_s) == pytest.approx(0.5, rel=1e-9)


def test_scalar_and_array_agree():
    bright = np.array([3200.0, HORIZON])
    assert_allclose(
        CLIFF.longest_exposure_s(bright), [CLIFF.longest_exposure_s(one) for one in bright]
    )
    assert_allclose(camera.exposure_value(bright), [camera.exposure_value(one) for one in bright])
    assert np.ndim(camera.exposure_value(3200.0)) == 0


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"focal_length_mm": 0}, r"focal_length_mm is 0 mm; .*not an equivalent"),
        ({"f_number": 0.3}, r"f_number is 0.3; .*no lens is faster than f/0.5"),
        ({"pixel_um": np.nan}, r"pixel_um is nan um"),
        ({"bits": 24}, r"bits is 24; allowed is 8 to 16"),
        ({"bits": 12.5}, r"bits is 12.5; give a whole number"),
        ({"iso": -100}, r"iso is -100"),
        ({"filter_density": -1}, r"filter_density is -1; .*density_of_stops"),
        ({"frame_px": 6000}, r"frame_px is 6000; give width and height"),
        ({"frame_px": (6000, 0)}, r"frame_px is 0 px"),
        ({"fastest_shutter_s": 60.0}, r"fastest_shutter_s is 60 s, longer than .*Exchange"),
        ({"slowest_shutter_s": 1e9}, r"slowest_shutter_s is 1e\+09 s"),
    ],
)
def test_impossible_cameras_are_refused(change, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        replace(CLIFF, **change)


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: camera.exposure_value(0), r"luminance is 0 cd/m2"),
        (lambda: CLIFF.sun_px(40), r"sun_diameter_arcmin is 40 arcmin; allowed is 31 to 33"),
        (lambda: CLIFF.pixels(-1), r"arcsec is -1 arcsec"),
        (lambda: CLIFF.blur_arcsec(-1), r"seeing_arcsec is -1 arcsec"),
        (lambda: CLIFF.diffraction_arcsec(5), r"wavelength_nm is 5 nm"),
        (lambda: CLIFF.trail_px(15, 1e-5), r"exposure_s is 1e-05 s; allowed is 0.000125 to 30"),
        (lambda: CLIFF.shutter_s(NOON), r"fastest is 1/8000 s.*12.3 stops are missing"),
        (lambda: CLIFF.shutter_s(1e-3), r"slowest is 30 s.* stops too many"),
        (lambda: camera.density_of_stops(-1), r"stops is -1 stops"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()
