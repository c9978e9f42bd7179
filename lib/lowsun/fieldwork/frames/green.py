"""Is there green light at the upper limb, and is it the Sun's: rim, last sliver, detached piece.

Green is what exceeds red and blue alike: G - max(R, B), in linear light. What is round, far from
the limb, larger than the disc allows, or green all round the disc comes from a lamp, a lens, a
window, a meadow or the camera's white, and is refused.
"""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from lowsun.fieldwork.frames import limb

RIM, SLIVER, PIECE = "rim", "last sliver", "detached piece"
LEAST_SHARE = 0.012  # of the disc's light: fainter green is not told from a file's rounding
LEAST_PURITY = 0.12  # of green's own light that exceeds the other two
FAINT = 0.6  # of these where the whole upper limb agrees
NOISES = 5.0  # times the scatter of the sky
UPPER_RAD = np.radians(60)  # from the top: where an upper rim is looked for
ARC_RAD = np.radians(45)
FEWEST_SECTORS = 4  # of limb.SECTORS, side by side
SIDE_RAD, BELOW_RAD = np.radians((85, 110))
SLIVER_SHARE = 0.25  # so many of a last sliver's pixels are green
FLAT = 0.3  # height divided by width below which what is left is a sliver
ROUND = 1.6  # width divided by height below which a patch is a lamp or a ghost of the lens
LARGE = 0.25  # of the disc's area
CLEAR_PX = 2.0  # between the limb and a piece: nearer it is the limb's own rim
AHEAD = 0.45  # of the disc's width: farther above the limb nothing belongs to the Sun
FAINTEST_LEFT, FEWEST_LEFT_PX = (
    0.004,
    6,
)  # of full light, and pixels, of what a clip's sliver leaves
PATCH_COLUMNS = 300  # across which detached pieces are looked for


@dataclass(frozen=True)
class Green:
    """Green light at the upper limb: its kind, or why what looked like it was refused.

    area_px [px]; peak: its purest light, (G - max(R, B)) / G; gap_px: between a detached piece
    and the limb [px]; refused: plain words.
    """

    kind: str = ""
    area_px: float = 0.0
    peak: float = 0.0
    gap_px: float = 0.0
    refused: str = ""

    @property
    def is_there(self):
        """Is it green?"""
        return bool(self.kind)


def look(picture, disc, band, mean, count):
    """What green there is in a frame: a `Green`; mean and count as `Band.binned` gives them."""
    balance = picture.balance[:, None]
    level = float(np.max(picture.balance * np.maximum(disc.level - disc.sky, 0)))
    if _is_green(disc.sky * picture.balance, 0.06) and disc.sky.max() > 0.01 * level:
        return Green(refused="the sky is green as well: the camera's white")
    if disc.high < FLAT * disc.wide and disc.foot is not None:
        sliver = _sliver(picture, disc, balance, level)
        if sliver.is_there:
            return sliver
    rim = _rim(mean * balance[..., None], count, band, disc, level)
    if rim.refused:
        return rim
    piece = _piece(picture, disc, level)
    if piece.is_there and piece.area_px > rim.area_px:
        return piece
    return rim if rim.is_there else piece


def _is_green(light, purity):
    return light[1] - max(light[0], light[2]) > purity * max(light[1], 1e-9)


def _excess(planes):
    """G - max(R, B), and its share of G."""
    excess = planes[1] - np.maximum(planes[0], planes[2])
    return excess, excess / np.maximum(planes[1], 1e-6)


def _sliver(picture, disc, balance, level):
    row, column = np.nonzero(disc.mask)
    rows, columns = (
        np.arange(part.start or 0, part.stop)[:: disc.mask_stride] for part in disc.box
    )
    light, _ = picture.patches(
        np.minimum(rows[row], picture.rows - picture.period) // picture.period * picture.period,
        np.minimum(columns[column], picture.columns - picture.period)
        // picture.period
        * picture.period,
    )
    excess, purity = _excess(light * balance)
    green = (excess > 2 * LEAST_SHARE * level) & (purity > LEAST_PURITY)
    if green.mean() < SLIVER_SHARE:
        return Green()
    area = float(green.sum() * disc.mask_stride**2)
    return Green(SLIVER, area, float(np.percentile(purity[green], 95)))


