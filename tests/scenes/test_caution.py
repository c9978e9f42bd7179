"""The caution, word for word, and never that an unfiltered view is safe."""

import pytest

from lowsun.scenes.caution import SHORT, whole

WHOLE = """\
**Before you aim at the Sun**

- Never look at the Sun through an optical viewfinder, a telescope or binoculars.
- Look directly only through a filter made and certified for direct viewing: ISO 12312-2 for the
  eye, and a full-aperture solar filter, fixed in front, on any instrument that an eye could come
  near. A filter for the eye is not for use with an instrument.
- Watch a camera on its rear screen, never through its optical finder.
- Low and red does not mean safe: infrared and a moment of clear air are enough to do harm.
- Cameras are damaged too: a lens burns a sensor or a shutter as it burns paper.
- Children look only with an adult beside them who watches the filter and the instrument.
- Local rules, and qualified people at the place, come before anything written here.

Nothing here makes an unfiltered view safe.
"""


def test_the_long_text_is_pinned_whole():
    # Whoever changes a word of it changes it here too, having asked somebody who knows.
    assert whole() == WHOLE


def test_the_notebooks_show_it_whole():
    from lowsun.notebook import caution

    assert caution().data == WHOLE


@pytest.mark.parametrize("text", [SHORT, whole()], ids=["short", "long"])
def test_safe_is_only_ever_denied(text):
    sentences = text.replace("\n  ", " ").replace(":", ".").split(".")
    safe = [sentence for sentence in sentences if "safe" in sentence.lower()]
    assert safe
    assert all("not mean safe" in s or "Nothing here makes" in s for s in safe), safe
