"""Questions about the coloured rims."""

import numpy as np

from lowsun.errors import InputError
from lowsun.phenomena import flash_light, low_sun
from lowsun.scenes import made
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.scenes.rims import EYE_HEIGHT_M
from lowsun.scenes.rims import scene as rims
from lowsun.words import say, term

BLUE_BAND_NM, GREEN_BAND_NM = (425.0, 435.0), (525.0, 535.0)
PIXELS = 3
LIMB_DEG = 0.5  # the upper limb while the lower one touches the sea
SHARES = {
    term("more than half"): 0.5,
    term("a tenth to a half"): 0.1,
    term("a hundredth to a tenth"): 0.01,
    term("less than a hundredth"): 0.0,
}  # each down to its number


def _times_narrower(scene, state):
    low, high = (
        coarse(scene, state, lower_limb_deg=altitude).limb_width_arcsec[0]
        for altitude in (0.0, 20.0)
    )
    return low / high


def _blue_left(scene, state):
    air = made.even_air(state)
    curve = low_sun.curve_for_picture(air, EYE_HEIGHT_M)
    blue, green = (
        flash_light.surviving_share(curve, LIMB_DEG, band) for band in (BLUE_BAND_NM, GREEN_BAND_NM)
    )
    share = float(blue / green)
    return next(words for words, low in SHARES.items() if share >= low)


def _three_pixels_deg(scene, state):
    seen = coarse(scene, state)
    wanted, width = PIXELS * seen.camera.arcsec_per_pixel, seen.width_arcsec
    if wanted > width[0]:
        raise InputError(say("Through this lens no rim fills three pixels. Take a longer one."))
    if wanted < width[-1]:
        raise InputError(say("Through this lens the rim fills three pixels at every height here."))
    return float(np.interp(-wanted, -width, seen.altitude_deg))


QUESTIONS = (
    Amount(
        name="narrower",
        scene=rims.name,
        words=term(
            "Raise the Sun from the sea to 20°. How many times narrower does its upper rim become?"
        ),
        unit=term("times"),
        held="lower_limb_deg",
        hint=term(
            "The rim is a fixed share of the refraction: about 34′ on the sea. How much is"
            " left where the light crosses three times the air overhead?"
        ),
        truth=_times_narrower,
    ),
    Choose(
        name="blue_left",
        scene=rims.name,
        words=term(
            "Set the short wavelength to 430 nm: the blue rim is wider than the green one."
            " With the lower limb on the sea, how much of the blue light comes through at"
            " the upper limb, measured by the green?"
        ),
        options=tuple(SHARES),
        held="short_nm",
        hint=term(
            "Air scatters light of 430 nm more than twice as strongly as of 530 nm, and the"
            " light crosses more than thirty times the air overhead."
        ),
        truth=_blue_left,
    ),
    Amount(
        name="three_pixels",
        scene=rims.name,
        words=term(
            "Type your own focal length and pixel. From which height of the Sun down does"
            " the rim fill three whole pixels?"
        ),
        unit="°",
        held="lower_limb_deg",
        hint=term(
            "One pixel covers 206 times its micrometres divided by the millimetres of the"
            " lens, in arcseconds. Find the width of three on the diagram's scale."
        ),
        truth=_three_pixels_deg,
    ),
)
