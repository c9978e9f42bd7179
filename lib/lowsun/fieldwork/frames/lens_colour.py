"""Lateral colour of the lens from a whole folder, and the rims without it.

A lens draws green by a share k larger than red about the middle of the frame. It moves green's
right and left limb outwards by k (x + R) and k (R - x), R the disc's half width and x its place
right of the middle, and lifts each of its limbs by k times its height over the middle. A tone
curve or a soft focus moves both sides outwards alike, so k is taken from their difference alone:

    (right - left) / 2 = a + k x,

over frames of one camera, focal length and kind of file in which the Sun stood in different
columns. The constant a is of a camera held askew, or of a lens out of centre. Frames are taken as
whole: in cut-out ones the middle is another.
"""

from dataclasses import dataclass, replace

import numpy as np

FEWEST_FRAMES = 5
SIGNIFICANT = 4.0  # standard errors: less is not taken off, since it may be chance
LEAST_RATIO = 0.6  # height divided by width: the sides of flatter remnants mislead
SIDE_ERROR_PX = 0.04  # of half the difference of two sides, least
TOLD_PX = 0.10  # standard error of the correction at the farthest limb up to which it is taken off
OUTLIERS = 4.0  # times the scatter
MOST_PAIRED = 300  # frames whose pairs give the first slope


@dataclass(frozen=True)
class LensColour:
    """What one camera's lens does in a folder: green larger than red by `share`, or None.

    share, sigma: pure numbers; frames: how many of its frames were looked at; farthest_px: of their
    limbs from the middle of the frame [px]. Where it is not told all but the first are None.
    """

    frames: int
    share: float | None = None
    sigma: float | None = None
    farthest_px: float | None = None

    @property
    def is_there(self):
        """Is it told, and more than chance?"""
        return self.share is not None and abs(self.share) > SIGNIFICANT * self.sigma

    @property
    def most_px(self):
        """What it moves at the farthest limb, or what may have been missed [px]."""
        return self.farthest_px * (abs(self.share) if self.is_there else 2 * self.sigma)


def without(found):
    """Readings [(file, `Reading`)] whose rims are freed of the lens's colour where it is told."""
    told = {key: _of(group) for key, group in _groups(found).items()}
    return [(file, _freed(reading, told.get(_key(reading)))) for file, reading in found]


def of(found):
    """The `LensColour`s of a folder's readings, those of the most frames first."""
    return sorted(map(_of, _groups(found).values()), key=lambda each: -each.frames)


def _key(reading):
    return reading.lens, reading.frame_px, reading.is_developed


def _groups(found):
    groups = {}
    for _, reading in found:
        if reading.frame_px is not None and reading.upper_green_over_red_px is not None:
            groups.setdefault(_key(reading), []).append(reading)
    return groups


def _of(readings):
    whole = [one for one in readings if _sides_lead(one)]
    if len(whole) < FEWEST_FRAMES:
        return LensColour(len(readings))
    right, left = (np.array([getattr(one, f"{side}_green_over_red_px") for one in whole])
                   for side in ("right", "left"))  # fmt: skip
    x = np.array([one.column_px - (one.frame_px[0] - 1) / 2 for one in whole])
    share, sigma = _slope(x, (right - left) / 2)
    farthest = max(abs(height) for one in readings for height in _heights_px(one))
    if sigma * farthest > TOLD_PX:
        return LensColour(len(readings))
    return LensColour(len(readings), share, sigma, farthest)


def _sides_lead(reading):
    sides = (reading.right_green_over_red_px, reading.left_green_over_red_px, reading.axis_ratio)
    return None not in sides and reading.axis_ratio > LEAST_RATIO


def _slope(x, y):
    """Slope of a line through points, those far off it left out, and its standard error."""
    misfit = y - _middle_slope(x, y) * x
    misfit -= np.median(misfit)
    scatter = max(1.4826 * float(np.median(np.abs(misfit))), SIDE_ERROR_PX)
    near = np.abs(misfit) < OUTLIERS * scatter
    across = x[near] - x[near].mean()
    spread = float(across @ across) + 1e-12
    return float(across @ y[near]) / spread, scatter / float(np.sqrt(spread))


def _middle_slope(x, y):
    """The median of the slopes of all pairs, which few wild points do not turn (Theil and Sen)."""
    few = np.linspace(0, x.size - 1, min(x.size, MOST_PAIRED)).astype(int)
    one, other = np.triu_indices(few.size, 1)
    across = x[few][other] - x[few][one]
    apart = np.abs(across) > 1.0  # px: closer pairs have no slope
    if not apart.any():
        return 0.0
    return float(np.median((y[few][other] - y[few][one])[apart] / across[apart]))


def _heights_px(reading):
    """Heights of the upper and the lower limb over the middle of the frame [px]."""
    middle = (reading.frame_px[1] - 1) / 2
    return middle - reading.top_px, middle - reading.bottom_px


def _freed(reading, lens):
    if lens is None or not lens.is_there:
        return reading
    freed = {}
    for limb, height in zip(("upper", "lower"), _heights_px(reading), strict=True):
        value = getattr(reading, f"{limb}_green_over_red_px")
        if value is not None:
            sigma = getattr(reading, f"{limb}_sigma_px")
            freed[f"{limb}_green_over_red_px"] = value - lens.share * height
            freed[f"{limb}_sigma_px"] = float(np.hypot(sigma, lens.sigma * height))
    return replace(reading, **freed)
