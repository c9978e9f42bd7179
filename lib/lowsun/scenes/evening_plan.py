"""The evening's plan by the clock: where the Sun stands, what comes next, and when."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from importlib.resources import files

import numpy as np

from lowsun import sky, words
from lowsun.drawing.evening_plan import EveningPlanPicture
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork import skyline
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.plan.sketch import Sketch, sketch
from lowsun.kept import KB, MB, kept
from lowsun.scenes import catalogue, made, plan_words
from lowsun.scenes.controls import Choice, File, Number, Range
from lowsun.scenes.scene import Scene
from lowsun.words import say, term
from lowsun.words.speech import holds_words

SEA, HILLS = term("level sea"), term("invented hills")
LONGEST_MM = 1500  # the Sun still fits into a frame 16 mm high
FOCAL_LENGTH = catalogue.FOCAL_LENGTH.narrowed(high=LONGEST_MM)


@dataclass(frozen=True, eq=False)
class Result:
    """A plan and an instant of it.

    sketch: the horizon as it is drawn; next_step: what comes next, None after the last one;
    turn_deg, height_deg: where the Sun is in the sketch, NaN once it has gone; labels: words for
    the sketch's marks; lines: the timeline in words, a line a step; next_line: which is next;
    coming, countdown: the next step, and the time to it; clock, camera_clock: local time, and what
    the camera's clock shows.
    """

    plan: planning.Plan
    when: datetime
    sketch: Sketch
    next_step: planning.Step | None
    turn_deg: float
    height_deg: float
    labels: dict[str, str]
    lines: tuple[str, ...]
    next_line: int | None
    coming: str
    countdown: str
    clock: str
    camera_clock: str


def compute(state):
    """The plan, and its instant so many minutes from the last sliver."""
    plan = _plan_of(state)
    return _at(plan, plan.evening.when(60 * state["minutes"]), state["clock_ahead_s"])


def at(state, when):
    """The plan at an aware instant, whatever the minutes of the state: followed by the clock."""
    return _at(_plan_of(state), when, state["clock_ahead_s"])


def _plan_of(state):
    return _plan(
        made.place_of(state),
        state["day"],
        made.atmosphere_at(state["temperature_c"], state["pressure_hpa"]),
        state["focal_length_mm"],
        state["pixel_um"],
        _skyline(state["horizon"], state["skyline"]),
    )


@kept(500 * KB)
def _skyline(horizon, own):
    """The player's own skyline before all, else the hills; None for a level sea."""
    if own is not None:
        return skyline.parse(own.content, own.name)
    if horizon == SEA:
        return None
    return skyline.parse((files("lowsun.data") / "skyline_hills.csv").read_bytes(), horizon)


@holds_words
@kept(8 * MB)
def _plan(place, day, air, focal_length_mm, pixel_um, land):
    camera = Camera(focal_length_mm, catalogue.F_NUMBER.default, pixel_um, made.FRAME_PX)
    return planning.plan(place, day, air, kit=planning.Kit(camera), skyline=land)


@holds_words
@kept(8 * MB)
def _drawn(plan):
    """The sketch of a plan, its marks' words and its lines."""
    zone = plan.place.timezone
    labels = {step.name: plan_words.mark(step, zone) for step in plan.timeline.steps}
    lines = tuple(
        f"{words.clock(step.when, zone)}  {plan_words.label(step)}" for step in plan.timeline.steps
    )
    return sketch(plan), labels, lines


def _at(plan, when, clock_ahead_s):
    drawn, labels, lines = _drawn(plan)
    sun = sky.sun(plan.place, when)
    height = float(plan.evening.above_horizon_arcmin(sun.true_altitude_deg)) / 60
    seen = height > -drawn.radius_deg
    coming = plan.timeline.after(when)
    zone = plan.place.timezone
    return Result(
        plan=plan,
        when=when,
        sketch=drawn,
        next_step=coming,
        turn_deg=float(drawn.turn_deg(sun.azimuth_deg)) if seen else np.nan,
        height_deg=height if seen else np.nan,
        labels=labels,
        lines=lines,
        next_line=plan.timeline.steps.index(coming) if coming else None,
        coming=say("{label}, in", label=plan_words.label(coming))
        if coming
        else say("nothing more is planned"),
        countdown=plan_words.countdown(when, coming),
        clock=words.clock(when, zone),
        camera_clock=words.clock(when + timedelta(seconds=clock_ahead_s), zone),
    )


def describe(result):
    """What the clock shows, where the Sun stands, and what comes next."""
    local = plan_words.local_time(result.when, result.plan.place)
    apart = result.camera_clock != result.clock
    camera = say(" (camera's clock {clock})", clock=result.camera_clock) if apart else ""
    return f"{local}{camera}: {_sun(result)} {_next(result)}"


def _sun(result):
    sun = sky.sun(result.plan.place, result.when)
    if np.isfinite(result.height_deg):
        bearing = plan_words.bearing(sun.azimuth_deg)
        return say(
            "the Sun's centre {height:.2f}° above the sea horizon{bearing}.",
            height=result.height_deg,
            bearing=bearing,
        )
    return say("the Sun is gone, {depression:.1f}° down.", depression=-sun.true_altitude_deg)


def _next(result):
    if result.next_step is None:
        return say("Nothing more is planned.")
    shift = ""
    if not result.plan.evening.sets:
        shift = say(" No last sliver falls on this date.")
    return say(
        "Next, in {countdown}: {label}.{shift}",
        countdown=result.countdown,
        label=plan_words.label(result.next_step),
        shift=shift,
    )


scene = Scene(
    name="evening_plan",
    title=term("The evening plan"),
    question=term("Where do you aim, and what comes next, how soon?"),
    controls=(
        Range(
            name="minutes",
            label=term("time from the last sliver"),
            unit="min",
            low=-90,
            high=120,
            step=1,
            default=-9,
        ),
        catalogue.DAY,
        *catalogue.PLACE,
        FOCAL_LENGTH,
        Choice(
            name="horizon",
            label=term("what stands before the sky"),
            options=(SEA, HILLS),
            default=SEA,
        ),
        catalogue.PIXEL,
        catalogue.TEMPERATURE,
        catalogue.PRESSURE,
        Number(
            name="clock_ahead_s",
            label=term("camera's clock ahead"),
            unit="s",
            low=-43_200,
            high=43_200,
            default=0,
        ),
        File(name="skyline", label=term("your own skyline"), suffixes=(".csv", ".txt")),
    ),
    compute=compute,
    at=at,
    picture=EveningPlanPicture,
    describe=describe,
    seldom=("pixel_um", "temperature_c", "pressure_hpa", "clock_ahead_s", "skyline"),
    cues=(
        term("Where will the Sun go down? Point there, then look at the picture."),
        term("Which will you miss if you set up half an hour late?"),
        term("Who turns round in time for the shadow, and who keeps the eyes of the others?"),
    ),
)
