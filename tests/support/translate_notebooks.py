"""Make the Portuguese notebooks of the English ones and the catalogue of their paragraphs.

A paragraph, a point of a list and a cell of a table are messages each, their lines joined;
formulas and commands without words stay as they are. Code stays too, but for the line that sets the
language. In a table of outside values a figure is written `#` in the message: figures change.
What running printed is kept where the code is the same; `refresh_notebooks.py` makes it again.

python tests/support/translate_notebooks.py            # catalogue and notebooks, after a change
"""

import json
import os
import re
import sys
from io import BytesIO
from pathlib import Path

from babel.messages import Catalog
from babel.messages.pofile import read_po, write_po

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
LANGUAGE = "pt"
TRANSLATED = NOTEBOOKS / LANGUAGE
CATALOGUE = TRANSLATED / "notebooks.po"
OUTSIDE_VALUES = "outside-values"
SETUP = re.compile(r"^from lowsun\.notebook import ([\w, ]+)$")

BLOCKS = re.compile(r"(\n\s*\n)")
POINTS = re.compile(r"\n(?=- |\d+\. )")
LEAD = re.compile(r"#+ |- |\d+\. |")  # a heading's or a point's own signs
WORDLESS = re.compile(
    r"\$\$((?!\\text).)*?\$\$|`[^`]*`|\[\d\d-[\w-]+\]\([^)]*\)|\]\([^)]*\)|[\W\d_]", re.DOTALL
)  # what needs no translation
NUMBER = re.compile(r"(?<![\w.])[-−]?\d[\d.]*(?![\w.]*\d)")
CITED = re.compile(r" \((\d+) values\)$")


# ---- a text cut into messages and put together again


def translated(text, say):
    """A Markdown text with each of its messages said by `say`."""
    return "".join(_block(part, say) for part in BLOCKS.split(text))


def _block(block, say):
    if not block.strip() or block.startswith("    "):
        return block
    if block.startswith("$$") and not _needs_words(block):
        return re.sub(r"(?<=\d)\.(?=\d)", "{,}", block)  # a comma that is no list's
    if block.lstrip().startswith("|"):
        return "\n".join(_row(line, say) for line in block.split("\n"))
    heading, line, rest = block.partition("\n")
    if heading.startswith("#") and rest:
        return _point(heading, say) + line + _block(rest, say)
    return "\n".join(_point(point, say) for point in POINTS.split(block))


def _point(point, say):
    lead = LEAD.match(point)[0]
    words = " ".join(point[len(lead) :].split())
    return lead + (say(words) if _needs_words(words) else point[len(lead) :])


def _row(line, say):
    told = [cell.strip() for cell in line.strip().strip("|").split("|")]
    return f"| {' | '.join(say(cell) if _needs_words(cell) else cell for cell in told)} |"


def _needs_words(text):
    return WORDLESS.sub("", text) != ""


def outside_values(text, say):
    """The table of outside values: its head, what is compared, units and ranges; no source."""
    lines = text.split("\n")
    head = _numbered(lines[0], say)
    return "\n".join([head, *(_outside_row(line, say) for line in lines[1:])])


def _outside_row(line, say):
    if not line.startswith("|") or line.startswith("| ---"):
        return line
    *told, source = [cell.strip() for cell in line.strip("| ").split(" | ")]
    told = [", ".join(_numbered(piece, say) for piece in cell.split(", ")) for cell in told]
    count = CITED.search(source)
    said = CITED.sub("", source) + (f" ({_numbered(count[0][2:-1], say)})" if count else "")
    return f"| {' | '.join([*told, said if count or source != 'by whom' else say(source)])} |"


def _numbered(text, say):
    """A message whose figures are `#`: said, and the figures put back in their order."""
    if not _needs_words(text):
        return text.replace(".", ",") if NUMBER.fullmatch(text.strip(" ±×")) else _comma(text)
    figures = iter(NUMBER.findall(text))
    return re.sub("#", lambda _: _comma(next(figures)), say(NUMBER.sub("#", text)))


