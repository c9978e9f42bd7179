"""The last minute and the exposure ladder are wired to the light, the camera and their words."""

import re
from datetime import date

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork.camera import shutter_words
from lowsun.phenomena.green_flash import forecast
from lowsun.physics import colour
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.scenes import caution, named
from lowsun.scenes.catalogue import EQUINOX
from lowsun.scenes.controls import StateError
from lowsun.scenes.exposure_ladder import scene as ladder
from lowsun.scenes.exposure_ladder import sheet
from lowsun.scenes.last_light import scene
from lowsun.stage.player import live
from read_back import disc_rows


def test_named_in_the_registry():
    assert named("last_light") is scene
    assert named("exposure_ladder") is ladder


def test_burnt_out_where_it_says_so_and_not_elsewhere():
    for shutter in ("1/30 s", "1/500 s", "1/8000 s", "1/32000 s"):
        result = scene.result(shutter=shutter)
        burnt = (result.shot.level == result.shot.full_level).any()
        assert ("burnt out" in scene.sentence(shutter=shutter)) == burnt


def test_what_would_have_kept_it_keeps_it():
    sentence = scene.sentence(shutter="1/15 s", filter_stops=1)
    kept = re.search(r"burnt out\. (1/\d+ s) would have kept it", sentence)[1]
    offered = scene.result(shutter="1/15 s", filter_stops=1).setting
    assert kept == shutter_words(offered.shutter_s)
    faster = [s for s in scene.control("shutter").options if _seconds(s) <= offered.shutter_s]
    saved = scene.result(shutter=faster[-1], filter_stops=1)
    assert not saved.shot.clipped.any()
    assert saved.shot.shown_colour == saved.colour_now == "green"


def _seconds(words):
    return 1 / float(words.removesuffix(" s").removeprefix("1/"))


def test_bright_disc_needs_a_filter_that_keeps_it():
    state = {"seconds": -60, "haze": "none", "shutter": "1/32000 s"}
    stops = int(
        re.search(r"A filter of (\d+) stops at 1/32000 s would", scene.sentence(**state))[1]
    )
    assert scene.result(**state, filter_stops=stops - 2).shot.clipped.any()
    assert scene.result(**state, filter_stops=stops).shot.clipped_share.max() < 0.01


def test_haze_makes_the_point():
    lasting = []
    for haze in ("none", "very clear", "clear"):
        begin, end = scene.result(haze=haze).flash_span
        assert f"A green rim is seen for {end - begin:.1f} s." in scene.sentence(haze=haze)
        lasting.append(end - begin)
    assert lasting[0] > lasting[1] > lasting[2]
    assert "No flash" in scene.sentence(haze="hazy")
    assert scene.result(haze="hazy").flash_span is None


def test_mirage_lengthens_the_flash():
    # Young, Kattawar & Parviainen 1997: the flash that is seen well is a mirage's.
    even = scene.result(eye_height_m=6)
    warm = scene.result(eye_height_m=6, air="sea 2° warmer than the air")
    assert np.ptp(warm.flash_span) > 1.1 * np.ptp(even.flash_span)


def test_each_kind_is_named_and_timed_as_the_forecast_does():
    for air, kind in (
        ("even", "A green rim"),
        ("sea 2° warmer than the air", "The flash, by inferior mirage,"),
        ("inversion under the eye", "The flash, by mock mirage,"),
    ):
        result = scene.result(air=air)
        made = forecast(
            result.evening.place, EQUINOX, Air(result.evening.atmosphere, HAZE["clear"])
        )
        assert np.ptp(result.flash_span) == pytest.approx(made.duration_s, abs=1e-6)
        assert f"{kind} is seen for {made.duration_s:.1f} s." in scene.sentence(air=air)


def test_glass_shows_more_of_the_rim_and_no_haze_is_too_thick_to_be_named():
    eye = scene.result(haze="clear")
    glass = scene.result(haze="clear", instrument="binoculars 8 × 40")
    assert np.ptp(glass.flash_span) > 2 * np.ptp(eye.flash_span)
    said = scene.sentence(haze="hazy", instrument="binoculars 8 × 40")
    assert "No flash for binoculars 8 × 40: not a millionth of the green light comes" in said
    # In such haze none is seen; in a thinner one it is: sea air has a depth of 0.07.
    depth = float(re.search(r"lost from a haze of depth (0\.\d\d) on\.$", said)[1])
    assert 0.07 < depth < 0.2


