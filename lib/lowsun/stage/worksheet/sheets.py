"""The two sheets of a scene: what is asked, and the same with what is true."""

import tempfile
from datetime import date
from pathlib import Path

from lowsun.drawing.look import PRINT
from lowsun.errors import InputError
from lowsun.scenes import caution, questions
from lowsun.scenes.controls import File
from lowsun.scenes.questions import Choose
from lowsun.stage.paper import document, line_mm, tagged
from lowsun.stage.stills import still
from lowsun.words import figures, say

MARGIN_MM = 16.0
PICTURE_MM = 146.0  # wide
PICTURE_PX = 1800
TITLE_PT, SMALL_PT = 16.0, 8.0
STUDENTS_PT = (11.0, 10.5, 10.0, 9.5, 9.0)  # the largest that fits
TEACHER_PT = (10.0, 9.5, 9.0, 8.5, 8.0, 7.5)
BOX_MM, GAP_MM, LINE_MM = 3.2, 2.0, 9.0
NAME_AT_MM, GUESS_MM = 95.0, 32.0
INDENT_MM = 7.0


def students(scene, state, paper, stamp=None):
    """The bytes of the students' page: the picture, the settings, and a field for every guess."""
    with tempfile.TemporaryDirectory() as folder:
        picture = Path(folder) / "scene.png"
        said = still(scene, state, picture, look=PRINT, width_px=PICTURE_PX)
        for size in STUDENTS_PT:
            page = _Page(say("{title}: worksheet", title=say(scene.title)), paper, stamp, size)
            page.head(say(scene.title), say(scene.question))
            page.name_and_date()
            page.picture(picture, said)
            page.paragraph(settings(scene, state), SMALL_PT)
            for number, question in enumerate(questions.about(scene.name), 1):
                page.ask(number, question)
            if page.foot(say(caution.SHORT)):
                return page.bytes()
    raise InputError("The questions are too long for one page. Ask fewer.")


def teacher(scene, state, steps, paper, stamp=None):
    """The bytes of the teacher's page: the lesson's steps, and every answer, computed."""
    answers = [(each, answer(each, scene, state)) for each in questions.about(scene.name)]
    for size in TEACHER_PT:
        page = _Page(say("{title}: for the teacher", title=say(scene.title)), paper, stamp, size)
        page.head(say("{title}: for the teacher", title=say(scene.title)), say(scene.question))
        page.section(say("The lesson"))
        begins = 0
        for step in steps:
            page.item(
                say("{begins:2d} to {ends} min", begins=begins, ends=begins + step.minutes),
                step.title,
                step.words,
            )
            begins += step.minutes
        page.section(say("The answers"))
        page.paragraph(settings(scene, state), SMALL_PT)
        for number, (question, (shown, room)) in enumerate(answers, 1):
            page.item(str(number), say(question.words), "")
            hint = say("Hint: {hint}", hint=say(question.hint))
            page.item("", f"{shown}.", f"{room} {hint}".strip())
        if page.foot(say(caution.SHORT)):
            return page.bytes()
    raise InputError("The answers are too long for one page. Ask fewer.")


def answer(question, scene, state):
    """What is true for the state and what else is taken as right, in words; or why nothing is."""
    try:
        truth = question.truth(scene, state)
    except InputError as refused:
        return say("no answer for these settings"), str(refused)
    if isinstance(question, Choose) or not question.near:
        return question.shown(truth), ""
    low, high = (question.number(truth * (1 + side * question.near)) for side in (-1, 1))
    return question.shown(truth), say("Right from {low} to {high}.", low=low, high=high)


def settings(scene, state):
    """The controls as they stand, in one sentence; those folded away where they were moved."""
    shown = [
        f"{say(control.label)} {_value(control, state[control.name])}"
        for control in scene.controls
        if not isinstance(control, File)
        and (control.name not in scene.seldom or state[control.name] != control.default)
    ]
    return say("Set: {shown}.", shown="; ".join(shown))


def _value(control, value):
    if isinstance(value, bool):
        return say("on") if value else say("off")
    if isinstance(value, float):
        unit = f" {say(control.unit)}" if getattr(control, "unit", "") else ""
        return f"{figures(value, '.10g')}{unit}".replace("-", "\N{MINUS SIGN}").replace(" °", "°")
    return value.isoformat() if isinstance(value, date) else say(value)