def _comma(text):
    return re.sub(r"(?<=\d)\.(?=\d)", ",", text)


# ---- notebooks and the talk


def sources():
    """The English notebooks and talks, in their order."""
    return [*sorted(NOTEBOOKS.glob("*.ipynb")), *sorted((NOTEBOOKS / "talk").glob("*.[it]*"))]


def target(path):
    """Where the translation of a file lies."""
    return TRANSLATED / path.relative_to(NOTEBOOKS)


def made(path, say):
    """The translated file as text, what its cells printed before kept where they are the same."""
    if path.suffix == ".toml":
        return talk(path.read_text(encoding="utf-8"), say)
    notebook = json.loads(path.read_text(encoding="utf-8"))
    before = _outputs(target(path))
    for place, cell in enumerate(notebook["cells"]):
        text = _cell(cell, say)
        cell["source"] = text.splitlines(keepends=True)
        if cell["cell_type"] == "code":
            cell["outputs"], cell["execution_count"] = before.get((place, text), ([], None))
    return json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _cell(cell, say):
    text = "".join(cell["source"])
    if cell["cell_type"] == "code":
        return SETUP.sub(rf'from lowsun.notebook import \1, speak\nspeak("{LANGUAGE}")', text)
    if OUTSIDE_VALUES in cell["metadata"].get("tags", []):
        return outside_values(text, say)
    return translated(text, say)


def _outputs(path):
    if not path.exists():
        return {}
    every = enumerate(json.loads(path.read_text(encoding="utf-8"))["cells"])
    return {
        (place, "".join(cell["source"])): (cell["outputs"], cell["execution_count"])
        for place, cell in every
        if cell["cell_type"] == "code"
    }


SAID = re.compile(
    r'(?P<before>^(?:title|card|text|cue) = |^    )(?P<mark>"""\n|")(?P<words>.*?)"{1,3}(?=,?$)',
    re.DOTALL | re.MULTILINE,
)


def talk(text, say):
    """A talk's file with its cards and cues said, line by line; remarks stay in English."""

    def said(found):
        lines = [say(line) for line in found["words"].split("\n")]
        return found["before"] + found["mark"] + "\n".join(lines) + found["mark"].strip()

    return SAID.sub(said, text)


# ---- the catalogue


def messages():
    """{message: [names of the files that say it]} in the order of the files."""
    found = {}
    for path in sources():
        made(path, _noting(found, path.relative_to(NOTEBOOKS).as_posix()))
    return found


def _noting(found, name):
    def note(message):
        names = found.setdefault(message, [])
        names += [] if name in names else [name]
        return message

    return note


def read(path=CATALOGUE):
    """The catalogue as it stands."""
    with path.open("rb") as file:
        return read_po(file, locale=LANGUAGE)


def merged(catalogue):
    """The catalogue brought to the messages of the notebooks; translations are kept."""
    template = Catalog(project="lowsun", charset="utf-8")
    for message, names in messages().items():
        template.add(message, locations=[(name, 0) for name in names])
    begun = catalogue.creation_date
    catalogue.update(template, no_fuzzy_matching=True)
    catalogue.creation_date = begun
    catalogue.obsolete.clear()
    return catalogue


def said_by(catalogue):
    """A `say` that looks a message up; what has no translation stays English."""
    return lambda message: ((entry := catalogue.get(message)) and entry.string) or message


def write(path, text):
    """Write a file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(path.name + ".new")
    draft.write_text(text, encoding="utf-8")
    os.replace(draft, path)


def written(catalogue):
    """The catalogue as text."""
    file = BytesIO()
    write_po(file, catalogue, width=100, include_lineno=False)
    return file.getvalue().decode("utf-8")


def main():
    catalogue = merged(read())
    write(CATALOGUE, written(catalogue))
    for path in sources():
        write(target(path), made(path, said_by(catalogue)))
    waiting = [entry for entry in catalogue if entry.id and not entry.string]
    print(f"{len(catalogue)} messages, {len(waiting)} to translate")
    return len(waiting)


if __name__ == "__main__":
    sys.exit(1 if main() else 0)
