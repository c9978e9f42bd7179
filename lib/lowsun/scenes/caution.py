"""The one wording of the caution, shown wherever someone may aim at the Sun.

ISO 12312-2 is the standard of filters for looking at the Sun with the naked eye.
"""

from lowsun.words import say, term

SHORT = term(
    "Never look at the Sun through a viewfinder, telescope or binoculars. Low and red does not mean"
    " safe. Aim a camera by its rear screen."
)

RULES = term("Local rules, and qualified people at the place, come before anything written here.")

LONG = term("""\
**Before you aim at the Sun**

- Never look at the Sun through an optical viewfinder, a telescope or binoculars.
- Look directly only through a filter made and certified for direct viewing: ISO 12312-2 for the
  eye, and a full-aperture solar filter, fixed in front, on any instrument that an eye could come
  near. A filter for the eye is not for use with an instrument.
- Watch a camera on its rear screen, never through its optical finder.
- Low and red does not mean safe: infrared and a moment of clear air are enough to do harm.
- Cameras are damaged too: a lens burns a sensor or a shutter as it burns paper.
- Children look only with an adult beside them who watches the filter and the instrument.
- {rules}

Nothing here makes an unfiltered view safe.
""")


def whole():
    """All of it, in Markdown."""
    return say(LONG, rules=say(RULES))
