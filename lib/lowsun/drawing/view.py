"""A view of a picture: its place in the layout, and the pixels that are computed to fill it."""

from dataclasses import dataclass

from lowsun.phenomena.low_sun import Frame


@dataclass(frozen=True)
class View:
    """A place of a picture, in pixels of a 1280 x 720 figure, from its lower left corner.

    height_deg: how much of the sky it shows from foot to head [deg], where that is always the same.
    A scene is told a picture's views and computes for them; it knows no pixel of its own.
    """

    left: int
    bottom: int
    columns: int
    rows: int
    height_deg: float | None = None

    def __iter__(self):
        return iter((self.left, self.bottom, self.columns, self.rows))

    def frame(self, high_deg, height_deg=None):
        """The `Frame` that fills it, its upper edge at an apparent altitude [deg]."""
        height_deg = self.height_deg if height_deg is None else height_deg
        return Frame(float(high_deg), 3600.0 * height_deg / self.rows, self.rows, self.columns)

    def around(self, middle_deg):
        """The `Frame` that fills it about an apparent altitude [deg]."""
        return self.frame(middle_deg + self.height_deg / 2.0)

    def pixels(self, fineness):
        """(rows, columns) that show it so many times as fine."""
        return round(fineness * self.rows), round(fineness * self.columns)
