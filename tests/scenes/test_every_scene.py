"""What every scene promises, whatever it shows: no end of a control breaks it."""

import itertools
from operator import itemgetter

import numpy as np
import pytest
from PIL import Image

from lowsun import scenes
from lowsun.drawing.look import DARK, PRINT, fineness
from lowsun.drawing.picture import SENTENCE_LINES, sentence_lines
from lowsun.stage.canvas import Canvas
from lowsun.stage.stills import still
from lowsun.words import languages, speaking
from tongue import faults_of, left_in_english, made_up

pytestmark = pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
WIDTH_PX = 640  # of the canvas on which controls are swept
FINENESS = fineness(WIDTH_PX)
NARROWEST_PX = 320


def shown(scene, picture, state):
    result = scene.compute(scene.check(state))
    sentence = scene.describe(result)
    picture.show(result, sentence)
    return sentence


def test_every_control_swept_to_both_ends(scene):
    """Nothing breaks, drafts are like the whole, sentences are sound, and no control is dead."""
    drafted, whole = (Canvas(scene, DARK, WIDTH_PX) for _ in range(2))
    at_start = _said_and_drawn(scene, whole, scene.computed(scene.defaults(), FINENESS))
    for control, ends in itertools.groupby(scene.sweep(), key=itemgetter(0)):
        seen = {at_start}
        for _, end in ends:
            state = scene.check(end)
            # Asked for before the whole is kept, and both as a stage of that width asks for them.
            quick = scene.computed(state, FINENESS, draft=True) if scene.draft else None
            result = scene.computed(state, FINENESS)
            seen.add(_said_and_drawn(scene, whole, result))
            _assert_sound_words(scene, state, result, control)
            if quick is not None:
                _assert_alike(scene, drafted, quick, whole, result, control)
        # A control that changes neither the picture nor the words is a dead one.
        assert len(seen) > 1 or len(control.ends) < 2, control.name


def test_the_narrowest_page_shows_the_same(scene):
    """A page draws nothing narrower than 320 pixels; what is said does not hang on the pixels."""
    canvas = Canvas(scene, DARK, NARROWEST_PX)
    result = scene.computed(scene.defaults(), fineness(NARROWEST_PX))
    assert drawn(scene, canvas, result).any()
    assert scene.describe(result) == scene.sentence()


def _said_and_drawn(scene, canvas, result):
    picture = drawn(scene, canvas, result)
    for raster in canvas.picture.rasters:
        assert raster.rgb is None or raster.rgb.dtype == np.uint8
    return hash((scene.describe(result), picture.tobytes()))


def _assert_sound_words(scene, state, result, control):
    for language in languages():
        with speaking(language):
            said = scene.describe(result)
        assert said.endswith((".", "!", "?")), (control.name, said)
        assert len(sentence_lines(said)) <= SENTENCE_LINES, (control.name, said)
        assert faults_of(said) == [], (control.name, said)
    with made_up():  # computed again, mostly from what is kept: results hold words too
        said = scene.describe(scene.computed(state, FINENESS))
    assert left_in_english(said) == set(), (control.name, said)


def _assert_alike(scene, drafted, quick, whole, result, control):
    off = drawn(scene, drafted, quick) - drawn(scene, whole, result)
    # Fewer heights or rays move a curve and its names by some pixels: up to 2.3 are measured.
    assert np.abs(off).mean() < 3, control.name
    assert len(sentence_lines(scene.describe(quick))) <= SENTENCE_LINES


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
