"""The year's map shows the cells of the shipped map, and its words are theirs."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing.look import DARK
from lowsun.drawing.polar_map import STAYS_DOWN, STAYS_UP
from lowsun.errors import OutOfRangeError
from lowsun.phenomena.polar_sunset import contacts
from lowsun.scenes import named
from lowsun.scenes.polar_map import DISC, RIM, scene


def drawn(**state):
    picture = scene.picture(DARK.figure(), DARK)
    result = scene.result(**state)
    picture.show(result, scene.describe(result))
    return picture, result


def test_named_in_the_registry():
    assert named("polar_map") is scene


def test_a_cell_is_the_sunset_of_that_day():
    result = scene.result(latitude_deg=-60, day_of_year=100)
    assert_allclose(result.here_s, contacts(-60, result.day).length_s, rtol=1e-4)
    assert result.here_s == result.disc_s
    assert scene.result(latitude_deg=-60, day_of_year=100, what=RIM).here_s == result.rim_s


def test_north_is_up_and_midsummer_light():
    picture, _ = drawn()
    rgb = picture.map.rgb
    assert rgb.shape == (181, 365, 3)
    assert tuple(rgb[0, 171]) == tuple(rgb[-1, 354]) == STAYS_UP
    assert tuple(rgb[0, 354]) == tuple(rgb[-1, 171]) == STAYS_DOWN


@pytest.mark.parametrize("what", [DISC, RIM])
def test_lines_of_equal_time_lie_where_that_time_is(what):
    picture, result = drawn(what=what)
    for level, path in zip(picture._lines.levels, picture._lines.get_paths(), strict=True):
        day, latitude = path.vertices.T
        held = result.seconds[np.rint(latitude + 90).astype(int), np.rint(day).astype(int) - 1]
        known = np.isfinite(held) & (np.abs(latitude) < 55)
        assert_allclose(held[known], level, rtol=0.05)


def test_changing_what_is_shown_changes_map_and_lines():
    picture, _ = drawn()
    before = picture.map.rgb.copy(), list(picture._lines.levels)
    result = scene.result(what=RIM)
    picture.show(result, scene.describe(result))
    assert picture.stale
    assert not np.array_equal(before[0], picture.map.rgb)
    assert before[1] != list(picture._lines.levels)


def test_words_where_there_is_no_whole_sunset():
    assert "the whole disc stays up" in scene.sentence(latitude_deg=90, day_of_year=172)
    assert "the whole disc stays down" in scene.sentence(latitude_deg=-90, day_of_year=172)
    assert "32 h 45 min to go" in scene.sentence(latitude_deg=90, day_of_year=267)
    every = [
        scene.sentence(latitude_deg=latitude, day_of_year=day)
        for latitude in range(60, 91)
        for day in range(1, 366, 3)
    ]
    assert not [words for words in every if "nan" in words]
    for part in ("the disc dips in part, its centre stays up", "only a part of the disc shows",
                 "the Sun comes up and does not set", "a part of the disc stays"):  # fmt: skip
        assert [words for words in every if part in words], part


def test_latitudes_there_are_not():
    with pytest.raises(OutOfRangeError, match=r"latitude.* is 91 °; allowed is -90 to 90"):
        scene.sentence(latitude_deg=91)
