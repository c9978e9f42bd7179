"""The evening plan in words: plain text of 80 columns, to print, to send, to read in the dark."""

from datetime import timedelta
from textwrap import fill

import numpy as np

from lowsun import words
from lowsun.fieldwork.camera import whole_stops
from lowsun.fieldwork.plan import sharp_beyond_m
from lowsun.fieldwork.plan import timeline as steps
from lowsun.fieldwork.plan.kit import TRIPOD
from lowsun.scenes import caution, readiness
from lowsun.scenes.made import shutter_said
from lowsun.sky import STAR
from lowsun.words import figures, say, says, term

COLUMNS = 80
VARIED = {  # how a range is said, and its unit
    "temperature_c": (term("{range}"), "°C"),
    "pressure_hpa": (term("{range}"), "hPa"),
    "lapse_k_per_km": (term("lapse {range}"), "K/km"),
    "sea_excess_k": (term("sea {range} warmer than the air"), "K"),
}
FOCUS_SHOWN = 4  # candidates told
LABELS = {
    steps.SET_UP: term("set up by"),
    steps.FITS: term("disc fits the camera"),
    "Sun 5 deg up": term("Sun 5° up"),
    "Sun 2 deg up": term("Sun 2° up"),
    "Sun 1 deg up": term("Sun 1° up"),
    "Sun 0.5 deg up": term("Sun 0.5° up"),
    steps.HIDDEN: term("behind land"),
    steps.OUT_AGAIN: term("out again"),
    "civil dusk": term("civil dusk"),
    "nautical dusk": term("nautical dusk"),
    "astronomical dusk": term("astronomical dusk"),
    steps.FIRST_CONTACT: term("FIRST CONTACT"),
    steps.LAST_SLIVER: term("LAST SLIVER"),
    steps.LOWEST: term("Sun at its lowest"),
    steps.HIGHEST: term("Sun at its highest"),
    steps.WINDOW_OPENS: term("earliest last sliver"),
    steps.WINDOW_CLOSES: term("latest last sliver"),
    steps.FLASH_BEGINS: term("flash begins"),
    steps.FLASH_ENDS: term("flash ends"),
    steps.TURN_ROUND: term("shadow rises behind"),
    steps.ARCH_BEST: term("TURN ROUND: arch best"),
    steps.ARCH_GONE: term("arch gone"),
}
MARKS = {  # shorter, beside the Sun in the picture
    "Sun 5 deg up": term("5° up"),
    "Sun 2 deg up": term("2° up"),
    "Sun 1 deg up": term("1° up"),
    "Sun 0.5 deg up": term("0.5° up"),
    steps.FIRST_CONTACT: term("first contact"),
    steps.LAST_SLIVER: term("last sliver"),
    steps.LOWEST: term("at its lowest"),
    steps.HIGHEST: term("at its highest"),
}
HEADINGS = (  # each with the width of its column
    ("", "22"), (term("local time"), "13"), ("UTC", "9"), (term("Sun"), ">8"), ("", "2"),
    (term("bearing"), "10"), (term("frame x, y"), ">11"), (term("heat"), ">5"),
)  # fmt: skip
LEGEND = term(
    "Sun: its centre over the sea horizon as seen, in degrees; once gone its true"
    " altitude without air. Frame: pixels from the upper left corner. Heat: of the"
    " Sun's image on the sensor over that of the noon Sun through the same lens, at"
    " most; a ratio, which says nothing about safety."
)


def text(plan, items=readiness.ITEMS):
    """The whole plan as plain text, no line longer than 80 columns; items: the list to tick."""
    parts = [title(plan), heading(plan), "", *table(plan)]
    for name, sentences in sections(plan, items):
        parts += ["", name, *map(wrapped, sentences)]
    return "\n".join(parts) + "\n"


def sections(plan, items=readiness.ITEMS):
    """What stands under the timeline: names and their sentences, empty sections left out."""
    found = (
        (say("THE COLUMNS"), [say(LEGEND)]),
        (say("NOT THIS EVENING"), missing(plan)),
        (say("AIM"), list(aim(plan))),
        (say("FOCUS, BEFORE THE SUN IS LOW"), list(focus(plan))),
        (say("EXPOSURE"), list(exposure(plan))),
        (say("IS IT WORTH IT?"), list(flash(plan))),
        (say("MOVING"), list(moving(plan))),
        (say("READY?"), ticks(plan, items)),
        (say("CAUTION"), [say(caution.SHORT), say(caution.RULES)]),
    )
    return [(name, sentences) for name, sentences in found if sentences]


