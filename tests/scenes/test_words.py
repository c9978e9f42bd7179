"""What scenes say: no word a person would not say, at any end of any control; labels; cautions."""

import re

import pytest

from lowsun import scenes
from lowsun.scenes.caution import SHORT
from lowsun.stage import live

PINNED = (
    "Never look at the Sun through a viewfinder, telescope or binoculars. Low and red does not mean"
    " safe. Aim a camera by its rear screen."
)
# Words that no sentence for people holds: numbers of a machine, values that are none, and one of
# something named as several.
WRONG = {
    "an exponent": r"\d[eE][+-]?\d",
    "a value that is none": r"\b(None|nan|inf|True|False)\b",
    "one named as several": r"(?<![\d.,])1 (stops|minutes|seconds|pixels|pictures|degrees)\b",
    "a double space": r"  ",
    "a space before a stop": r" [.,;:]",
    "minus nought": r"[-−]0(\.0+)?(?![\d.])",
    "a unit in letters after a number": r"\d deg\b",
}


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_every_sentence_at_every_end_is_one_a_person_would_say(scene):
    said = {f"{control.name}={state[control.name]}": scene.sentence(**state)
            for control, state in scene.sweep()}  # fmt: skip
    found = [
        (where, fault, sentence)
        for where, sentence in said.items()
        for fault, pattern in WRONG.items()
        if re.search(pattern, sentence)
    ]
    assert said
    assert not found, found


@pytest.mark.parametrize("pattern", WRONG.values(), ids=WRONG)
def test_the_patterns_find_what_they_are_for(pattern):
    wrong = {
        "an exponent": "takes 1.28e+03 s", "a value that is none": "day is None",
        "one named as several": "by 1 stops", "a double space": "a  b",
        "a space before a stop": "down .", "minus nought": "stands -0.0° high",
        "a unit in letters after a number": "12.33 deg",
    }  # fmt: skip
    name = next(name for name, each in WRONG.items() if each == pattern)
    assert re.search(pattern, wrong[name])
    assert not re.search(pattern, "18:56:27 GMT: the upper limb stands 10.5° high, 1 stop, -0.5″.")


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
