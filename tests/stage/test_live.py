"""The live stage without a browser: every change gives a picture or says why it cannot."""

import asyncio
import base64
import dataclasses
import re
import threading
import time
from datetime import UTC, date, datetime
from io import BytesIO

import ipywidgets
import numpy as np
import pytest
from PIL import Image, JpegImagePlugin

import toy_scene
from lowsun.drawing.look import PRINT
from lowsun.errors import OutOfRangeError
from lowsun.scenes import caution
from lowsun.scenes.controls import Choice, SceneError, StateError, UserFile
from lowsun.stage import live
from lowsun.stage.canvas import Canvas
from lowsun.stage.knobs import typed
from lowsun.stage.player import IDLE_S
from lowsun.words import speaking
from toy_scene import CONTROLS, compute, refusing, scene


def changed(**values):
    return dataclasses.replace(scene, **values)


def widgets(stage, kind):
    return [each for each in every(stage._widget) if type(each) is kind]


def every(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from every(child)


def pixels(stage):
    return np.asarray(Image.open(BytesIO(stage._screen.frame))).astype(int)


@pytest.fixture
def stage():
    return live(scene)


def test_it_begins_with_the_defaults_and_a_picture(stage):
    assert stage.state == scene.defaults()
    assert stage.sentence == scene.sentence()
    assert stage.error == stage.traceback == ""
    assert pixels(stage).shape == (720, 1280, 3)


@pytest.mark.parametrize(
    ("shown_px", "size"),
    [(845, (477, 848, 3)), (1280, (720, 1280, 3)), (2560, (720, 1280, 3)), (40, (180, 320, 3))],
)
def test_it_draws_no_finer_than_the_page_shows(stage, shown_px, size):
    stage._screen.shown_px = shown_px
    assert pixels(stage).shape == size
    stage.set(centre=3)
    assert pixels(stage).shape == size


def test_a_page_of_another_size_computes_nothing_anew():
    asked = []
    stage = live(changed(compute=lambda state: asked.append(state) or compute(state)))
    before = pixels(stage)
    stage._screen.shown_px = 640
    smaller = np.asarray(Image.fromarray(before.astype(np.uint8)).resize((640, 360)), dtype=int)
    assert np.mean(np.abs(pixels(stage) - smaller)) < 3
    assert len(asked) == 1


def test_a_sized_scene_is_computed_for_the_page():
    asked = []
    sized = changed(compute=lambda state, fine: asked.append(fine) or compute(state), sized=True)
    stage = live(sized)
    stage._screen.shown_px = 640
    stage.set(centre=3)
    assert asked == [1.0, 0.5, 0.5]


@pytest.mark.parametrize(("control", "state"), list(scene.sweep()))
def test_every_control_reaches_both_ends(stage, control, state):
    stage.set(**{control.name: state[control.name]})
    assert stage.error == ""
    assert stage.state == state
    assert stage.sentence == scene.sentence(**state)


def test_the_picture_is_the_one_of_the_state(stage):
    stage.set(centre=33, colour="green")
    result = scene.result(centre=33, colour="green")
    drawn = Canvas(scene).draw(result, scene.describe(result))[..., :3].astype(int)
    # JPEG at quality 88 without colour subsampling
    assert np.abs(pixels(stage) - drawn).mean() < 1.0


def test_moving_a_widget_redraws(stage):
    before = pixels(stage)
    (slider,) = widgets(stage, ipywidgets.FloatSlider)
    slider.value = -10
    assert stage.sentence == scene.sentence(centre=-10)
    assert np.abs(pixels(stage) - before).max() > 100


def test_setting_many_values_draws_once():
    drawn = []

    def counting(state):
        drawn.append(state)
        return compute(state)

    stage = live(changed(compute=counting))
    drawn.clear()
    stage.set(centre=1, colour="green", round_disc=True, radius=3, day=date(2030, 1, 1))
    assert drawn == [stage.state]


def test_a_value_that_does_not_fit_moves_nothing(stage):
    with pytest.raises(OutOfRangeError, match=r"centre is 99 arcmin; allowed is -10 to 40"):
        stage.set(colour="green", centre=99)
    with pytest.raises(StateError, match=r"has no control speed"):
        stage.set(speed=1)
    assert stage.state == scene.defaults()


def test_a_typed_number_out_of_range_is_told_and_not_clamped(stage):
    (box,) = widgets(stage, ipywidgets.Text)
    box.value = "99"
    assert stage.error == "radius is 99 arcmin; allowed is 1 to 30 arcmin."
    assert stage.state["radius"] == 99
    box.value = "5"
    assert stage.error == ""
    assert stage.state["radius"] == 5


@pytest.mark.parametrize(
    ("text", "number"),
    [("5,5", 5.5), ("5.5", 5.5), (" 7 ", 7), ("12,", 12), (",5e0", ",5e0"), ("1e1", 10),
     ("−3", -3), ("1,000", "1,000"), ("0,005", 0.005), ("five", "five"), ("", ""), ("nan", "nan")],
)  # fmt: skip
def test_a_typed_number_is_read_as_it_stands(text, number):
    assert typed(text) == number


@pytest.mark.parametrize(("text", "number"), [("5,5", 5.5), ("5.5", 5.5), ("1,125", 1.125)])
def test_a_typed_number_is_read_as_portuguese_writes_it_too(text, number):
    with speaking("pt"):
        assert typed(text) == number


@pytest.mark.parametrize(("code", "shown"), [("en", "2.125"), ("pt", "2,125")])
def test_a_number_field_shows_and_takes_the_sign_of_its_language(code, shown):
    with speaking(code):
        stage = live(scene)
        (box,) = widgets(stage, ipywidgets.Text)
        stage.set(radius=2.125)
        assert box.value == shown
        assert stage.state["radius"] == 2.125
        for text in ("5,5", "5.5"):
            box.value = text
            assert (stage.state["radius"], stage.error) == (5.5, "")
        assert stage._screen.decimal == shown[1]


def test_a_typed_word_is_told(stage):
    (box,) = widgets(stage, ipywidgets.Text)
    box.value = "1,000"
    assert stage.error == "radius is '1,000', which is not a number."
    assert stage._screen.error_at == "radius"


@pytest.mark.parametrize(
    ("text", "words"), [("99", "is 99 arcmin; allowed is -10"), ("up", "is 'up', which is not a")]
)
def test_what_is_typed_beside_a_slider_is_refused_there_and_moves_nothing(stage, text, words):
    stage._screen.typed = {"name": "centre", "text": text}
    assert stage.error.startswith(f"height of the centre {words}")
    assert stage._screen.error_at == "centre"
    assert stage.state == scene.defaults()


def test_a_number_between_the_steps_is_shown_whole(stage):
    (slider,) = widgets(stage, ipywidgets.FloatSlider)
    stage._screen.typed = {"name": "centre", "text": "2,75"}
    assert slider.value == 2.75
    assert stage._screen.readings == {"centre": "2.75"}
    stage.set(centre=3)
    assert stage._screen.readings == {}


@pytest.mark.parametrize("year", [1850, 2060])
def test_a_day_out_of_range_is_told_and_not_moved(stage, year):
    (picker,) = widgets(stage, ipywidgets.DatePicker)
    picker.value = date(year, 5, 1)
    assert stage.error.startswith(f"day is {year}-05-01; allowed is 1900-01-01 to")
    assert picker.value == date(year, 5, 1)


def test_an_emptied_date_is_told(stage):
    (picker,) = widgets(stage, ipywidgets.DatePicker)
    picker.value = None
    assert stage.error == "day is empty; give a day such as 2027-03-20."


def test_back_to_start_sets_every_control_back(stage):
    stage.set(centre=1, colour="green", round_disc=True, radius=3, day=date(2030, 1, 1),
              sounding=UserFile("a.csv", b"1,2"))  # fmt: skip
    press(stage, "back to start")
    assert stage.state == scene.defaults()
    assert stage.sentence == scene.sentence()


def test_back_to_start_can_be_taken_back_and_done_again(stage):
    stage.set(centre=1, colour="green", radius=3)
    moved = stage.state
    press(stage, "back to start")
    press(stage, "undo")
    assert stage.state == moved
    press(stage, "undo")
    assert stage.state == scene.defaults()


def test_a_run_of_one_slider_is_one_step_to_undo(stage):
    (slider,) = widgets(stage, ipywidgets.FloatSlider)
    stage.set(colour="green")
    for centre in (21, 22, 23):
        slider.value = centre
    press(stage, "undo")
    assert stage.state == scene.defaults() | {"colour": "green"}


def test_a_control_moved_seldom_stands_in_the_fold_after_the_others():
    stage = live(changed(seldom=("colour",)))
    (fold,) = (each for each in every(stage._widget) if "lowsun-seldom" in each._dom_classes)
    assert [each.description for each in fold.children] == ["colour"]
    with pytest.raises(SceneError, match="folds away speed: no such control"):
        changed(seldom=("speed",))


def press(stage, name):
    next(each for each in widgets(stage, ipywidgets.Button) if each.description == name).click()


# ---- failures: compute, describe and draw alike


def fails(*_):
    raise ZeroDivisionError("internal detail")


class Undrawable:
    def __init__(self, figure, look):
        fails()


def test_a_refusal_is_told_as_it_stands_and_cleared_by_the_next_good_picture():
    stage = live(changed(compute=refusing))
    shown, said = stage._screen.frame, stage.sentence
    stage.set(centre=-5)
    assert stage.error == "The disc is below the horizon. Raise it."
    assert "OutOfRangeError" in stage.traceback
    assert (stage._screen.frame, stage.sentence) == (shown, said)
    stage.set(centre=5)
    assert stage.error == stage.traceback == ""
    assert stage.sentence == scene.sentence(centre=5)


@pytest.mark.parametrize(
    "broken",
    [{"compute": fails}, {"describe": fails}, {"picture": Undrawable}],
    ids=["compute", "describe", "picture"],
)
def test_any_other_failure_is_told_plainly_and_kept_for_tests(broken):
    stage = live(changed(**broken))
    assert stage.error.startswith("This scene failed (ZeroDivisionError: internal detail).")
    assert "in fails" in stage.traceback
    assert stage.sentence == ""


def test_a_failure_while_drawing_is_told():
    stage = live(scene)
    stage._canvas.picture.update = fails
    stage.set(centre=3)
    assert "ZeroDivisionError" in stage.error
    del stage._canvas.picture.update
    stage.set(centre=4)
    assert stage.error == ""


# ---- slow scenes


@pytest.fixture
def slow():
    """A scene with a draft; the list says which of the two computed."""
    log = []

    def coarse(state):
        log.append("draft")
        return compute(state, rows=60, columns=91)

    def fine(state):
        log.append("whole")
        return compute(state)

    return changed(compute=fine, draft=coarse), log


def test_without_an_event_loop_there_is_no_draft(slow):
    described, log = slow
    (slider,) = widgets(live(described), ipywidgets.FloatSlider)
    slider.value = 3
    assert log == ["whole", "whole"]


def test_a_draft_while_moving_and_the_whole_at_rest(slow):
    described, log = slow

    async def play():
        (slider,) = widgets(live(described), ipywidgets.FloatSlider)
        for value in (1, 2, 3):
            slider.value = value
        assert log == ["whole", "draft", "draft", "draft"]
        await asyncio.sleep(2 * IDLE_S)

    asyncio.run(play())
    assert log == ["whole", "draft", "draft", "draft", "whole"]


def test_a_large_picture_that_moves_has_half_the_colours_and_all_of_them_at_rest():
    def colour_sampling(stage):
        return JpegImagePlugin.get_sampling(Image.open(BytesIO(stage._screen.frame)))

    async def play(big):
        stage = live(scene)
        stage._screen.big = big
        stage.move(centre=3)
        moving = colour_sampling(stage)
        await asyncio.sleep(2 * IDLE_S)
        return moving, colour_sampling(stage)

    full, half = 0, 2  # Pillow's numbers for 4:4:4 and 4:2:0
    assert asyncio.run(play(big=True)) == (half, full)
    assert asyncio.run(play(big=False)) == (full, full)


def test_settle_draws_the_whole_at_once_and_only_once(slow):
    described, log = slow

    async def play():
        stage = live(described)
        (slider,) = widgets(stage, ipywidgets.FloatSlider)
        slider.value = 7
        stage.settle()
        stage.settle()
        assert stage.sentence == scene.sentence(centre=7)
        await asyncio.sleep(2 * IDLE_S)

    asyncio.run(play())
    assert log == ["whole", "draft", "whole"]


def told_while_moving(stage, *centres):
    told = []
    stage._screen.observe(lambda change: told.append(change.new), names="doing")
    (slider,) = widgets(stage, ipywidgets.FloatSlider)
    for centre in centres:
        slider.value = centre
    return told


def test_the_viewer_is_told_what_is_being_computed_while_it_takes_long():
    stage = live(changed(doing="Tracing rays", compute=toy_scene.slow))
    assert told_while_moving(stage, 1, 2) == ["Tracing rays", ""] * 2


def test_a_quick_control_is_announced_once_until_it_is_known_to_be_quick():
    stage = live(changed(doing="Tracing rays"))
    assert told_while_moving(stage, 1, 2, 3) == ["Tracing rays", ""]


def test_a_draft_that_takes_long_is_announced_too():
    stage = live(changed(doing="Tracing rays", draft=toy_scene.slow))
    told = []

    async def play():
        told.extend(told_while_moving(stage, 1, 2))

    asyncio.run(play())
    assert told == ["Tracing rays", ""] * 2


# ---- files of the player's own


def upload(stage, name, content):
    (chooser,) = widgets(stage, ipywidgets.FileUpload)
    entry = {"name": name, "type": "", "size": len(content), "content": memoryview(content)}
    chooser.value = (entry | {"last_modified": datetime(2027, 3, 20, tzinfo=UTC)},)


def test_an_uploaded_file_reaches_the_scene(stage):
    upload(stage, "mine.csv", b"a,b\n")
    assert stage.state["sounding"] == UserFile("mine.csv", b"a,b\n")
    assert stage.sentence.endswith("sounding: a,b.")
    remove = next(b for b in widgets(stage, ipywidgets.Button) if b.description == "use no file")
    remove.click()
    assert stage.state["sounding"] is None
    assert stage.sentence.endswith("sounding: none.")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [("a.exe", b"", "the file 'a.exe'; allowed are"), ("a.csv", b"\xff", "is not UTF-8 text")],
)
def test_a_wrong_file_is_told(stage, name, content, words):
    upload(stage, name, content)
    assert words in stage.error


