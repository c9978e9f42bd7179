"""Predict, then try: a guess before the control is freed, and the truth for one's own settings."""

import csv
import io
from datetime import date
from html import escape
from pathlib import Path

import ipywidgets

from lowsun import files
from lowsun.errors import InputError, LowsunError, quoted, require_kind
from lowsun.scenes import questions
from lowsun.scenes.questions import Choose
from lowsun.stage.alone import alone
from lowsun.stage.knobs import typed
from lowsun.stage.player import Live
from lowsun.stage.takes import next_take
from lowsun.words import say, term

COLUMNS = ("question", "guess", "truth", "unit", "settings")
_LABELLED = {"description_width": "auto"}
_UNCHOSEN = term("choose …")
_answers = []  # of all questions of this session, in the order in which they were given


def ask(stage, name=None):
    """Ask the questions about a stage, or the one of that name: a notebook cell's last line."""
    require_kind("stage", stage, Live, "a live scene, such as live(scene('rims'))")
    if name is not None:
        return Questions(stage, (questions.question(name),)).widget
    asked = questions.about(stage.scene.name)
    if not asked:
        raise InputError(f"There are no questions about the scene {stage.scene.name}.")
    return Questions(stage, asked).widget


class Questions:
    """One question after the other, with a field for the guess.

    What the question is about stays still until a guess is made or the question is left.
    """

    def __init__(self, stage, asked):
        for each in asked:
            if each.scene != stage.scene.name:
                raise InputError(
                    f"The question {each.name} is about {each.scene}, not {stage.scene.name}."
                )
        self._stage, self._asked = stage, asked
        self._fields = {each.name: _field(each) for each in asked}
        self._words, self._place = ipywidgets.HTML(), ipywidgets.Box()
        self.told = ipywidgets.HTML()
        self.check = _button(say("check"), say("compare with what is computed"), self._check)
        self.next = _button(say("next"), say("leave this question"), lambda: self._go(self._at + 1))
        self.back = _button(
            say("previous"), say("back to the question before"), lambda: self._go(self._at - 1)
        )
        self.save = _button(
            say("save answers"),
            say("as a CSV file beside this notebook"),
            lambda: self._say(saved()),
        )
        row = ipywidgets.HBox([self._place, self.check, self.back, self.next, self.save])
        self.widget = ipywidgets.VBox([self._words, row, self.told]).add_class("lowsun-guess")
        self._at = 0
        self._go(0)

    @property
    def question(self):
        """The question that is asked now."""
        return self._asked[self._at]

    @property
    def field(self):
        """Its field for the guess."""
        return self._fields[self.question.name]

    @alone
    def _go(self, there):
        """Ask another question: what the one before held is free, what this one holds is not."""
        self._stage.hold_still(self.question.held, False)
        self._at, self._tries = there, 0
        self._stage.hold_still(self.question.held, True)
        which = (
            say("Question {number} of {asked}. ", number=there + 1, asked=len(self._asked))
            if len(self._asked) > 1
            else ""
        )
        self._words.value = f"<b>{which}{escape(say(self.question.words))}</b>"
        self._place.children = [self.field]
        self.back.disabled, self.next.disabled = there == 0, there == len(self._asked) - 1
        self._say("")

    @alone
    def _check(self):
        try:
            guess = guess_of(self.question, self.field.value)
            self._say(say("Computing it for your settings …"))
            self._say(self._answer(guess))
        except LowsunError as refused:
            self._say(str(refused))

    def _answer(self, guess):
        if self._stage.scene.name != self.question.scene:
            title = say(self._stage.scene.title)
            raise InputError(say("The stage shows {title} now. Play the cell again.", title=title))
        state = self._stage.scene.check(self._stage.state)
        truth = self.question.truth(self._stage.scene, state)
        self._tries += 1
        self._stage.hold_still(self.question.held, False)
        _answers.append((self.question, guess, truth, state))
        return verdict(self.question, guess, truth, self._tries)

    def _say(self, words):
        self.told.value = f'<p role="status">{escape(words)}</p>'


def _field(question):
    """A list of the options, or a field for a number."""
    if isinstance(question, Choose):
        return ipywidgets.Dropdown(
            description=question.field, style=_LABELLED,
            options=[(say(option), option) for option in (_UNCHOSEN, *question.options)],
            tooltip=say("your guess"),
        )  # fmt: skip
    return ipywidgets.Text(
        description=question.field, continuous_update=False, placeholder=say("a number"),
        style=_LABELLED, tooltip=say("a number such as 12 or 1.5"),
    )  # fmt: skip


def _button(name, tooltip, does):
    button = ipywidgets.Button(description=name, tooltip=tooltip)
    button.on_click(lambda button: does())
    return button


def verdict(question, guess, truth, tries):
    """What is said to a guess: right, or how far off and which way; a hint before the answer."""
    if question.is_right(guess, truth):
        return say("Yes: {shown}. Now move it and see.", shown=question.shown(truth))
    if tries == 1:
        way = question.way(guess, truth)
        return say(
            "Your guess is {way}. {hint} Guess again, or move it and see.",
            way=way,
            hint=say(question.hint),
        )
    off = question.off(guess, truth)
    return say(
        "Your guess is {off}. It is {shown}. Move it and see.", off=off, shown=question.shown(truth)
    )


def guess_of(question, text):
    """The guess in a field, or an InputError."""
    if isinstance(question, Choose):
        if text == _UNCHOSEN:
            raise InputError(say("Choose an answer first."))
        return text
    number = typed(text)
    if isinstance(number, str):
        told = say("Your guess is {text}, not a number. Write it as 12 or 1.5.", text=quoted(text))
        raise InputError(told)
    return number


def saved():
    """Write all guesses of this session as CSV under the next number; returns what to say."""
    path = next_take(Path("answers.csv"))
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(COLUMNS)
    for question, guess, truth, state in _answers:
        told = say(guess) if isinstance(guess, str) else guess
        table.writerow([say(question.words), told, _plain(question, truth), say(question.unit),
                        _settings(state)])  # fmt: skip
    with files.whole(path) as draft:
        draft.write_text(text.getvalue(), encoding="utf-8")
    return say("Saved beside this notebook: {name}. Nothing was sent anywhere.", name=path.name)


def _plain(question, truth):
    """As a table holds it: a number without its unit, with the sign that programs read."""
    if isinstance(question, Choose):
        return say(truth)
    return question.number(truth).replace("\N{MINUS SIGN}", "-")


def _settings(state):
    return "; ".join(f"{name}={_setting(value)}" for name, value in state.items())


def _setting(value):
    if isinstance(value, date):
        return value.isoformat()
    return getattr(value, "name", value)
