"""The horizon as it is drawn: the Sun's way down to it, discs of its steps, and the frame."""

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from lowsun import sky
from lowsun.fieldwork.plan import timeline as steps

POINTS = 181  # the Sun's path is drawn through so many points
AFTER = timedelta(minutes=15)  # that the path is followed below the horizon
MARKED = (*steps.UP_DEG, steps.FIRST_CONTACT, steps.LAST_SLIVER, steps.LOWEST, steps.HIGHEST)


@dataclass(frozen=True, eq=False)
class Sketch:
    """Directions about a middle bearing, all apparent and over the sea horizon [deg].

    middle_deg: the bearing from which the others are counted, right positive; path_turn_deg,
    path_height_deg (N,): the Sun's centre; marks: (name, turn, height) of steps; frame_turn_deg,
    frame_height_deg (M,): the frame's outline; radius_deg: of the disc;
    land_turn_deg, land_height_deg (L,): the skyline, empty over a level sea.
    """

    middle_deg: float
    path_turn_deg: np.ndarray
    path_height_deg: np.ndarray
    marks: tuple[tuple[str, float, float], ...]
    frame_turn_deg: np.ndarray
    frame_height_deg: np.ndarray
    radius_deg: float
    land_turn_deg: np.ndarray
    land_height_deg: np.ndarray

    def turn_deg(self, azimuth_deg):
        """A bearing counted from the middle, -180 to 180 [deg]."""
        return (np.asarray(azimuth_deg) - self.middle_deg + 180) % 360 - 180


def sketch(plan):
    """The `Sketch` of a plan; without a path at a pole, where no direction has a bearing."""
    middle = plan.framing.azimuth_deg
    horizon = plan.evening.horizon_apparent_altitude_deg
    frame_azimuth, frame_altitude = plan.framing.outline
    when = _instants(plan)
    sun = sky.sun(plan.place, when)
    land = _land(plan.skyline, middle)
    drawn = Sketch(
        middle_deg=middle,
        path_turn_deg=(sun.azimuth_deg - middle + 180) % 360 - 180,
        path_height_deg=plan.evening.above_horizon_arcmin(sun.true_altitude_deg) / 60,
        marks=(),
        frame_turn_deg=(frame_azimuth - middle + 180) % 360 - 180,
        frame_height_deg=frame_altitude - horizon,
        radius_deg=float(plan.evening.sun(0).angular_diameter_arcmin) / 120,
        land_turn_deg=land[0],
        land_height_deg=land[1] - horizon,
    )
    marks = tuple(
        (step.name, float(drawn.turn_deg(step.azimuth_deg)), step.above_horizon_deg)
        for step in plan.timeline.steps
        if step.name in MARKED and np.isfinite(step.azimuth_deg)
    )
    return replace(drawn, marks=marks)


def _land(skyline, middle_deg):
    """Turns from the middle bearing and apparent heights of a skyline [deg], from left to right."""
    if skyline is None:
        return np.empty(0), np.empty(0)
    bearings = np.concatenate([skyline.azimuth_deg, middle_deg + np.linspace(-179.9, 179.9, 720)])
    turn = np.unique((bearings - middle_deg + 180) % 360 - 180)
    inside = (turn + middle_deg - skyline.first_deg) % 360 <= skyline.width_deg
    return turn[inside], skyline.altitude_at((turn[inside] + middle_deg) % 360)


def _instants(plan):
    begin = min(s.when for s in plan.timeline.steps if s.name in (steps.SET_UP, *MARKED))
    end = max(plan.evening.zero, begin) + AFTER
    return np.array([begin + (end - begin) * k / (POINTS - 1) for k in range(POINTS)], object)
