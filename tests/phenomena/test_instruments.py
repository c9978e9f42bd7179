"""Eye, binoculars and camera: thresholds by their sources and by what glass cannot do."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.phenomena.instruments import BINOCULAR_SHARE, EYE, Binoculars, Camera
from lowsun.physics import eye

ARCMIN2_SR = np.radians(1 / 60) ** 2
SKY = 700.0
POINT, FIELD = 1e-4 * ARCMIN2_SR, 1e5 * ARCMIN2_SR


def test_the_eye_notices_before_it_tells_colours():
    ratio = EYE.told_by_colour_lx(POINT, SKY) / EYE.noticed_lx(POINT, SKY)
    assert_allclose(ratio, 6.0, rtol=1e-9)
    # CIE 191:2010: below 5 cd/m2 rods join in, and signal colours fade.
    assert np.isinf(EYE.told_by_colour_lx(POINT, 4.9))
    assert np.isfinite(EYE.told_by_colour_lx(POINT, 5.1))


def test_binoculars_show_points_by_the_square_of_their_magnification():
    # With an exit pupil as wide as the eye's the sky stays as bright and a star gains M^2 by area,
    # the trade's old rule (common practice, no source); the glass takes a tenth of both.
    wide = Binoculars(aperture_mm=80, magnification=8)
    gain = EYE.noticed_lx(POINT, SKY) / wide.noticed_lx(POINT, SKY)
    assert_allclose(gain, 64, rtol=0.06)


def test_binoculars_cannot_make_a_wide_field_stand_out():
    # No glass raises the contrast of what is large already.
    glass = Binoculars(40, 8)
    assert_allclose(glass.noticed_lx(FIELD, SKY), EYE.noticed_lx(FIELD, SKY), rtol=0.02)


def test_a_small_exit_pupil_dims():
    small = Binoculars(aperture_mm=16, magnification=16)
    dimmed = small._dimming(SKY)
    assert_allclose(dimmed, BINOCULAR_SHARE / eye.pupil_mm(SKY) ** 2, rtol=1e-9)
    assert Binoculars(80, 16)._dimming(SKY) == BINOCULAR_SHARE


def test_camera_counts_the_noise_of_the_sky():
    # 50 000 electrons at 100 000 cd/m2: one for two cd/m2. A sky of 700 leaves 350, whose noise is
    # 18.7 by Poisson's law, 18.9 with 3 electrons of reading; five times that are 189.5 cd/m2.
    camera = Camera(arcsec_per_px=2.0, burns_out_cd_per_m2=100_000.0)
    pixel_sr = np.radians(2 / 3600) ** 2
    area = 10 * pixel_sr
    assert_allclose(camera.noticed_lx(area, SKY) / area, 189.5, rtol=1e-3)
    # Within one pixel light alone counts.
    for tiny in (0.01 * pixel_sr, 0.9 * pixel_sr):
        assert_allclose(camera.noticed_lx(tiny, SKY), 189.5 * pixel_sr, rtol=1e-3)


def test_camera_exposed_for_a_target_burns_out_above_it():
    camera = Camera(burns_out_cd_per_m2=1e3).exposed_for(3e5)
    assert camera.burns_out_cd_per_m2 == 3e5
    assert EYE.exposed_for(3e5) is EYE
    assert EYE.burns_out_cd_per_m2 == np.inf


def test_what_they_tell_apart():
    assert (EYE.detail_arcsec, Binoculars(40, 8).detail_arcsec) == (60.0, 7.5)
    assert Camera(3.0).detail_arcsec == 6.0


def test_words():
    assert Binoculars(40, 8).words == "binoculars 8 × 40"
    assert Camera(2.0).words == "a camera of 2″ a pixel"


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Binoculars(5, 8), "aperture_mm is 5 mm; allowed is 10 to 200 mm"),
        (lambda: Binoculars(50, 1), "magnification is 1; allowed is 2 to 60"),
        (lambda: Camera(0.0), "arcsec_per_px is 0 arcsec"),
        (lambda: Camera(burns_out_cd_per_m2=0.0), "burns_out_cd_per_m2 is 0"),
        (lambda: Camera(full_well=99), "full_well is 99; allowed is 100"),
    ],
)
def test_what_is_refused(make, message):
    with pytest.raises(OutOfRangeError, match=message):
        make()
