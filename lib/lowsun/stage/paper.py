"""Sheets of paper as PDF: black on white, fonts inside, tagged so that they can be heard."""

from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import matplotlib
from fpdf import FPDF

from lowsun.errors import InputError, quoted

PAPERS = ("a4", "letter")
LEADING = 1.22  # lines' distance in sizes of the type
MM_PER_PT = 25.4 / 72
FONTS = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}


def require_paper(paper):
    """The paper's name, or an InputError."""
    if not isinstance(paper, str) or paper not in PAPERS:
        raise InputError(f"paper is {quoted(paper)}; give one of {', '.join(PAPERS)}.")
    return paper


def document(title, paper, margin_mm, stamp=None):
    """An FPDF document with its first page; stamp: the aware instant noted in it, now by default.

    Its fonts are `sans` with a bold face, and `mono`.
    """
    pdf = FPDF(format=paper, unit="mm")
    pdf.set_margin(margin_mm)
    pdf.set_auto_page_break(False)
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for style, name in FONTS.items():
        pdf.add_font("sans", style, fonts / name)
    pdf.add_font("mono", "", fonts / "DejaVuSansMono.ttf")
    pdf.set_title(title)
    pdf.set_lang("en")
    pdf.set_creator("lowsun")
    pdf.set_creation_date(stamp or datetime.now(UTC))
    pdf.add_page()
    return pdf


def line_mm(size_pt):
    """The distance of lines in type of that size [mm]."""
    return size_pt * LEADING * MM_PER_PT


@contextmanager
def tagged(pdf, kind, alternative=None):
    """What is written within belongs to one element of the document's structure.

    fpdf2 tags pictures alone; headings and paragraphs are marked the same way here.
    """
    number = pdf.struct_builder.next_mcid_for_page(pdf.page)
    pdf._add_marked_content(struct_type=kind, mcid=number, alt_text=alternative)
    pdf._out(f"{kind} <</MCID {number}>> BDC")
    yield
    pdf._out("EMC")
