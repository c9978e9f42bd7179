"""Collect the messages of the code into the catalogues of every language, and compile them.

Translations are kept; what the code no longer says goes; new messages wait for a translation.

python tests/support/messages.py
"""

import ast
import os
from pathlib import Path

from babel.messages import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import lowsun

LIBRARY = Path(lowsun.__file__).parent
CATALOGUES = LIBRARY / "data" / "language"
KEYWORDS = {"say": 1, "term": 1, "says": 2}  # how many messages a call begins with


def messages_of(file, keywords=None, comment_tags=None, options=None):
    """Yield the messages of a Python file as Babel wants them: also those inside f-strings."""
    for call in ast.walk(ast.parse(file.read())):
        if isinstance(call, ast.Call) and called(call) in KEYWORDS:
            yield from _found(call, KEYWORDS[called(call)])


def called(call):
    """The name of the function that is called; None for a method, or what has no name."""
    return getattr(call.func, "id", None)


def _found(call, how_many):
    given = [strings(argument) for argument in call.args[:how_many]]
    for texts in zip(*given, strict=False):
        name = "ngettext" if how_many == 2 else "gettext"
        yield call.lineno, name, texts if how_many == 2 else texts[0], []


def strings(node):
    """The strings that an argument may be: itself, or one of two."""
    if isinstance(node, ast.IfExp):
        return [*strings(node.body), *strings(node.orelse)]
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def template():
    """The catalogue of all messages of the code, each with the files that say it."""
    catalogue = Catalog(project="lowsun", charset="utf-8")
    names = {"gettext": None, "ngettext": (1, 2)}
    found = extract_from_dir(LIBRARY, [("**.py", messages_of)], keywords=names)
    for name, line, message, _comments, _context in sorted(found, key=lambda each: each[:2]):
        catalogue.add(message, locations=[(name, line)])
    return catalogue


def catalogue_paths():
    """The catalogue of every language but English."""
    return sorted(CATALOGUES.glob("*/LC_MESSAGES/lowsun.po"))


def read(path):
    """A catalogue as it stands."""
    with path.open("rb") as file:
        return read_po(file, locale=path.parts[-3])


def merged(path):
    """A catalogue brought to the messages of the code: no guess is taken for a translation."""
    catalogue = read(path)
    begun = catalogue.creation_date  # or two runs would differ
    catalogue.update(template(), no_fuzzy_matching=True)
    catalogue.creation_date = begun
    catalogue.obsolete.clear()
    return catalogue


def write(catalogue, path):
    """Write a catalogue, in the order of the files, and compile it beside it; whole or not."""
    _whole(path, lambda file: write_po(file, catalogue, width=100, sort_by_file=True,
                                       include_lineno=False, omit_header=False))  # fmt: skip
    _whole(path.with_suffix(".mo"), lambda file: write_mo(file, catalogue))


def untranslated(catalogue):
    """The messages that wait for a translation, those that are only guessed among them."""
    return [each for each in catalogue if each.id and (each.fuzzy or not all(texts(each.string)))]


def texts(said):
    """One text, or the forms of several, as a tuple; one empty text for none."""
    return (said or "",) if isinstance(said, str | None) else tuple(said)


def _whole(path, fill):
    draft = path.with_suffix(".new")
    with draft.open("wb") as file:
        fill(file)
    os.replace(draft, path)


if __name__ == "__main__":
    for po in catalogue_paths():
        now = merged(po)
        write(now, po)
        print(f"{po.parts[-3]}: {len(now)} messages, {len(untranslated(now))} to translate")
