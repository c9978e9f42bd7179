"""The limb's place in each channel: the mean of its line-spread function, sector by sector.

The edge is that of a darkened disc behind a blur:

    I(d) = sky + haze d + (edge + dark sqrt(2 s / b - s^2 / b^2)) for depths s = place - d > 0,

d the distance outside the outline, mixed by a Gaussian. A blur that is alike on both sides leaves
the place where it is, and so does a limb that darkens otherwise in another channel.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import ndtr

SECTORS = 48  # around the disc
BIN_PX = 0.25  # of the distance from the outline
FINE_REACH_PX = 16.0  # of the look in and out of the limb up to which bins stay fine
ENOUGH_PIXELS = 60_000  # of a limb: more do not make its place surer than its blur and air do
ROUNDS = 40  # of Gauss-Newton at most: small discs take 3 or 4, soft limbs of large ones many
SETTLED_PX, SETTLED_ERRORS = 0.004, 0.1  # step of the place, or so much of its standard error,
SETTLED_SHARE = 0.004  # and of the blur, after which no other round is needed
SOFT_BINS = 10  # of blur, from which bins twice as wide tell the same
LEAST_BLUR_PX = 0.25
TILE = 16  # pixels across the tiles among which those near the limb are found
ROOT_TWO_PI = 2.5066282746


@dataclass(frozen=True, eq=False)
class Edges:
    """What the limb is in one channel, (SECTORS,) each, NaN where it was not seen.

    place_px: outside the outline; error_px: its standard error; edge, dark, sky: light of the limb,
    of its darkening and of the sky beside it; blur_px: standard deviation of the blur.
    """

    place_px: np.ndarray
    error_px: np.ndarray
    edge: np.ndarray
    dark: np.ndarray
    sky: np.ndarray
    blur_px: float


@dataclass(frozen=True, eq=False)
class Band:
    """Pixels along the limb, (N,) each: distance outside [px], sector, and light (3, N)."""

    distance_px: np.ndarray
    sector: np.ndarray
    light: np.ndarray
    reach_px: float
    depth_px: np.ndarray

    def binned(self):
        """Mean light (3, SECTORS, bins) and pixels in each; bins of BIN_PX from -reach to reach."""
        bins = self.middles_px.size
        place = ((self.distance_px + self.reach_px) / self.bin_px).astype(int)
        cell = self.sector * bins + place
        size = SECTORS * bins
        mean, count = np.zeros((3, size)), np.zeros((3, size))
        for channel, light in enumerate(self.light):
            seen = np.isfinite(light)
            seen = slice(None) if seen.all() else seen  # developed: nothing to pick out
            count[channel] = np.bincount(cell[seen], minlength=size)
            mean[channel] = np.bincount(cell[seen], light[seen], minlength=size)
        mean /= np.maximum(count, 1)
        return mean.reshape(3, SECTORS, bins), count.reshape(3, SECTORS, bins)

    @property
    def middles_px(self):
        """Distance of the middles of the bins [px]."""
        bins = round(2 * self.reach_px / self.bin_px)
        return (np.arange(bins) + 0.5) * self.bin_px - self.reach_px

    @property
    def bin_px(self):
        """Width of the bins [px]."""
        return BIN_PX * max(1.0, self.reach_px / FINE_REACH_PX)


def sector_angle_rad():
    """Direction of the middle of each sector, clockwise from the top, -pi to pi [rad]."""
    return (np.arange(SECTORS) + 0.5) * (2 * np.pi / SECTORS) - np.pi


def band(picture, disc, reach_px):
    """The pixels within so many of the outline, those near a foot left out: a `Band`.

    reach_px [px].
    """
    row, column = _near(picture, disc.ellipses, reach_px)
    distance, right, down = disc.ellipses.normal(row, column)
    keep = np.abs(distance) < reach_px - 1e-6
    if disc.foot is not None:
        keep &= row < disc.foot.row_at(column) - reach_px / 2 - 1
    row, column, distance = row[keep], column[keep], distance[keep]
    normal = np.arctan2(right[keep], -down[keep])
    sector = np.minimum(((normal + np.pi) * (SECTORS / (2 * np.pi))).astype(int), SECTORS - 1)
    depth = disc.ellipses.depth_px(sector_angle_rad())
    return Band(distance, sector, picture.light(row, column), reach_px, depth)


def _near(picture, ellipses, reach_px):
    """Rows and columns of the tiles of pixels that the limb runs through."""
    step = _step(ellipses, reach_px)
    tile = TILE * step
    half = max(ellipses.half_width, ellipses.upper, ellipses.lower) + reach_px + tile
    first_row, last_row = _span(ellipses.row, half, picture.rows)
    first_column, last_column = _span(ellipses.column, half, picture.columns)
    row = np.arange(first_row, last_row, tile)[:, None]
    column = np.arange(first_column, last_column, tile)
    far = np.abs(ellipses.outside_px(row + tile / 2, column + tile / 2)) > reach_px + 0.8 * tile
    # Deep inside the distance is known to first order only: the small disc is taken whole.
    far &= min(ellipses.half_width, ellipses.upper) > 2 * tile
    at_row, at_column = np.nonzero(~far)
    inner = np.arange(0, tile, step)
    rows = (row[at_row, 0][:, None, None] + inner[:, None] + 0 * inner).ravel()
    columns = (column[at_column][:, None, None] + 0 * inner[:, None] + inner).ravel()
    if step > 1:  # one pixel by chance of each square, so that a mosaic gives all its channels
        chance = np.random.default_rng(0)
        rows = rows + chance.integers(0, step, rows.size)
        columns = columns + chance.integers(0, step, columns.size)
    inside = (rows < last_row) & (columns < last_column)
    return rows[inside], columns[inside]


def _step(ellipses, reach_px):
    """Side of the squares of which one pixel is looked at: what a large disc needs does not grow.

    [px].
    """
    around = np.pi * (ellipses.half_width + (ellipses.upper + ellipses.lower) / 2)
    return max(1, round(np.sqrt(2 * reach_px * around / ENOUGH_PIXELS)))


def _span(middle, half, length):
    return max(0, int(middle - half)), min(length, int(middle + half) + 2)


@cache
def _blurred_root():
    """sqrt(depth) of depths above 0, mixed by a Gaussian of width 1: depths, values, slopes."""
    depth = np.linspace(-6, 40, 2301)
    offset = np.linspace(-5, 5, 2001)
    weight = np.exp(-0.5 * offset**2)
    weight /= weight.sum()
    value = np.array([np.sqrt(np.maximum(d - offset, 0)) @ weight for d in depth])
    return depth, value, np.gradient(value, depth)


def _root(depth):
    """The blurred root and its slope; far inside it is the root itself."""
    at, value, slope = _blurred_root()
    far = np.sqrt(np.maximum(depth, 1.0))
    inside = depth > at[-1]
    return (
        np.where(inside, far, np.interp(depth, at, value)),
        np.where(inside, 0.5 / far, np.interp(depth, at, slope)),
    )


def edges(mean, count, band, *, place_px=None, blur_px=None, rounds=ROUNDS):
    """The `Edges` of one channel by least squares: place, edge, darkening, sky and its slope.

    mean, count (S, bins) of the first S sectors. The blur is one for all. place_px (S,): of the
    same limb in a narrower band, and blur_px: of any channel, to begin with; a place in another
    channel is no beginning, for where rims are wider than the blur the fit would not leave it.
    rounds: of improving, at most. [px]
    """
    distance = band.middles_px
    width = blur_px or max(1.2, band.reach_px / 10)
    if blur_px and width > SOFT_BINS * band.bin_px:
        mean, count, distance = _in_pairs(mean, count, distance)
    depth = band.depth_px[: len(mean)]
    place = _first_place(mean, count, band.reach_px)
    if place_px is not None:
        place = np.where(np.isfinite(place_px), place_px, place)
    usable = _usable(count, distance)
    values = None
    farthest = max(1.0, band.reach_px / 8)  # in one turn
    for _ in range(rounds):
        basis, by_place, by_blur = model(distance, place, width, depth)
        if values is None:
            values, _, _ = _solve(basis, mean, count)
        slope, bend = _product(values[:, :2], by_place), values[:, :1] * by_blur
        full = np.concatenate([basis, slope[:, None], bend[:, None]], axis=1)
        found, inverse, spread = _solve(full, mean, count)
        error = spread * np.sqrt(np.maximum(inverse[:, 4, 4], 0))
        values, before = found[:, :4], (place, width)
        place = place + np.clip(np.where(usable, found[:, 4], 0), -farthest, farthest)
        place = np.clip(place, -band.reach_px / 2, band.reach_px / 2)
        width = _next_width(width, found[usable, 5], values[usable, 0])
        if _settled(place - before[0], error, width / before[1] - 1):
            break
    basis, by_place, _ = model(distance, place, width, depth)
    full = np.concatenate([basis, _product(values[:, :2], by_place)[:, None]], axis=1)
    found, inverse, spread = _solve(full, mean, count)
    error = spread * np.sqrt(np.maximum(inverse[:, 4, 4], 0))
    hidden = np.where(usable, 0.0, np.nan)
    return Edges(
        place + hidden, error + hidden, found[:, 0] + hidden, found[:, 1], found[:, 2], width
    )


def _settled(moved_px, error_px, wider):
    least = np.maximum(SETTLED_PX, SETTLED_ERRORS * error_px)
    return np.mean(np.abs(moved_px) < least) > 0.9 and abs(wider) < SETTLED_SHARE


def _in_pairs(mean, count, distance):
    """Bins twice as wide: mean, count, middles. A soft limb is as well told by them."""
    shape = (len(mean), -1, 2)
    number = count.reshape(shape)
    total = number.sum(axis=-1)
    light = (mean.reshape(shape) * number).sum(axis=-1) / np.maximum(total, 1)
    return light, total, distance.reshape(-1, 2).mean(axis=1)


def _first_place(mean, count, reach_px):
    """Where a sharp edge of the same light would lie: the share of the disc's light in the band."""
    quarter = mean.shape[1] // 4
    seen = count > 0

    def average(part):
        return (mean[:, part] * seen[:, part]).sum(axis=1) / np.maximum(
            seen[:, part].sum(axis=1), 1
        )

    inner, outer = average(slice(0, quarter)), average(slice(-quarter, None))
    whole = average(slice(None))
    share = (whole - outer) / np.where(inner - outer > 1e-9, inner - outer, np.inf)
    return np.clip((2 * share - 1) * reach_px, -reach_px / 2, reach_px / 2)


