"""Which evenings of a year send the last sliver into a gap between two bearings."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from lowsun.drawing.evenings import EveningsPicture
from lowsun.fieldwork import plan as planning
from lowsun.kept import MB, kept
from lowsun.scenes import catalogue, evenings_words, made
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene
from lowsun.words import term


@dataclass(frozen=True, eq=False)
class Result:
    """The evenings of a span of dates, and those in the gap in words, a line each."""

    found: planning.Evenings
    first_day: date
    last_day: date
    lines: tuple[str, ...]


def compute(state):
    """A year's last slivers over a level sea, the gap among them."""
    year = int(state["year"])
    edges = state["low_deg"], state["high_deg"]
    found = _evenings(made.place_of(state), date(year, 1, 1), date(year, 12, 31), *edges)
    return result(found, date(year, 1, 1), date(year, 12, 31))


def result(found, first_day, last_day):
    """The `Result` of evenings that have been found."""
    rows = np.flatnonzero(found.inside)
    lines = tuple(evenings_words.line(found, row) for row in rows)
    return Result(found, first_day, last_day, lines)


@kept(2 * MB)
def _evenings(place, first_day, last_day, low_deg, high_deg):
    return planning.evenings(place, first_day, last_day, low_deg, high_deg)


def describe(result):
    """How many evenings, when, and under which Moon."""
    return evenings_words.sentence(result.found)


def _bearing(name, label, default):
    return Range(name=name, label=label, unit="°", low=0, high=360, step=1, default=default)


scene = Scene(
    name="which_evenings",
    title=term("Which evenings"),
    question=term("On which evenings of a year does the Sun go down into your gap?"),
    controls=(
        _bearing("low_deg", term("gap from the bearing"), 268),
        _bearing("high_deg", term("clockwise to"), 273),
        catalogue.YEAR.slider(step=1),
        *catalogue.PLACE,
    ),
    compute=compute,
    picture=EveningsPicture,
    describe=describe,
    doing=term("Looking through a year"),
    cues=(
        term("How far does the sunset wander in a year? Stretch out both arms."),
        term("How many evenings has a gap as wide as your thumb, in March and in June?"),
    ),
)
