"""Every word an audience sees is a message, and every message stands in every catalogue."""

import ast
import re
from functools import cache
from gettext import GNUTranslations
from io import BytesIO
from string import Formatter

import pytest
from babel.messages.mofile import write_mo

import messages

ROOM = messages.LIBRARY
ENGLISH = (  # commands, and what they write for those who give them
    "air_options.py", "check.py", "command.py", "figures.py", "folder.py", "preset.py",
    "segment.py",
)  # fmt: skip
OF_OTHERS = {"DejaVu Sans", "offset points", "lower left", "-//lowsun//evening plan//EN"}
MARKUP = re.compile(r"<[^>]*>?|\{[^}]*\}|[.\w-]+\s*[=:(]\S*")
SAID = ("say", "says", "figures", "in_figures")
ROOMS = ("scenes", "drawing", "words", "stage")
CATALOGUES = pytest.mark.parametrize(
    "path", messages.catalogue_paths(), ids=lambda path: path.parts[-3]
)


def said(catalogue):
    return {each.id: each for each in catalogue if each.id}


@cache
def of_the_code():
    return frozenset(said(messages.template()))


@CATALOGUES
def test_the_catalogue_holds_the_messages_of_the_code_and_none_besides(path):
    # `python tests/support/messages.py` brings it to them.
    assert set(said(messages.read(path))) == set(of_the_code())


@CATALOGUES
def test_every_message_is_translated(path):
    assert [each.id for each in messages.untranslated(messages.read(path))] == []


@CATALOGUES
def test_a_translation_fills_the_same_fields(path):
    # A form for one may leave the number out.
    wrong = [
        each.id
        for each in said(messages.read(path)).values()
        for text in filter(None, messages.texts(each.string))
        if not fields(each.id[0] if isinstance(each.id, tuple) else each.id)
        <= fields(text)
        <= fields(each.id[-1] if isinstance(each.id, tuple) else each.id)
    ]
    assert wrong == []


def fields(text):
    return {(name, spec) for _, name, spec, _ in Formatter().parse(text) if name is not None}


@CATALOGUES
def test_the_compiled_catalogue_is_that_of_its_source(path):
    compiled = BytesIO()
    write_mo(compiled, messages.read(path))
    assert path.with_suffix(".mo").read_bytes() == compiled.getvalue()
    assert GNUTranslations(BytesIO(compiled.getvalue())).info()["language"] == path.parts[-3]


# --- words that nobody marked -----------------------------------------------------------------

PROSE = re.compile(r"[A-Za-z]{2,}[,;:]? [A-Za-z]{2,}")
SHOWN_AS = {  # by the name of an argument, also one word alone is shown
    "title", "label", "xlabel", "ylabel", "question", "hint", "doing", "description", "tooltip",
    "placeholder",
}  # fmt: skip
SHOWN_BY = {"text", "set_text", "set_title", "set_xlabel", "set_ylabel", "annotate", "set_label"}
WORD = re.compile(r"[A-Za-z]{3,}")


def sources():
    every = [path for room in ROOMS for path in sorted((ROOM / room).rglob("*.py"))]
    return [path for path in every if not path.name.endswith(ENGLISH)]


@pytest.mark.parametrize("path", sources(), ids=lambda path: path.relative_to(ROOM).as_posix())
def test_no_words_reach_a_screen_unmarked(path):
    tree, known = ast.parse(path.read_text(encoding="utf-8")), of_the_code()
    assert [node.lineno for node in unmarked(tree, known)] == []


def unmarked(tree, known=()):
    """The strings of a module that an audience may read, and that are no message.

    known: messages, which may also be keys.
    """
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            above = list(_above(node, parents))
            shown = _names(node, above) or (_is_prose(node) and node.value not in known)
            if shown and not _is_left_alone(node, above):
                yield node


def _above(node, parents):
    while node in parents:
        node = parents[node]
        yield node


def _is_prose(node):
    plain = MARKUP.sub("", node.value)
    return PROSE.search(plain) and node.value not in OF_OTHERS


def _names(node, above):
    """Is it a word that stands where something is named?"""
    sink = above[0] if not isinstance(above[0], ast.IfExp | ast.JoinedStr) else above[1]
    named = isinstance(sink, ast.keyword) and sink.arg in SHOWN_AS
    drawn = isinstance(sink, ast.Call) and getattr(sink.func, "attr", "") in SHOWN_BY
    return (named or drawn) and WORD.search(node.value)


def _is_left_alone(node, above):
    """A docstring, what an error tells, a message, a key: nothing that is shown as it is."""
    calls = [each for each in above if isinstance(each, ast.Call)]
    return (
        isinstance(above[0], ast.Expr | ast.Subscript | ast.Compare)
        or _is_style(above[0])
        or (isinstance(above[0], ast.Dict) and node in above[0].keys)
        or any(isinstance(each, ast.Raise) for each in above)
        or any((messages.called(call) or "").startswith("require_") for call in calls)
        or any(messages.called(call) in messages.KEYWORDS and _begins(call, node) for call in calls)
    )


