"""The caution says what it must, and never that an unfiltered view is safe."""

import pytest

from lowsun.scenes.caution import LONG, SHORT

NEEDED = [
    "optical viewfinder", "telescope", "binoculars", "ISO 12312-2", "full-aperture solar filter",
    "rear screen", "Children", "Low and red does not mean safe", "Cameras are damaged",
    "Local rules", "qualified people", "Nothing here makes an unfiltered view safe",
]  # fmt: skip


@pytest.mark.parametrize("words", NEEDED)
def test_the_long_text_says(words):
    assert words in LONG


@pytest.mark.parametrize("words", ["Never look", "telescope or binoculars", "does not mean safe"])
def test_the_short_line_says(words):
    assert words in SHORT


@pytest.mark.parametrize("text", [SHORT, LONG], ids=["short", "long"])
def test_safe_is_only_ever_denied(text):
    sentences = text.replace("\n  ", " ").replace(":", ".").split(".")
    safe = [sentence for sentence in sentences if "safe" in sentence.lower()]
    assert safe
    assert all("not mean safe" in s or "Nothing here makes" in s for s in safe), safe
