"""Languages: what is said in each, and how numbers are written in it."""

import subprocess
import sys

import numpy as np
import pytest

from lowsun import words
from lowsun.errors import InputError, OutOfRangeError
from lowsun.words import figures, say, says, speak, speaking, speech, spoken, term


def test_english_says_the_message_itself_with_its_fields_filled():
    told = say("{clock}: {high:.1f}′ high, {share:.0%}", clock="18:56:27", high=10.25, share=0.5)
    assert told == "18:56:27: 10.2′ high, 50%"
    assert say("no {field} is filled without values") == "no {field} is filled without values"
    assert term("a label") == "a label"
    assert say("") == ""


@pytest.mark.parametrize(
    ("number", "told"), [(1, "1 stop"), (1.0, "1 stop"), (0, "0 stops"), (2.5, "2.5 stops")]
)
def test_the_number_chooses_the_form(number, told):
    assert says("{number} stop", "{number} stops", number) == told


@pytest.mark.parametrize("number", [1.5, np.float32(1.5), np.float64(1.5)])
def test_portuguese_writes_a_comma_in_numbers_and_leaves_text_alone(number):
    with speaking("pt"):
        told = say("{number:.2f} {number} {clock} {many:,}", number=number, clock="1.5", many=12345)
    assert told == "1,50 1,5 1.5 12\N{NO-BREAK SPACE}345"


def test_numbers_without_a_format_are_plain():
    assert [figures(each) for each in (2.0, 0.25, 7, 1e12, 1e-9)] == [
        "2", "0.25", "7", "1000000000000", "0",
    ]  # fmt: skip


def test_another_language_is_spoken_for_a_while():
    before = spoken()
    with pytest.raises(RuntimeError, match="left"):
        _speak_and_leave("pt")
    assert spoken() == before


def _speak_and_leave(code):
    with speaking(code):
        assert spoken() == code
        raise RuntimeError("left early")


@pytest.mark.parametrize("code", ["de", "", None, "PT"])
def test_a_language_that_is_not_there_is_refused_with_those_that_are(code):
    with pytest.raises(InputError, match="choose one of: en, pt"):
        speak(code)


def test_months_and_weekdays_are_those_of_the_language():
    with speaking("pt"):
        assert (speech.month(10), speech.month(2)) == ("out.", "fev.")  # CLDR, by Babel


@pytest.mark.slow
@pytest.mark.parametrize("code", words.languages())
def test_the_environment_names_the_first_language(code):
    asked = "import lowsun.words; print(lowsun.words.spoken())"
    command = ["/usr/bin/env", f"LOWSUN_LANGUAGE={code}", sys.executable, "-c", asked]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    assert told.stdout.strip() == code


def test_what_is_no_text_number_or_format_is_named():
    with pytest.raises(InputError, match="message is None; give a text"):
        say(None)
    with pytest.raises(InputError, match="several is 5; give a text"):
        says("one", 5, 2)
    for number in (float("nan"), True, "5", 10**400):
        with pytest.raises(OutOfRangeError, match="number is"):
            figures(number)
        with pytest.raises(OutOfRangeError, match="number is"):
            says("{number} day", "{number} days", number)
    with pytest.raises(InputError, match="spec is 'metres'; give a number's format"):
        figures(5.0, "metres")
