"""A scene that exercises every kind of control and every way of drawing, for tests of the stage."""

import time
from dataclasses import dataclass
from datetime import date

import numpy as np

from lowsun.drawing.look import altitude_axis, scale_bar, set_field
from lowsun.drawing.picture import Picture
from lowsun.errors import OutOfRangeError
from lowsun.scenes.controls import Choice, Day, File, Number, Range, Switch
from lowsun.scenes.scene import Scene

LOW, HIGH, HALF_WIDTH = -20.0, 60.0, 60.83
SKY, GLOW = (28, 20, 30), {"orange": (255, 140, 60), "green": (60, 200, 120)}
DISC_ROWS, DISC_COLUMNS = 484, 736  # the view's own pixels at 1280 x 720


@dataclass(frozen=True)
class Result:
    rgb: np.ndarray
    centre: float
    ratio: float
    colour: str
    day: date
    sounding: str


def compute(state, rows=DISC_ROWS, columns=DISC_COLUMNS):
    up = HIGH - (np.arange(rows)[:, None] + 0.5) / rows * (HIGH - LOW)
    across = np.abs((np.arange(columns) + 0.5) / columns * 2 - 1) * HALF_WIDTH
    ratio = 1.0 if state["round_disc"] else 0.84
    chord = np.sqrt(np.maximum(0, state["radius"] ** 2 - ((up - state["centre"]) / ratio) ** 2))
    colours = np.array([SKY, GLOW[state["colour"]]], dtype=np.uint8)
    rgb = colours[(across < chord).astype(np.intp)]
    sounding = "none" if state["sounding"] is None else state["sounding"].text.strip()
    return Result(rgb, state["centre"], ratio, state["colour"], state["day"], sounding)


def describe(result):
    return (
        f"On {result.day} the {result.colour} disc stands {result.centre:.0f} arcmin up,"
        f" {result.ratio:.2f} as high as wide; sounding: {result.sounding}."
    )


class DiscPicture(Picture):
    def __init__(self, figure, look):
        super().__init__(figure, look)
        self.view, self.why = self.beside()
        set_field(self.view, LOW, HIGH)
        altitude_axis(self.view, "arcmin")
        self.view.axhline(0, color=look.over)
        scale_bar(self.view, 10, "10 arcmin", look)
        self.disc = self.raster(self.view)
        self.why.set(xlim=(0, 40), ylim=(0, 1.1), xlabel="centre [arcmin]", ylabel="height / width")
        self.mark = self.moving(*self.why.plot([], [], **look.points("sun")))

    def update(self, result):
        self.disc.show(result.rgb)
        self.mark.set_data([result.centre], [result.ratio])


CONTROLS = (
    Range(name="centre", label="height of the centre", unit="arcmin",
          low=-10, high=40, step=0.5, default=20),
    Choice(name="colour", label="colour", options=("orange", "green"), default="orange"),
    Switch(name="round_disc", label="without air"),
    Day(name="day", label="day", default=date(2027, 3, 20)),
    Number(name="radius", label="radius", unit="arcmin", low=1, high=30, default=16),
    File(name="sounding", label="your own sounding", suffixes=(".csv", ".txt")),
)  # fmt: skip

scene = Scene(
    name="toy", title="A toy disc", question="Does the stage play it?",
    controls=CONTROLS, compute=compute, picture=DiscPicture, describe=describe,
    cues=("Move the centre.",),
)  # fmt: skip


def slow(state):
    """A compute that takes a second."""
    time.sleep(1.0)
    return compute(state)


def refusing(state):
    """A compute that refuses half of its range, as rays below the horizon do."""
    if state["centre"] < 0:
        raise OutOfRangeError("The disc is below the horizon. Raise it.")
    if state["centre"] > 39:
        raise ZeroDivisionError("internal detail")
    return compute(state)
