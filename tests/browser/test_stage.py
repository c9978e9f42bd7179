"""The live stage in a real browser: its words, its names, its errors, its focus ring."""

import nbformat
import pytest

from lab import TOY, Notebook
from lowsun.scenes import caution
from toy_scene import CONTROLS, scene

pytestmark = pytest.mark.browser
REFUSING = "stage.live(dataclasses.replace(toy_scene.scene, compute=toy_scene.refusing))"
IN_PORTUGUESE = "from lowsun.words import speak; speak('pt')\nstage.live(toy_scene.scene)"
SLOW = "stage.live(dataclasses.replace(toy_scene.scene, compute=toy_scene.slow, doing='Tracing'))"


@pytest.fixture
def open_stage(playground):
    def open_one(cell="stage.live(toy_scene.scene)"):
        playground.play(*TOY, cell)
        assert playground.cell_errors == []
        (stage,) = playground.stages
        return stage

    return open_one


def test_words_and_names(open_stage):
    stage = open_stage()
    assert stage.sentence == scene.sentence()
    assert stage.root.locator(".lowsun-caution").inner_text() == caution.SHORT
    captions = [control.caption for control in CONTROLS]
    assert stage.root.get_by_role("slider", name=captions[0], exact=True).count() == 1
    assert stage.root.get_by_role("radiogroup", name=captions[1], exact=True).count() == 1
    assert stage.root.get_by_role("checkbox", name=captions[2], exact=True).count() == 1
    assert stage.root.get_by_label(captions[3], exact=True).count() == 1
    assert stage.root.get_by_role("textbox", name=captions[4], exact=True).count() == 1
    assert stage.root.locator("[title=null]").count() == 0


def test_the_spoken_words_follow_where_a_move_ends(open_stage):
    stage = open_stage()
    stage.press(stage.root.locator(".noUi-handle"), "End")
    stage.notebook.rest(quiet_ms=1000)
    assert stage.root.locator(".lowsun-spoken").inner_text() == scene.sentence(centre=40)


def test_the_picture_has_the_pixels_that_the_page_shows(open_stage):
    stage = open_stage()
    page = stage.notebook.page
    try:
        for height in (720, 500, 900):
            page.set_viewport_size({"width": 1280, "height": height})
            stage.notebook.rest(quiet_ms=600)
            shown, sent = stage.image.evaluate("image => [image.clientWidth, image.naturalWidth]")
            assert shown == pytest.approx(min(0.66 * height * 16 / 9, 1280 - 450), rel=0.1)
            assert shown <= sent < shown + 16
    finally:
        page.set_viewport_size({"width": 1280, "height": 720})


def test_focus_can_be_seen_on_every_control(open_stage):
    stage = open_stage()
    page = stage.notebook.page
    stage.root.locator(".noUi-handle").focus()
    seen = []
    for _ in range(9):
        page.keyboard.press("Tab")
        page.keyboard.press("Shift+Tab")
        seen.append(page.evaluate(_FOCUS))
        page.keyboard.press("Tab")
    rings = {kind: width for kind, width in seen if kind != "other"}
    assert set(rings.values()) == {"3px"}, rings
    assert {"DIV.noUi-handle", "INPUT.radio", "INPUT.checkbox", "INPUT.date"} <= set(rings)


def test_a_refusal_is_an_alert_and_goes_away(open_stage):
    stage = open_stage(REFUSING)
    handle = stage.root.locator(".noUi-handle")
    before = stage.picture()
    stage.press(handle, "Home")
    assert stage.alert == "The disc is below the horizon. Raise it."
    assert stage.picture() == before
    stage.press(handle, "End")
    assert stage.alert.startswith("This scene failed (ZeroDivisionError: internal detail).")
    stage.back_to_start()
    assert stage.alert == ""
    assert stage.sentence == scene.sentence()
    assert stage.notebook.troubles == []


def test_a_long_computation_says_what_it_does(open_stage):
    stage = open_stage(SLOW)
    handle = stage.root.locator(".noUi-handle")
    handle.focus()
    handle.press("Home")
    stage.notebook.page.get_by_text("Tracing …").wait_for(state="visible", timeout=5000)
    stage.notebook.rest()
    assert not stage.root.locator(".lowsun-doing").is_visible()
    assert stage.sentence == scene.sentence(centre=-10)


def test_a_file_of_the_players_own(open_stage, tmp_path):
    (tmp_path / "mine.csv").write_text("1,2,3")
    stage = open_stage()
    with stage.notebook.page.expect_file_chooser() as chooser:
        stage.root.locator("button.widget-upload").click()
    chooser.value.set_files(tmp_path / "mine.csv")
    stage.notebook.rest(quiet_ms=600)
    assert stage.sentence.endswith("sounding: 1,2,3.")
    stage.back_to_start()
    assert stage.sentence == scene.sentence()


