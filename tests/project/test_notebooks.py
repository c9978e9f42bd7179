"""The contract every notebook keeps, so that a reader who knows one knows all."""

import json
from pathlib import Path

import pytest

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


def test_other_cells_hold_no_output(path):
    for cell in cells(path, "code"):
        if CHECKED not in tags(cell):
            assert cell["outputs"] == []
            assert cell["execution_count"] is None


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
