"""What the camera caught: an evening's frames, measured, beside what the air lets expect."""

from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files

import numpy as np

from lowsun import sky, words
from lowsun.drawing.caught import CaughtPicture
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames.expected import (
    Expected,
    channel_weights,
    expected,
    outline_arcmin,
    over,
)
from lowsun.kept import MB, kept
from lowsun.phenomena import low_sun
from lowsun.physics import sensors
from lowsun.scenes import catalogue, made
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene
from lowsun.words import say, term

PLACE = sky.Place(catalogue.LIGHTHOUSE, catalogue.LIGHTHOUSE_LATITUDE_DEG,
                  catalogue.LIGHTHOUSE_LONGITUDE_DEG, catalogue.LIGHTHOUSE_EYE_M)  # fmt: skip
FRAMES = 8
ALTITUDES_DEG = np.linspace(-0.65, 7.5, 60)  # the model's lines run through these
HIGH_DEG = 10.0  # up to which the air is traced: the first frame stands at 7


@dataclass(frozen=True, eq=False)
class Shot:
    """One frame: its pixels (R, C, 3) uint8, what was measured, and the Sun at that instant."""

    rgb: np.ndarray
    reading: frames.Reading
    sun_true_deg: float
    sun_diameter_arcmin: float


@dataclass(frozen=True, eq=False)
class Result:
    """What picture and sentence need.

    shots: all frames of the evening; number: of the one looked at, from 1; wanted: the `Expected`
    of the air chosen at its instant; line_ratio, line_upper_px (N,): the model's over
    line_altitudes_deg; outline_arcmin (2, M): the model's disc, from its highest point.
    """

    shots: tuple[Shot, ...]
    number: int
    wanted: Expected
    line_altitudes_deg: np.ndarray
    line_ratio: np.ndarray
    line_upper_px: np.ndarray
    outline_arcmin: np.ndarray

    @property
    def shot(self):
        """The frame looked at."""
        return self.shots[self.number - 1]

    @property
    def altitudes_deg(self):
        """The Sun's true altitude at each frame."""
        return np.array([shot.sun_true_deg for shot in self.shots])

    def measured(self, name):
        """A measure of all frames, NaN where it was withheld."""
        values = [getattr(shot.reading, name) for shot in self.shots]
        return np.array([np.nan if value is None else value for value in values])

    @property
    def upper_px(self):
        """Expected displacement at the upper limb, in the frame's pixels."""
        return self.wanted.pixels(self.shot.reading.arcsec_per_px)[0]


@cache
def _shots():
    found = []
    for number in range(1, FRAMES + 1):
        with as_file(files("lowsun.data") / "evening" / f"evening-{number}.jpg") as path:
            picture = frames.read(path)
        reading = frames.measure(picture)
        sun = sky.sun(PLACE, reading.time_utc)
        found.append(
            Shot(
                np.ascontiguousarray(picture.codes),
                reading,
                float(sun.true_altitude_deg),
                float(sun.angular_diameter_arcmin),
            )
        )
    return tuple(found)


@kept(3 * MB)
def _traced(atmosphere):
    return low_sun.curve_for_picture(atmosphere, PLACE.eye_height_m, HIGH_DEG)


def _curve(air):
    return _traced(air.atmosphere).through(air.haze)


@kept(4 * MB)
def _lines(air):
    curve = _curve(air)
    return over(curve, ALTITUDES_DEG, _weights(curve))


def _weights(curve):
    return channel_weights(sensors.STOCK, curve.wavelength_nm, developed=True)


def compute(state):
    """The frame of the state, and what its air lets expect for it and for the evening."""
    shots, number = _shots(), round(state["frame"])
    shot = shots[number - 1]
    air = made.even_air(state)
    curve = _curve(air)
    ratio, upper_arcsec, _ = _lines(air)
    wanted = expected(
        curve,
        shot.sun_true_deg,
        _weights(curve),
        sun_diameter_arcmin=shot.sun_diameter_arcmin,
    )
    return Result(
        shots=shots,
        number=number,
        wanted=wanted,
        line_altitudes_deg=ALTITUDES_DEG,
        line_ratio=ratio,
        line_upper_px=upper_arcsec / shot.reading.arcsec_per_px,
        outline_arcmin=outline_arcmin(curve, shot.sun_true_deg, shot.sun_diameter_arcmin),
    )


def describe(result):
    """Time, height over width and the upper rim, measured and expected."""
    reading, wanted = result.shot.reading, result.wanted
    when = say(
        "Frame {number}, {clock} UTC",
        number=result.number,
        clock=words.clock(reading.time_utc),
    )
    return f"{when}: {_shape(reading, wanted)} {_rim(reading, result.upper_px)}"


def _shape(reading, wanted):
    caught = say("the disc is {axis_ratio:.3f} as high as wide", axis_ratio=reading.axis_ratio)
    if wanted.axis_ratio is None:
        return say("{caught}; this air would hide its lower limb.", caught=caught)
    return say(
        "{caught}, {axis_ratio:.3f} in this air.", caught=caught, axis_ratio=wanted.axis_ratio
    )


def _rim(reading, upper_px):
    sigmas = 2 * reading.upper_sigma_px
    caught = say(
        "Green's upper limb stands {width:.2f} ± {sigmas:.2f} px above red's",
        width=reading.upper_green_over_red_px,
        sigmas=sigmas,
    )
    return (
        f"{caught}."
        if upper_px is None
        else say("{caught}, {upper:.2f} px in this air.", caught=caught, upper=upper_px)
    )


scene = Scene(
    name="caught",
    title=term("What the camera caught"),
    question=term("What did the camera catch, and what should it have caught?"),
    controls=(
        Range(
            name="frame", label=term("frame of the evening"), low=1, high=FRAMES, step=1, default=6
        ),
        catalogue.TEMPERATURE,
        catalogue.PRESSURE,
        *catalogue.HAZE_CONTROLS,
    ),
    compute=compute,
    picture=CaughtPicture,
    describe=describe,
    seldom=catalogue.HAZE_SELDOM,
    cues=(
        term(
            "The frames are simulated, in another air than the sliders'. Which? Let them find it."
        ),
        term("First the shape alone: colder or warmer? Then the rim: does it agree?"),
        term("Why is the lower limb red and the upper one green, and why is one of them fainter?"),
    ),
)
