"""The Portuguese notebooks are the English ones: same cells, same figures, every paragraph said."""

import contextlib
import io
import json
import re
from collections import Counter

import pytest

import translate_notebooks as translate
from lowsun import words

SECTIONS = {
    "Look": "Observa",
    "Try": "Experimenta",
    "Why": "Porquê",
    "Numbers": "Números",
    "What this leaves out": "O que fica de fora",
    "How we know": "Como sabemos",
    "For the presenter": "Para quem apresenta",
}
CHECKED = "nbval-check-output"
SOURCES = translate.sources()
NOTEBOOKS = [path for path in SOURCES if path.suffix == ".ipynb"]
CHAPTERS = [path for path in NOTEBOOKS if path.parent == translate.NOTEBOOKS]
KEPT = re.compile(r"`[^`]*`|\]\([^)]*\)|\$[^$]*\$|\*\*|\*")  # commands, links, formulas, stress
FIGURE = re.compile(r"\d+(?:[.,]\d+)?")


def named(paths):
    return pytest.mark.parametrize("path", paths, ids=lambda path: path.stem + path.suffix)


def cells(path, kind=None):
    every = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in every if kind in (None, cell["cell_type"])]


def source(cell):
    return "".join(cell["source"])


def entries():
    return [entry for entry in translate.read() if entry.id]


def test_the_catalogue_holds_every_paragraph_and_none_besides():
    # `python tests/support/translate_notebooks.py` brings it to them.
    assert {entry.id for entry in entries()} == set(translate.messages())


def test_every_paragraph_is_translated():
    assert [entry.id for entry in entries() if entry.fuzzy or not entry.string] == []


def test_a_translation_keeps_figures_commands_links_and_formulas():
    assert [entry.id for entry in entries() if kept(entry.id) != kept(entry.string)] == []


def kept(text):
    """What is the same in every language: words of a formula aside, a decimal comma a point."""
    plain = re.sub(r"\\text\{[^}]*\}", "", text).replace("{,}", ".").replace("[deg]", "[°]")
    figures = FIGURE.findall(re.sub(r"(?<=\d),(?=\d)", ".", plain))
    return Counter(figures + KEPT.findall(plain) + [sign for sign in plain if sign in "#±×−°"])


@named(SOURCES)
def test_the_files_are_what_the_catalogue_makes_of_the_english_ones(path):
    say = translate.said_by(translate.read())
    assert translate.target(path).read_text(encoding="utf-8") == translate.made(path, say)


def test_no_translated_file_is_left_over():
    found = {path for path in translate.TRANSLATED.rglob("*.[it]*") if ".ipynb_c" not in str(path)}
    assert found == {translate.target(path) for path in SOURCES}


@named(NOTEBOOKS)
def test_cells_are_the_same_but_for_the_line_that_sets_the_language(path):
    for theirs, ours in zip(cells(path), cells(translate.target(path)), strict=True):
        assert {**theirs["metadata"]} == ours["metadata"]
        if theirs["cell_type"] == "code":
            assert source(ours).replace(', speak\nspeak("pt")', "") == source(theirs)
    first = cells(translate.target(path), "code")[0]
    assert source(first).endswith('\nspeak("pt")')


@named(CHAPTERS)
def test_chapters_keep_the_sections_and_lead_to_the_caution(path):
    text = "\n".join(source(cell) for cell in cells(translate.target(path), "markdown"))
    headings = re.findall(r"^## (.*)$", text, re.MULTILINE)
    assert [each for each in headings if each in SECTIONS.values()] == [*SECTIONS.values()]
    code = "".join(source(cell) for cell in cells(translate.target(path), "code"))
    assert "caution()" in code or "[Antes de apontares ao Sol](00-start-here.ipynb)" in text
    assert "*Run All Cells*" in source(cells(translate.target(path))[1])


@named(CHAPTERS)
def test_no_paragraph_begins_as_a_numbered_list_would(path):
    for cell in cells(translate.target(path), "markdown"):
        assert not re.search(r"^\s*\d{3,}\. ", source(cell), re.MULTILINE)


@named(NOTEBOOKS)
def test_prints_what_it_shows(path, monkeypatch):
    """All cells run in this process, whose caches all notebooks share: no kernel is started."""
    monkeypatch.chdir(translate.target(path).parent)
    names = {}
    with words.speaking("en"):
        for cell in cells(translate.target(path), "code"):
            printed = io.StringIO()
            with contextlib.redirect_stdout(printed):
                exec(compile(source(cell), path.stem, "exec"), names)  # the kit's own text
            if CHECKED in cell["metadata"].get("tags", []):
                assert printed.getvalue() == "".join(cell["outputs"][0]["text"])


def test_a_table_of_outside_values_is_put_together_again():
    text = "2 values of 1 sources: x\n\n| air, wide 0.5° | -2.3 | 3 to 6° | by A 1.2 (7 values) |"
    said = translate.outside_values(text, str.upper)
    assert said.split("\n") == [
        "2 VALUES OF 1 SOURCES: X", "",
        "| AIR, WIDE 0,5° | -2,3 | 3 TO 6° | by A 1.2 (7 VALUES) |",
    ]  # fmt: skip
