"""The horizon with the Sun's path and the frame of a lens, on axes given."""

import numpy as np
from matplotlib.collections import EllipseCollection

from lowsun.fieldwork.plan.timeline import HIGHEST, LAST_SLIVER, LOWEST
from lowsun.words import bearing_tick, say

FOOT_DEG, HEAD_DEG = -1.3, 6.4  # shown at least, over the sea horizon
MARGIN_SHARE = 0.12  # share of the frame's height kept free about it
NAME_LINES = 10  # a name's length, in heights of its line
LEADING = 1.3  # distance of lines in sizes of the type
CONTACTS = (LAST_SLIVER, LOWEST, HIGHEST)  # named on the side to which the Sun goes
TICK_IN = 0.8  # a bearing's name needs so much room
TALLEST_DEG = 40.0  # a wide lens's frame no higher than this is shown whole


class Horizon:
    """Artists of one `fieldwork.plan.Sketch` on axes; `show` gives them another."""

    def __init__(self, axes, look, moving=None, points=11):
        self.axes, self.look, self.points = axes, look, points
        keep = moving or (lambda *artists: artists[0] if len(artists) == 1 else artists)
        axes.set_ylabel(say("above the sea [°]"), fontsize=points + 1)
        axes.axhspan(-90, 0, color=look.sea, linewidth=0, zorder=0)
        axes.axhline(0, color=look.ink, linewidth=1, zorder=2)
        (self.path,) = axes.plot([], [], **look.line("sun", linewidth=1.5))
        (self.frame,) = axes.plot([], [], color=look.ink, linewidth=1.5, zorder=4)
        (self.land,) = axes.fill([], [], facecolor=look.land, edgecolor=look.ink, zorder=3)
        self.names, self.discs = [], None
        self.frame_name = axes.text(
            0, 0, "", color=look.ink, ha="left", va="bottom", fontsize=points
        )
        (now,) = axes.plot([], [], **look.points("sun", markersize=12), zorder=7)
        self.now = keep(now)
        axes.set_aspect("equal", adjustable="datalim")

    def show(self, sketch, labels, frame_name):
        """Draw a sketch; labels: words for its marks, by name."""
        low, high = self._limits(sketch)
        self.axes.set_ylim(low, high)
        wide = (high - low) * self._sides()
        self.axes.set_xlim(-wide / 2, wide / 2)
        self._tick(sketch, wide)
        down = np.where(
            sketch.path_height_deg > -1.5 * sketch.radius_deg, sketch.path_height_deg, np.nan
        )
        self.path.set_data(_unbroken(sketch.path_turn_deg), down)
        self.land.set_xy(_down_to(low, sketch.land_turn_deg, sketch.land_height_deg))
        self.frame.set_data(sketch.frame_turn_deg, sketch.frame_height_deg)
        self.frame_name.set_text(frame_name)
        self.frame_name.set_position((sketch.frame_turn_deg.min(), sketch.frame_height_deg.max()))
        self._mark(sketch, labels)

    def point(self, turn_deg, height_deg):
        """Where the Sun is now; NaN hides it."""
        self.now.set_data([turn_deg], [height_deg])

    def _limits(self, sketch):
        frame = sketch.frame_height_deg
        margin = MARGIN_SHARE * (frame.max() - frame.min())
        low = max(min(FOOT_DEG, frame.min() - margin), -TALLEST_DEG / 2)
        return low, min(max(HEAD_DEG, frame.max() + margin), TALLEST_DEG)

    def _sides(self):
        box = self.axes.get_position()
        wide, high = self.axes.figure.get_size_inches()
        return box.width * wide / (box.height * high)

    def _tick(self, sketch, wide):
        most = self.axes.get_window_extent().width / self.axes.figure.dpi // TICK_IN
        step = next(s for s in (1, 2, 5, 10, 20, 45, 90) if wide / s <= most or s == 90)
        first = np.ceil((sketch.middle_deg - wide / 2) / step) * step
        bearings = np.arange(first, sketch.middle_deg + wide / 2, step)
        self.axes.set_xticks(bearings - sketch.middle_deg, [bearing_tick(b) for b in bearings])

    def _mark(self, sketch, labels):
        for name in self.names:
            name.remove()
        if self.discs is not None:
            self.discs.remove()
        shown = [mark for mark in sketch.marks if np.isfinite(mark[2])]
        size = np.full(len(shown), 2 * sketch.radius_deg)
        self.discs = EllipseCollection(
            size,
            size,
            np.zeros(len(shown)),
            units="xy",
            offsets=[(turn, height) for _, turn, height in shown] or np.empty((0, 2)),
            offset_transform=self.axes.transData,
            facecolors=self.look.surround,
            edgecolors=self.look.colour("sun"),
            linewidths=1.5,
            zorder=5,
        )
        self.axes.add_collection(self.discs)
        self.names = list(self._named(sketch, labels, shown))

    def _named(self, sketch, labels, marks):
        """Words beside the discs: on the side the Sun comes from, contacts on the other.

        Of two on one side that would overlap the later is left out.
        """
        from_left = not marks or np.nanmean(np.diff(sketch.path_turn_deg)) >= 0
        taken = {True: np.inf, False: np.inf}
        left, right = self.axes.get_xlim()
        for name, turn, height in marks:
            if not left < turn < right:
                continue  # its disc is outside the picture
            on_left = from_left != (name in CONTACTS or self._is_outer(turn, from_left))
            if taken[on_left] - height < self._line_deg():
                continue
            taken[on_left] = height
            side = sketch.radius_deg * (-1.4 if on_left else 1.4)
            yield self.axes.text(
                turn + side,
                height,
                labels[name],
                color=self.look.ink,
                ha="right" if on_left else "left",
                va="center",
                fontsize=self.points,
                clip_on=True,
                zorder=6,
                bbox={"facecolor": self.look.surround, "alpha": 0.7, "pad": 0.5, "linewidth": 0},
            )

    def _is_outer(self, turn_deg, from_left):
        """Is a disc so near to the side the Sun comes from that its name would be cut off?"""
        left, right = self.axes.get_xlim()
        room = turn_deg - left if from_left else right - turn_deg
        return room < NAME_LINES * self._line_deg()

    def _line_deg(self):
        """Height of a line of words, in degrees of the picture."""
        low, high = self.axes.get_ylim()
        inches = self.axes.get_position().height * self.axes.figure.get_size_inches()[1]
        return LEADING * self.points / 72 / inches * (high - low)


def _down_to(low_deg, turn_deg, height_deg):
    """Corners (N, 2) of what lies under a skyline, down to a height."""
    if not turn_deg.size:
        return np.empty((0, 2))
    ends = turn_deg[[-1, 0]]
    foot = np.full(2, low_deg)
    return np.column_stack([np.append(turn_deg, ends), np.append(height_deg, foot)])


def _unbroken(turn_deg):
    """A path cut where it leaves the picture on one side and comes in on the other."""
    jump = np.abs(np.diff(turn_deg, prepend=turn_deg[0])) > 180
    return np.where(jump, np.nan, turn_deg)