def short_text(plan):
    """Title, timeline and caution alone, short enough for a code that telephones read."""
    zone = plan.place.timezone
    lines = [
        f"{words.clock(step.when, zone)} {label(step)}{_at(step)}" for step in plan.timeline.steps
    ]
    return "\n".join([title(plan), zone_line(plan), *lines, say(caution.SHORT)]) + "\n"


def title(plan):
    """What, where and when, in one line."""
    return say(
        "Evening plan: {place}, {weekday} {day}",
        place=say(plan.place.name),
        weekday=words.weekday(plan.date),
        day=words.day(plan.date),
    )


def heading(plan):
    """Coordinates, time zone and kit, a line each."""
    place, camera = plan.place, plan.kit.camera
    where = words.coordinates(place.latitude_deg, place.longitude_deg)
    density = (
        say(", ND {density:.1f}", density=camera.filter_density)
        if camera.filter_density
        else say(", no filter")
    )
    return "\n".join(
        [
            say(
                "{where}, eye {eye_height:g} m above the sea",
                where=where,
                eye_height=place.eye_height_m,
            ),
            zone_line(plan),
            say(
                "{focal_length:g} mm, f/{f_number:g}, ISO {iso:g}{density}, {pixel:g} µm"
                " pixels, {support}",
                focal_length=camera.focal_length_mm,
                f_number=camera.f_number,
                iso=camera.iso,
                density=density,
                pixel=camera.pixel_um,
                support=say(plan.kit.support),
            ),
        ]
    )


def zone_line(plan):
    """Which zone local time is, and whether clocks are changed that very evening."""
    zone, first = plan.place.timezone, plan.timeline.steps[0].when
    local = say("Local time: {zone}", zone=words.zone_in_full(first, zone))
    if not plan.zone_changes:
        return local
    last = plan.timeline.steps[-1].when
    return say(
        "{local}, {zone} by the end: CLOCKS CHANGE. Go by UTC.",
        local=local,
        zone=words.zone_in_full(last, zone),
    )


def table(plan):
    """The timeline, headings first, a line a step."""
    heading = "".join(format(say(name), width) for name, width in HEADINGS)
    return [heading.rstrip(), *(_line(plan, step).rstrip() for step in plan.timeline.steps)]


def label(step):
    """A step's name as it stands in the plan."""
    name, _, number = step.name.rpartition(" ")
    if not number.isdigit():
        return say(LABELS.get(step.name, step.name))
    return say(LABELS[name]) if number == "1" else f"{say(LABELS[name])} {number}"


def local_time(when, place):
    """Local time with its zone: `18:56:27 WET`."""
    return f"{words.clock(when, place.timezone)} {words.zone_name(when, place.timezone)}"


def sun_words(step):
    """Where the Sun stands at a step, in a sentence."""
    height = (
        say("{height:.2f}° over the sea horizon", height=step.above_horizon_deg)
        if np.isfinite(step.above_horizon_deg)
        else say("{depression:.1f}° down", depression=-step.sun_true_altitude_deg)
    )
    return say("Sun {height}{bearing}.", height=height, bearing=bearing(step.azimuth_deg))


def mark(step, zone):
    """A step as it is named beside the Sun in the picture: `18:39:46 2° up`."""
    name = say(MARKS[step.name]) if step.name in MARKS else label(step).lower()
    return f"{words.clock(step.when, zone)} {name}"


def countdown(when, step):
    """The time from an instant to a step: `2 days`, `1 h 05 min`, `4 min 07 s`; empty without."""
    if step is None:
        return ""
    return words.countdown((step.when - when) / timedelta(seconds=1))


def bearing(azimuth_deg):
    """` at bearing 270.1° W`; empty at a pole."""
    told = words.bearing(azimuth_deg, 1)
    return say(" at bearing {told}", told=told) if told else ""


def missing(plan):
    """What does not happen and why, reasons told once."""
    by_reason = {}
    for name, reason in plan.timeline.missing.items():
        by_reason.setdefault(_told(reason), []).append(say(LABELS.get(name, name)))
    return [f"{', '.join(names)}: {reason}" for reason, names in by_reason.items()]


