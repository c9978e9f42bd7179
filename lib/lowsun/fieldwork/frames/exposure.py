"""How much of the disc has burnt out, and by how many stops."""

from math import log2, sqrt

import numpy as np

DARKENING = 0.6  # u of I = 1 - u (1 - mu) in green; Cox, Allen's Astrophysical Quantities, 2000
BRIGHT_SHARE = 99.5  # per cent: the light that few pixels of the disc exceed
FEWEST_PIXELS = 30  # from which a ratio of two channels is taken
MOST_PIXELS = 20_000  # no more pixels of the disc are looked at
ALL_BUT = 0.002  # clipped share below which the brightest light is still told


def of_disc(picture, disc):
    """Clipped share of the disc's pixels in red, green, blue, and stops over (negative: under).

    A burnt-out channel is rebuilt from one that is not, by their ratio where both are whole; where
    all are burnt out, from how far to the limb they are: I = 1 - u (1 - mu), so 1.3 stops at most.
    """
    row, column = _pixels(picture, disc)
    light, burnt = picture.patches(row, column)
    clipped = np.nanmean(burnt, axis=1)
    if picture.is_grey:
        light, burnt = light[:1], burnt[:1]
    return clipped, _stops_over(light, burnt > 0, np.nanmean(burnt, axis=1))


def _pixels(picture, disc):
    row, column = np.nonzero(disc.mask)
    step = max(1, row.size // MOST_PIXELS)
    rows, columns = (
        np.arange(part.start or 0, part.stop)[:: disc.mask_stride] for part in disc.box
    )
    at_row = np.minimum(rows[row[::step]], picture.rows - picture.period)
    at_column = np.minimum(columns[column[::step]], picture.columns - picture.period)
    return at_row // picture.period * picture.period, at_column // picture.period * picture.period


def _stops_over(light, burnt, clipped):
    most = max(_rebuilt(channel, light, burnt, clipped) for channel in range(len(light)))
    return log2(max(most, 1e-6))


def _rebuilt(channel, light, burnt, clipped):
    """The brightest light of a channel divided by what the sensor or the file holds."""
    bright = float(np.percentile(light[channel], BRIGHT_SHARE))
    if clipped[channel] < ALL_BUT:
        return bright
    for other in np.argsort(clipped):
        whole = ~burnt[channel] & ~burnt[other] & (light[channel] > 0.3)
        if clipped[other] < ALL_BUT and other != channel and whole.sum() >= FEWEST_PIXELS:
            ratio = np.median(light[channel][whole] / np.maximum(light[other][whole], 1e-6))
            return max(1.0, float(ratio * np.percentile(light[other], BRIGHT_SHARE)))
    return 1 / (1 - DARKENING * (1 - sqrt(max(0.0, 1 - min(clipped[channel], 1.0)))))
