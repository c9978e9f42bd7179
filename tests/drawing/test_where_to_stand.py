"""The picture of where to stand, read back: curves, marks, names and the place."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing import where_to_stand as drawing
from lowsun.drawing.look import DARK
from lowsun.scenes.where_to_stand import scene


def shown(**state):
    picture = scene.picture(DARK.figure(), DARK)
    result = scene.result(**state)
    picture.show(result, scene.describe(result))
    return picture, result


def test_curves_hold_what_is_seen_and_what_geometry_would_have():
    picture, result = shown(inversion_k=2)
    for line, seconds in (
        (picture.line, result.duration_s),
        (picture.geometric, result.geometric_s),
    ):
        assert_allclose(line.get_xdata(), np.minimum(seconds, drawing.LONGEST_S))
        assert_allclose(line.get_ydata(), result.eye_height_m)
    assert picture.line.get_linewidth() > picture.geometric.get_linewidth()


def test_the_band_between_them_is_what_light_cuts_off():
    picture, result = shown(inversion_k=2)
    edges = picture.lost.get_paths()[0].vertices
    at = result.eye_height_m[-1]
    across = edges[np.isclose(edges[:, 1], at), 0]
    assert_allclose([across.min(), across.max()], [result.duration_s[-1], result.geometric_s[-1]])


def test_each_kind_is_marked_where_it_is_seen_and_named_beside():
    picture, result = shown(inversion_k=2)
    for kind, points in picture.kinds.items():
        these = (result.kind == kind) & (result.duration_s > 0)
        assert_allclose(points.get_ydata(), result.eye_height_m[these])
        assert picture.names[kind].get_visible() == bool(these.any())
    name = picture.names["mock mirage"]
    marked = picture.kinds["mock mirage"].get_ydata()
    assert marked.min() * 0.7 < name.get_position()[1] < marked.max()
    assert name.get_text() == "mock mirage"


@pytest.mark.parametrize("state", [{}, {"inversion_k": 2}, {"inversion_k": 0}])
def test_no_name_lies_on_a_curve(state):
    picture, _ = shown(**state)
    for name in (*picture.names.values(), picture.geometric_name):
        if name.get_visible():
            box = name.get_window_extent()
            for line in (picture.line, picture.geometric, picture.best[0]):
                assert not (line.get_visible() and lies_in(box, line)), (name.get_text(), line)


def lies_in(box, line):
    """Does any part of a line lie in a box of the screen?"""
    corners = line.axes.transData.transform(np.column_stack(line.get_data(orig=False)))
    if line.get_transform() != line.axes.transData:  # across the whole picture
        corners[:, 0] = line.axes.bbox.x0, line.axes.bbox.x1
    along = np.linspace(0, len(corners) - 1, 4000)
    x, y = (np.interp(along, np.arange(len(corners)), part) for part in corners.T)
    return bool(((box.x0 < x) & (x < box.x1) & (box.y0 < y) & (y < box.y1)).any())


def test_the_place_is_a_line_and_its_layer_a_bar_as_thick_as_said():
    picture, result = shown(inversion_k=2)
    for line in picture.best:
        assert line.get_ydata()[0] == result.best_m
        assert line.get_visible()
    assert tuple(picture.place.get_ydata()) == result.window_m
    assert picture.place.get_visible()


@pytest.mark.parametrize("state", [{"inversion_k": 0}, {"haze": "hazy"}])
def test_where_no_place_is_better_none_is_marked(state):
    picture, _ = shown(**state)
    for artist in (*picture.best, picture.place, picture.best_name):
        assert not artist.get_visible()


def test_the_scale_ends_where_its_last_tick_says_so():
    picture, _ = shown(inversion_base_m=50, inversion_depth_m=20, inversion_k=3)
    assert picture.line.get_xdata().max() == drawing.LONGEST_S
    last = picture.flash.get_xticklabels()[-1]
    assert (last.get_position()[0], last.get_text()) == (drawing.LONGEST_S, "15+")
