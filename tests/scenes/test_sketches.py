"""Each sketch draws what its words say, and a notebook's page hears the words."""

import re
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from lowsun.errors import InputError
from lowsun.notebook import sketch as shown
from lowsun.scenes import sketches
from lowsun.stage.sketching import png

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


def lines(name):
    return {line.name: line for line in sketches.sketch(name).lines}


def test_the_light_stays_lower_than_the_straight_line():
    straight, bent = sketches.sketch("bent_ray").lines
    heights = [np.interp(300.0, line.x, line.y) for line in (straight, bent)]
    assert heights[1] < heights[0]


def test_blue_stands_over_green_over_red_stretched_twentyfold():
    tops = {name: line.y.max() for name, line in lines("many_suns").items()}
    assert tops["blue"] > tops["green"] > tops["red"]
    # Dispersion 470 to 650 nm is 1.4 % of the refraction, 29' half a degree up (Bennett 1982):
    # Edlen's n - 1, from memory.
    assert (tops["blue"] - tops["red"]) / 20 == pytest.approx(0.014 * 29, rel=0.15)


def test_red_is_left_and_hardly_any_blue_least_through_haze():
    for line in sketches.sketch("what_is_left").lines:
        blue, green, red = np.interp([450.0, 530.0, 680.0], line.x, line.y)
        assert red > 5 * green
        assert green > 5 * blue
    clear, hazy = sketches.sketch("what_is_left").lines
    assert np.all(hazy.y < clear.y)


def test_the_last_ray_passes_the_earth_and_rises_out_of_the_air():
    drawn = lines("last_ray")
    earth, ray = drawn["the Earth"], drawn["the last ray that passes it"]
    gap = np.interp(ray.x, earth.x, ray.y * 0) + ray.y - np.interp(ray.x, earth.x, earth.y)
    assert gap.min() > -0.5
    assert ray.y[-1] > drawn["up to here there is air to show it"].y.max()


def test_the_nearer_the_pole_the_flatter():
    slopes = [abs(line.y[-1] - line.y[0]) for line in sketches.sketch("ways_down").lines]
    assert slopes[0] > slopes[1] > slopes[2]
    # 15.04' a minute straight down at the equator: 30 degrees in two hours.
    assert slopes[0] == pytest.approx(30.1, rel=0.01)


def test_the_last_sliver_swings_north_in_june_and_wanders_fastest_at_the_equinoxes():
    (line,) = sketches.sketch("wandering").lines
    assert line.y[np.argmax(line.x)] == pytest.approx(172, abs=14)
    assert line.y[np.argmin(line.x)] > 340
    pace = np.abs(np.gradient(line.x, line.y))
    assert pace[np.argmin(np.abs(line.y - 80))] > 3 * pace[np.argmin(np.abs(line.y - 172))]


def test_what_stands_low_is_lifted_more():
    (line,) = sketches.sketch("flatter").lines
    assert np.all(np.diff(line.y) < 0)
    assert line.y[0] == pytest.approx(34, rel=0.06)  # arcmin on the horizon (Bennett 1982)


@pytest.mark.parametrize("name", sketches.SKETCHES)
def test_a_sketch_is_a_small_picture_with_words(name):
    drawn = sketches.sketch(name)
    assert drawn.words.endswith(".")
    picture = Image.open(BytesIO(png(drawn)))
    assert picture.width < 700
    grey = np.asarray(picture.convert("L"))
    assert np.mean(grey > 250) > 0.8  # white paper
    assert len({line.name for line in drawn.lines}) == len(drawn.lines)


def test_a_page_shows_the_words_as_alternative_text():
    page = shown("flatter").data
    assert 'alt="The air lifts what stands low more' in page
    with pytest.raises(InputError, match=r"no sketch 'x'; choose one of: bent_ray"):
        shown("x")


def test_every_sketch_stands_in_a_notebook():
    told = "".join(path.read_text(encoding="utf-8") for path in NOTEBOOKS.glob("*.ipynb"))
    assert set(re.findall(r'sketch\(\\"(\w+)\\"\)', told)) == set(sketches.SKETCHES)
