"""Paths of states: as many frames as the time says, each state where it should be."""

from datetime import date

import numpy as np
import pytest

from lowsun.errors import OutOfRangeError
from lowsun.scenes.controls import StateError
from lowsun.stage.segment import Move, Segment
from toy_scene import scene


def centres(segment, frames_per_second=10):
    return np.array([state["centre"] for state in segment.states(frames_per_second)])


def rise(**more):
    return Segment(
        scene=scene, start={"centre": 0}, rest_s=0.5,
        moves=(Move(values={"centre": 40}, seconds=2, rest_s=1, **more),),
    )  # fmt: skip


def test_time_becomes_frames():
    assert len(rise().states(10)) == 5 + 20 + 10
    assert len(rise().states(25)) == round(12.5) + 50 + 25
    assert len(Segment(scene=scene, rest_s=0).states(30)) == 1


def test_a_path_rests_moves_and_rests():
    seen = centres(rise(eased=False))
    np.testing.assert_allclose(seen[:5], 0.0)
    np.testing.assert_allclose(seen[5:25], np.arange(1, 21) * 2.0)
    np.testing.assert_allclose(seen[25:], 40.0)


def test_eased_moves_start_and_end_slowly_and_meet_the_even_one_half_way():
    steps = np.diff(centres(rise())[4:25])
    assert np.all(steps > 0)
    np.testing.assert_allclose(steps, steps[::-1])
    assert steps[0] < 0.2 * steps[10]
    assert centres(rise())[14] == pytest.approx(20.0)


def test_moves_follow_each_other_and_keep_what_they_do_not_name():
    segment = Segment(
        scene=scene,
        moves=(
            Move(values={"centre": 5, "day": date(2027, 3, 30)}, seconds=1, rest_s=0),
            Move(values={"colour": "green"}, seconds=1, rest_s=0),
        ),
    )
    last = segment.states(10)[-1]
    assert last == scene.check({"centre": 5, "day": date(2027, 3, 30), "colour": "green"})
    colours = [state["colour"] for state in segment.states(10)]
    assert colours == ["orange"] * 29 + ["green"]


def test_a_jump_takes_no_time():
    segment = Segment(scene=scene, rest_s=0.1, moves=(Move(values={"centre": 1}, seconds=0),))
    assert set(centres(segment)[1:]) == {1.0}


@pytest.mark.parametrize(
    ("make", "error", "words"),
    [
        (lambda: Move(values={}, seconds=-1), OutOfRangeError, r"seconds is -1 s; allowed is 0"),
        (
            lambda: Move(values={}, seconds=1, rest_s=float("nan")),
            OutOfRangeError,
            r"rest_s is nan",
        ),
        (lambda: Segment(scene=scene, rest_s=-1), OutOfRangeError, r"rest_s is -1 s"),
        (lambda: Segment(scene=scene, start={"centre": 99}), OutOfRangeError, r"centre is 99"),
        (
            lambda: Segment(scene=scene, moves=(Move(values={"warp": 1}, seconds=1),)),
            StateError,
            r"has no control warp",
        ),
    ],
)
def test_a_wrong_path_is_refused_before_anything_is_filmed(make, error, words):
    with pytest.raises(error, match=words):
        make()