def _usable(count, distance):
    """Sectors with pixels enough on both sides of the limb."""
    inside, outside = distance < -1, distance > 1
    return ((count[:, inside] > 0).mean(axis=1) > 0.2) & (
        (count[:, outside] > 0).mean(axis=1) > 0.2
    )


def model(distance, place, width, depth_px):
    """Basis (S, 4, K) of edge, darkening, sky, slope of the sky; slopes by place and by blur.

    Those by place are (S, 2, K), of edge and darkening; by blur (S, K), of the edge. depth_px [px].
    """
    u = (distance - place[:, None]) / width
    inside = ndtr(-u)
    root, root_slope = _root(-u)
    share = np.clip((place[:, None] - distance) / (2 * depth_px[:, None]), 0, 0.9)
    scale = np.sqrt(2 * width / depth_px[:, None]) * np.sqrt(1 - share)
    bell = np.exp(-0.5 * u**2) / (ROOT_TWO_PI * width)
    basis = np.empty((len(u), 4, u.shape[1]))
    basis[:, 0], basis[:, 1], basis[:, 2], basis[:, 3] = inside, scale * root, 1.0, distance
    return basis, np.stack([bell, scale * root_slope / width], axis=1), bell * u


def _product(values, slopes):
    return (values[:, None] @ slopes)[:, 0]


def _solve(basis, mean, count):
    """Weighted least squares in each sector: values, inverse of the normal matrix, scatter."""
    weighted = basis * count[:, None]
    normal = weighted @ np.swapaxes(basis, 1, 2)
    right = (weighted @ mean[..., None])[..., 0]
    size = basis.shape[1]
    ridge = 1e-9 * np.trace(normal, axis1=1, axis2=2)[:, None, None] + 1e-12
    inverse = np.linalg.inv(normal + ridge * np.eye(size))
    values = (inverse @ right[..., None])[..., 0]
    misfit = mean - _product(values, basis)
    freedom = np.maximum((count > 0).sum(axis=1) - size, 1)
    return values, inverse, np.sqrt((count * misfit**2).sum(axis=1) / freedom)


def _next_width(width, bend, edge):
    good = np.isfinite(bend) & (edge > 0)
    step = np.clip(np.median(bend[good]), -0.4 * width, 0.6 * width) if good.any() else 0.0
    return float(max(width + step, LEAST_BLUR_PX))
