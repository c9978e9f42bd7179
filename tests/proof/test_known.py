"""What notebooks say that others say is what is compared now."""

import json
from pathlib import Path

import pytest

import refresh_readme
from lowsun.proof.telling import known

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
WITHOUT = {"07-frames", "08-teaching"}  # frames are held to made suns; a lesson has no numbers


def tables(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in cells if "outside-values" in cell["metadata"].get("tags", [])]


@pytest.mark.parametrize("path", sorted(NOTEBOOKS.glob("*.ipynb")), ids=lambda path: path.stem)
def test_tables_say_what_is_computed_now(path):
    # python tests/support/refresh_notebooks.py writes them again.
    found = tables(path)
    assert len(found) == (path.stem not in WITHOUT)
    for cell in found:
        assert "".join(cell["source"]) == known(cell["metadata"]["lowsun"]["measures"]).rstrip()


def test_the_readme_says_what_is_computed_now():
    # python tests/support/refresh_readme.py writes it again.
    text = (NOTEBOOKS.parent / "README.md").read_text(encoding="utf-8")
    assert refresh_readme.refreshed(text) == text
    assert text.count("\n| ") > refresh_readme.SHOWN
