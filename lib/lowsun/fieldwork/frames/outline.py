"""The Sun's outline: two half-ellipses of one width, and the straight foot a horizon cuts."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import InputFileError

MOST_POINTS = 400  # of an outline; more tell nothing new
FOOT_SHARE = 0.35  # of the width: a chord as long and as straight as that is a horizon
CHORD_MARGIN = 1.6  # times the chord that a curved limb keeps within the tolerance


@dataclass(frozen=True)
class HalfEllipses:
    """Upper and lower half-ellipses that share centre and width; pixels, rows count downwards.

    column, row: of the centre; half_width, upper, lower: the semi-axes [px].
    """

    column: float
    row: float
    half_width: float
    upper: float
    lower: float

    @property
    def axis_ratio(self):
        """Height divided by width."""
        return (self.upper + self.lower) / (2 * self.half_width)

    @property
    def top(self):
        """Row of the highest point."""
        return self.row - self.upper

    def across_and_down(self, row, column):
        """Places measured from the centre [px]."""
        return column - self.column, row - self.row

    def outside_px(self, row, column):
        """Distance of places from the outline, positive outside, to first order [px]."""
        return self.normal(row, column)[0]

    def normal(self, row, column):
        """Distance outside to first order [px], and the normal's parts right and down."""
        x, y = self.across_and_down(row, column)
        height = np.where(y < 0, self.upper, self.lower)
        right, down = x / self.half_width**2, y / height**2
        rho2 = x * right + y * down
        steep = np.sqrt(right**2 + down**2)
        return (rho2 - np.sqrt(rho2)) / np.maximum(steep, 1e-12), right, down

    def slopes(self, row, column):
        """Change of the distance with column, row, half width, upper and lower, (5, N)."""
        x, y = column - self.column, row - self.row
        wide, high = self.half_width, np.where(y < 0, self.upper, self.lower)
        rho = np.maximum(np.hypot(x / wide, y / high), 1e-9)
        steep = np.maximum(np.hypot(x / wide**2, y / high**2), 1e-12)

        def change(of_rho2, of_steep2):  # of (rho^2 - rho) / steep, from half those of squares
            return ((2 - 1 / rho) * of_rho2 - (rho - 1) * rho * of_steep2 / steep**2) / steep

        by_high = change(-(y**2) / high**3, -2 * y**2 / high**5)
        return np.stack([
            change(-x / wide**2, -x / wide**4),
            change(-y / high**2, -y / high**4),
            change(-(x**2) / wide**3, -2 * x**2 / wide**5),
            np.where(y < 0, by_high, 0.0),
            np.where(y < 0, 0.0, by_high),
        ])  # fmt: skip

    def depth_px(self, normal_rad):
        """Distance over which the limb's brightness changes: the radius along the normal [px]."""
        up = np.where(np.cos(normal_rad) > 0, self.upper, self.lower)
        return np.hypot(self.half_width * np.sin(normal_rad), up * np.cos(normal_rad))


@dataclass(frozen=True)
class Foot:
    """A straight edge: row at a column of reference, and slope in rows per column."""

    row: float
    column: float
    slope: float

    def row_at(self, column):
        """Row of the edge at a column."""
        return self.row + self.slope * (np.asarray(column) - self.column)

    @property
    def roll_deg(self):
        """Positive where the right end stands higher [deg]."""
        return -float(np.degrees(np.arctan(self.slope)))


def fit(row, column, *, width_known=True, start=None):
    """Half-ellipses through points of an outline, bent points counting less; least squares.

    With `width_known` false (only a cap is seen) the two semi-axes of the height are alike.
    Returns the `HalfEllipses` and the median distance of the points [px].
    Raises InputFileError for too few points.
    """
    step = max(1, row.size // MOST_POINTS)
    row, column = row[::step], column[::step]
    if row.size < 12:
        raise InputFileError("outline of too few pixels")
    start = start or _start(row, column)

    def residual(values):
        return _ellipses(values, width_known).outside_px(row, column)

    def slopes(values):
        by = _ellipses(values, width_known).slopes(row, column)
        return by.T if width_known else np.stack([*by[:3], by[3] + by[4]], axis=-1)

    from scipy.optimize import least_squares  # 20 MB that a scene does without

    found = least_squares(
        residual,
        _values(start, width_known),
        jac=slopes,
        loss="soft_l1",
        xtol=1e-6,  # of the half width: far below what a limb's place is known to
        ftol=1e-7,
        f_scale=max(0.3, 0.004 * start.half_width),
        x_scale=start.half_width,
        max_nfev=60,
    )
    ellipses = _ellipses(found.x, width_known)
    return ellipses, float(np.median(np.abs(ellipses.outside_px(row, column))))


def _start(row, column):
    half_width = max((column.max() - column.min()) / 2, 1.0)
    high = max((row.max() - row.min()) / 2, 1.0)
    middle = row[np.argsort(np.abs(column - column.min()))[:5]].mean()
    middle = np.clip(middle, row.min() + 0.3 * high, row.max())
    return HalfEllipses(
        (column.max() + column.min()) / 2,
        float(middle),
        half_width,
        max(middle - row.min(), 1.0),
        max(row.max() - middle, 1.0),
    )


def _values(ellipses, width_known):
    values = [ellipses.column, ellipses.row, ellipses.half_width, ellipses.upper]
    return [*values, ellipses.lower] if width_known else values


def _ellipses(values, width_known):
    column, row, half_width, upper = values[:4]
    lower = values[4] if width_known else upper
    return HalfEllipses(column, row, *(max(abs(v), 0.5) for v in (half_width, upper, lower)))


def foot(row, column, tolerance_px):
    """The straight lower edge of an outline, or None where the limb is round.

    tolerance_px [px].
    """
    wide = column.max() - column.min()
    if wide < 6:
        return None
    lowest_row, at_column = _lower_edge(row, column)
    if at_column.size < 6:
        return None
    inner = np.abs(at_column - np.median(at_column)) < 0.35 * wide
    slope = _median_slope(lowest_row[inner], at_column[inner])
    level = np.median(lowest_row[inner] - slope * at_column[inner])
    on_line = np.abs(lowest_row - level - slope * at_column) < tolerance_px
    if on_line.sum() < 6:
        return None
    chord = np.ptp(at_column[on_line])
    high = max(row.max() - row.min(), 1.0)
    round_chord = np.sqrt(16 * tolerance_px * (wide / 2) ** 2 / (high / 2 + 0.25 * wide))
    if chord < max(FOOT_SHARE * wide, min(CHORD_MARGIN * round_chord, 0.8 * wide)):
        return None
    if on_line[inner].mean() < 0.7:
        return None
    middle = float(column.mean())
    slope, level = np.polyfit(at_column[on_line], lowest_row[on_line], 1)
    return Foot(float(level + slope * middle), middle, float(slope))


def _lower_edge(row, column):
    """The lowest point of the outline in each column."""
    bins = np.round(column).astype(int)
    bins -= bins.min()
    lowest = np.full(bins.max() + 1, -np.inf)
    np.maximum.at(lowest, bins, row)
    seen = np.isfinite(lowest)
    return lowest[seen], np.flatnonzero(seen) + np.round(column).min()


def _median_slope(row, column):
    half = row.size // 2
    if half < 2:
        return 0.0
    run = column[half : 2 * half] - column[:half]
    return float(np.median((row[half : 2 * half] - row[:half]) / np.where(run == 0, 1, run)))
