"""What every scene promises, whatever it shows: no end of a control breaks it."""

import re

import numpy as np
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.drawing.look import DARK, PRINT, fineness
from lowsun.drawing.picture import SENTENCE_LINES, sentence_lines
from lowsun.stage.canvas import Canvas
from lowsun.stage.stills import still
from lowsun.words import languages, speaking

pytestmark = pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)


def shown(scene, picture, state):
    result = scene.compute(scene.check(state))
    sentence = scene.describe(result)
    picture.show(result, sentence)
    return sentence


def test_every_control_swept_to_both_ends(scene):
    picture = scene.picture(DARK.figure(), DARK)
    for control, state in scene.sweep():
        result = scene.compute(scene.check(state))
        sentence = scene.describe(result)
        picture.show(result, sentence)
        assert sentence.endswith((".", "!", "?")), control.name
        assert not re.search(r"\bnan\b|\binf\b|None", sentence), (control.name, sentence)
        for language in languages():
            with speaking(language):
                said = scene.describe(result)
            assert len(sentence_lines(said)) <= SENTENCE_LINES, (control.name, said)
        for raster in picture.rasters:
            assert raster.rgb is None or raster.rgb.dtype == np.uint8


def test_something_answers_every_control(scene):
    # A control that changes neither the picture nor the words is a dead one.
    for control in scene.controls:
        ends = [scene.defaults() | {control.name: value} for value in control.ends]
        seen = [_fingerprint(scene, state) for state in [scene.defaults(), *ends]]
        assert len(set(seen)) > 1 or len(control.ends) < 2, control.name


def _fingerprint(scene, state):
    picture = scene.picture(DARK.figure(), DARK)
    words = shown(scene, picture, state)
    rasters = [raster.rgb.tobytes() for raster in picture.rasters if raster.rgb is not None]
    lines = [
        np.asarray(line.get_xydata()).tobytes()
        for axes in picture.figure.axes
        for line in axes.lines
    ]
    return hash((words, *rasters, *lines))


def test_same_state_same_answer(scene):
    assert scene.sentence() == scene.sentence()
    assert _fingerprint(scene, {}) == _fingerprint(scene, {})


def test_prints_as_well(scene):
    picture = scene.picture(PRINT.figure(), PRINT)
    assert shown(scene, picture, {})


def test_asks_a_question_and_gives_the_presenter_lines(scene):
    assert scene.question.endswith("?")
    assert len(scene.cues) >= 2


def test_live_and_printed_pictures_are_alike(scene, tmp_path):
    # Letters and resampled edges differ by a shade here and there; a missing label by thousands
    # of pixels.
    canvas = Canvas(scene, DARK, 1280)
    result = scene.result()
    live = np.asarray(canvas.draw(result, scene.describe(result)))[..., :3].astype(int)
    still(scene, {}, tmp_path / "a.png", look=DARK, width_px=1280)
    printed = np.asarray(Image.open(tmp_path / "a.png").convert("RGB")).astype(int)
    unlike = (np.abs(live - printed).max(axis=-1) > 128).sum()
    assert unlike < 100, unlike


def test_a_draft_looks_and_reads_like_the_whole(scene):
    # Of every control's ends, as a hand that drags it passes through them.
    if scene.draft is None:
        pytest.skip("this scene needs no draft")
    drafted, whole = (Canvas(scene, DARK, 640) for _ in range(2))
    for control, state in scene.sweep():
        quick, full = scene.draft(state), scene.compute(state)
        off = drawn(scene, drafted, quick) - drawn(scene, whole, full)
        # Fewer heights or rays move a curve and its names by some pixels: up to 3.4 are measured.
        assert np.abs(off).mean() < 4, control.name
        assert len(sentence_lines(scene.describe(quick))) <= SENTENCE_LINES


@pytest.mark.parametrize("width_px", [480, 848, 1920])
def test_pictures_computed_for_a_canvas_are_laid_down_as_they_are(scene, width_px, monkeypatch):
    if not scene.sized:
        pytest.skip("this scene has no colour picture of its own size")
    state = scene.defaults()
    plain = Canvas(scene, DARK, width_px)
    resampled = drawn(scene, plain, scene.compute(state))
    monkeypatch.setattr(Image.Image, "resize", None)
    fitting = scene.computed(state, fineness(width_px))
    assert np.abs(drawn(scene, plain, fitting) - resampled).mean() < 1


def drawn(scene, canvas, result):
    return np.asarray(canvas.draw(result, scene.describe(result)))[..., :3].astype(int)
