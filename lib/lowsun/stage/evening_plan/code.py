"""The timeline as a code that telephones read: the same words as the plan's, no network."""

from io import BytesIO

import segno

from lowsun.scenes import plan_words

QUIET_MODULES = 4  # of white round the code, ISO/IEC 18004


def code(plan):
    """The QR code of `plan_words.short_text`; level L, since it is printed and not soiled."""
    return segno.make_qr(plan_words.short_text(plan), error="l", encoding="utf-8")


def png(plan, scale=8):
    """The bytes of the code as a PNG picture, `scale` pixels a module."""
    written = BytesIO()
    code(plan).save(written, kind="png", scale=scale, border=QUIET_MODULES)
    return written.getvalue()
