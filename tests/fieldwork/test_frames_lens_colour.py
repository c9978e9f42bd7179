"""Lateral colour of a lens, put into frames of known truth, found and taken off."""

from dataclasses import replace

import numpy as np
import pytest

from frame_maker import Truth, write
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import lens_colour
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.stage.frame_reader import frame_words

SHARE = 0.005  # green larger than red
SUN = Truth(size=(480, 360), width=150.0, upper=68.0, lower=66.0, light=(0.7, 0.4, 0.1),
            green_up=1.2, lens=(SHARE, 1.5 * SHARE))  # fmt: skip
PLACES = ((95, 110), (170, 150), (240, 200), (320, 240), (390, 255))


def read(folder, truths, kind=".png"):
    for number, truth in enumerate(truths):
        write(folder / f"{number}{kind}", truth)
    return frames.read_folder(folder, folder.parent / f"{folder.name}-out", processes=1)


def moved(places, **changed):
    return [replace(SUN, centre=place, seed=number, **changed)
            for number, place in enumerate(places)]  # fmt: skip


def upper(found):
    return np.array([reading.upper_green_over_red_px for _, reading in found])


def lower(found):
    return np.array([reading.lower_green_over_red_px for _, reading in found])


@pytest.mark.parametrize("kind", [".png", ".dng"])
def test_lens_is_told_from_the_sides_and_taken_off_both_limbs(tmp_path, kind):
    folder = tmp_path / "frames"
    folder.mkdir()
    found = read(folder, moved(PLACES), kind)
    (lens,) = lens_colour.of(found)
    assert lens.share == pytest.approx(SHARE, abs=3 * lens.sigma)
    assert lens.sigma < 0.001
    np.testing.assert_allclose(upper(found), SUN.green_up, atol=0.12)
    np.testing.assert_allclose(lower(found), SUN.green_up, atol=0.12)
    untouched = [frames.readings(folder / name)[0][1] for name, _ in found]
    # 138 px above the middle of the frame the lens lifts green by 0.7 px.
    assert untouched[0].upper_green_over_red_px - SUN.green_up == pytest.approx(0.69, abs=0.1)
    assert "was taken off the rims" in frame_words.of_lenses(found)


def test_a_sun_always_in_the_middle_tells_no_lens_and_that_is_said(tmp_path):
    folder = tmp_path / "frames"
    folder.mkdir()
    found = read(folder, moved(((239.5, 120), (240.5, 150), (239.0, 180))))
    (lens,) = lens_colour.of(found)
    assert lens.share is None
    alone = [frames.readings(folder / name)[0][1] for name, _ in found]
    assert upper(found).tolist() == [one.upper_green_over_red_px for one in alone]
    assert "is not told" in frame_words.of_lenses(found)


def test_without_lateral_colour_nothing_is_taken_off(tmp_path):
    folder = tmp_path / "frames"
    folder.mkdir()
    found = read(folder, moved(PLACES, lens=(0.0, 0.0)))
    (lens,) = lens_colour.of(found)
    assert abs(lens.share) < 3 * lens.sigma
    alone = [frames.readings(folder / name)[0][1] for name, _ in found]
    assert upper(found).tolist() == [one.upper_green_over_red_px for one in alone]
    assert "shows no colour of its own: less than 0." in frame_words.of_lenses(found)


def test_chance_among_suns_near_the_middle_moves_no_rim():
    random = np.random.default_rng(7)
    for _ in range(50):
        found = [
            (str(x), made(x, 0.0, both_px=0.0, noise=random.normal(0, 0.08)))
            for x in random.uniform(-20, 20, 30)
        ]
        assert lens_colour.without(found) == found


def made(x, share=0.004, *, ratio=0.9, lens="a", both_px=0.3, noise=0.0, **changed):
    """A reading with a tone curve that moves both sides outwards, and the lens on top."""
    half, wide = 100.0, 2000
    values = {
        "column_px": x + (wide - 1) / 2,
        "top_px": 300.0,
        "bottom_px": 480.0,
        "axis_ratio": ratio,
        "right_green_over_red_px": both_px + share * (x + half) + 2 * noise,
        "left_green_over_red_px": both_px + share * (half - x),
        "upper_green_over_red_px": 1.0 + share * 299.5,
        "upper_sigma_px": 0.05,
        "lens": lens,
        "frame_px": (wide, 1200),
        "is_developed": True,
    }
    return Reading(**(values | changed))


def many(**changed):
    return [(str(x), made(x, **changed)) for x in (-600, -200, 0, 100, 500)]


def test_what_moves_both_sides_alike_is_no_lens():
    (lens,) = lens_colour.of(many(both_px=0.8))
    assert lens.share == pytest.approx(0.004, abs=1e-9)
    freed = lens_colour.without(many(both_px=0.8))
    assert [one.upper_green_over_red_px for _, one in freed] == pytest.approx([1.0] * 5)
    assert all(one.upper_sigma_px > 0.05 for _, one in freed)


def test_one_wild_frame_does_not_turn_the_line():
    wild = replace(made(300), right_green_over_red_px=9.0)
    (lens,) = lens_colour.of([*many(), ("wild", wild)])
    assert lens.share == pytest.approx(0.004, abs=2e-4)


def test_lenses_and_focal_lengths_are_kept_apart():
    found = [*many(), *many(lens="b", share=-0.002)]
    assert {round(one.share, 6) for one in lens_colour.of(found)} == {0.004, -0.002}
    freed = [one.upper_green_over_red_px for _, one in lens_colour.without(found)]
    assert freed == pytest.approx([1.0] * 10)


def test_flat_remnants_tell_nothing():
    (lens,) = lens_colour.of(many(ratio=0.5))
    assert lens.share is None


def test_a_frame_without_rims_is_left_alone():
    bare = Reading(reasons=("no Sun found",))
    assert lens_colour.without([("x", bare)]) == [("x", bare)]
    assert frame_words.of_lenses([("x", bare)]) == ""