class _Page:
    """One page being filled from above."""

    def __init__(self, title, paper, stamp, size_pt):
        self.pdf = document(title, paper, MARGIN_MM, stamp)
        self.size_pt = size_pt

    def bytes(self):
        """The finished PDF."""
        return bytes(self.pdf.output())

    def head(self, title, question):
        """The title and, under it, the scene's question."""
        self._write("/H1", title, TITLE_PT, "B")
        self._write("/P", question, self.size_pt + 1)
        self.pdf.ln(GAP_MM)

    def name_and_date(self):
        """Two lines to write on."""
        with tagged(self.pdf, "/P"):
            self._blank(say("Name"), MARGIN_MM, NAME_AT_MM)
            self._blank(say("Date"), NAME_AT_MM + 5, self.pdf.w - MARGIN_MM)
        self.pdf.ln(LINE_MM)

    def picture(self, path, said):
        """The picture of the scene, with what it says as its alternative text."""
        left = (self.pdf.w - PICTURE_MM) / 2
        with tagged(self.pdf, "/Figure", said):
            self.pdf.image(path, x=left, w=PICTURE_MM)
        self.pdf.ln(1)

    def paragraph(self, words, size_pt):
        """Plain words over the whole width."""
        self._write("/P", words, size_pt)
        self.pdf.ln(GAP_MM)

    def section(self, words):
        """A heading."""
        self._write("/H2", words, self.size_pt + 1.5, "B")
        self.pdf.ln(0.5)

    def item(self, mark, title, words):
        """A mark, a title set bold and, after it, plain words."""
        wide = INDENT_MM if len(mark) < 4 else 24.0
        self.pdf.set_font("sans", "", self.size_pt)
        high = line_mm(self.size_pt)
        with tagged(self.pdf, "/P"):
            if mark:
                self.pdf.set_x(MARGIN_MM)
                self.pdf.cell(wide, high, mark)
            text = f"**{title}** {words}".rstrip() if words or not mark else title
            self.pdf.set_x(MARGIN_MM + wide)
            self.pdf.multi_cell(self.pdf.epw - wide, high, text, align="L", markdown=True,
                                new_x="LMARGIN", new_y="NEXT")  # fmt: skip
        self.pdf.ln(0.6)

    def ask(self, number, question):
        """A question with room for the guess, for what was seen, and for the reason."""
        self.pdf.set_font("sans", "", self.size_pt)
        with tagged(self.pdf, "/P"):
            self.pdf.cell(INDENT_MM, line_mm(self.size_pt), f"{number}.")
            self.pdf.multi_cell(
                self.pdf.epw - INDENT_MM, line_mm(self.size_pt), say(question.words),
                align="L", new_x="LMARGIN", new_y="NEXT",
            )  # fmt: skip
        with tagged(self.pdf, "/P"):
            (self._options if isinstance(question, Choose) else self._amounts)(question)
        self.pdf.ln(GAP_MM)

    def foot(self, words):
        """The last words, at the lower margin; whether everything above left them room."""
        floor = self.pdf.h - MARGIN_MM - 2 * line_mm(SMALL_PT)
        fits = self.pdf.get_y() <= floor
        self.pdf.set_y(max(self.pdf.get_y(), floor))
        self._write("/P", words, SMALL_PT, "B")
        return fits

    def _amounts(self, question):
        pdf, unit = self.pdf, say(question.unit)
        left = MARGIN_MM + INDENT_MM
        for name in (say("My guess"), say("Seen")):
            left = self._blank(name, left, left + pdf.get_string_width(name) + GUESS_MM) + 1
            pdf.set_xy(left, pdf.get_y())
            pdf.cell(text=unit, h=LINE_MM)
            left += pdf.get_string_width(unit) + 6
        self._blank(say("Why?"), left, pdf.w - MARGIN_MM)
        pdf.ln(LINE_MM)

    def _options(self, question):
        """A box before every option, in as many lines as they need."""
        pdf, left = self.pdf, MARGIN_MM + INDENT_MM
        for option in map(say, question.options):
            wide = BOX_MM + pdf.get_string_width(option) + 8
            if left + wide > pdf.w - MARGIN_MM:
                pdf.ln(line_mm(self.size_pt) + 1)
                left = MARGIN_MM + INDENT_MM
            self._box(left)
            pdf.set_xy(left + BOX_MM + 1, pdf.get_y())
            pdf.cell(text=option, h=line_mm(self.size_pt) + 1)
            left += wide
        pdf.ln(line_mm(self.size_pt) + 1)
        self._blank(say("Why?"), MARGIN_MM + INDENT_MM, pdf.w - MARGIN_MM)
        pdf.ln(LINE_MM)

    def _box(self, left):
        high = line_mm(self.size_pt) + 1
        self.pdf.rect(left, self.pdf.get_y() + (high - BOX_MM) / 2, BOX_MM, BOX_MM)

    def _blank(self, name, left, right):
        """A name and a line to write on after it, up to `right`; returns `right`."""
        pdf = self.pdf
        pdf.set_font("sans", "", self.size_pt)
        pdf.set_xy(left, pdf.get_y())
        pdf.cell(text=name, h=LINE_MM)
        begins, foot = left + pdf.get_string_width(name) + 3, pdf.get_y() + 0.72 * LINE_MM
        pdf.line(begins, foot, right, foot)
        return right

    def _write(self, tag, words, size_pt, style=""):
        self.pdf.set_font("sans", style, size_pt)
        with tagged(self.pdf, tag):
            self.pdf.multi_cell(0, line_mm(size_pt), words, align="L", new_x="LMARGIN",
                                new_y="NEXT")  # fmt: skip
