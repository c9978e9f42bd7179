"""Cameras whose infrared cut was removed: what they show as green at the limb is no green light.

Beyond 790 nm the dyes of all three channels let light through. The low Sun loses its blue, then its
green; what is left in those channels of such a camera is infrared, as much in blue as in green. In
an ordinary camera's picture of a reddened Sun blue is less than 0.65 of green.
"""

from dataclasses import replace

import numpy as np

# Against the kit's illustrative sensors, raw and developed, from 8 degrees to the horizon, in very
# clear and hazy air: blue divided by green 0.00 to 0.62 as sold, 0.49 to 1.6 with the cut removed.
REDDENED = 0.75  # green divided by red, below which the Sun is low enough to tell
AS_BLUE_AS_GREEN = 0.85
FAINTEST = 0.004  # of full light, in green: below it rounding decides
MOST_CLIPPED = 0.05  # share of the disc
MAJORITY = 0.5  # a camera is what more than this share of the frames that can tell say
SEEN = (
    "blue as strong as green on a reddened Sun: infrared reaches the sensor (a modified camera), or"
    " its white is odd; its green is no green light"
)
BY_OTHERS = "other frames of this camera show infrared; its green is no green light"


def tells(picture, disc, clipped):
    """Do the disc's colours show infrared? None where they cannot tell."""
    if picture.is_grey or max(clipped) > MOST_CLIPPED:
        return None
    red, green, blue = np.maximum(disc.level - disc.sky, 0) * picture.balance
    if green < FAINTEST or green > REDDENED * red:
        return None
    return bool(blue > AS_BLUE_AS_GREEN * green)


def settled(found):
    """Readings whose green is withheld where most frames of the same camera show infrared."""
    votes = {}
    for _, reading in found:
        if reading.infrared is not None:
            votes.setdefault((reading.lens, reading.is_developed), []).append(reading.infrared)
    modified = {key for key, each in votes.items() if np.mean(each) > MAJORITY}
    return [(file, _settled(reading, modified)) for file, reading in found]


def _settled(reading, modified):
    if reading.green is None or (reading.lens, reading.is_developed) not in modified:
        return reading
    return replace(
        reading,
        green=None,
        kind="",
        green_px=None,
        green_peak=None,
        gap_px=None,
        reasons=(*reading.reasons, BY_OTHERS),
    )


def met(found):
    """In how many of the readings [(file, `Reading`)] infrared was met."""
    return sum(SEEN in reading.reasons or BY_OTHERS in reading.reasons for _, reading in found)
