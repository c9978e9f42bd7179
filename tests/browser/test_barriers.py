"""Who cannot see, or use a mouse: axe-core finds no barrier on a stage, in Lab and on a page."""

import pytest

from lab import FIRST_RUN_S, TOY, barriers, served
from lowsun import scenes
from lowsun.scenes.controls import Choice, Day, File, Number, Range, Switch

pytestmark = pytest.mark.browser
OURS = ".lowsun-stage, .lowsun-guess"
PLAYED = ("any_air", "evening_plan")  # between them they hold every kind of control


def cells(name, language="en"):
    return [
        f"from lowsun.notebook import *; speak({language!r})",
        f"stage = live({name!r})\nstage",
        "ask(stage)",
    ]


def test_the_scenes_looked_at_hold_every_kind_of_control():
    kinds = {type(control) for name in PLAYED for control in scenes.named(name).controls}
    assert kinds >= {Choice, Day, File, Number, Range, Switch}


@pytest.mark.parametrize("language", ["en", "pt"])
@pytest.mark.parametrize("name", PLAYED)
def test_a_stage_in_lab_has_no_barrier(playground, name, language):
    playground.play(*cells(name, language))
    (stage,) = playground.stages
    stage.unfold()
    assert barriers(playground.page, OURS) == []
    refuse(stage)
    assert stage.alert
    assert barriers(playground.page, OURS) == []
    stage.root.locator("button.lowsun-enlarge").press("Enter")
    stage.root.press("?")
    stage.root.locator(".lowsun-keys").wait_for()
    assert barriers(playground.page, OURS) == []


def refuse(stage):
    """Type what is no number beside the first slider."""
    field = stage.root.locator(".widget-readout[contenteditable=true]").first
    field.fill("?")
    stage.press(field, "Enter")


def test_a_button_without_a_name_is_found(playground):
    playground.play(*TOY, "stage.live(toy_scene.scene)")
    playground.page.evaluate(
        "document.querySelector('.lowsun-stage').append(document.createElement('button'))"
    )
    (found,) = barriers(playground.page, OURS)
    assert found.startswith("button-name (critical)")


def test_a_page_without_code_has_no_barrier(browser, tmp_path):
    with served([code for name in PLAYED for code in cells(name)], tmp_path) as address:
        page = browser.new_page()
        page.goto(address, timeout=FIRST_RUN_S * 1000)
        for stage in range(len(PLAYED)):
            page.locator("img.lowsun-picture").nth(stage).wait_for(timeout=FIRST_RUN_S * 1000)
            page.locator("button.lowsun-more").nth(stage).press("Enter")
        assert barriers(page, OURS) == []
        page.close()
