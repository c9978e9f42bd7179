"""The pictures of the last light show the numbers of their results."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing import last_light as drawing
from lowsun.drawing.look import DARK
from lowsun.scenes.exposure_ladder import scene as ladder
from lowsun.scenes.last_light import scene


def shown(play, **state):
    picture = play.picture(DARK.figure(), DARK)
    result = play.result(**state)
    picture.show(result, play.describe(result))
    return picture, result


def test_bars_are_as_high_as_the_burnt_out_pixels_are_many():
    picture, result = shown(scene, shutter="1/60 s")
    burnt = result.shot.clipped.sum(axis=(1, 2))
    assert burnt.any()
    tops = [bar.get_y() + bar.get_height() for bar in picture.bars]
    assert_allclose(tops, np.maximum(burnt, 1))
    percent = [share.get_text() for share in picture.shares]
    assert percent == [f"{100 * share:.0f}" for share in result.shot.clipped_share]


def test_lines_of_the_histogram_hold_the_other_pixels():
    picture, result = shown(scene, shutter="1/60 s")
    _, counts, _ = result.shot.histogram(drawing.STOPS)
    for line, count in zip(picture.counts, counts, strict=True):
        assert_allclose(line.get_ydata(), np.maximum(count, 0.5))


def test_flash_is_marked_on_its_seconds():
    picture, result = shown(scene)
    begin, end = result.flash_span
    assert picture.flash.get_x() == begin
    assert picture.flash.get_x() + picture.flash.get_width() == pytest.approx(end)
    assert picture.flash_words.get_text() == f"rim {end - begin:.1f} s"
    assert picture.now.get_xdata()[0] == result.seconds_now


def test_no_flash_no_mark():
    picture, _ = shown(scene, haze="hazy")
    assert picture.flash.get_width() == 0
    assert picture.flash_words.get_text() == ""
    assert len(picture.colours.get_segments()) == 0


def test_course_is_drawn_anew_for_another_air_only():
    picture, _ = shown(scene)
    assert picture.stale
    picture.stale = False
    picture.update(scene.result(seconds=-3, shutter="1/1000 s", iso=400))
    assert not picture.stale
    picture.update(scene.result(haze="none"))
    assert picture.stale


def test_enlarged_keeps_every_pixel_as_a_block():
    small = np.arange(2 * 3 * 3, dtype=np.uint8).reshape(2, 3, 3)
    large = drawing.enlarged(small, 9, 4)
    assert large.shape == (4, 9, 3)
    assert np.array_equal(large[::2, ::3], small)
    assert np.array_equal(large[1::2, 2::3], small)


@pytest.mark.parametrize(
    ("arcsec_per_px", "words"), [(3.0, "5 arcmin"), (0.5, "1 arcmin"), (0.1, "10 arcsec")]
)
def test_scale_bar_is_a_round_angle(arcsec_per_px, words):
    arcsec, px = drawing.scale_bar_px(arcsec_per_px)
    assert px * arcsec_per_px == pytest.approx(arcsec)
    assert px <= drawing.EYE.columns / 4
    assert drawing.angle_words(arcsec) == words


def test_sheet_and_lines_show_the_ladder():
    picture, result = shown(ladder, filter_stops=6)
    words = [[cell.get_text() for cell in cells] for cells in picture.cells]
    assert words == [list(line) for line in result.table]
    assert_allclose(picture.disc.get_ydata(), [rung.disc.longest_s for rung in result.ladder.rungs])
    assert picture.sunlit.get_ydata()[0] == result.sunlit_s
    top = picture.fastest.get_y() + picture.fastest.get_height()
    assert top == pytest.approx(result.camera.fastest_shutter_s)


def test_another_camera_moves_nothing_that_stays():
    picture, _ = shown(ladder)
    picture.stale = False
    picture.update(ladder.result(filter_stops=3, f_number=11))
    assert not picture.stale
    picture.update(ladder.result(eye_height_m=10))
    assert picture.stale
