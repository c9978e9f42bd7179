"""Questions about the long sunsets of the poles."""

from lowsun.errors import InputError
from lowsun.scenes.polar_sunset import scene as polar
from lowsun.scenes.questions.kinds import Amount, Choose, coarse
from lowsun.words import say, term

NORTHERN_DAY, SOUTHERN_DAY = 267, 81  # days of the year on which the Sun sets at the poles
COLDER_K = 30.0
RIDGES_ARCMIN = 3.0
IN_ALL, ONLY_SPREAD, SHORTER = (
    term("longer in all"),
    term("not longer in all, but over a longer time"),
    term("shorter in all"),
)
NOTICED_S = 1.0


def _at_the_pole(scene, state, **changed):
    north = state["latitude_deg"] >= 0
    pole = {
        "latitude_deg": 90.0 if north else -90.0,
        "day_of_year": float(NORTHERN_DAY if north else SOUTHERN_DAY),
        "span": "two minutes",
    }
    return coarse(scene, state, **pole, **changed)


def _rim_at_the_pole_min(scene, state):
    longest_s = _at_the_pole(scene, state).rim.longest_s
    if not longest_s:
        raise InputError(say("In this air the pole shows no green rim. Make the inversion weaker."))
    return longest_s / 60.0


def _later_in_cold_air_h(scene, state):
    colder = state["surface_temperature_c"] - COLDER_K
    airs = (state["surface_temperature_c"], max(colder, scene.control("surface_temperature_c").low))
    delays = [
        coarse(scene, state, surface_temperature_c=air, span="two minutes").put_off for air in airs
    ]
    if None in delays:
        raise InputError(say("Here the Sun sets every day of the year. Go nearer to a pole."))
    return (delays[1] - delays[0]).total_seconds() / 3600.0


def _over_ridges(scene, state):
    seen = _at_the_pole(scene, state, ridges_arcmin=RIDGES_ARCMIN)
    level, ragged = seen.rim, seen.ragged
    if ragged.total_s > level.total_s + NOTICED_S:
        return IN_ALL
    if ragged.on_and_off_s > level.on_and_off_s + NOTICED_S:
        return ONLY_SPREAD
    return SHORTER


QUESTIONS = (
    Amount(
        name="rim_at_the_pole",
        scene=polar.name,
        words=term(
            "At a middle latitude the green rim stands a second or two. How many minutes"
            " does the last one stand at the pole, over a level horizon?"
        ),
        unit="min",
        near=0.35,
        held="latitude_deg",
        hint=term(
            "The rim is about 15″ wide everywhere. At the pole the Sun sinks by 1′ an hour,"
            " which is 1″ in a minute."
        ),
        truth=_rim_at_the_pole_min,
    ),
    Amount(
        name="colder",
        scene=polar.name,
        words=term(
            "Make the air 30 K colder than it is now. How many hours later is the last"
            " sunset of the year?"
        ),
        unit="h",
        near=0.35,
        held="surface_temperature_c",
        hint=term(
            "Cold air is denser and lifts the Sun higher. The year's last sunset follows"
            " the last noon at which the Sun still comes up: one noon more is a whole day"
            " more."
        ),
        truth=_later_in_cold_air_h,
    ),
    Choose(
        name="over_ridges",
        scene=polar.name,
        words=term("Raise ridges of 3′ at the pole. For how long is the green seen then?"),
        options=(IN_ALL, ONLY_SPREAD, SHORTER),
        held="ridges_arcmin",
        hint=term(
            "The Sun rolls along the ridges. Behind each it goes, beside each it comes"
            " back: how often does a last sliver stand on an edge?"
        ),
        truth=_over_ridges,
    ),
)