def test_a_path_can_be_set_from_code(stage, tmp_path):
    (tmp_path / "mine.txt").write_text("9")
    stage.set(sounding=tmp_path / "mine.txt")
    assert stage.sentence.endswith("sounding: 9.")


# ---- words


def test_the_caution_is_shown_whatever_the_scene():
    assert live(scene)._screen.caution == caution.SHORT


def test_where_widgets_cannot_be_shown_the_sentence_is():
    bundle = live(scene)._repr_mimebundle_()
    assert bundle["text/plain"] == f"A toy disc: {scene.sentence()}"
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_a_saved_notebook_keeps_a_small_still_before_the_widget(stage, monkeypatch):
    shown = []
    monkeypatch.setattr("lowsun.stage.player.display", lambda each, raw: shown.append(each))
    stage._ipython_display_()
    still, widget = shown
    assert "application/vnd.jupyter.widget-view+json" in widget
    assert still["text/plain"] == widget["text/plain"] == f"A toy disc: {scene.sentence()}"
    data = re.search(r'alt="A toy disc: .*" src="data:image/jpeg;base64,(.*)"', still["text/html"])
    small = Image.open(BytesIO(base64.b64decode(data[1])))
    assert small.size == (640, 360)
    assert len(data[1]) < 60_000
    large = Image.open(BytesIO(stage._screen.frame)).resize(small.size)
    assert np.abs(np.asarray(small, dtype=int) - np.asarray(large, dtype=int)).mean() < 3


