"""Why a measurement is withheld, in the present language.

frames.csv keeps the reasons in English, for machines and for later readings. What a person reads
of them is said here, by the message that a reason was made of.
"""

import re
from functools import cache
from string import Formatter

from lowsun.words import say, spoken, term
from lowsun.words.speech import ENGLISH, in_figures

REASONS = (
    # of the file
    term("empty file"),
    term("not a picture or clip that can be read"),
    term("damaged or cut short: {words}"),
    term("could not be read ({words})"),
    term("{file} needs more memory than there is."),
    term("too many pixels: {columns} x {rows}"),
    term("too many pixels"),
    term("a clip without pictures"),
    term("a clip without a picture that can be read"),
    term("raw without a colour mosaic"),
    term("raw without a mosaic of red, green and blue"),
    term("grey: it has no colours to compare"),
    term("colours of print (CMYK), not of light"),
    term("animated: its first picture was measured"),
    term("a palette of few colours"),
    term("16 bits read as 8"),
    term("colour profile not understood, read as sRGB"),
    term("tone curve unknown"),
    term("no capture time in the header"),
    term("camera's clock without its offset from UTC"),
    term("damaged: the decoder broke down over it"),
    # of the disc
    term("no Sun found"),
    term("no Sun found: the picture has too few pixels"),
    term("two Suns: which one is meant cannot be told"),
    term("too few pixels"),
    term("outline of too few pixels"),
    term("the Sun is {wide} px wide, {needed} are needed"),
    term("cut by the frame"),
    term("sides below the horizon"),
    term("sides missing"),
    term("lower limb below the horizon"),
    term("upper limb hidden or torn"),
    term("lower limb hidden or torn"),
    term("upper and lower limb hidden or torn"),
    term("burnt out: {share} % of the disc, {allowed} % are allowed"),
    # of the green
    term("no colours"),
    term("green under {share} % of red"),
    term("found where the frame before it had a green sliver"),
    term("the sky is green as well: the camera's white"),
    term("green all round: the camera's white or focus"),
    term("the whole disc is green: the camera's white"),
    term("green to one side: the lens"),
    term(
        "blue as strong as green on a reddened Sun: infrared reaches the sensor (a modified"
        " camera), or its white is odd; its green is no green light"
    ),
    term("other frames of this camera show infrared; its green is no green light"),
    # of what stands beside it
    term("no Sun that was measured"),
    term("without a time there is no altitude"),
    term(
        "at that time the Sun stood {depth}° below the horizontal: is the clock right, and the"
        " place?"
    ),
    term("the Sun stood {height}° high, above {most}° air shows too little"),
    term("this air hides the Sun then, or shows its limbs twice"),
)
IN_WORDS = ("words", "file")  # fields that hold no number
WITHOUT_WORDS = {  # what is said in their place where what the decoder said cannot be
    "damaged or cut short: {words}": term("damaged or cut short"),
    "could not be read ({words})": term("could not be read"),
}
DECODERS = (  # what the libraries that open files say of damaged ones, in English alone
    term("image file is truncated"),
    term("image file is truncated ({number} bytes not processed)"),
    term("Truncated File Read"),
    term("broken data stream when reading image file"),
    term("unrecognized data stream contents when reading image file"),
    term("could not create decoder object"),
    term("decoder error {number}"),
    term("failed to read next frame"),
    term("Invalid data found when processing input"),
    term("End of file"),
)


def said(reason):
    """A reason in the present language; one that no message was made for, as it is."""
    found = message_of(reason)
    if found is None:
        return reason
    message, values = found
    if message in WITHOUT_WORDS and spoken() != ENGLISH:
        return _with_the_decoders(message, values["words"])
    return _filled(message, values)


def all_said(reading):
    """The reasons of a `Reading`, each once."""
    return "; ".join(said(reason) for reason in dict.fromkeys(reading.reasons))


def _with_the_decoders(message, words):
    """The reason with what the decoder said, translated; without it where it is not known."""
    found = message_of(words, DECODERS)
    if found is None:
        return say(WITHOUT_WORDS[message])
    return say(message, words=_filled(*found))


def _filled(message, values):
    return say(message, **{name: _written(name, value) for name, value in values.items()})


def message_of(reason, among=REASONS):
    """The message that a reason was made of, and its fields as text; None for an unknown one."""
    for message in among:
        found = _pattern(message).fullmatch(reason)
        if found:
            return message, found.groupdict()
    return None


@cache
def _pattern(message):
    return re.compile("".join(_part(*part) for part in Formatter().parse(message)), re.DOTALL)


def _part(text, name, _spec, _conversion):
    if name is None:
        return re.escape(text)
    return re.escape(text) + (f"(?P<{name}>.+)" if name in IN_WORDS else rf"(?P<{name}>-?[\d.]+)")


def _written(name, value):
    return value if name in IN_WORDS else in_figures(value)
