"""What a file's pixels are before anything is measured: codes, and the way to linear light."""

from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

import numpy as np

from lowsun.errors import OutOfRangeError, require_kind, require_whole

RED, GREEN, BLUE = 0, 1, 2
LONGEST_STRIDE_PX = 100_000


@dataclass(frozen=True)
class Shot:
    """What a file's header tells: when (UTC, or None), and what one should know of its pixels.

    camera: its name, where the header has one; lens: that with the focal length, which tells
    frames of one setting; notes: plain words for the table's `reason`.
    """

    time_utc: datetime | None = None
    camera: str = ""
    lens: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Picture:
    """Pixels as they were written, and the curve that makes linear light of them.

    codes: (R, C, 3) of a developed file, (R, C) of a mosaic or a grey file, in the upright
    position; curve (codes that there are,): linear light, 1 where the sensor or file is full;
    pattern (P, P): the channel of each site of a mosaic, repeated over the picture, else None;
    full_code: a code at or above it has burnt out; matrix (3, 3): to linear sRGB, or None;
    halves_rows: does its coding keep colour in half its rows; colour_step: in which steps, of 255;
    balance (3,): factors with which white is equal in all channels, used to judge colours alone.
    """

    codes: np.ndarray
    curve: np.ndarray
    full_code: int
    pattern: np.ndarray | None = None
    matrix: np.ndarray | None = None
    balance: np.ndarray = field(default_factory=lambda: np.ones(3))
    is_developed: bool = True
    is_lossy: bool = False
    halves_rows: bool = False
    colour_step: int = 0
    shot: Shot = Shot()

    @property
    def rows(self):
        """Height [px]."""
        return self.codes.shape[0]

    @property
    def columns(self):
        """Width [px]."""
        return self.codes.shape[1]

    @property
    def is_grey(self):
        """Has it no colours?"""
        return self.codes.ndim == 2 and self.pattern is None

    @cached_property
    def period(self):
        """Sites after which the mosaic repeats; 1 for developed files [px]."""
        return 1 if self.pattern is None else self.pattern.shape[0]

    def light(self, row, column):
        """Linear light of pixels (N,), (N,): (3, N), NaN where a mosaic has another channel.

        row, column: whole numbers inside the picture. Raises OutOfRangeError elsewhere.
        """
        row, column = self._pixels(row, column)
        if self.pattern is not None:
            return self._on_mosaic(self.curve[self.codes[row, column]], row, column)
        if self.is_grey:
            return np.broadcast_to(self.curve[self.codes[row, column]], (3, row.size))
        return self._into_srgb(self.curve[self.codes[row, column].T])

    def burnt(self, row, column):
        """Is each channel of the pixels full? (3, N), NaN where a mosaic has another channel.

        row, column: whole numbers inside the picture. Raises OutOfRangeError elsewhere.
        """
        row, column = self._pixels(row, column)
        full = self.codes[row, column] >= self.full_code
        if self.pattern is not None:
            return self._on_mosaic(full.astype(np.float32), row, column)
        return np.broadcast_to(full.T, (3, row.size)).astype(np.float32)

    def patches(self, row, column):
        """Light and burnt share of whole periods that begin at pixels (N,): (3, N) each.

        row, column: whole numbers, a period inside the picture. Raises OutOfRangeError elsewhere.
        """
        row, column = self._pixels(row, column)
        light, burnt = [], []
        for down in range(self.period):
            for across in range(self.period):
                light.append(self.light(row + down, column + across))
                burnt.append(self.burnt(row + down, column + across))
        if self.period == 1:
            return light[0], burnt[0]
        return np.nanmean(light, axis=0), np.nanmean(burnt, axis=0)

    def _on_mosaic(self, value, row, column):
        channel = self.pattern[row % self.period, column % self.period]
        return np.where(channel == np.arange(3)[:, None], value, np.float32(np.nan))

    def _into_srgb(self, planes):
        if self.matrix is None:
            return planes
        return np.tensordot(self.matrix.astype(np.float32), planes, 1)

    def thinned(self, stride, rows=slice(None), columns=slice(None), stride_across=None):
        """Linear light of every n-th pixel, (3, r, c), with the rows (r,) and columns (c,) taken.

        On a mosaic the steps are whole periods, and each channel comes from a site of its own.
        stride, stride_across [px] 1 to 100 000; rows, columns: slices. Raises OutOfRangeError for
        other numbers.
        """
        for name, part in (("rows", rows), ("columns", columns)):
            require_kind(name, part, slice, "a slice of them")
        down = self._whole_periods("stride", stride)
        across = down
        if stride_across is not None:
            across = self._whole_periods("stride_across", stride_across)
        row = np.arange(*self._range(rows, self.rows, down))
        column = np.arange(*self._range(columns, self.columns, across))
        if self.pattern is None:
            return self._thinned_developed(row, column), row, column
        planes = [self._site(channel, row, column) for channel in range(3)]
        return np.stack(planes), row + (self.period - 1) / 2, column + (self.period - 1) / 2

    def brightest(self, stride):
        """The light of the channel that has most of it, (r, c), with the rows and columns taken.

        A developed file's greatest code is its greatest light: fewer are turned into light.
        stride [px] 1 to 100 000. Raises OutOfRangeError for another number.
        """
        stride = require_whole("stride", stride, 1, LONGEST_STRIDE_PX)
        if self.pattern is not None or self.is_grey or self.matrix is not None:
            light, row, column = self.thinned(stride)
            return np.maximum(np.maximum(light[0], light[1]), light[2]), row, column
        codes = self.codes[::stride, ::stride]
        greatest = np.maximum(np.maximum(codes[..., 0], codes[..., 1]), codes[..., 2])
        row, column = np.arange(0, self.rows, stride), np.arange(0, self.columns, stride)
        return self.curve[greatest], row, column

    def _thinned_developed(self, row, column):
        down, across = (step[1] - step[0] if step.size > 1 else 1 for step in (row, column))
        if not (row.size and column.size):
            return np.zeros((3, row.size, column.size), dtype=np.float32)
        part = self.codes[row[0] : row[-1] + 1 : down, column[0] : column[-1] + 1 : across]
        if part.ndim == 2:
            return np.broadcast_to(self.curve[part], (3, *part.shape))
        return self._into_srgb(self.curve[np.moveaxis(part, -1, 0)])

    def _site(self, channel, row, column):
        """The mean of a channel's sites in each period."""
        sites = np.argwhere(self.pattern == channel)
        planes = [self.curve[self.codes[np.ix_(row + down, column + across)]]
                  for down, across in sites]  # fmt: skip
        return np.mean(planes, axis=0, dtype=np.float32)

    def _range(self, part, length, step):
        start, stop, _ = part.indices(length)
        return -(-start // self.period) * self.period, stop - self.period + 1, step

    def _whole_periods(self, name, stride):
        stride = require_whole(name, stride, 1, LONGEST_STRIDE_PX)
        return max(self.period, stride // self.period * self.period)

    def _pixels(self, row, column):
        """Rows and columns (N,) of pixels, or an error that says which are none."""
        row, column = _places("row", row, self.rows), _places("column", column, self.columns)
        if row.size != column.size:
            raise OutOfRangeError(
                f"row has {row.size} numbers and column {column.size}; give one of each a pixel."
            )
        return row, column


def _places(name, places, count):
    wanted = f"whole numbers (N,) from 0 to {count - 1}"
    places = require_kind(name, places, np.ndarray, wanted)
    if places.dtype.kind not in "iu" or places.ndim != 1:
        raise OutOfRangeError(f"{name} is {places.dtype} shaped {places.shape}; give {wanted}.")
    if places.size and (places.min() < 0 or places.max() >= count):
        reach = f"{places.min()} to {places.max()}"
        raise OutOfRangeError(f"{name} reaches from {reach}; give {wanted}.")
    return places