def _rim(planes, count, band, disc, level):
    """Green along the upper limb, looked for in bins of one pixel."""
    light, seen = _whole_pixels(planes, count)
    distance = band.middles_px.reshape(-1, 4).mean(axis=1)
    thick = 4 * band.bin_px
    excess, purity = _excess(light)
    excess = np.where(seen, excess, 0.0)
    noise = _noise(excess[:, distance > 0.6 * band.reach_px])
    angle = limb.sector_angle_rad()
    upper = np.abs(angle) < UPPER_RAD
    at_limb = (distance > -3 * thick) & seen
    least, purest = max(NOISES * noise, LEAST_SHARE * level), LEAST_PURITY
    if _faintly_green(light, seen, np.abs(angle) < ARC_RAD, distance, noise, level):
        least, purest = FAINT * least, FAINT * purest
    green = at_limb & (excess > least) & (purity > purest)
    sectors = green.any(axis=1)
    if _longest_run(sectors & upper) < FEWEST_SECTORS:
        return Green()
    if (green & (distance > 0.75 * band.reach_px))[upper].any(axis=1).sum() >= 2:
        return Green()  # it reaches on outwards: a patch, not a rim
    why_not = _not_the_air(sectors, angle, excess, light, distance, seen)
    if why_not:
        return Green(refused=why_not)
    arc = disc.ellipses.depth_px(angle + np.pi / 2) * (2 * np.pi / limb.SECTORS)
    chosen = green & upper[:, None]
    return Green(RIM, float((chosen.sum(axis=1) * arc).sum() * thick), float(purity[chosen].max()))


def _faintly_green(light, seen, arc, distance, noise, level):
    """Is the mean along the whole upper limb green? It tells fainter green than one sector does."""
    weight = seen[arc]
    number = np.maximum(weight.sum(axis=0), 1)
    mean = (light[:, arc] * weight).sum(axis=1) / number
    excess, purity = _excess(mean)
    least = np.maximum(FAINT * LEAST_SHARE * level, NOISES * noise / np.sqrt(number))
    wide = weight.mean(axis=0) > 0.5
    return bool((wide & (distance > -3) & (excess > least) & (purity > FAINT * LEAST_PURITY)).any())


def _whole_pixels(planes, count):
    """Bins of a quarter of a pixel into whole ones."""
    shape = (*planes.shape[:2], -1, 4)
    weight = count.reshape(shape)
    total = weight.sum(axis=-1)
    light = (planes.reshape(shape) * weight).sum(axis=-1) / np.maximum(total, 1)
    return light, (total > 0).all(axis=0)


def _noise(excess):
    known = excess[excess != 0]
    if known.size < 8:
        return 0.0
    return float(1.4826 * np.median(np.abs(known - np.median(known))))


def _longest_run(flags):
    longest = run = 0
    for flag in flags:
        run = run + 1 if flag else 0
        longest = max(longest, run)
    return longest


def _not_the_air(sectors, angle, excess, light, distance, seen):
    """Why green at the upper limb is not the air's, or an empty text."""
    seen_at = seen.any(axis=1)
    below = (np.abs(angle) > BELOW_RAD) & seen_at
    beyond = below if below.sum() >= FEWEST_SECTORS else (np.abs(angle) > SIDE_RAD) & seen_at
    upper_green = sectors & (np.abs(angle) < SIDE_RAD)
    if (sectors & beyond).sum() >= 0.3 * max(1, beyond.sum()):
        return "green all round: the camera's white or focus"
    inside = (distance < -2)[None, :] & seen & beyond[:, None]
    if inside.any():
        inner = light[:, inside].mean(axis=1)
        if _is_green(inner, 0.03):
            return "the whole disc is green: the camera's white"
    lean = angle[upper_green].mean()
    if abs(lean) > np.radians(25):
        return "green to one side: the lens"
    return ""


