"""The plan on one sheet of paper: black on white, fonts inside, text to copy and to hear."""

from io import BytesIO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from lowsun.drawing.horizon import Horizon
from lowsun.drawing.look import PRINT
from lowsun.errors import InputError
from lowsun.fieldwork.plan.sketch import sketch
from lowsun.scenes import plan_words, readiness
from lowsun.stage.evening_plan import code
from lowsun.stage.paper import document, line_mm, require_paper, tagged
from lowsun.words import say

MARGIN_MM, GAP_MM = 11.0, 4.0
HORIZON_MM = 52.0  # the picture of the horizon is so high
CODE_MM = 42.0
DOTS_PER_IN = 300
TABLE_PT = 7.2
BODY_PT = (8.0, 7.6, 7.2, 6.8, 6.4, 6.0)  # the largest that fits


def sheet(plan, items=readiness.ITEMS, paper="a4", stamp=None):
    """The bytes of a PDF of one sheet, "a4" or "letter".

    items: the list to tick; stamp: the aware instant noted in the file, by default now.
    """
    require_paper(paper)
    picture = None
    for size in BODY_PT:
        page = _Page(plan, paper, stamp)
        picture = picture or _horizon_png(plan, page.pdf.epw)
        if page.fill(picture, items, size):
            return bytes(page.pdf.output())
    raise InputError("The list to tick is too long for one sheet. Shorten it.")


def horizon_figure(plan, wide_mm, high_mm):
    """The horizon with the Sun's path and the frame, black on white, as a matplotlib figure."""
    with PRINT.applied():
        figure = Figure(figsize=(wide_mm / 25.4, high_mm / 25.4), dpi=DOTS_PER_IN)
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0.06, 0.14, 0.935, 0.84))
        axes.tick_params(labelsize=7)
        view = Horizon(axes, PRINT, points=6.5)
        view.show(
            sketch(plan),
            _labels(plan),
            say("frame of {focal:g} mm", focal=plan.kit.camera.focal_length_mm),
        )
        view.point(float("nan"), float("nan"))
    return figure


def _horizon_png(plan, wide_mm):
    written = BytesIO()
    with PRINT.applied():
        horizon_figure(plan, wide_mm, HORIZON_MM).savefig(written, format="png")
    return written


def _labels(plan):
    zone = plan.place.timezone
    return {step.name: plan_words.mark(step, zone) for step in plan.timeline.steps}


class _Page:
    """One sheet being filled from above."""

    def __init__(self, plan, paper, stamp):
        self.plan = plan
        self.pdf = document(plan_words.title(plan), paper, MARGIN_MM, stamp)

    def fill(self, picture, items, size_pt):
        """Everything in order; whether it ends above the lower margin."""
        self._head()
        self._table()
        self._picture(picture)
        return self._columns(items, size_pt)

    def _head(self):
        with self._tagged("/H1"):
            self._lines([plan_words.title(self.plan)], "sans", "B", 13)
        with self._tagged("/P"):
            self._lines(plan_words.heading(self.plan).splitlines(), "sans", "", 8)
        self.pdf.ln(1.5)

    def _table(self):
        top = self.pdf.get_y()
        with self._tagged("/P"):
            self._lines(plan_words.table(self.plan), "mono", "", TABLE_PT)
        bottom = self.pdf.get_y()
        self._code(top)
        self.pdf.set_y(max(bottom, top + CODE_MM + 4) + 1)

    def _code(self, top):
        pdf, left = self.pdf, self.pdf.w - MARGIN_MM - CODE_MM
        with self._tagged("/Figure", say("The timeline again, as a code for telephones.")):
            pdf.image(BytesIO(code.png(self.plan)), x=left, y=top, w=CODE_MM, h=CODE_MM)
        pdf.set_xy(left, top + CODE_MM)
        with self._tagged("/P"):
            pdf.set_font("sans", "", 6.5)
            pdf.cell(CODE_MM, 3, say("the timeline, for telephones"), align="C")

    def _picture(self, picture):
        picture.seek(0)
        with self._tagged("/Figure", _picture_words(self.plan)):
            self.pdf.image(picture, x=MARGIN_MM, w=self.pdf.epw, h=HORIZON_MM)
        self.pdf.set_y(self.pdf.get_y() + 1)

    def _columns(self, items, size_pt):
        """Sections in two columns, filled one after the other; whether all fit."""
        pdf, top = self.pdf, self.pdf.get_y()
        wide = (pdf.epw - GAP_MM) / 2
        floor = pdf.h - MARGIN_MM
        pdf.set_xy(MARGIN_MM, top)
        left, column = MARGIN_MM, 0
        for name, sentences in plan_words.sections(self.plan, items):
            high = self._height(name, sentences, wide, size_pt)
            if pdf.get_y() + high > floor:
                column, left = column + 1, MARGIN_MM + wide + GAP_MM
                if column > 1 or top + high > floor:
                    return False
                pdf.set_xy(left, top)
            self._section(name, sentences, left, wide, size_pt)
        return True

    def _height(self, name, sentences, wide, size_pt):
        lines = 1.3  # the name, and the room after the section
        self.pdf.set_font("sans", "", size_pt)
        for sentence in sentences:
            lines += len(
                self.pdf.multi_cell(wide, text=sentence, align="L", dry_run=True, output="LINES")
            )
        return lines * line_mm(size_pt)

    def _section(self, name, sentences, left, wide, size_pt):
        pdf, high = self.pdf, line_mm(size_pt)
        for tag, style, words in (("/H2", "B", [name]), ("/P", "", sentences)):
            pdf.set_font("sans", style, size_pt)
            with self._tagged(tag):
                for sentence in words:
                    pdf.set_x(left)
                    pdf.multi_cell(wide, high, sentence, align="L", new_x="LEFT", new_y="NEXT")
        pdf.set_y(pdf.get_y() + 0.3 * high)

    def _lines(self, lines, family, style, size_pt):
        self.pdf.set_font(family, style, size_pt)
        high = line_mm(size_pt)
        for line in lines:
            self.pdf.cell(text=line, h=high, new_x="LMARGIN", new_y="NEXT")

    def _tagged(self, kind, alternative=None):
        return tagged(self.pdf, kind, alternative)


def _picture_words(plan):
    return say(
        "The sea horizon with the Sun's path and the frame of a {focal_length:g} mm"
        " lens, its middle at {middle}.",
        focal_length=plan.kit.camera.focal_length_mm,
        middle=plan_words.middle(plan),
    )