KEYS = ("ArrowRight", "ArrowLeft", "ArrowDown", "ArrowUp", "PageDown", "PageUp", "Enter", "Shift",
        *"abcdhjklmoprsvxyzBDZ0123?./")  # fmt: skip
KINDS = (".noUi-handle", "input[type=radio]", "input[type=checkbox]", "input[type=text]",
         "button.widget-upload", "button.lowsun-more", "input[type=date]")  # fmt: skip


def test_no_key_on_a_control_reaches_the_notebook(open_notebook, server):
    folds = "stage.live(dataclasses.replace(toy_scene.scene, seldom=('day',)))"
    notebook = open_notebook([*TOY, heading(), folds, heading(), "1 + 1"], "keys.ipynb")
    notebook.run()
    stage, before, file = notebook.stages[0], notebook.cells, saved(notebook, server)
    stage.unfold()
    for kind in KINDS:
        control = stage.root.locator(kind).first
        for key in KEYS:
            control.focus()
            notebook.page.keyboard.press(key)
            notebook.page.keyboard.press(key)
        notebook.page.keyboard.press("Escape")
        assert notebook.cells == before, kind
    assert saved(notebook, server) == file
    assert notebook.troubles == []


ASKED = """from lowsun.notebook import ask, live, scene
stage = live(scene("rims"))
stage"""


def test_no_key_on_a_question_reaches_the_notebook(open_notebook):
    notebook = open_notebook([ASKED, 'ask(stage, "narrower")', "1 + 1"], "ask.ipynb")
    notebook.run()
    before, page = notebook.cells, notebook.page
    for kind in ("input[type=text]", "button >> nth=0"):
        page.locator(".lowsun-guess").locator(kind).focus()
        for key in ("b", "d", "d", "ArrowLeft", "PageDown"):
            page.keyboard.press(key)
    assert notebook.cells == before
    field = page.locator(".lowsun-guess input")
    for _ in range(10):  # on a busy machine the kernel's word on what was typed first comes late
        notebook.rest()
        if field.input_value() == "12":
            break
        field.fill("12")
    page.get_by_role("button", name="check", exact=True).press("Enter")
    notebook.rest()
    page.get_by_text("Yes: 11.9 times").wait_for(timeout=30_000)
    assert notebook.troubles == []
    assert notebook.cells == before


def test_arrows_choose_among_radios(open_stage):
    stage = open_stage()
    stage.press(stage.root.locator("input[type=radio]").first, "ArrowRight")
    assert stage.sentence == scene.sentence(colour="green")
    assert stage.root.locator("input[type=radio]:checked").count() == 1


def heading():
    return nbformat.v4.new_markdown_cell("# A heading")


def saved(notebook, server):
    notebook.page.evaluate("window.jupyterapp.commands.execute('docmanager:save')")
    book = nbformat.read(server.notebooks / "keys.ipynb", as_version=4)
    return [(cell.cell_type, cell.source, cell.metadata) for cell in book.cells]


def test_what_is_typed_beside_a_slider_is_read_whole_or_refused_there(open_stage):
    stage = open_stage()
    field = stage.root.locator(".widget-readout[contenteditable=true]")
    for text, said in [("2,75", ""), ("99", "allowed is -10 to 40"), ("3.5", "")]:
        field.fill(text)
        stage.press(field, "Enter")
        assert said in stage.alert
        assert (stage.alert == "") is (said == "")
        assert field.inner_text() == text.replace(",", ".")
        if said:
            assert stage.root.locator(".lowsun-at-centre + [role=alert]").is_visible()
            assert stage.sentence == scene.sentence(centre=2.75)
    assert stage.sentence == scene.sentence(centre=3.5)


def test_numbers_are_shown_and_typed_with_a_decimal_comma_in_portuguese(open_notebook):
    notebook = open_notebook([*TOY, IN_PORTUGUESE], "stage.ipynb")
    notebook.run()
    (stage,) = notebook.stages
    field = stage.root.locator(".widget-readout[contenteditable=true]")
    handle = stage.root.locator(".noUi-handle").first
    box = stage.root.locator("input[type=text]").first
    for text, shown in [("2,75", "2,75"), ("3.5", "3,5"), ("4,5", "4,5")]:
        field.fill(text)
        stage.press(field, "Enter")
        assert (stage.alert, field.inner_text()) == ("", shown)
        assert handle.get_attribute("aria-valuetext") == shown
    stage.press(handle, "ArrowRight")
    assert field.inner_text() == "5,0"
    for text in ("5,5", "5.5"):
        stage._type(box, text)
        assert stage.alert == ""
    stage._type(box, "99")
    assert "o permitido é" in stage.alert


