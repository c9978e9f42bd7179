"""The sketch with which each *Why* begins: one line of thought, a few computed lines."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import InputError, quoted
from lowsun.phenomena import earth_shadow, low_sun
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, Haze
from lowsun.physics.ray_path import ground_distance_m
from lowsun.scenes import catalogue
from lowsun.words import say, term

HEIGHTS_M = np.linspace(0.0, 12_000.0, 60)
LOOKING_DEG = 0.1
STRETCHED = 20.0  # times: the colours' images of the Sun lie apart by an arcminute at most
IMAGES_NM = (470.0, 530.0, 650.0)
DEPRESSION_DEG = 4.0
NAMED_LATITUDES = ((0.0, term("equator")), (52.1, term("52° north")), (80.0, term("80° north")))
LEFT_AT_DEG = 0.3  # near the horizon


@dataclass(frozen=True)
class Line:
    """A line of a sketch: its points, its name, where along it that stands (0 to 1), which side.

    kind: of quantity, as `lowsun.drawing.look` draws it; wavelength_nm: in its own colour instead.
    """

    x: np.ndarray
    y: np.ndarray
    name: str
    kind: str = "ray"
    wavelength_nm: float | None = None
    named_at: float = 1.0
    side: str = "over"  # "over", "left", "right", or "above" to its right


@dataclass(frozen=True)
class Sketch:
    """Lines with the names of both axes, in words; even: one scale both ways."""

    words: str
    x_name: str
    y_name: str
    lines: tuple[Line, ...]
    even: bool = False


def bent_ray():
    """The way of light from the horizon through the standard air, and the straight line."""
    air = Atmosphere.standard()
    ways = [ground_distance_m(air, LOOKING_DEG, HEIGHTS_M, bends=bends) for bends in (False, True)]
    names = (say("straight on, where you look"), say("the way the light came"))
    kinds, sides = ("true", "ray"), ("left", "right")
    lines = tuple(
        Line(way / 1000, HEIGHTS_M / 1000, name, kind, named_at=0.6, side=side)
        for way, name, kind, side in zip(ways, names, kinds, sides, strict=True)
    )
    return Sketch(
        say(
            "Two lines leave your eye towards the horizon. The way of the light curves down"
            " with the Earth, so it stays lower than the straight line, and you see over"
            " the horizon."
        ),
        say("from you [km]"),
        say("height over the sea [km]"),
        lines,
    )


def many_suns():
    """The Sun's image in three colours, each at its refraction, their distances stretched."""
    air, angle = Atmosphere.standard(), np.linspace(0.0, 2.0 * np.pi, 100)
    curve = rays.transfer_curve(air, 0.0, 0.5, np.array(IMAGES_NM))
    lifted = 60.0 * (0.5 - curve.true_altitude_deg)
    names = (say("blue"), say("green"), say("red"))
    lines = tuple(
        Line(16 * np.cos(angle), 16 * np.sin(angle) + STRETCHED * (up - lifted[-1]),
             name, wavelength_nm=nm, named_at=0.25)
        for nm, up, name in zip(IMAGES_NM, lifted, names, strict=True)
    )  # fmt: skip
    return Sketch(
        say(
            "Three images of the Sun, blue highest and red lowest, moved apart"
            " {stretched:.0f} times.",
            stretched=STRETCHED,
        ),
        say("[arcmin]"),
        say("[arcmin], shifts stretched twentyfold"),
        lines,
        even=True,
    )


def what_is_left():
    """How much of each colour comes through from the horizon, by clear air and through haze."""
    curve = low_sun.curve_for_picture(Atmosphere.standard(), 0.0)
    airs = (
        (say("air alone"), Haze(0.0), "light", "left"),
        (say("and haze"), CLEAR_EVENING, "shadow", "right"),
    )
    lines = []
    for name, haze, kind, side in airs:
        share = curve.through(haze).share_at([LEFT_AT_DEG])[:, 0]
        lines.append(Line(curve.wavelength_nm, 100.0 * share, name, kind, named_at=0.8, side=side))
    return Sketch(
        say(
            "Of the light from the horizon some red is left, very little green and hardly any blue."
        ),
        say("wavelength [nm]"),
        say("comes through [%]"),
        tuple(lines),
    )


