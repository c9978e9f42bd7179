"""From the equator to the poles: how the disc goes down, and how long its green rim stands."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from lowsun import words
from lowsun.drawing import polar
from lowsun.drawing.polar_field import ALL_ROUND, CLOSE, FOLLOWING, NEAR, Field, around
from lowsun.kept import MB, kept
from lowsun.phenomena import low_sun, polar_sunset
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.scenes import catalogue, polar_words
from lowsun.scenes.controls import Choice, Range
from lowsun.scenes.scene import Scene
from lowsun.sky import Place
from lowsun.words import term

EYE_HEIGHT_M = 2.0
CAMP_LATITUDE_DEG = 89.0  # an invented ice camp
NO_RIM = polar_sunset.GreenRim((), term("There are no ridges."))

# Kept, so that moving one control computes nothing that depends on the others alone.
_air, _ridges, _passage, _descent, _last_passage, _delay, _green_rim, _track = (
    kept(2 * MB)(function)
    for function in (
        polar_sunset.polar_air,
        polar_sunset.Ridges.invented,
        polar_sunset.contacts_at,
        polar_sunset.whole_descent,
        polar_sunset.last_passage,
        polar_sunset.delay,
        polar_sunset.green_rim,
        polar_sunset.track,
    )
)


@dataclass(frozen=True)
class Shown:
    """A choice of time: its length, None for the whole descent; its field; points of the way."""

    length: timedelta | None
    field: Field
    points: int


DAY, DESCENT = term("a day"), term("the whole descent")
SHOWN = {
    term("two minutes"): Shown(timedelta(minutes=2), CLOSE, 61),
    term("an hour"): Shown(timedelta(hours=1), NEAR, 121),
    DAY: Shown(timedelta(days=1), ALL_ROUND, 289),
    term("a week"): Shown(timedelta(days=7), ALL_ROUND, 1009),
    DESCENT: Shown(None, FOLLOWING, 241),
}


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need."""

    passage: polar_sunset.Contacts
    descent: polar_sunset.Descent | None
    span: polar_sunset.Span
    share: float
    now: datetime
    speed: polar_sunset.VerticalSpeed
    put_off: timedelta | None
    rim: polar_sunset.GreenRim
    ragged: polar_sunset.GreenRim
    rims: polar_sunset.RimsByLatitude
    ridges: polar_sunset.Ridges
    field: Field
    centre_deg: float
    path: polar_sunset.Track
    moment: polar_sunset.Track
    sky: np.ndarray | None
    limb: low_sun.DiscPicture | None
    steps: polar_sunset.Track
    portraits: np.ndarray

    @property
    def clock(self):
        """The three contacts in words."""
        return polar_words.clock(self)

    @property
    def step_labels(self):
        """When the portraits are taken."""
        return polar_words.steps(self.passage.place, self.span, self.steps.when)

    @property
    def notes(self):
        """What the portraits cannot show."""
        return tuple(polar_words.note(one, polar.STRIP_ARCMIN[1]) for one in self.steps)

    @property
    def where(self):
        """What the path cannot show."""
        return polar_words.where(self.moment, self.field.high_deg(self.path.horizon_deg))

    @property
    def limb_note(self):
        """Why the magnified field shows no limb; empty where it does."""
        return polar_words.limb_note(self.moment, self.limb)

    @property
    def here_words(self):
        """How long the rim is green over the level horizon."""
        return polar_words.here_words(self.rim)

    @property
    def ragged_words(self):
        """How long the rim is green over the ridges."""
        return polar_words.ragged_words(self.ragged)


def compute(state, fineness=1.0):
    """The path, seven portraits, the clock and the rim for one state."""
    return _result(state, fineness)


def draft(state, fineness=1.0):
    """The same, its magnified limb in fewer bands."""
    return _result(state, fineness, rough=True)


