"""The evening's frames beside the model: the air they were made in is found, any other is not."""

import numpy as np
import pytest

from lowsun import scenes
from lowsun.drawing.look import DARK

TRUE_AIR = {"temperature_c": -2, "pressure_hpa": 1030}  # tests/support/make_evening.py
SCENE = scenes.named("caught")


@pytest.mark.parametrize("frame", [1, 4, 6, 8])
def test_in_their_own_air_the_frames_are_as_expected(frame):
    result = SCENE.result(frame=frame, **TRUE_AIR)
    reading = result.shot.reading
    assert reading.axis_ratio == pytest.approx(result.wanted.axis_ratio, abs=0.001)
    assert abs(reading.upper_green_over_red_px - result.upper_px) < 2 * reading.upper_sigma_px


def test_in_another_air_the_shape_gives_it_away():
    warm = SCENE.result(frame=6, temperature_c=25, pressure_hpa=1000)
    # Cold, heavy air bends more, and the Sun is flatter in it.
    assert warm.wanted.axis_ratio > warm.shot.reading.axis_ratio + 0.01


def test_scale_is_that_of_the_lens():
    # 206 265" x 5 um / 400 mm: the geometry of the lens that the frames were made with.
    for shot in SCENE.result().shots:
        assert shot.reading.arcsec_per_px == pytest.approx(206_265 * 0.005 / 400, rel=0.002)


def test_sentence_says_what_was_measured_and_what_was_expected():
    result = SCENE.result()
    words = SCENE.describe(result)
    assert f"the disc is {result.shot.reading.axis_ratio:.3f} as high as wide" in words
    assert f"{result.wanted.axis_ratio:.3f} in this air" in words
    assert f"{result.upper_px:.2f} px in this air" in words


def test_a_hidden_lower_limb_is_said():
    assert "hide its lower limb" in SCENE.sentence(frame=8, temperature_c=45, pressure_hpa=950)


def test_outline_and_frame_are_one_scale_and_place():
    result = SCENE.result(**TRUE_AIR)
    picture = SCENE.picture(DARK.figure(), DARK)
    picture.update(result)
    across, up = picture.outline.get_data()
    left, right, bottom, top = picture.frame.extent
    bright = result.shot.rgb.max(axis=-1) > 60
    rows, columns = np.nonzero(bright)
    high, wide = bright.shape
    seen = {
        "left": left + columns.min() / wide * (right - left),
        "right": left + (columns.max() + 1) / wide * (right - left),
        "top": top - rows.min() / high * (top - bottom),
        "bottom": top - (rows.max() + 1) / high * (top - bottom),
    }
    drawn = {"left": across.min(), "right": across.max(), "top": up.max(), "bottom": up.min()}
    for side, place in drawn.items():
        assert place == pytest.approx(seen[side], abs=0.2), side


def test_points_and_lines_are_the_results():
    result = SCENE.result(frame=3)
    picture = SCENE.picture(DARK.figure(), DARK)
    picture.update(result)
    line, _, points, now = picture.ratio
    assert np.array_equal(points.get_ydata(), result.measured("axis_ratio"))
    assert now.get_ydata()[0] == result.shots[2].reading.axis_ratio
    on_line = np.interp(result.shots[2].sun_true_deg, result.line_altitudes_deg, result.line_ratio)
    assert np.array_equal(line.get_ydata(), result.line_ratio, equal_nan=True)
    assert on_line == pytest.approx(result.wanted.axis_ratio, abs=0.001)
