"""A tongue made up, in which a word that no message holds is seen; and what no sentence may hold.

It says every message in small Greek letters, so that a Latin word on the screen is one that no
message holds, and it writes a comma before decimals.
"""

import re
from contextlib import contextmanager
from gettext import NullTranslations
from unittest.mock import patch

from lowsun.words import speech

LATIN, GREEK = "abcdefghijklmnopqrstuvwxyz", "αβψδεφγηιξκλμνοπθρστυϋωχψζ"
LETTERS = str.maketrans(LATIN + LATIN.upper(), GREEK + GREEK.upper())
FIELD = re.compile(r"(\{[^}]*\})")
# Symbols of units, time zones, formats of files, and names of commands and of controls in code.
SYMBOLS = {
    "min", "nm", "mm", "km", "hPa", "ISO", "DU", "px", "csv", "txt", "ND", "lx", "cm",
    "UTC", "GMT", "IST", "HDT", "DMT",
}  # fmt: skip
MONTHS = {
    "jan", "fev", "mar", "abr", "mai", "jun", "jul", "ago", "set", "out", "nov", "dez",
}  # fmt: skip
WORD = re.compile(r"[A-Za-z]{2,}\b(?!\()")  # a call, such as date(2027, 3, 20), is no word
POINT = re.compile(r"(\d)\.(\d)")
# Words that no sentence for people holds: numbers of a machine, values that are none, and one of
# something named as several.
WRONG = {
    "an exponent": r"\d[eE][+-]?\d",
    "a value that is none": r"\b(None|nan|inf|True|False)\b",
    "one named as several": r"(?<![\d.,])1 (stops|minutes|seconds|pixels|pictures|degrees)\b",
    "a double space": r"  ",
    "a space before a stop": r" [.,;:]",
    "minus nought": r"[-−]0([.,]0+)?(?![.,]?\d)",
    "a unit in letters after a number": r"\d deg\b",
}


class MadeUp(NullTranslations):
    """Says every message in Greek letters, its fields kept."""

    def gettext(self, message):
        return "".join(
            part if FIELD.fullmatch(part) else POINT.sub(r"\1,\2", part).translate(LETTERS)
            for part in FIELD.split(message)
        )

    def ngettext(self, one, several, number):
        return self.gettext(one if number == 1 else several)


@contextmanager
def made_up():
    """Everything said inside is said in it."""
    real = speech.language
    tongue = speech.Language("xx", MadeUp(), real("pt").locale)

    def language(code):
        return tongue if code == "xx" else real(code)

    with (
        patch.dict(speech.LOCALES, xx="pt_PT"),
        patch.object(speech, "language", language),
        speech.speaking("xx"),
    ):
        yield


def left_in_english(text):
    """Latin words, and decimal points, of a text said in the tongue."""
    words = {word for word in WORD.findall(text) if word not in SYMBOLS | MONTHS}
    return words | {found[0] for found in POINT.finditer(text)}


def faults_of(sentence):
    """Which of `WRONG` a sentence holds."""
    return [fault for fault, pattern in WRONG.items() if re.search(pattern, sentence)]