def _is_style(node):
    """A page's style sheet, by the name it is given."""
    return isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "").endswith("STYLE")


def _begins(call, node):
    begin = call.args[: messages.KEYWORDS[messages.called(call)]]
    return any(node in ast.walk(argument) for argument in begin)


# --- what a player is refused -------------------------------------------------------------------

TOLD_TO_PLAYERS = (  # in a panel, beside a control, under a button: also what an error says
    "files.py", "fieldwork/skyline/outline.py", "physics/soundings/*.py", "scenes/controls.py",
    "scenes/exposure_ladder.py", "scenes/last_light.py", "scenes/questions/*.py",
    "scenes/shadow_evening.py", "stage/guessing.py",
)  # fmt: skip
TO_PROGRAMMERS = (  # who call a function, or describe a scene
    "is shaped", "give two or more of each", " and altitude_deg ", "path is", "overwrite is",
    "give the name of a file", "give True or False", "There is no question", "choose one of: ",
    "There are no questions", "The question ", "is about", "YEAR MONTH DAY",
)  # fmt: skip


def unsaid(tree):
    """The sentences of errors that pass by `say`, without those of a scene's author."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise | ast.Return) and _is_error(node):
            said_parts = {
                part for call in ast.walk(node)
                if isinstance(call, ast.Call) and messages.called(call) in messages.KEYWORDS
                for part in ast.walk(call)
            }  # fmt: skip
            for part in set(ast.walk(node)) - said_parts:
                text = getattr(part, "value", None) if isinstance(part, ast.Constant) else None
                if isinstance(text, str) and PROSE.search(text):
                    yield part


def _is_error(node):
    named = {part.id for part in ast.walk(node) if isinstance(part, ast.Name)}
    return any(name.endswith("Error") for name in named) and "SceneError" not in named


@pytest.mark.parametrize(
    "path", [path for named in TOLD_TO_PLAYERS for path in sorted(ROOM.glob(named))],
    ids=lambda path: path.relative_to(ROOM).as_posix(),
)  # fmt: skip
def test_a_player_is_refused_in_the_language_of_the_page(path):
    found = [part.value for part in unsaid(ast.parse(path.read_text(encoding="utf-8")))]
    assert [text for text in found if not any(each in text for each in TO_PROGRAMMERS)] == []


def test_a_refusal_that_is_not_said_is_found():
    assert list(unsaid(ast.parse('raise InputError(f"{one} is no two")')))
    assert not list(unsaid(ast.parse('raise InputError(say("{one} is no two", one=1))')))


def test_nothing_is_said_before_the_language_is_known():
    # At import, and in a default, a message is a term: who reads it is not known yet.
    for path in sorted(ROOM.rglob("*.py")):
        early = [call.lineno for call in _at_import(ast.parse(path.read_text(encoding="utf-8")))]
        assert early == [], path


def _at_import(node):
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Lambda):
            continue
        if isinstance(child, ast.FunctionDef):
            child = child.args
        if isinstance(child, ast.Call) and messages.called(child) in SAID:
            yield child
        yield from _at_import(child)


def test_every_message_is_given_the_values_of_its_fields():
    for path in sorted(ROOM.rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and messages.called(call) in ("say", "says"):
                unpacked = any(keyword.arg is None for keyword in call.keywords)
                assert unpacked or _asked(call) <= _given(call), f"{path}:{call.lineno}"


def _asked(call):
    """The names of the fields of a call's messages; none where the message is not in the call."""
    texts = [text for argument in call.args[:2] for text in messages.strings(argument)]
    return {name for text in texts for name, _ in fields(text)}


def _given(call):
    named = {keyword.arg for keyword in call.keywords}
    return named | {"number"} if len(call.args) > 2 else named


@pytest.mark.parametrize(
    "code",
    ['axes.set(title="a title")', 'axes.text(0, 0, "word")', 'return f"{high} arcmin high"',
     'Range(label="day")', 'text.set_text("yes" if true else "")', 'say("{x}", x="two words")'],
)  # fmt: skip
def test_unmarked_words_are_found(code):
    tree = ast.parse(f"def f():\n    {code}")
    assert list(unmarked(tree))


def test_the_messages_of_a_file_are_found_wherever_they_stand():
    code = b"""f"{say('in text')} and {says('one', 'many', 3)}"; say("this" if so else "that")
say("outer {x}", x=term("inner")); Screen.say("no message")"""
    found = [message for _, _, message, _ in messages.messages_of(BytesIO(code))]
    assert set(found) == {"in text", ("one", "many"), "this", "that", "outer {x}", "inner"}