def _result(state, fineness, *, rough=False):
    place, day = _place(state), _day(state)
    air = _air(state["surface_temperature_c"] + ZERO_CELSIUS_K, state["inversion_k"])
    shown, share = SHOWN[state["span"]], state["share"] / 100
    descent = _descent(place, day.year, air) if shown.length is None else None
    passage = _passage(place, day, air) if descent is None else _last_passage(descent, air)
    span = _span(shown, descent or passage)
    now = span.at(share)
    path = _track(place, span.begins, span.ends, air, shown.points)
    steps = _track(place, span.begins, span.ends, air, polar.PORTRAITS)
    moment = polar_sunset.track_at(place, now, air)
    centre = _centre_deg(shown, moment, passage, air)
    return Result(
        passage=passage,
        descent=descent,
        span=span,
        share=share,
        now=now,
        speed=polar_sunset.vertical_speed(place, now),
        put_off=_delay(place, day.year, air),
        **_rims(passage, air, state["ridges_arcmin"]),
        rims=polar_sunset.shipped_map().rims(place.latitude_deg, passage.date),
        field=shown.field,
        centre_deg=centre,
        path=path,
        moment=moment,
        sky=_sky(shown.field, moment, centre, air, fineness),
        limb=_limb(moment, air, fineness, rough),
        steps=steps,
        portraits=_portraits(steps, air, fineness),
    )


def _place(state):
    latitude = state["latitude_deg"]
    name = words.latitude(latitude)
    return Place(name, latitude, state["longitude_deg"], EYE_HEIGHT_M)


def _day(state):
    return date(int(state["year"]), 1, 1) + timedelta(days=round(state["day_of_year"]) - 1)


def _span(shown, setting):
    if shown.length is None:
        return polar_sunset.whole(setting)
    return polar_sunset.Span.around(setting.middle, shown.length)


def _centre_deg(shown, moment, passage, air):
    """The bearing in the middle of the path: the Sun's, of the moment or of the span's middle."""
    if shown.field is not FOLLOWING:
        moment = polar_sunset.track_at(passage.place, passage.middle, air)
    return shown.field.centre_deg(moment.bearing_deg)


def _sky(field, moment, centre_deg, air, fineness):
    """The Sun in its sky, as wide as the field; None for a panorama."""
    if not field.shows_disc:
        return None
    aside = around(float(moment.bearing_deg), centre_deg) - centre_deg
    frame = field.frame(moment.horizon_deg, aside)
    return polar_sunset.in_its_sky(moment, air, frame.sized(fineness))


def _portraits(steps, air, fineness):
    frame = polar.STRIP.frame(polar.STRIP_ARCMIN[1] / 60).sized(fineness)
    return polar_sunset.portraits(
        steps, air, 60 * frame.high_deg, frame.arcsec_per_px, frame.rows, frame.columns
    )


def _limb(moment, air, fineness, rough):
    return polar_sunset.limb_portrait(
        moment, air, *polar.LIMB.pixels(fineness), polar.LIMB_ARCSEC, polar.LIMB_FOOT_ARCSEC,
        rough=rough,
    )  # fmt: skip


def _rims(passage, air, ridges_arcmin):
    """The green rim over the level horizon and over the ridges, where there are any."""
    span, ridges = polar_sunset.rim_span(passage), _ridges(ridges_arcmin)
    watch = passage.place, span.begins, span.ends, air
    ragged = _green_rim(*watch, ridges) if ridges_arcmin else NO_RIM
    return {"rim": _green_rim(*watch), "ragged": ragged, "ridges": ridges}


scene = Scene(
    name="polar_sunset",
    title=term("The long sunsets of the poles"),
    question=term("Why does the Sun set in two minutes at the equator and in 33 hours at a pole?"),
    controls=(
        catalogue.LATITUDE.slider(step=0.01, default=CAMP_LATITUDE_DEG),
        catalogue.DAY_OF_YEAR,
        Choice(name="span", label=term("show"), options=tuple(SHOWN), default=term("an hour")),
        catalogue.SHARE,
        Range(
            name="surface_temperature_c",
            label=term("air at the surface"),
            unit="°C",
            low=-70,
            high=15,
            step=1,
            default=-20,
        ),
        Range(
            name="inversion_k",
            label=term("inversion on the surface, 300 m deep"),
            unit="K",
            low=0,
            high=30,
            step=1,
            default=0,
        ),
        Range(
            name="ridges_arcmin",
            label=term("highest ridge on the horizon"),
            unit="′",
            low=0,
            high=10,
            step=0.5,
            default=0,
        ),
        catalogue.YEAR,
        catalogue.LONGITUDE.narrowed(default=0),
    ),
    compute=compute,
    draft=draft,
    sized=True,
    picture=polar.PolarPicture,
    describe=polar_words.describe,
    seldom=("year", "longitude_deg"),
    cues=(
        term("Ask before you move: how long does the Sun take to set at the pole?"),
        term("Take the latitude from the equator to the pole and watch the seven portraits."),
        term("At the pole, choose a day, then a week: which way does the Sun go?"),
    ),
)
