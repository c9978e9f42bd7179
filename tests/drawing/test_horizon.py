"""The drawn horizon read back: path, discs, frame, names and bearings against the plan."""

from datetime import date

import numpy as np
import pytest
from matplotlib.figure import Figure
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.drawing.horizon import Horizon
from lowsun.drawing.look import PRINT
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.plan.sketch import sketch

KIT = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
NORTH = (sky.Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 3, 20))
SOUTH = (sky.Place("the far cape", -34.5, 20.0, 40.0), date(2027, 12, 21))


def _drawn(place, day, kit=KIT):
    plan = planning.plan(place, day, kit=kit)
    axes = Figure(figsize=(8, 3)).add_axes((0.05, 0.1, 0.9, 0.85))
    view, seen = Horizon(axes, PRINT), sketch(plan)
    view.show(seen, {name: name for name, *_ in seen.marks}, "frame")
    return plan, view


@pytest.fixture(scope="module")
def drawn():
    return _drawn(*NORTH)


def test_the_path_passes_through_every_disc(drawn):
    plan, view = drawn
    turn, height = view.path.get_data()
    for x, y in view.discs.get_offsets():
        assert_allclose(np.interp(x, turn, height), y, rtol=0, atol=0.005)
    assert len(view.discs.get_offsets()) == 6
    assert_allclose(view.discs.get_widths(), plan.evening.sun(0).angular_diameter_arcmin / 60)


def test_the_sun_comes_from_the_left_in_the_north_and_from_the_right_in_the_south():
    for where, sign in ((NORTH, 1), (SOUTH, -1)):
        turn, height = _drawn(*where)[1].path.get_data()
        shown = np.isfinite(height)
        assert np.all(sign * np.diff(turn[shown]) > 0)
        assert height[shown][0] > height[shown][-1]


def test_the_frame_is_as_wide_and_high_as_the_lens_sees(drawn):
    turn, height = drawn[1].frame.get_data()
    wide, high = KIT.camera.field_deg
    assert_allclose(np.ptp(turn), wide, rtol=2e-3)
    assert_allclose(np.ptp(height), high, rtol=2e-3)
    assert_allclose(height.min(), -high / 3, rtol=0.02)


def test_bearings_stand_where_they_are_and_degrees_are_as_long_both_ways(drawn):
    plan, view = drawn
    places = view.axes.get_xticks()
    words = [label.get_text() for label in view.axes.get_xticklabels()]
    assert "270° W" in words
    for place, text in zip(places, words, strict=True):
        assert_allclose((plan.framing.azimuth_deg + place) % 360, float(text.split("°")[0]))
    box, (left, right), (low, high) = (
        view.axes.get_position(), view.axes.get_xlim(), view.axes.get_ylim()
    )  # fmt: skip
    assert_allclose((right - left) / (high - low), 8 * box.width / (3 * box.height), rtol=1e-6)


def test_no_two_names_overlap_and_the_last_sliver_is_named(drawn):
    _, view = drawn
    assert "last sliver" in [name.get_text() for name in view.names]
    renderer = view.axes.figure._get_renderer()
    boxes = [name.get_window_extent(renderer) for name in view.names]
    for index, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[index + 1 :])


def test_directions_of_the_frame_are_its_pixels_backwards():
    framing = planning.Framing(KIT.camera, 350.0, 20.0)
    column, row = np.array([0.0, 3000.0, 6000.0]), np.array([0.0, 2000.0, 4000.0])
    assert_allclose(framing.pixel(*framing.direction(column, row)), (column, row), atol=1e-6)
    assert_allclose(framing.direction(3000.0, 2000.0), (350.0, 20.0))


def test_at_a_pole_there_is_a_frame_and_no_path():
    plan, view = _drawn(sky.Place("the pole", 90.0, 0.0, 2.0), date(2027, 9, 24))
    assert not np.isfinite(view.path.get_data()[0]).any()
    assert sketch(plan).marks == ()


def test_a_disc_outside_the_picture_has_no_name_in_it():
    # At 66 N in midsummer the Sun is 1 degree up 16 degrees beside the middle of the picture.
    _, view = _drawn(sky.Place("the fell", 66.0, 20.0, 10.0), date(2027, 6, 21))
    left, right = view.axes.get_xlim()
    offsets = view.discs.get_offsets()[:, 0]
    outside = (offsets < left) | (offsets > right)
    assert outside.any()
    assert view.names
    assert all(left < name.get_position()[0] < right for name in view.names)
    assert len(view.names) <= np.sum(~outside)