def test_many_choices_lie_along_a_slider():
    times = tuple(f"1/{2**n} s" for n in range(12))
    shutter = Choice(name="shutter", label="shutter", options=times, default=times[3])
    stage = live(changed(controls=(*CONTROLS, shutter)))
    (slider,) = widgets(stage, ipywidgets.SelectionSlider)
    assert slider.options == tuple((time, time) for time in times)  # what is said, and the value
    slider.value = times[-1]
    assert stage.state["shutter"] == "1/2048 s"
    assert stage.error == ""


def test_controls_stand_in_the_order_of_the_scene(stage):
    captions = [getattr(w, "description", "") for w in every(stage._widget)]
    wanted = [control.caption for control in CONTROLS]
    assert [caption for caption in captions if caption in wanted] == wanted


def test_the_print_look_is_white():
    assert tuple(pixels(live(scene, look=PRINT))[2, 2]) == (255, 255, 255)


def test_what_a_page_sends_back_is_no_move():
    asked = []
    stage = live(changed(compute=lambda state: asked.append(state) or compute(state)))
    stage.set(centre=7.5)
    stage._knobs["centre"].value = 7.500000000000001
    assert len(asked) == 2
    stage.undo()
    assert stage.state["centre"] == 20


def test_a_value_moved_back_after_a_refusal_is_shown_again():
    stage = live(changed(compute=refusing))
    stage._knobs["centre"].value = -5
    assert stage.error
    stage._knobs["centre"].value = 20
    assert stage.error == ""


def test_moves_in_several_threads_are_shown_one_after_the_other():
    """Lab 4.4 and later answer some of a page's messages in another thread than the rest."""
    inside, most = [], []

    def watched(state):
        inside.append(state)
        most.append(len(inside))
        time.sleep(0.02)
        inside.pop()
        return compute(state)

    stage = live(changed(compute=watched))
    moves = [("centre", 3.0), ("radius", "12"), ("colour", "green"), ("round_disc", True)]

    def move(name, value):
        stage._knobs[name].widget.value = value

    threads = [threading.Thread(target=move, args=each) for each in moves]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert max(most) == 1
    assert stage.error == stage.traceback == ""
    last = {"centre": 3.0, "radius": 12.0, "colour": "green", "round_disc": True}
    assert stage.sentence == scene.sentence(**last)