def last_ray():
    """The last ray over the Earth, seen from the side."""
    side = earth_shadow.side_view(DEPRESSION_DEG, ())
    lines = (
        Line(*side.ground, say("the Earth"), "shadow", named_at=0.6),
        Line(*side.edge, say("the last ray that passes it"), "ray", named_at=0.7, side="left"),
        Line(*side.air_top, say("up to here there is air to show it"), "light", named_at=0.3),
    )
    return Sketch(
        say(
            "With the Sun {depression:.0f}° down the last ray over the Earth climbs"
            " away from you; all air under it lies in the shadow.",
            depression=DEPRESSION_DEG,
        ),
        say("from you, away from the Sun [km]"),
        say("height [km]"),
        lines,
    )


def ways_down():
    """The Sun's true altitude about its setting, at three latitudes."""
    minutes = np.linspace(-60.0, 60.0, 41)
    lines = []
    for latitude, name in NAMED_LATITUDES:
        place = sky.Place(name, latitude, catalogue.LIGHTHOUSE_LONGITUDE_DEG)
        centre = sky.sunset(place, catalogue.EQUINOX).centre
        times = [centre + timedelta(minutes=float(minute)) for minute in minutes]
        lines.append(Line(minutes, sky.sun(place, times).true_altitude_deg, say(name), "sun",
                          named_at=0.1))  # fmt: skip
    return Sketch(
        say(
            "At the equator the Sun falls straight; the nearer you are to a pole, the"
            " flatter its way."
        ),
        say("minutes from its setting"),
        say("true altitude of the Sun [deg]"),
        tuple(lines),
    )


def wandering():
    """The bearing of the last sliver through a year at the lighthouse."""
    place = sky.Place(catalogue.LIGHTHOUSE, catalogue.LIGHTHOUSE_LATITUDE_DEG,
                      catalogue.LIGHTHOUSE_LONGITUDE_DEG, catalogue.LIGHTHOUSE_EYE_M)  # fmt: skip
    days = np.arange(1, 366, 14)
    bearings = [
        sky.sunset(place, date(2027, 1, 1) + timedelta(days=int(day) - 1)).last_sliver_azimuth_deg
        for day in days
    ]
    line = Line(
        np.array(bearings, dtype=float),
        days,
        say("the last sliver"),
        "sun",
        named_at=0.75,
        side="above",
    )
    return Sketch(
        say(
            "Through the year the place of the last sliver swings along the horizon: north"
            " in June, south in December, fast in between and slow at both ends."
        ),
        say("bearing [deg], west is 270"),
        say("day of the year"),
        (line,),
    )


def flatter():
    """How much lower and upper limb are lifted, as the Sun sinks."""
    air, altitude = Atmosphere.standard(), np.linspace(0.0, 8.0, 50)
    true = rays.transfer_curve(air, 95.0, altitude, rays.VISUAL_NM).true_altitude_deg
    lifted = 60.0 * (altitude - true)
    return Sketch(
        say(
            "The air lifts what stands low more than what stands high, so the Sun's lower"
            " edge is pushed up into the disc."
        ),
        say("apparent altitude [deg]"),
        say("lifted by [arcmin]"),
        (Line(altitude, lifted, say("lifted by the air"), "apparent", named_at=0.3, side="above"),),
    )


SKETCHES = {
    each.__name__: each
    for each in (bent_ray, many_suns, what_is_left, last_ray, ways_down, wandering, flatter)
}


def sketch(name):
    """The `Sketch` of that name, or an InputError that names those there are."""
    if not isinstance(name, str) or name not in SKETCHES:
        raise InputError(
            f"There is no sketch {quoted(name)}; choose one of: {', '.join(SKETCHES)}."
        )
    return SKETCHES[name]()
