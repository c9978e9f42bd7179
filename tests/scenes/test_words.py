"""What scenes say: labels, cautions, and that faults in sentences are found."""

import pytest

from lowsun import scenes
from lowsun.scenes.caution import SHORT
from lowsun.stage import live
from tongue import WRONG, faults_of

PINNED = (
    "Never look at the Sun through a viewfinder, telescope or binoculars. Low and red does not mean"
    " safe. Aim a camera by its rear screen."
)


@pytest.mark.parametrize("fault", WRONG)
def test_the_patterns_find_what_they_are_for(fault):
    wrong = {
        "an exponent": "takes 1.28e+03 s", "a value that is none": "day is None",
        "one named as several": "by 1 stops", "a double space": "a  b",
        "a space before a stop": "down .", "minus nought": "stands -0.0° high",
        "a unit in letters after a number": "12.33 deg",
    }  # fmt: skip
    assert fault in faults_of(wrong[fault])
    assert not faults_of("18:56:27 GMT: the upper limb stands 10.5° high, 1 stop, -0.5″.")


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_no_two_controls_share_a_label(scene):
    labels = [control.label for control in scene.controls]
    assert len(set(labels)) == len(labels), sorted(labels)


# --- the caution ------------------------------------------------------------------------------


def test_the_short_caution_is_pinned_word_for_word():
    assert SHORT == PINNED


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_the_caution_stands_under_every_scene(scene):
    # Every scene shows the Sun, a camera, or a place and a time to stand before it: none can
    # switch it off.
    assert live(scene)._screen.caution == PINNED
