"""The Earth's shadow at a place and a date: when to turn round, where to look, how wide a lens."""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from lowsun import sky, words
from lowsun.drawing.twilight import TO_SUN, TwilightPicture
from lowsun.fieldwork.wide import pictures_across
from lowsun.kept import MB, kept
from lowsun.phenomena import earth_shadow
from lowsun.phenomena.earth_shadow.sights import SUN_RANGE_DEG
from lowsun.scenes import catalogue, made
from lowsun.scenes import twilight_sky as twilight
from lowsun.scenes.controls import StateError, Switch
from lowsun.scenes.scene import Scene
from lowsun.words import say, says, term
from lowsun.words.speech import holds_words

WIDE_LENS_MM = 24.0


@dataclass(frozen=True, eq=False)
class Result(twilight.Moment):
    """The sky of an instant, and the evening or morning it belongs to."""

    watch: earth_shadow.Watch
    when: object


def compute(state):
    """The sky at an instant of the sight, and how edge and arch climb by the clock."""
    return _result(state)


def draft(state):
    """The same along fewer lines of sight."""
    return _result(state, rough=True)


def _result(state, *, rough=False):
    air, place = twilight.air_of(state), made.place_of(state)
    watch = _watch(place, state["day"], air, state["morning"])
    when = _instant(watch, state)
    sun = sky.sun(place, when)
    depression = -float(sun.true_altitude_deg)
    if watch.first_seen is None:
        _require_dusk(watch, depression)
        course = twilight.course_of(air, place.eye_height_m)
        curve = twilight.curve_of_course(course, depression)
    else:
        curve = _curve(watch, when)
    middle = twilight.middle_of(state["facing"], _bearing(state["facing"], sun.azimuth_deg))
    moment = twilight.moment(state, air, depression, curve, middle, rough=rough)
    return Result(**vars(moment), watch=watch, when=when)


def _require_dusk(watch, depression):
    """In the polar night the Sun may stand too low at noon for any light in the sky."""
    if -depression < SUN_RANGE_DEG[0]:
        raise StateError(
            say("{reason} Choose another day or another latitude.", reason=watch.reason)
        )


@holds_words
@kept(2 * MB)
def _watch(place, day, air, rising):
    return earth_shadow.watch(place, day, air, rising=rising)


def _instant(watch, state):
    """A share of the way through the sight; noon where there is none."""
    if watch.first_seen is None:
        start, end = sky.local_day(state["day"], watch.place.timezone)
        return start + (end - start) / 2
    begin, end = watch.when[0], watch.when[-1]
    return begin + (end - begin) * (state["share_percent"] / 100.0)


def _curve(watch, when):
    zero = watch.when[0]
    return twilight.Curve(
        x=np.array([(each - zero) / timedelta(minutes=1) for each in watch.when]),
        edge_deg=watch.edge_deg,
        pink_peak_deg=watch.pink_peak_deg,
        pink_low_deg=watch.pink_low_deg,
        pink_high_deg=watch.pink_high_deg,
        opposite_deg=-watch.sun_true_altitude_deg,
        now=(when - zero) / timedelta(minutes=1),
        begins=zero.astimezone(watch.place.timezone),
    )


def _clock(watch, when):
    return words.clock(when, watch.place.timezone, seconds=False)


def _bearing(facing, azimuth_deg):
    return words.bearing(azimuth_deg if facing == TO_SUN else azimuth_deg + 180)


def describe(result):
    """The instant, where edge and arch stand, when to look and how wide a lens."""
    watch = result.watch
    if watch.first_seen is None:
        return say(
            "{reason} At noon: {sight}",
            reason=watch.reason,
            sight=twilight.sight_in_words(result),
        )
    day = words.local(result.when, watch.place.timezone, seconds=False).date()
    now = f"{words.day(day)}, {_clock(watch, result.when)}: {twilight.sight_in_words(result)}"
    return f"{now} {_hours(watch)}"


def _hours(watch):
    times = [watch.first_seen, watch.best, watch.last_seen][:: -1 if watch.rising else 1]
    first, best, last = (_clock(watch, when) if when else None for when in times)
    told = [
        say("turn round at {first}", first=first) if first else say("there all night before"),
        say("best {best}", best=best) if best else say("never at its best"),
        say("gone {last}", last=last) if last else say("there all night"),
    ]
    return f"{', '.join(told).capitalize()}; {_lens(watch)}"


def _lens(watch):
    """How wide a lens holds the arch."""
    if not np.isfinite(watch.wide_deg):
        return say("this air shows no pink arch.")
    pictures = pictures_across(watch.wide_deg, WIDE_LENS_MM)
    shots = says("{number} picture", "{number} pictures", pictures)
    return say(
        "{wide:.0f}° wide: {shots} at {focal_length:.0f} mm.",
        wide=watch.wide_deg,
        shots=shots,
        focal_length=WIDE_LENS_MM,
    )


scene = Scene(
    name="shadow_evening",
    title=term("The Earth's shadow by the clock"),
    question=term("When do you turn round, where do you look, and how wide a lens do you take?"),
    controls=(
        catalogue.SHARE.narrowed(name="share_percent", step=1, default=30),
        Switch(name="morning", label=term("a morning instead")),
        catalogue.DAY,
        catalogue.LATITUDE,
        catalogue.LONGITUDE,
        catalogue.FACING,
        *twilight.AIR,
        catalogue.EXPOSURE,
    ),
    compute=compute,
    draft=draft,
    picture=TwilightPicture,
    describe=describe,
    doing=twilight.NEW_AIR,
    seldom=("haze", *catalogue.HAZE_SELDOM, "ozone_du", "eye_height_m", "exposure_stops"),
    cues=(
        term("Turn your back to the sunset before it is over: what do you expect to see?"),
        term("Which is quicker, the shadow's edge or the Sun? Watch the clock."),
        term("Set your own place and tonight's date, and take the time with you."),
    ),
)
