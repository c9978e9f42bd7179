"""The big view, worked by keyboard alone: what each key shows, and that none goes further."""

import pytest

from lab import TOY
from toy_scene import scene

pytestmark = pytest.mark.browser
TALK = """
[[step]]
card = "Where is the Sun?"
text = "Guess."
cue = "Wait for the hands."
[[step]]
scene = "polar_map"
cues = ["First.", "Second."]
"""


@pytest.fixture
def big(playground):
    playground.play(*TOY, "stage.live(toy_scene.scene)")
    return enlarged(playground)


def enlarged(notebook):
    notebook.page.set_viewport_size({"width": 1920, "height": 1080})
    stage = notebook.stages[0]
    stage.root.get_by_role("button", name="big view").press("Enter")
    notebook.rest(quiet_ms=400)
    return stage


def press(stage, *keys):
    for key in keys:
        stage.notebook.page.keyboard.press(key)
    stage.notebook.rest(quiet_ms=300)


def is_big(stage):
    return "lowsun-big" in stage.root.get_attribute("class")


def shown(stage, what):
    return stage.root.locator(what).is_visible()


def presenters_window(stage):
    with stage.notebook.page.context.expect_page() as opened:
        stage.notebook.page.keyboard.press("w")
    stage.notebook.rest(quiet_ms=300)
    assert is_big(stage)
    return opened.value


def read(other):
    return [other.locator(f".lowsun-presenter-{name}").inner_text() for name in ("now", "next")]


def test_the_picture_fills_the_screen_in_its_own_pixels(big):
    box = big.image.bounding_box()
    assert (box["width"], box["height"]) == (1920, 1080)
    assert big.image.evaluate("image => image.naturalWidth") == 1920
    assert not shown(big, ".lowsun-controls")
    assert shown(big, ".lowsun-caution")
    press(big, "q")
    assert not is_big(big)
    assert big.image.bounding_box()["width"] <= 1280


def test_keys_show_and_hide_and_none_goes_to_the_notebook(big):
    page, before = big.notebook.page, big.notebook.cells
    page.evaluate("window.lowsunStays = true")
    for key, what in [("?", ".lowsun-keys"), ("l", ".lowsun-cue"), ("c", ".lowsun-controls")]:
        press(big, key)
        assert shown(big, what), key
        press(big, key)
        assert not shown(big, what), key
    for key in (".", "b"):
        press(big, key)
        assert "lowsun-black-on" in big.root.get_attribute("class")
        press(big, key)
    press(big, *"adhjkvxyz", "Enter", "Shift+Enter", "Control+b", "F5", "Delete", "d", "d")
    assert page.evaluate("window.lowsunStays") is True
    assert is_big(big)
    assert big.notebook.cells == before
    press(big, "Escape")
    assert not is_big(big)
    assert big.notebook.troubles == []


def test_keys_move_the_scene(big):
    press(big, "ArrowRight")
    assert big.sentence == scene.sentence(centre=20.5)
    press(big, "ArrowDown")
    assert big.sentence == scene.sentence(centre=15.5)
    press(big, "s", "Home")
    assert big.sentence == scene.sentence()
    press(big, "1")
    assert big.sentence == scene.sentence(centre=15.5)
    press(big, "m", "ArrowRight")
    assert big.sentence == scene.sentence(centre=15.5, colour="green")
    assert big.notebook.troubles == []


def test_a_control_that_is_shown_keeps_its_own_keys(big):
    press(big, "c")
    handle = big.root.locator(".noUi-handle")
    handle.focus()
    press(big, "End")
    assert big.sentence == scene.sentence(centre=40)
    assert not shown(big, ".lowsun-at-day")
    big.root.locator(".widget-readout").click()
    press(big, "q")
    assert is_big(big)


def test_a_talk_is_played_by_a_remote(playground, server):
    (server.notebooks / "talk.toml").write_text(TALK)
    playground.play("from lowsun.notebook import talk", "talk('talk.toml')")
    stage = enlarged(playground)
    card = stage.root.locator(".lowsun-card")
    assert card.inner_text().split() == ["Where", "is", "the", "Sun?", "Guess."]
    press(stage, "l", "PageDown")
    assert not card.is_visible()
    assert stage.root.locator(".lowsun-cue").inner_text() == "2 of 3: First."
    press(stage, "PageDown", "PageDown", "PageUp", "PageUp")
    assert card.is_visible()
    other = presenters_window(stage)
    assert read(other) == ["1 of 3: Wait for the hands.", "Then: First."]
    other.keyboard.press("PageDown")
    playground.rest(quiet_ms=300)
    assert read(other) == ["2 of 3: First.", "Then: Second."]
    assert not card.is_visible()
    began = other.locator(".lowsun-presenter-clock").inner_text()
    other.wait_for_timeout(1200)
    assert other.locator(".lowsun-presenter-clock").inner_text() != began
    with other.expect_event("close"):
        press(stage, "q")
    assert not is_big(stage)
    assert playground.troubles == []
