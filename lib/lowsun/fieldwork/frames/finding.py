"""Where in the frame the Sun is: a strided search, then its outline at half level."""

from dataclasses import dataclass

import contourpy
import numpy as np
from scipy import ndimage

from lowsun.errors import InputFileError
from lowsun.fieldwork.frames import outline

SEARCH_PX = 700  # the longer side of the picture that is searched
OUTLINE_PX = 420  # across the box in which the outline is drawn
LEVELS = (0.5, 0.7, 0.85, 0.95)  # of the way from the sky to the brightest light, tried in turn
GAPS = (0.0, 0.03)  # of the picture's width: what a mast may hide, tried where nothing is found
LEVELLINGS, MOST_GAIN = 5, 6.0  # turns in which the disc's light is made even, and how much
FLATTEST = 0.4  # height divided by width of a patch that is made even
EVEN = 0.05  # change of the logarithm of light over the disc below which it is even
ENOUGH_PIXELS = 20_000  # from which a level is told; more tell nothing new
ENOUGH_ACROSS = 400  # pixels, from which every other one tells how the light changes
ENOUGH_FOR_LEVELS = 80  # rows and columns of a patch, from which every other one tells its light
ENOUGH_ROWS = 60  # from which the light's change from row to row is told
FAINTEST = 0.004  # of full light above the sky: less is no Sun
LIKE_A_SUN = 0.03  # of the half width: how far an outline may lie off its half-ellipses
TWIN_SHARE = 0.5  # of the other's area: beside it, such a disc makes a second Sun
NO_SUN = "no Sun found"
TWO_SUNS = "two Suns: which one is meant cannot be told"


@dataclass(frozen=True, eq=False)
class Disc:
    """A found Sun: its half-ellipses, its foot on a horizon or None, and what its light is.

    box: rows and columns of the part of the picture around it; level, sky: light (3,) of its
    inner parts and of the sky beside it; pieces: how many separate
    patches of it are seen; top, bottom, left, right: extent of the main one [px]; cut: does the
    frame's edge cut it; mask, mask_stride: its pixels in the box, every n-th; half_level:
    the half-ellipses of the outline, once `ellipses` are those of the limb's places.
    """

    ellipses: outline.HalfEllipses
    foot: outline.Foot | None
    box: tuple
    level: np.ndarray
    sky: np.ndarray
    pieces: int
    top: float
    bottom: float
    left: float
    right: float
    cut: bool
    mask: np.ndarray
    mask_stride: int
    half_level: outline.HalfEllipses | None = None

    @property
    def wide(self):
        """Width of what is seen [px]."""
        return self.right - self.left

    @property
    def high(self):
        """Height of what is seen [px]."""
        return self.bottom - self.top


