"""How long the Sun takes to set, and its green rim to go, at every latitude on every day."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from lowsun import words
from lowsun.drawing.polar_map import DISC, RIM, PolarMapPicture
from lowsun.phenomena.polar_sunset import shipped_map
from lowsun.scenes import catalogue
from lowsun.scenes.controls import Choice
from lowsun.scenes.scene import Scene
from lowsun.sky import DOWN_KINDS, KINDS, UP_KINDS, Kind
from lowsun.words import say, term
from lowsun.words.plain import opened

INSTEAD = {  # what is said where there is no whole sunset
    Kind.SETS: term("the centre goes down, a part of the disc stays"),
    Kind.RISES: term("the Sun comes up and does not set"),
    Kind.STAYS_UP: term("the whole disc stays up"),
    Kind.DIPS: term("the disc dips in part, its centre stays up"),
    Kind.SHOWS: term("only a part of the disc shows, its centre stays down"),
    Kind.STAYS_DOWN: term("the whole disc stays down"),
    Kind.UP_ALL_DATE: term("the Sun is up all day"),
}


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need.

    seconds, stays_up, stays_down (latitude, day); does: what the Sun does here instead of setting.
    """

    what: str
    map_latitude_deg: np.ndarray
    seconds: np.ndarray
    stays_up: np.ndarray
    stays_down: np.ndarray
    does: str
    latitude_deg: float
    day_of_year: int
    column: int
    day: date
    here_s: float
    disc_s: float
    rim_s: float


def compute(state):
    """One column and one cell of the shipped map."""
    found, what = shipped_map(), state["what"]
    column = round(state["day_of_year"]) - 1
    row = int(np.argmin(np.abs(found.latitude_deg - state["latitude_deg"])))
    seconds = {DISC: found.length_s, RIM: found.rim_s}[what]
    return Result(
        what=what,
        map_latitude_deg=found.latitude_deg,
        seconds=seconds,
        stays_up=found.does(*UP_KINDS),
        stays_down=found.does(*DOWN_KINDS),
        does=INSTEAD[KINDS[found.kind[row, column]]],
        latitude_deg=float(found.latitude_deg[row]),
        day_of_year=column + 1,
        column=column,
        day=found.days[column],
        here_s=float(seconds[row, column]),
        disc_s=float(found.length_s[row, column]),
        rim_s=float(found.rim_s[row, column]),
    )


def describe(result):
    """The cell in words."""
    where = f"{opened(words.latitude(result.latitude_deg))}, {words.day(result.day)}: "
    rim = (
        say("the rim is green alone for {duration}", duration=words.duration(result.rim_s))
        if result.rim_s > 0
        else ""
    )
    if result.disc_s > 0:
        also = f", {rim}" if rim else ""
        return say(
            "{where}the disc takes {duration} to go{also}.",
            where=where,
            duration=words.duration(result.disc_s),
            also=also,
        )
    return say(
        "{where}no whole sunset; {does}{also}.",
        where=where,
        does=say(result.does),
        also=f"; {rim}" if rim else "",
    )


scene = Scene(
    name="polar_map",
    title=term("A year of sunsets, pole to pole"),
    question=term("Where and when does the Sun take longest to set?"),
    controls=(
        catalogue.LATITUDE.slider(step=1, default=78),
        catalogue.DAY_OF_YEAR.narrowed(default=283),
        Choice(name="what", label=term("time of"), options=(DISC, RIM), default=DISC),
    ),
    compute=compute,
    picture=PolarMapPicture,
    describe=describe,
    cues=(
        term(
            "Ask before you show it: is the longest sunset at the pole, or beside the polar circle?"
        ),
        term("Follow one latitude through the year, then one day from pole to pole."),
    ),
)