def _told(reason):
    """A reason without its hint to those who write programs."""
    return reason.split("; by_eye_height")[0].rstrip(".") + "."


def aim(plan):
    """Where the camera looks, what it takes in, and how the Sun moves in it."""
    camera, framing = plan.kit.camera, plan.framing
    wide, high = camera.field_deg
    yield (
        say(
            "Camera level, its middle at {middle}, {tilt}: {wide:.2f}° by"
            " {high:.2f}°, {skyline} a third up. The Sun is {sun:.0f} pixels wide of"
            " {columns} by {rows}.",
            middle=middle(plan),
            tilt=_up_or_down(framing.altitude_deg),
            wide=wide,
            high=high,
            skyline=say("the sea horizon") if plan.skyline is None else say("the skyline"),
            sun=camera.sun_px(float(plan.evening.sun(0).angular_diameter_arcmin)),
            columns=camera.frame_px[0],
            rows=camera.frame_px[1],
        )
    )
    along, down = plan.drift_deg_per_min
    end = say("At the end") if plan.evening.sets else say("Then")
    yield (
        say(
            "{end} the Sun moves {speed:.2f}° a minute {side} along the horizon{sinks}.",
            end=end,
            speed=abs(along),
            side=say("to the right") if along >= 0 else say("to the left"),
            sinks=_sinks(down),
        )
    )
    yield from _travel(plan)


def focus(plan):
    """What to focus on when all is set up, and how to hold the focus."""
    shown = [one for one in plan.candidates if one.shows][:FOCUS_SHOWN]
    for one in shown:
        yield _candidate(one)
    if not shown:
        yield say("No Moon, planet or bright star shows in the sky as bright as it then is.")
    yield (
        say(
            "A mark farther than {distance:.1f} km is as sharp as the Sun, to a pixel."
            " Between them and the Sun focus does not change by distance, but it does by"
            " temperature: compare on the same target at set-up and an hour later, screen"
            " magnified.",
            distance=sharp_beyond_m(plan.kit.camera) / 1000,
        )
    )


def ticks(plan, items=readiness.ITEMS):
    """The list to tick with its numbers, and what is missing, shouted."""
    filled, lacking = readiness.readiness(plan, items)
    return [*(f"[ ] {item}" for item in filled), *(f"[!] {item}" for item in lacking)]


def exposure(plan):
    """The exposure ladder, and what the rim's exposure lets the Sun trail."""
    if plan.ladder is None:
        yield say("No last sliver, no ladder to it.")
        return
    headroom = says("{number} stop", "{number} stops", plan.ladder.headroom_stops)
    yield say("At most, for the brightest channel {headroom} under saturation:", headroom=headroom)
    yield from (_rung(rung, plan.kit.camera) for rung in plan.ladder.rungs)
    fits = plan.timeline.step(steps.FITS)
    if fits is not None:
        yield (
            say(
                "With no more than its filter the disc fits at f/{f_number:g},"
                " {shutter} from {clock} on.",
                f_number=plan.kit.smallest_f_number,
                shutter=shutter_said(plan.kit.camera.fastest_shutter_s),
                clock=local_time(fits.when, plan.place),
            )
        )
    if plan.kit.support == TRIPOD:
        longest = max((r.rim.shutter_s or 0 for r in plan.ladder.rungs), default=0)
        longest = longest or plan.kit.camera.fastest_shutter_s
        trail = plan.trail_px(longest)
        told = (
            say("{trail:.1f} pixels", trail=trail)
            if trail >= 0.1
            else say("less than a tenth of a pixel")
        )
        yield say(
            "In {shutter} the Sun trails {told}.",
            shutter=shutter_said(longest),
            told=told,
        )


def flash(plan):
    """The flash of the nominal air, and the spread over airs; nothing of it a promise."""
    forecast = plan.flash
    if not plan.evening.sets:
        yield say("No last sliver, no flash.")
        return
    if forecast.kind is None:
        yield say("In the air given, no flash: {told}", told=_told(forecast.reason))
    elif forecast.begins is None:
        yield say(
            "In the air given, {kind}, but {reason}",
            kind=say(forecast.kind),
            reason=forecast.reason,
        )
    else:
        yield (
            say(
                "In the air and haze given: {kind}, green for {duration:.1f} s, up to"
                " {height:.0f} arcsec high.",
                kind=say(forecast.kind),
                duration=forecast.duration_s,
                height=forecast.height_arcsec,
            )
        )
    if plan.spread is not None and plan.spread.earliest is not None:
        yield from _spread(plan.spread)
    if plan.worth is not None:
        yield from _worth(plan.worth)
    yield say("Cloud, waves and layers nobody has measured are not in it: a spread, not a promise.")