def find(picture):
    """The `Disc` of a picture; InputFileError where there is none or more than one."""
    stride = max(1, max(picture.rows, picture.columns) // SEARCH_PX)
    bright, row, column = picture.brightest(stride)
    if min(row.size, column.size) < 8:
        raise InputFileError(f"{NO_SUN}: the picture has too few pixels")
    if min(bright.shape) > 60:
        bright = _smoothed(bright)
    for gap in GAPS:
        for level in LEVELS:
            boxes = _candidates(_closed(bright, gap * bright.shape[1]), level)
            found = [_outlined(picture, box, row, column, gap) for box in boxes]
            if any(found):
                return _the_one([disc for disc in found if disc])
    raise InputFileError(NO_SUN)


def _smoothed(bright):
    """Each pixel's mean with its eight neighbours'."""
    padded = np.pad(bright, 1, mode="edge")
    down = padded[:-2] + padded[1:-1] + padded[2:]
    return (down[:, :-2] + down[:, 1:-1] + down[:, 2:]) / 9


def _greatest(light):
    return np.maximum(np.maximum(light[0], light[1]), light[2])


def _closed(bright, gap):
    """Dark gaps of up to so many columns filled: a mast or a rope before the Sun."""
    wide = int(gap)
    return ndimage.grey_closing(bright, size=(1, wide)) if wide > 1 else bright


def _some(values):
    """Evenly spread values, (N,), of an array: enough of them to tell a level by."""
    step = max(1, int(np.sqrt(values.size / ENOUGH_PIXELS)))
    return values[::step, ::step].ravel() if values.ndim == 2 else values[:: step * step]


def _candidates(bright, level):
    """Bounding boxes (slices of the thinned picture) of the patches above a level."""
    sky, peak = np.median(_some(bright)), bright.max()
    if peak - sky < FAINTEST:
        return []
    above = bright > sky + level * (peak - sky)
    labels, count = ndimage.label(above)
    boxes = ndimage.find_objects(labels)
    light = np.bincount(labels[above] - 1, bright[above] - sky, minlength=count)
    order = np.argsort(-light)[:6]
    return [boxes[k] for k in order if light[k] > 0.05 * light[order[0]]]


def _outlined(picture, box, row, column, gap):
    """The disc in a box of the thinned picture, or None where it is not like a Sun."""
    part = _widened(picture, box, row, column)
    longest = max(part[0].stop - part[0].start, part[1].stop - part[1].start)
    light, rows, columns = picture.thinned(max(1, longest // OUTLINE_PX), *part)
    try:
        filled = _closed(_greatest(light), 2 * gap * light.shape[2])
        return _disc(picture, part, light, filled, rows, columns)
    except InputFileError:
        return None


def _widened(picture, box, row, column):
    """A box in full pixels with room around it for what is too dim to be in it, in the picture."""
    spans = [
        (int(place[span.start]), int(place[span.stop - 1]))
        for span, place in zip(box, (row, column), strict=True)
    ]
    high, wide = (last - first for first, last in spans)
    step = int(row[1] - row[0])
    margins = (max(high // 2, 3 * wide // 4), wide // 2)
    return tuple(
        slice(max(0, first - margin - 12 - 2 * step), min(length, last + margin + 13 + 2 * step))
        for (first, last), margin, length in zip(
            spans, margins, (picture.rows, picture.columns), strict=True
        )
    )


def _disc(picture, part, light, bright, rows, columns):
    stride = float(rows[1] - rows[0])
    bright = _levelled(bright)
    mask, main, threshold = _half_level(bright)
    point_row, point_column = _contour(bright, main, threshold)
    point_row, point_column = rows[0] + stride * point_row, columns[0] + stride * point_column
    cut = _touches_edge(picture, point_row, point_column, stride)
    if point_column.min() < stride + 1 and point_column.max() > picture.columns - 2 - stride:
        raise InputFileError(NO_SUN)  # from side to side it is the sky
    base = outline.foot(point_row, point_column, 0.6 * stride + 0.2)
    ellipses, residual = _fitted(point_row, point_column, base, stride)
    _require_like_a_sun(ellipses, residual, base, stride, point_row, point_column)
    level, beside = _levels(light, mask, main, (rows < point_row.max())[:, None])
    return Disc(
        ellipses=ellipses,
        foot=base,
        box=part,
        level=level,
        sky=beside,
        pieces=_pieces(mask, main),
        top=float(point_row.min()),
        bottom=float(point_row.max()),
        left=float(point_column.min()),
        right=float(point_column.max()),
        cut=cut,
        mask=main,
        mask_stride=int(stride),
    )


def _levels(light, mask, main, above):
    """Light (3,) of the inner parts of the main patch, and of the sky beside all of them.

    above (R, 1): rows over the disc's lowest point. Of a large patch every other pixel is enough.
    """
    step = 1 + (min(main.any(axis=axis).sum() for axis in (0, 1)) > ENOUGH_FOR_LEVELS)
    light, mask, main = (each[..., ::step, ::step] for each in (light, mask, main))
    wide = np.ptp(np.flatnonzero(main.any(axis=0)))
    inner = _shrunk(main, max(1, int(0.06 * wide)))
    outer = ndimage.maximum_filter(mask, 1 + 2 * max(3 // step, int(0.04 * wide)))
    sky = ~outer & above[::step]
    sky = sky if sky.any() else ~mask
    return _median(light, inner), _median(light, sky) if sky.any() else np.zeros(3)


def _box(patch, room=0):
    """Rows and columns (slices) that hold a patch, and so many more around it."""
    return tuple(
        slice(max(0, seen[0] - room), seen[-1] + 1 + room)
        for seen in (np.flatnonzero(patch.any(axis=axis)) for axis in (1, 0))
    )


def _shrunk(patch, by):
    """A patch without its outermost pixels; the patch itself where nothing is left."""
    inner = np.zeros_like(patch)
    box = _box(patch)
    inner[box] = ndimage.binary_erosion(patch[box], iterations=by)
    return inner if inner.any() else patch


def _median(light, chosen):
    """Of each channel where it is chosen: (3,)."""
    return np.array([np.median(_some(plane[chosen])) for plane in light])


def _levelled(bright):
    """The light above the sky's, as strong below as above: low air dims the disc downwards.

    Without it the half level of a Sun whose lower limb has half its light cuts that limb off.
    """
    shown = bright - np.percentile(_some(bright), 20)
    step = 1 + (min(bright.shape) > ENOUGH_ACROSS)
    seen, row = shown[::step, ::step], np.arange(len(shown), dtype=np.float32)[:, None]
    for _ in range(LEVELLINGS):
        _, main, _ = _half_level(seen)
        own = np.flatnonzero(main.any(axis=1))
        if own.size < FLATTEST * main.any(axis=0).sum():
            break  # a sliver: what is below it is not the Sun
        fade = _fade(seen, main) / step
        gain = np.clip(np.exp(-fade * (row - step * own.mean())), 1 / MOST_GAIN, MOST_GAIN)
        shown = shown * gain
        seen = shown[::step, ::step]
        if abs(fade) * step * np.ptp(own) < EVEN:
            break
    return shown


def _fade(shown, main):
    """Change of the logarithm of light from row to row inside a patch."""
    rows = np.flatnonzero(main.any(axis=1))
    inner = rows[int(0.15 * rows.size) : int(0.85 * rows.size) + 1]
    if inner.size < 6:
        return 0.0
    inner = inner[:: max(1, inner.size // ENOUGH_ROWS)]
    level = _medians(shown[inner], main[inner])
    return float(np.polyfit(inner, np.log(np.maximum(level, 1e-9)), 1)[0])


def _medians(values, chosen):
    """The median of what is chosen in each row, which holds one at least: (R,)."""
    ordered = np.sort(np.where(chosen, values, np.inf), axis=1)
    row, number = np.arange(len(values)), chosen.sum(axis=1)
    return (ordered[row, (number - 1) // 2] + ordered[row, number // 2]) / 2


def _half_level(bright):
    """Patches above half level, the main one of them, and that level."""
    sky = np.percentile(_some(bright), 20)
    rough = bright > (sky + bright.max()) / 2
    level = np.median(_some(bright[rough]))
    threshold = (sky + level) / 2
    mask = bright > threshold
    labels, count = ndimage.label(mask)
    if count == 0:
        raise InputFileError(NO_SUN)
    areas = np.bincount(labels.ravel())[1:]
    if areas.max() < 20:
        raise InputFileError("too few pixels")
    return mask, _filled(labels == 1 + int(np.argmax(areas))), threshold


def _filled(patch):
    """A patch with its holes: all but what is joined to the edge of the array from outside."""
    box, filled = _box(patch, room=1), np.zeros_like(patch)
    labels, count = ndimage.label(~patch[box])
    outside = np.zeros(count + 1, dtype=bool)
    for edge in (labels[0], labels[-1], labels[:, 0], labels[:, -1]):
        outside[edge] = True
    outside[0] = False
    filled[box] = ~outside[labels]
    return filled


def _contour(bright, main, threshold):
    """The longest line at the threshold around the main patch: rows and columns, in its pixels."""
    box = _box(main, room=4)
    near, bright = ndimage.binary_dilation(main[box], iterations=2), bright[box]
    framed = np.pad(
        np.where(near, bright, np.minimum(bright, 0.9 * threshold)), 1, constant_values=0
    )
    lines = contourpy.contour_generator(z=framed).lines(threshold)
    longest = max(lines, key=len)
    return longest[:, 1] - 1 + box[0].start, longest[:, 0] - 1 + box[1].start


def _touches_edge(picture, row, column, stride):
    edge = stride + 1
    return bool(
        row.min() < edge
        or column.min() < edge
        or row.max() > picture.rows - 1 - edge
        or column.max() > picture.columns - 1 - edge
    )


def _fitted(row, column, base, stride):
    if base is None:
        return outline.fit(row, column)
    above = row < base.row_at(column) - 1.5 * stride - 1
    row, column = row[above], column[above]
    return outline.fit(row, column, width_known=_reaches_below_middle(row, column))


def _reaches_below_middle(row, column):
    """Does the outline draw in again below its widest place?"""
    lowest = row > row.max() - 0.1 * max(np.ptp(row), 1.0)
    return np.ptp(column[lowest]) < 0.985 * np.ptp(column)


def _require_like_a_sun(ellipses, residual, base, stride, row, column):
    wide, high = np.ptp(column), np.ptp(row)
    flat = high / max(wide, 1e-6)
    if wide < 6 or not (flat < 1.12 and (base is not None or flat > 0.12)):
        raise InputFileError(NO_SUN)
    if residual > LIKE_A_SUN * wide / 2 + 0.3 * stride:
        raise InputFileError(NO_SUN)
    if ellipses.half_width > 3 * wide:
        raise InputFileError(NO_SUN)


def _pieces(mask, main):
    """Patches above half level within the columns of the main one and large enough to count."""
    columns = np.flatnonzero(main.any(axis=0))
    labels, _ = ndimage.label(mask[:, columns[0] : columns[-1] + 1])
    areas = np.bincount(labels.ravel())[1:]
    return max(1, int(np.sum(areas > max(6, 0.002 * main.sum()))))


def _the_one(found):
    """The greatest disc, unless another like it stands beside it."""
    found = sorted(found, key=lambda disc: -disc.wide * disc.high)
    first = found[0]
    for other in found[1:]:
        beside = other.left > first.right or other.right < first.left
        alike = other.wide * other.high > TWIN_SHARE * first.wide * first.high
        if beside and alike and 0.5 < (other.high / other.wide) / (first.high / first.wide) < 2:
            raise InputFileError(TWO_SUNS)
    return first