def _piece(picture, disc, level):
    """A green patch above the limb, flat, near and small."""
    half = disc.ellipses.half_width
    top, ahead = disc.top, AHEAD * disc.wide + 12
    rows = slice(max(0, int(top - ahead)), max(0, min(picture.rows, int(top + 2))))
    columns = slice(
        max(0, int(disc.ellipses.column - 1.2 * half)),
        min(picture.columns, int(disc.ellipses.column + 1.2 * half) + 1),
    )
    across = max(1, (columns.stop - columns.start) // PATCH_COLUMNS)
    down = max(1, across // 3)  # a piece is flat
    light, row, column = picture.thinned(down, rows, columns, stride_across=across)
    if row.size < 3 or column.size < 3:
        return Green()
    excess, purity = _excess(light * picture.balance[:, None, None])
    noise = _noise(excess[:: max(1, row.size // 50), :: max(1, column.size // 50)])
    least = max(2 * NOISES * noise, 2 * LEAST_SHARE * level)
    green = (excess > least) & (purity > LEAST_PURITY)
    if down > 1 and green.any():  # so coarse a step hides the gap under a piece near the limb
        seen = row[green.any(axis=1)]
        rows = slice(max(rows.start, seen[0] - 2 * down), min(rows.stop, seen[-1] + 2 * down))
        light, row, column = picture.thinned(1, rows, columns, stride_across=across)
        excess, purity = _excess(light * picture.balance[:, None, None])
        green = (excess > least) & (purity > LEAST_PURITY)
    return _best_patch(disc, green, purity, row, column)


def _best_patch(disc, green, purity, row, column):
    """The largest green patch that may be a piece, none where a larger one goes on outside."""
    labels, _ = ndimage.label(green)
    best, larger = Green(), 0.0
    for number, (down, across) in enumerate(ndimage.find_objects(labels), start=1):
        if down.start == 0 or across.start == 0 or across.stop == column.size:
            larger = max(larger, float((labels[down, across] == number).sum()))
            continue  # it goes on outside
        inside = labels[down, across] == number
        patch = _patch(disc, row[down], column[across], inside, purity[down, across][inside])
        if patch.area_px > best.area_px:
            best = patch
    return best if best.area_px > larger else Green()


def _patch(disc, row, column, inside, purity):
    step_down = row[1] - row[0] if row.size > 1 else 1
    step_across = column[1] - column[0] if column.size > 1 else 1
    high, wide = np.ptp(row) + step_down, np.ptp(column) + step_across
    area = float(inside.sum() * step_down * step_across)
    middle = column.mean()
    limb_row = _limb_row(disc, middle)
    gap = float(limb_row - row.max() - step_down / 2)
    belongs = (
        area >= 6
        and wide >= ROUND * high
        and area < LARGE * disc.wide * disc.high
        and abs(middle - disc.ellipses.column) < 0.6 * disc.ellipses.half_width
        and CLEAR_PX < gap < AHEAD * disc.wide
    )
    return Green(PIECE, area, float(np.percentile(purity, 95)), gap) if belongs else Green()


def remnant(picture, rows, columns):
    """Green left of a sliver where it stood a moment before: `Green`, and its place, or None.

    rows, columns: slices of the picture around that place, the upper half of the rows sky alone.
    What is left may be a row of pixels. Returns (Green, (top, left, bottom, right) [px]).
    """
    light, row, column = picture.thinned(1, rows, columns)
    if row.size < 3 or column.size < 3:
        return Green(), None
    excess, purity = _excess(light * picture.balance[:, None, None])
    least = max(NOISES * _noise(excess[: row.size // 2]), FAINTEST_LEFT)
    labels, count = ndimage.label((excess > least) & (purity > LEAST_PURITY))
    if count == 0:
        return Green(), None
    largest = 1 + int(np.argmax(np.bincount(labels.ravel())[1:]))
    inside = labels == largest
    at_row, at_column = np.nonzero(inside)
    high, wide = np.ptp(at_row) + 1, np.ptp(at_column) + 1
    if inside.sum() < FEWEST_LEFT_PX or wide < ROUND * high:
        return Green(), None
    place = (row[at_row.min()], column[at_column.min()], row[at_row.max()], column[at_column.max()])
    return Green(SLIVER, float(inside.sum()), float(np.percentile(purity[inside], 95))), place


def _limb_row(disc, column):
    ellipses = disc.ellipses
    x = min(abs(column - ellipses.column) / ellipses.half_width, 1.0)
    return max(disc.top, ellipses.row - ellipses.upper * np.sqrt(1 - x**2))
