"""The language that the kit speaks: messages of gettext catalogues, numbers as the language writes.

Messages are English. What is said is the message in the present language, its fields filled:

    say("the Sun stands {height:.1f}° high", height=10.25)

What is written in the code before it is known who reads it, a label or a title, is a `term`, and is
said where it is shown. `tests/support/messages.py` collects all three into the catalogues.
"""

import os
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, lru_cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files
from numbers import Integral, Real
from string import Formatter

from babel import Locale

from lowsun.errors import LARGEST, InputError, quoted, require_kind, require_number

ENGLISH = "en"  # of the messages
LOCALES = {ENGLISH: "en", "pt": "pt_PT"}  # by the code of the language
VARIABLE = "LOWSUN_LANGUAGE"  # of the environment: the language a kernel begins with


@dataclass(frozen=True)
class Language:
    """A language: its code, its messages, and how it writes numbers, months and weekdays."""

    code: str
    messages: NullTranslations
    locale: Locale

    @property
    def signs(self):
        """How the signs that Python writes into numbers are written, for `str.translate`."""
        symbols = self.locale.number_symbols["latn"]
        return {ord("."): symbols["decimal"], ord(","): symbols["group"]}


# ---- which language


def languages():
    """The codes of the languages there are."""
    return tuple(LOCALES)


def spoken():
    """The code of the present language."""
    return _Present.language.code if _Present.language else None


def speak(code):
    """Speak the language of that code from now on, or raise an InputError naming those there are.

    A picture that stands keeps the words it was built with; the next one speaks the new language.
    """
    if not isinstance(code, str) or code not in LOCALES:
        known = ", ".join(languages())
        raise InputError(f"There is no language {quoted(code)}; choose one of: {known}.")
    if code == spoken():
        return
    for forget in _HOLD_WORDS:
        forget()
    _Present.become(language(code))


@contextmanager
def speaking(code):
    """Speak another language for a while."""
    before = spoken()
    speak(code)
    try:
        yield
    finally:
        speak(before)


@cache
def language(code):
    """The `Language` of a code."""
    return Language(code, _messages(code), Locale.parse(LOCALES[code]))


def _messages(code):
    if code == ENGLISH:
        return NullTranslations()
    folder = files("lowsun.data") / "language" / code / "LC_MESSAGES"
    with (folder / "lowsun.mo").open("rb") as catalogue:
        return GNUTranslations(catalogue)


class _Present:
    """The language of this process: a context of its own would not reach a widget's callbacks."""

    language = signs = None

    @classmethod
    def become(cls, new):
        cls.language, cls.signs = new, new.signs


def holds_words(kept):
    """A function that keeps its results (by `lowsun.kept`) and puts words into them.

    It forgets them when another language is spoken.
    """
    _HOLD_WORDS.append(kept.cache_clear)
    return kept


_HOLD_WORDS = []


# ---- what is said


def term(message):
    """The message itself: marked here, said where it is shown."""
    return require_kind("message", message, str, "a text")


def say(message, /, **values):
    """The message in the present language, its fields filled with these values."""
    require_kind("message", message, str, "a text")
    said = _Present.language.messages.gettext(message) if message else ""
    return _filled(said, values) if values else said


def says(one, several, number, /, **values):
    """The message for one or for several, as the number asks; `{number}` is a field of it too.

    Raises InputError for what is no text, OutOfRangeError for what is no number.
    """
    require_kind("one", one, str, "a text")
    require_kind("several", several, str, "a text")
    _require_number(number)
    said = _Present.language.messages.ngettext(one, several, _told_by(number))
    return _filled(said, values | {"number": number})


def figures(number, spec=""):
    """A number as the language writes it, by a format such as `.1f`.

    Without one, a whole number has no decimal sign, and none an exponent.
    Raises InputError for what is no format of numbers, OutOfRangeError for what is no number.
    """
    _require_number(number)
    require_kind("spec", spec, str, "a number's format, as .1f")
    try:
        return _figures(number, spec)
    except ValueError as refused:
        raise InputError(f"spec is {quoted(spec)}; give a number's format, as .1f.") from refused


def _require_number(number):
    if type(number) is not int or abs(number) > LARGEST:  # most are small: slides move by them
        require_number("number", number, -LARGEST, LARGEST)


def _figures(number, spec):
    plain = not spec and not isinstance(number, Integral)
    return in_figures(_plain(number) if plain else format(number, spec))


def in_figures(text):
    """A number that Python or a library has written, with the signs of the language."""
    return text.translate(_Present.signs)


def month(number):
    """The short name of a month, 1 to 12."""
    return _Present.language.locale.months["format"]["abbreviated"][number]


def weekday_name(number, *, short=False):
    """The name of a day of the week, from 0, a Monday."""
    width = "abbreviated" if short else "wide"
    return _Present.language.locale.days["format"][width][number]


def _filled(said, values):
    """The fields filled: numbers as the language writes them, all else as it is."""
    parts = _parts(said)
    return "".join(
        text if name is None else text + _written(values[name], spec) for text, name, spec in parts
    )


@lru_cache(maxsize=4096)  # taking a message apart costs more than filling it
def _parts(said):
    return tuple((text, name, spec) for text, name, spec, _ in Formatter().parse(said))


def _written(value, spec):
    return _figures(value, spec) if isinstance(value, Real) else format(value, spec)


def _told_by(number):
    """The whole number that chooses the form: what is broken counts as several."""
    return int(number) if number == int(number) else 2


def _plain(number):
    return f"{number:f}".rstrip("0").rstrip(".")


speak(os.environ.get(VARIABLE) or ENGLISH)
