"""The knobs of every scene: what stands beside them, and the limits they name."""

import pytest

from lowsun import scenes
from lowsun.scenes.controls import Choice, Number, Range
from lowsun.stage.knobs import knob
from lowsun.words import languages, say, speaking

CONTROLS = {
    f"{scene.name}-{control.name}": control
    for scene in scenes.every()
    for control in scene.controls
    if isinstance(control, Number | Choice)
}


@pytest.mark.parametrize("control", CONTROLS.values(), ids=CONTROLS)
def test_a_knob_bears_its_caption_and_stands_at_the_default(control):
    made = knob(control)
    assert made.widget.description == control.caption
    assert made.value == control.default


@pytest.mark.parametrize("control", CONTROLS.values(), ids=CONTROLS)
def test_a_knob_names_its_lowest_and_its_highest_in_this_order(control):
    widget = knob(control).widget
    if isinstance(control, Range):
        assert (widget.min, widget.max, widget.step) == (control.low, control.high, control.step)
        words = widget.tooltip
    elif isinstance(control, Number):
        words = widget.placeholder
    else:
        first, last = control.options[0], control.options[-1]
        assert widget.tooltip in (f"{first} to {last}", ", ".join(control.options))
        return
    low, high = words.split(" to ")
    assert float(low) == pytest.approx(control.low, rel=1e-5)
    assert float(high) == pytest.approx(control.high, rel=1e-5)


@pytest.mark.parametrize("code", languages())
@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_no_two_controls_of_a_scene_bear_one_label_and_no_two_options_one_word(scene, code):
    with speaking(code):
        labels = [say(control.label) for control in scene.controls]
        options = [list(map(say, getattr(each, "options", ()))) for each in scene.controls]
    assert sorted(set(labels)) == sorted(labels)
    assert [sorted(set(words)) == sorted(words) for words in options] == [True] * len(options)
