"""Predict, then try: a guess before the control is freed, and the truth for one's own settings."""

import csv
import io
from html import escape
from pathlib import Path

import ipywidgets

from lowsun import files
from lowsun.errors import InputError, LowsunError
from lowsun.scenes import questions
from lowsun.stage.knobs import typed
from lowsun.stage.takes import next_take

COLUMNS = ("question", "guess", "truth", "unit", "settings")
_answers = []  # of all questions of this session, in the order in which they were given


def ask(stage, name):
    """Ask the question of that name about a stage: the last line of a notebook cell shows it."""
    return Guess(stage, questions.question(name)).widget


class Guess:
    """A question with a field for the guess; what it is about stays still until one is made."""

    def __init__(self, stage, question):
        if stage.scene.name != question.scene:
            raise InputError(
                f"The question {question.name} is about {question.scene}, not {stage.scene.name}."
            )
        self._stage, self.question = stage, question
        self._tries = 0
        self.field = ipywidgets.Text(
            description=f"your guess [{question.unit}]", continuous_update=False,
            placeholder="a number", style={"description_width": "10rem"},
        )  # fmt: skip
        self.check = ipywidgets.Button(description="check", tooltip="compare with what is computed")
        self.save = ipywidgets.Button(
            description="save answers", tooltip="as a CSV file beside this notebook"
        )
        self.told = ipywidgets.HTML()
        self.check.on_click(lambda button: self._check())
        self.save.on_click(lambda button: self._say(saved()))
        row = ipywidgets.HBox([self.field, self.check, self.save])
        words = ipywidgets.HTML(f"<b>{escape(question.words)}</b>")
        self.widget = ipywidgets.VBox([words, row, self.told]).add_class("lowsun-guess")
        stage.hold_still(question.held, True)

    def _check(self):
        try:
            self._say(self._answer(number_of(self.field.value)))
        except LowsunError as refused:
            self._say(str(refused))

    def _answer(self, guess):
        state = self._stage.scene.check(self._stage.state)
        truth = self.question.truth(self._stage.scene, state)
        self._tries += 1
        self._stage.hold_still(self.question.held, False)
        _answers.append((self.question, guess, truth, state))
        return verdict(self.question, guess, truth, self._tries)

    def _say(self, words):
        self.told.value = f'<p role="status">{escape(words)}</p>'


def verdict(question, guess, truth, tries):
    """What is said to a guess: right, or how far off and which way; a hint before the answer."""
    if abs(guess - truth) <= question.near * abs(truth):
        return f"Yes: {_shown(truth)} {question.unit}. Now move it and see."
    way = "too small" if guess < truth else "too large"
    if tries == 1:
        return f"Your guess is {way}. {question.hint} Guess again, or move it and see."
    off = f"by {_shown(abs(guess - truth))} {question.unit}"
    return f"Your guess is {way} {off}: it is {_shown(truth)} {question.unit}. Move it and see."


def number_of(text):
    """The number of a guess, or an InputError."""
    number = typed(text)
    if isinstance(number, str):
        raise InputError(f"Your guess is {text!r}, which is not a number. Write it as 12 or 1.5.")
    return number


def saved():
    """Write all guesses of this session as CSV under the next number; returns what to say."""
    path = next_take(Path("answers.csv"))
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(COLUMNS)
    for question, guess, truth, state in _answers:
        settings = "; ".join(f"{name}={value}" for name, value in state.items())
        table.writerow([question.words, guess, _shown(truth), question.unit, settings])
    with files.whole(path) as draft:
        draft.write_text(text.getvalue(), encoding="utf-8")
    return f"Saved beside this notebook: {path.name}. Nothing was sent anywhere."


def _shown(number):
    return f"{number:.0f}" if abs(number) >= 20 else f"{number:.1f}"