def moving(plan):
    """What climbing, walking and stepping aside change."""
    known = {move.name: move for move in plan.moves if np.isfinite(move.later_s)}
    if "climb" in known:
        climb = known.pop("climb")
        turned = (
            say(", {turned:.2f}° along", turned=abs(climb.turned_deg))
            if np.isfinite(climb.turned_deg)
            else ""
        )
        yield say(
            "Climbing 10 m: the last sliver {later}{turned}.",
            later=_later(climb.later_s),
            turned=turned,
        )
    if known:
        yield say(
            "Walking 1 km: {moves}.",
            moves=", ".join(f"{say(n)} {_later(m.later_s)}" for n, m in known.items()),
        )
    if plan.skyline is not None:
        yield say("The skyline moves with you: measure it anew where you stand.")
    yield (
        say(
            "A mark 1 km away shifts by 1° for {aside:.1f} m aside: step left and it moves right.",
            aside=1000 * np.tan(np.radians(1)),
        )
    )


# --- lines ------------------------------------------------------------------------------------


def wrapped(sentence):
    """A sentence broken into lines of 80 columns, hanging where it begins with a box to tick."""
    hanging = "    " if sentence.startswith("[") else ""
    return fill(sentence, COLUMNS, subsequent_indent=hanging)


def _line(plan, step):
    local = words.clock(step.when, plan.place.timezone, beside=plan.date)
    frame = f"{step.column:.0f}, {step.row:.0f}" if np.isfinite(step.column) else "-"
    heat = f"{100 * step.heat_share:.0f}%" if np.isfinite(step.heat_share) else "-"
    return (
        f"{label(step):22}{local:13}{words.clock(step.when):9}{_height(step):>8}"
        f"  {bearing_column(step.azimuth_deg):10}{frame:>11}{heat:>5}"
    )


def _height(step):
    if np.isfinite(step.above_horizon_deg):
        return figures(step.above_horizon_deg, "+.2f")
    return f"({figures(step.sun_true_altitude_deg, '.1f')})"


def bearing_column(azimuth_deg):
    """A bearing in ten letters, degrees under degrees and points under points."""
    degrees, _, point = words.bearing(azimuth_deg, 1).partition(" ")
    return f"{degrees:>6} {point:<3}" if degrees else f"{'-':<10}"


def _at(step):
    bearing = words.bearing(step.azimuth_deg, point=False)
    return f", {bearing}" if bearing else ""


def middle(plan):
    """What the middle of the frame is aimed at."""
    return (
        say("the Sun")
        if plan.place.at_pole
        else say("bearing {bearing}", bearing=words.bearing(plan.framing.azimuth_deg, 1))
    )


def _up_or_down(altitude_deg):
    if altitude_deg >= 0:
        return say("{height:.2f}° up", height=altitude_deg)
    return say("{height:.2f}° down", height=-altitude_deg)


def _candidate(one):
    body = one.body
    by = say("by eye") if one.eye_margin > 1 else say("on the screen only, magnified")
    lit = say(", {lit:.0f} % lit", lit=100 * body.lit_share) if body.kind != STAR else ""
    bearing = words.bearing(body.azimuth_deg, point=False)
    where = say(" at {bearing}", bearing=bearing) if bearing else ""
    return say(
        "{name}: {altitude:.0f}° up{where}, {sun_angle:.0f}° from the Sun{lit}; seen"
        " {by}{awkward}.",
        name=say(body.name),
        altitude=one.altitude_deg,
        where=where,
        sun_angle=body.sun_angle_deg,
        lit=lit,
        by=by,
        awkward=_awkward(one),
    )


def _awkward(one):
    if one.too_close:
        return say("; TOO CLOSE to the Sun: do not sweep towards it")
    told = [
        *([say("overhead, awkward on a tripod")] if one.overhead else []),
        *([say("behind you when you face the Sun")] if one.behind else []),
    ]
    return "; " + ", ".join(told) if told else ""


