"""The contract every notebook keeps, so that a reader who knows one knows all."""

import base64
import json
import re
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from lowsun import scenes
from lowsun.scenes import questions
from lowsun.scenes.questions import Choose
from truths import truth

ROOT = Path(__file__).parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
SECTIONS = [
    "Look",
    "Try",
    "Why",
    "Numbers",
    "What this leaves out",
    "How we know",
    "For the presenter",
]
SETUP = "from lowsun.notebook import caution, live, scene"
MOST_CODE_LINES = 6
LARGEST_STILL = 60_000  # bytes
CHECKED = "nbval-check-output"


def cells(path, kind=None):
    every = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in every if kind in (None, cell["cell_type"])]


def source(cell):
    return "".join(cell["source"])


def tags(cell):
    return cell["metadata"].get("tags", [])


def checked(path):
    return [cell for cell in cells(path, "code") if CHECKED in tags(cell)]


pytestmark = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)


def test_begins_with_a_title_and_a_question(path):
    first = cells(path)[0]
    assert first["cell_type"] == "markdown"
    assert source(first).startswith("# ")
    assert "?" in source(first)


def test_has_the_sections_in_their_order(path):
    headings = [
        line[3:].strip()
        for cell in cells(path, "markdown")
        for line in source(cell).splitlines()
        if line.startswith("## ")
    ]
    assert [heading for heading in headings if heading in SECTIONS] == SECTIONS


def test_sets_up_in_the_one_line_all_share(path):
    first = cells(path, "code")[0]
    assert source(first) == SETUP
    assert "setup" in tags(first)


def test_code_is_short_and_folded(path):
    for cell in cells(path, "code"):
        assert len(source(cell).splitlines()) <= MOST_CODE_LINES
        assert cell["metadata"]["jupyter"]["source_hidden"] is True


def test_plays_a_live_scene(path):
    assert any("live(scene(" in source(cell) for cell in cells(path, "code"))


def test_checked_cells_hold_what_they_are_compared_with(path):
    # nbval compares nothing where the count is null, and passes.
    assert checked(path)
    for cell in checked(path):
        assert cell["execution_count"] is not None
        assert cell["outputs"]
        assert 3 <= len(source(cell).splitlines()) <= 5 or len(source(cell).splitlines()) == 1


def test_live_cells_hold_a_small_still_with_its_words_and_others_nothing(path):
    for cell in cells(path, "code"):
        if CHECKED in tags(cell):
            continue
        assert (cell["execution_count"] is None) is (cell["outputs"] == [])
        assert len(cell["outputs"]) == ("live(scene(" in source(cell))
        for output in cell["outputs"]:
            assert set(output["data"]) == {"image/jpeg", "text/plain"}
            picture = base64.b64decode("".join(output["data"]["image/jpeg"]))
            assert Image.open(BytesIO(picture)).size == (640, 360)
            assert len(picture) < LARGEST_STILL


def test_a_still_says_what_its_scene_says(path):
    for cell in cells(path, "code"):
        name = re.search(r'live\(scene\("(\w+)"\)\)', source(cell))
        if name:
            said = "".join(cell["outputs"][0]["data"]["text/plain"])
            scene = scenes.named(name[1])
            assert said == f"{scene.title}: {scene.sentence()}"


def test_says_at_the_top_how_to_run_it(path):
    second = cells(path)[1]
    assert tags(second) == ["how-to-run"]
    assert "*Run All Cells*" in source(second)
    others = "".join(source(cell) for cell in cells(path) if cell != second)
    assert "Run All" not in others  # a page without code leaves the second cell out


def test_every_scene_with_questions_is_asked_and_nothing_above_answers_them(path):
    above, stages = "", {}
    for cell in cells(path):
        for found in re.finditer(r'(\w+) = live\(scene\("(\w+)"\)\)', source(cell)):
            stages[found[1]] = found[2]
        for found in re.finditer(r"^ask\((\w+)\)", source(cell), re.M):
            for question in questions.about(stages.pop(found[1])):
                if not isinstance(question, Choose):
                    assert question.shown(truth(question.name)) not in above, question.name
        printed = ("".join(output.get("text", "")) for output in cell.get("outputs", ()))
        above += source(cell) + "".join(printed)
    assert not [name for name in stages.values() if questions.about(name)]


def test_numbers_are_folded(path):
    for cell in cells(path, "markdown"):
        folded = cell["metadata"].get("jp-MarkdownHeadingCollapsed", False)
        assert folded is source(cell).startswith("## Numbers")


def test_stays_offline_and_on_fixed_dates(path):
    text = "".join(source(cell) for cell in cells(path))
    code = "".join(source(cell) for cell in cells(path, "code"))
    assert "<script" not in text
    assert "![](http" not in text
    assert "now(" not in code
    assert "today(" not in code


def test_shows_the_caution_or_leads_to_it(path):
    code = [source(cell) for cell in cells(path, "code")]
    words = "".join(source(cell) for cell in cells(path, "markdown"))
    assert "caution()" in code or "[Before you aim at the Sun](00-start-here.ipynb)" in words


def test_no_line_of_prose_begins_as_a_numbered_list_would(path):
    # "36,\n2689. Minutes" reads as item 2689 of a list.
    for cell in cells(path, "markdown"):
        assert not re.search(r"^\s*\d{3,}\. ", source(cell), re.MULTILINE)