def test_the_button_of_a_file_does_not_count(open_stage):
    stage = open_stage()
    button = stage.root.locator("button.widget-upload")
    assert button.inner_text().strip() == "your own sounding"


def test_a_notebook_reopened_shows_its_still(open_notebook, server):
    notebook = open_notebook([*TOY, "stage.live(toy_scene.scene)"], "again.ipynb")
    notebook.run()
    assert notebook.page.locator("img.lowsun-poster:visible").count() == 0
    notebook.page.evaluate("window.jupyterapp.commands.execute('docmanager:save')")
    notebook.page.evaluate("window.jupyterapp.commands.execute('notebook:shutdown-kernel')")
    again = Notebook(notebook.page.context.new_page(), server.url("again.ipynb"))
    again.page.locator("img.lowsun-poster").wait_for(state="visible")
    assert again.page.get_by_text("Error displaying widget").locator("visible=true").count() == 0
    assert again.page.locator("img.lowsun-poster").get_attribute("alt").endswith(scene.sentence())
    again.close()


def test_a_picture_is_held_beside_the_one_that_follows(open_stage):
    stage = open_stage()
    hold, held = (stage.root.locator(each) for each in (".lowsun-hold", "img.lowsun-held"))
    before = stage.image.get_attribute("src")
    stage.press(hold, "Enter")
    stage.press(stage.root.locator(".noUi-handle"), "End")
    assert held.get_attribute("src") == before != stage.image.get_attribute("src")
    assert held.get_attribute("alt") == f"Before: {scene.sentence()}"
    assert held.bounding_box() == stage.image.bounding_box()
    line = stage.root.locator(".lowsun-line")
    stage.press(line, "Home")
    assert held.evaluate("held => getComputedStyle(held).clipPath") == "inset(0px 100% 18% 0px)"
    stage.press(line, "End")
    assert held.evaluate("held => getComputedStyle(held).clipPath") == "inset(0px 0% 18% 0px)"
    stage.press(hold, "Enter")
    assert not held.is_visible()
    assert not line.is_visible()
    assert stage.notebook.troubles == []


def test_the_code_of_a_state_stands_where_it_can_be_copied(open_stage):
    stage = open_stage()
    stage.press(stage.root.get_by_role("button", name="copy as code"), "Enter")
    told = stage.root.locator(".lowsun-told")
    assert told.inner_text() == 'stage = live(scene("toy")); stage.set(); stage'
    assert stage.notebook.troubles == []


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_picture_and_first_controls_share_the_screen(open_stage, size):
    stage = open_stage()
    page = stage.notebook.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    top = stage.image.bounding_box()
    handle = stage.root.locator(".noUi-handle").bounding_box()
    chrome = 120  # Lab's menu, tool bar and status line
    assert handle["y"] + handle["height"] - top["y"] < size[1] - chrome
    assert top["width"] / top["height"] == pytest.approx(16 / 9, rel=0.01)


def test_a_move_fetches_no_icon_for_the_tab(open_stage):
    stage = open_stage()
    page, fetched = stage.notebook.page, []
    page.on("request", lambda request: fetched.append(request.url))
    stage.press(stage.root.locator(".noUi-handle"), "End")
    assert [url for url in fetched if "favicon" in url] == []
    shown = page.locator("link.favicon[rel=icon]")
    assert "idle" in shown.get_attribute("class")


def test_the_tab_gets_its_busy_icon_back(open_stage):
    stage = open_stage()
    page = stage.notebook.page
    assert page.locator("link.busy.favicon").count() == 0
    page.evaluate("window.jupyterapp.commands.execute('notebook:clear-all-cell-outputs')")
    page.wait_for_selector("link.busy.favicon", state="attached")


_FOCUS = """() => {
  const focused = document.activeElement;
  if (!focused.closest('.lowsun-controls')) return ['other', ''];
  const kind = focused.tagName + '.' + (focused.type || focused.classList[0]);
  return [kind, getComputedStyle(focused).outlineWidth];
}"""


@pytest.mark.parametrize("language", ["en", "pt"])
def test_no_word_on_a_button_of_a_question_is_cut(playground, language):
    speaks = f"from lowsun.words import speak; speak({language!r})"
    playground.play(speaks, ASKED, 'ask(stage, "narrower")')
    buttons = playground.page.locator(".lowsun-guess button")
    widths = buttons.evaluate_all("all => all.map((each) => [each.scrollWidth, each.clientWidth])")
    assert len(widths) == 4
    assert all(needed <= given for needed, given in widths), widths
    playground.play("from lowsun.words import speak; speak('en')")
