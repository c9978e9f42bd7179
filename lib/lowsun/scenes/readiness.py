"""The list to tick before an evening: sentences of one's own, with the plan's numbers put in."""

from string import Formatter

from lowsun import words
from lowsun.errors import InputError, quoted
from lowsun.fieldwork.plan import sharp_beyond_m
from lowsun.fieldwork.plan import timeline as steps
from lowsun.scenes import caution
from lowsun.words import figures, say, says, term

# Common practice, no source: what photographers of sunsets check, and forget.
ITEMS = (
    term("Card in and unlocked: it holds {frames_held} frames, {frames_planned} are planned."),
    term(
        "Battery full: it lasts {battery_minutes} min at {temperature_c} °C, {minutes}"
        " are planned. A warm spare is in the pocket."
    ),
    term("Focused on {focus}, locked, and checked again once the lens is as cold as the air."),
    term("Filter on until {filter_until}."),
    term("Optical finder covered; rear screen only."),
    term(
        "Camera's clock and its time zone set to the second by a time signal: the frame"
        " reader goes by them."
    ),
    term(
        "A distant straight edge in flat light taken twice, in the middle of the frame"
        " and near a corner: it shows the lens's own colour."
    ),
    term("One person without a camera looks after the eyes of the others."),
    term("Light for the way back; civil dusk: {dusk}."),
    term("Tide, swell and the cliff's edge seen by daylight, with somebody who knows the place."),
    term(
        "Afterwards: python -m lowsun frames FOLDER {frames_options} reads what the camera caught."
    ),
    caution.RULES,
)


def readiness(plan, items=ITEMS):
    """The sentences with their numbers, and after them what the numbers show to be missing."""
    numbers = _numbers(plan)
    return [_filled(item, numbers) for item in items], list(_lacking(plan))


def require_items(items):
    """The sentences as a tuple, or an InputError that names the numbers there are to put in."""
    if not isinstance(items, (list, tuple)) or not all(isinstance(one, str) for one in items):
        raise InputError(f"readiness is {quoted(items)}; give a list of sentences.")
    for item in items:
        _require_known(item)
    return tuple(items)


def _filled(item, numbers):
    _require_known(item)
    return say(item, **numbers)


NAMES = (
    "frames_held",
    "frames_planned",
    "battery_minutes",
    "temperature_c",
    "minutes",
    "focus",
    "filter_until",
    "dusk",
    "frames_options",
)


def _require_known(item):
    try:
        asked = {name for _, name, _, _ in Formatter().parse(item) if name is not None}
    except ValueError as refused:
        raise InputError(f"In {item!r} a brace stands alone; write {{{{ for one.") from refused
    unknown = asked - set(NAMES)
    if unknown:
        raise InputError(
            f"{item!r} asks for {', '.join(sorted(unknown))}; there are {', '.join(NAMES)}."
        )


def _numbers(plan):
    kit, zone = plan.kit, plan.place.timezone

    def clock(name, without):
        step = plan.timeline.step(name)
        return words.clock(step.when, zone, seconds=False) if step else without

    return {
        "frames_held": kit.frames_held,
        "frames_planned": kit.frames_planned,
        "battery_minutes": f"{kit.battery_minutes_at(plan.temperature_c):.0f}",
        "temperature_c": figures(plan.temperature_c, "g"),
        "minutes": f"{plan.minutes:.0f}",
        "focus": focus_target(plan),
        "filter_until": clock(steps.FITS, say("the end, and longer")),
        "dusk": clock("civil dusk", say("none")),
        "frames_options": _frames_options(plan),
    }


def _frames_options(plan):
    """The place and the middle of the plan's airs as the frame reader's command takes them.

    An ascent of one's own is a file whose name the plan does not know.
    """
    place, spread = plan.place, plan.spread
    here = (
        f"--latitude={place.latitude_deg:g} --longitude={place.longitude_deg:g}"
        f" --eye-height={place.eye_height_m:g}"
    )
    if spread is None or "temperature_c" not in spread.varied:
        return here
    temperature, pressure, _, sea_excess = spread.ranges.at(0.5)
    air = f" --temperature={temperature:g} --pressure={pressure:g}"
    return here + air + (f" --sea-excess={sea_excess:g}" if sea_excess else "")


def focus_target(plan):
    """The best body to focus on, or a mark far enough away."""
    best = next((one for one in plan.candidates if one.shows and not one.too_close), None)
    if best is not None:
        return say("the Moon") if best.body.name == "Moon" else say(best.body.name)
    return say(
        "a mark more than {distance:.1f} km away",
        distance=sharp_beyond_m(plan.kit.camera) / 1000,
    )


def _lacking(plan):
    kit = plan.kit
    short = kit.frames_planned - kit.frames_held
    if short > 0:
        frames = says("{number} frame", "{number} frames", short)
        yield say("CARD TOO SMALL by {frames}.", frames=frames)
    # Between the whole minutes that the list names, so that a reader who takes one off the other
    # finds the same.
    short = round(plan.minutes) - round(kit.battery_minutes_at(plan.temperature_c))
    if short > 0:
        minutes = says("{number} minute", "{number} minutes", short)
        yield say("BATTERY TOO SMALL by {minutes}.", minutes=minutes)