def _sinks(down_deg_per_min):
    if abs(down_deg_per_min) < 0.005:
        return say(
            " and {rises} {speed:.2f}° an hour",
            rises=_rises(down_deg_per_min),
            speed=abs(60 * down_deg_per_min),
        )
    return say(
        " and {rises} {speed:.2f}°",
        rises=_rises(down_deg_per_min),
        speed=abs(down_deg_per_min),
    )


def _rises(down):
    return say("sinks") if down >= 0 else say("rises")


def _travel(plan):
    right, down = plan.travel_px(steps.FIRST_CONTACT)
    if plan.kit.support != TRIPOD or not np.isfinite(right):
        return
    way = say("to the right") if right >= 0 else say("to the left")
    wide = plan.kit.camera.frame_px[0]
    if abs(right) > wide:
        yield (
            say(
                "From first contact to the last sliver it moves {right:.1f} widths of the frame"
                " {way}: aim anew, or let a mount follow.",
                right=abs(right) / wide,
                way=way,
            )
        )
        return
    yield (
        say(
            "On the tripod it moves {right:.0f} pixels {way} and {down:.0f} down from first"
            " contact to the last sliver.",
            right=abs(right),
            way=way,
            down=down,
        )
    )


def _rung(rung, camera):
    to_go = words.duration(-rung.seconds, digits=0)
    disc, rim = (_setting(setting, camera) for setting in (rung.disc, rung.rim))
    both_at = say(" at {shutter}", shutter=shutter_said(camera.fastest_shutter_s))
    if disc.endswith(both_at) and rim.endswith(both_at):
        disc, rim = disc.removesuffix(both_at), f"{rim.removesuffix(both_at)},{both_at}"
    return say("{to_go} to go: disc {disc}, green rim {rim}.", to_go=to_go, disc=disc, rim=rim)


def _setting(setting, camera):
    if not setting.exists:
        return say("none")
    if setting.limit == "fastest":
        density, _ = whole_stops(setting.density_needed)
        return say(
            "ND {density:.1f} at {shutter}",
            density=density,
            shutter=shutter_said(camera.fastest_shutter_s),
        )
    if setting.limit == "slowest":
        return say("over {shutter}", shutter=shutter_said(camera.slowest_shutter_s))
    return shutter_said(setting.shutter_s)


def _spread(spread):
    low, high = spread.durations_s([10, 90])
    known = "; ".join(_varied(name, getattr(spread.ranges, name)) for name in spread.varied)
    yield (
        say(
            "Over {number} airs ({known}) the last sliver falls anywhere within"
            " {seconds:.0f} s; {flash_share:.0f} % of them show a flash",
            number=spread.values.shape[0],
            known=known,
            seconds=(spread.latest - spread.earliest).total_seconds(),
            flash_share=100 * spread.flash_share,
        )
        + (
            say(", eight in ten of those {span}.", span=_span(low, high))
            if spread.flash_share
            else "."
        )
    )


def _varied(name, pair):
    message, unit = VARIED[name]
    return say(message, range=_range(pair, unit))


def _span(low_s, high_s):
    low, high = figures(low_s, ".1f"), figures(high_s, ".1f")
    return f"{low} s" if low == high else say("{low} to {high} s", low=low, high=high)


def _worth(worth):
    rows = zip(worth.heights_m, worth.share, worth.kind, worth.low_s, worth.high_s, strict=True)
    told = [
        f"{figures(eye, 'g')} m {100 * share:.0f} %"
        + (f" ({say(kind)}, {_span(low, high)})" if kind else "")
        for eye, share, kind, low, high in rows
    ]
    yield say(
        "From other heights, share of {airs} such airs that show one: {told}.",
        airs=worth.airs,
        told=", ".join(told),
    )
    seen = [
        f"{say(name)} {figures(seconds, '.1f')} s"
        if seconds
        else say("{name} not at all", name=say(name))
        for name, seconds in worth.seen_s.items()
    ]
    yield say("In the air given it is seen, by haze: {seen}.", seen=", ".join(seen))


def _range(pair, unit):
    low, high = pair
    return (
        f"{figures(low, 'g')} {unit}"
        if low == high
        else say("{low:g} to {high:g} {unit}", low=low, high=high, unit=unit)
    )


def _later(seconds):
    if seconds >= 0:
        return say("{seconds:.1f} s later", seconds=seconds)
    return say("{seconds:.1f} s earlier", seconds=-seconds)
