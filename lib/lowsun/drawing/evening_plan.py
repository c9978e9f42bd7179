"""The evening plan: the horizon with path and frame, the steps beside it, the next one large."""

from types import MappingProxyType

from lowsun.drawing.horizon import Horizon
from lowsun.drawing.picture import Picture
from lowsun.drawing.sentence import QuickText
from lowsun.words import say

COUNTDOWN_PT, NEXT_PT = 58, 24  # the larger is read from two metres on a laptop's screen
MOST_LINES = 19  # so many lines of the timeline have room


class EveningPlanPicture(Picture):
    """Above left the next step and the time to it; under it the horizon; right the timeline."""

    sheets = MappingProxyType({
        "square": ((96, 320, 420, 390), (530, 200, 330, 510), (60, 730, 790, 100)),
        "upright": ((80, 795, 640, 325), (70, 275, 610, 440), (60, 1145, 640, 90)),
    })  # fmt: skip

    def __init__(self, figure, look):
        super().__init__(figure, look)
        view, steps, self._clock_axes = self.places(
            (110, 226, 760, 318), (920, 196, 320, 484), (96, 560, 790, 120)
        )
        self.horizon = Horizon(view, look, self.moving, points=12)
        self._shown = None
        self._draw_steps(steps)
        self._draw_clock(self._clock_axes)

    def _draw_steps(self, axes):
        axes.set(xlim=(0, 1), ylim=(MOST_LINES + 0.5, -0.5), title=say("the evening, local time"))
        axes.axis("off")
        self._steps = axes
        self.lines = []
        (self.marker,) = (self.moving(*axes.plot([], [], color=self.look.colour("sun"), lw=2.5)),)

    def _draw_clock(self, axes):
        axes.axis("off")
        ink, sun = self.look.ink, self.look.colour("sun")
        place = {"transform": axes.transAxes}
        self.coming = self.moving(
            axes.add_artist(QuickText(0, 1.0, ink, va="top", fontsize=NEXT_PT, **place))
        )
        self.countdown = self.moving(
            axes.add_artist(QuickText(0, 0.66, sun, va="top", fontsize=COUNTDOWN_PT, **place))
        )
        self.clock = self.moving(
            axes.add_artist(QuickText(1, 1.0, ink, va="top", ha="right", fontsize=NEXT_PT, **place))
        )

    def update(self, result):
        """Take over a `scenes.evening_plan.Result`."""
        if result.plan is not self._shown:
            self._take(result)
        self.horizon.point(result.turn_deg, result.height_deg)
        self._point_at(result.next_line)
        self.clock.set_text(result.clock)
        self.countdown.set_text(result.countdown)
        self.coming.set_text(result.coming)

    def _take(self, result):
        """Another plan: horizon and timeline anew."""
        self._shown = result.plan
        focal = result.plan.kit.camera.focal_length_mm
        self.horizon.show(result.sketch, result.labels, say("frame of {focal:g} mm", focal=focal))
        for line in self.lines:
            line.remove()
        self.lines = [
            self._steps.text(0.02, row, words, color=self.look.ink, fontsize=13, va="center")
            for row, words in enumerate(result.lines)
        ]
        self.redraw_all()

    def _point_at(self, row):
        """A line round the step that is next; none after the last."""
        if row is None:
            self.marker.set_data([], [])
            return
        low, high = row - 0.48, row + 0.48
        self.marker.set_data([0, 1, 1, 0, 0], [low, low, high, high, low])