def test_no_colour_is_named_that_cannot_be_told():
    # Between the light that is noticed and the light that tells a colour, and nowhere else.
    named = []
    for seconds in (-0.5, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.6, 0.9, 3.0):
        result = scene.result(seconds=seconds)
        said = scene.sentence(seconds=seconds)
        assert ("too faint for its colour" in said) == (
            result.seen_now and not result.colour_told_now
        )
        named.append(result.eye_words)
    assert named[0].startswith("green: ")
    assert "too faint for its colour" in named
    assert named[-1] in ("gone", "lost in the sky's light")


def test_a_lost_sliver_is_not_told_from_the_sky_by_eye_or_camera():
    result = scene.result(haze="hazy")
    assert result.eye_words == "lost in the sky's light"
    for rgb in (result.eye.rgb, result.shot.rgb):
        assert rgb.any()
        middle, edge = (rgb[:, k].astype(int) for k in (rgb.shape[1] // 2, 0))
        assert np.abs(middle - edge).mean() < 6  # of 255: noise, and the aureole


def test_the_sky_burns_out_too_and_no_filter_is_asked_for_what_has_gone():
    result = scene.result(seconds=4, shutter="1/4 s", filter_stops=0)
    assert result.shot.clipped_share[0] > 0.99
    assert "burnt out. What burnt out is the sky." in scene.describe(result)
    # Six stops further the same sky fits.
    assert scene.result(seconds=4, shutter="1/250 s", filter_stops=0).shot.clipped_share.max() == 0


def test_sky_and_disc_stand_in_the_camera_as_in_the_eye():
    # The ratio of disc to sky is light, the same for both but for their curves.
    state = {"seconds": -40, "magnification": 1, "shutter": "1/8000 s", "filter_stops": 6}
    result = scene.result(**state)
    luminance = result.eye.luminance_cd_per_m2
    eye = luminance.max() / luminance[0, 0]
    brighter = scene.result(**state | {"shutter": "1/15 s"}).shot.level[1]
    times = 8000 / 15
    camera = result.shot.level[1].max() / (brighter[:8].mean() / times)
    assert camera == pytest.approx(eye, rel=0.3)


def test_eye_and_camera_look_at_one_field():
    result = scene.result(seconds=-10, magnification=2)
    camera = result.shot.window
    height = [f.rows * f.arcsec_per_px for f in (camera, _frame(result.eye))]
    assert_allclose(height[0], height[1], rtol=0.01)
    middle = [(f.high_deg + f.low_deg) / 2 for f in (camera, _frame(result.eye))]
    assert_allclose(middle[0], middle[1], atol=2e-4)


def _frame(picture):
    from lowsun.phenomena.low_sun import Frame

    rows, columns, _ = picture.rgb.shape
    high = picture.apparent_altitude_deg[0] + picture.arcsec_per_px / 7200
    return Frame(high, picture.arcsec_per_px, rows, columns)


def test_horizon_stands_where_the_sun_ends():
    result = scene.result(seconds=-10, magnification=1)
    lit = disc_rows(result.eye.luminance_cd_per_m2)
    lowest = result.eye.rgb.shape[0] - 1 - np.flatnonzero(lit)[-1]
    assert result.horizon_px == pytest.approx(lowest, abs=1.5)


def test_eye_shows_the_dominant_wavelength_it_names():
    result = scene.result(seconds=-60, haze="none")
    bright = result.eye.luminance_cd_per_m2.argmax()
    rgb = colour.decode_srgb(result.eye.rgb.reshape(-1, 3)[bright] / 255)
    xy = colour.chromaticity(colour.xyz_from_linear_srgb(rgb))
    assert colour.dominant_wavelength_nm(xy) == pytest.approx(result.dominant_now_nm, abs=4)


@pytest.mark.parametrize("play", [scene, ladder])
@pytest.mark.parametrize(
    ("state", "complaint"),
    [
        ({"f_number": 0}, r"is 0; allowed is 0.5 to 128"),
        ({"pixel_um": -4}, r"is -4 µm; allowed is 1 to 20"),
        ({"iso": 0}, r"is 0; allowed is 25 to 25600"),
    ],
)
def test_impossible_cameras_are_refused(play, state, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        play.sentence(**state)


def test_high_sun_is_no_last_light():
    with pytest.raises(StateError, match=r"Polar day, .* 23.4° at its lowest.*Choose another day"):
        scene.sentence(latitude_deg=90, day=date(2027, 6, 21))


def test_ladder_of_a_common_lens_is_sane():
    # Common practice, no source: a sunlit scene by sunny 16; the Sun itself, low and yellow, is
    # several stops over it, and the last sliver near it.
    result = ladder.result(focal_length_mm=400, f_number=5.6, pixel_um=4, filter_stops=0)
    assert shutter_words(result.sunlit_s) == "1/820 s"
    first, last = result.ladder.rungs[0], result.ladder.rungs[-1]
    assert 8 < np.log2(result.sunlit_s / first.disc.longest_s) < 14
    assert -9 < np.log2(result.sunlit_s / last.disc.longest_s) < 3
    assert "at your fastest shutter" in ladder.describe(result)


def test_sheet_holds_every_rung_and_the_caution():
    result = ladder.result(filter_stops=6)
    lines = sheet(result).splitlines()
    assert lines[-1] == caution.SHORT
    assert sum(line.startswith(("10 min", "0 s")) for line in lines) == 2
    assert "ND 1.8 in front" in lines[1]
    assert len(result.table) == len(result.ladder.rungs) + 1


def test_sheet_says_where_the_camera_ends():
    too_bright = ladder.result().table[1][2]
    assert re.fullmatch(r"1/8000 s, ND \d\.\d", too_bright)
    too_dark = ladder.result(filter_stops=20, slowest="1/4 s").table[-1][2]
    assert too_dark == "over 1/4 s"
    assert ladder.result(haze="hazy", filter_stops=20).table[-1][2] == "–"


def test_filter_it_asks_for_is_enough():
    density = float(re.search(r"ND (\d\.\d)", ladder.result().table[1][2])[1])
    assert ladder.result(filter_stops=round(density / 0.301)).ladder.rungs[0].disc.limit == ""


def test_long_exposures_trail():
    assert "trails" in ladder.result(filter_stops=9).table[-1][4]
    assert "trails" not in ladder.result(filter_stops=0).table[-1][4]


def test_no_sunset_no_ladder():
    result = ladder.result(latitude_deg=80, day=date(2027, 6, 21))
    assert result.ladder is None
    # Paper has room for the whole reason; under the picture stands the short one.
    assert sheet(result) == result.evening.sunset.reason
    assert ladder.describe(result).startswith("Polar day")


@pytest.mark.parametrize(
    ("played", "typed", "words"),
    [
        (scene, {"f_number": 0.0}, "f-number of your lens is 0; allowed is"),
        (scene, {"pixel_um": -4.0}, "pixel of your sensor is -4 µm; allowed is 1 to 20"),
        (scene, {"iso": 0.0}, "ISO speed is 0; allowed is 25 to 25600"),
        (ladder, {"focal_length_mm": -1.0}, "focal length of your lens is -1 mm"),
        (
            ladder,
            {"fastest": "1/125 s", "slowest": "1/250 s"},
            "Your fastest shutter, 1/125 s, is slower than your slowest, 1/250 s.",
        ),
    ],
)
def test_an_impossible_camera_is_answered_in_the_panel(played, typed, words):
    stage = live(played)
    for name, value in typed.items():
        before = stage.sentence
        stage._knobs[name].value = value
    assert words in stage.error
    assert stage.sentence == before  # the last good picture stays
    stage.set(**played.defaults())
    assert stage.error == ""


def test_a_high_sun_is_answered_in_the_panel():
    stage = live(scene)
    stage.set(latitude_deg=90)
    stage.set(day=date(2027, 6, 21))
    assert "Choose another day or another latitude" in stage.error
