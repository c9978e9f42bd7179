"""The evening plan in words: plain text of 80 columns, to print, to send, to read in the dark."""

from datetime import timedelta
from textwrap import fill

import numpy as np

from lowsun import words
from lowsun.fieldwork.camera import shutter_words, whole_stops
from lowsun.fieldwork.plan import sharp_beyond_m
from lowsun.fieldwork.plan import timeline as steps
from lowsun.fieldwork.plan.kit import TRIPOD
from lowsun.scenes import caution, readiness
from lowsun.sky import STAR
from lowsun.words import says

COLUMNS = 80
VARIED = {  # words before and after a range, and its unit
    "temperature_c": ("", "", "°C"),
    "pressure_hpa": ("", "", "hPa"),
    "lapse_k_per_km": ("lapse ", "", "K/km"),
    "sea_excess_k": ("sea ", " warmer than the air", "K"),
}
FOCUS_SHOWN = 4  # candidates told
LABELS = {
    steps.SET_UP: "set up by",
    steps.FITS: "disc fits the camera",
    "Sun 5 deg up": "Sun 5° up",
    "Sun 2 deg up": "Sun 2° up",
    "Sun 1 deg up": "Sun 1° up",
    "Sun 0.5 deg up": "Sun 0.5° up",
    steps.FIRST_CONTACT: "FIRST CONTACT",
    steps.LAST_SLIVER: "LAST SLIVER",
    steps.LOWEST: "Sun at its lowest",
    steps.HIGHEST: "Sun at its highest",
    steps.WINDOW_OPENS: "earliest last sliver",
    steps.WINDOW_CLOSES: "latest last sliver",
    steps.FLASH_BEGINS: "flash begins",
    steps.FLASH_ENDS: "flash ends",
    steps.TURN_ROUND: "shadow rises behind",
    steps.ARCH_BEST: "TURN ROUND: arch best",
    steps.ARCH_GONE: "arch gone",
}
HEADING = "".join(
    (f"{'':22}", f"{'local time':13}", f"{'UTC':9}", f"{'Sun':>8}", f"  {'bearing':10}",
     f"{'frame x, y':>11}", f"{'heat':>5}")
)  # fmt: skip
LEGEND = (
    "Sun: its centre over the sea horizon as seen, in degrees; once gone its true altitude without"
    " air. Frame: pixels from the upper left corner. Heat: of the Sun's image on the sensor over"
    " that of the noon Sun through the same lens, at most; a ratio, which says nothing about"
    " safety."
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
        ("THE COLUMNS", [LEGEND]),
        ("NOT THIS EVENING", missing(plan)),
        ("AIM", list(aim(plan))),
        ("FOCUS, BEFORE THE SUN IS LOW", list(focus(plan))),
        ("EXPOSURE", list(exposure(plan))),
        ("IS IT WORTH IT?", list(flash(plan))),
        ("MOVING", list(moving(plan))),
        ("READY?", ticks(plan, items)),
        ("CAUTION", [caution.SHORT, caution.RULES]),
    )
    return [(name, sentences) for name, sentences in found if sentences]


def short_text(plan):
    """Title, timeline and caution alone, short enough for a code that telephones read."""
    zone = plan.place.timezone
    lines = [
        f"{words.clock(step.when, zone)} {label(step)}{_at(step)}" for step in plan.timeline.steps
    ]
    return "\n".join([title(plan), zone_line(plan), *lines, caution.SHORT]) + "\n"


def title(plan):
    """What, where and when, in one line."""
    return f"Evening plan: {plan.place.name}, {words.weekday(plan.date)} {words.day(plan.date)}"


def heading(plan):
    """Coordinates, time zone and kit, a line each."""
    place, camera = plan.place, plan.kit.camera
    where = words.coordinates(place.latitude_deg, place.longitude_deg)
    density = f", ND {camera.filter_density:.1f}" if camera.filter_density else ", no filter"
    return "\n".join(
        [
            f"{where}, eye {place.eye_height_m:g} m above the sea",
            zone_line(plan),
            f"{camera.focal_length_mm:g} mm, f/{camera.f_number:g}, ISO {camera.iso:g}{density},"
            f" {camera.pixel_um:g} µm pixels, {plan.kit.support}",
        ]
    )


def zone_line(plan):
    """Which zone local time is, and whether clocks are changed that very evening."""
    zone, first = plan.place.timezone, plan.timeline.steps[0].when
    local = f"Local time: {words.zone_in_full(first, zone)}"
    if not plan.zone_changes:
        return local
    last = plan.timeline.steps[-1].when
    return f"{local}, {words.zone_in_full(last, zone)} by the end: CLOCKS CHANGE. Go by UTC."


def table(plan):
    """The timeline, headings first, a line a step."""
    return [HEADING.rstrip(), *(_line(plan, step).rstrip() for step in plan.timeline.steps)]


def label(step):
    """A step's name as it stands in the plan."""
    return LABELS.get(step.name, step.name.rstrip(" 1"))


def local_time(when, place):
    """Local time with its zone: `18:56:27 WET`."""
    return f"{words.clock(when, place.timezone)} {words.zone_name(when, place.timezone)}"


def sun_words(step):
    """Where the Sun stands at a step, in a sentence."""
    height = (
        f"{step.above_horizon_deg:.2f}° over the sea horizon"
        if np.isfinite(step.above_horizon_deg)
        else f"{-step.sun_true_altitude_deg:.1f}° down"
    )
    return f"Sun {height}{bearing(step.azimuth_deg)}."


def mark(step, zone):
    """A step as it is named beside the Sun in the picture: `18:39:46 2° up`."""
    return f"{words.clock(step.when, zone)} {label(step).lower().removeprefix('sun ')}"


def countdown(when, step):
    """The time from an instant to a step: `2 days`, `1 h 05 min`, `4 min 07 s`; empty without."""
    if step is None:
        return ""
    return words.countdown((step.when - when) / timedelta(seconds=1))


def bearing(azimuth_deg):
    """` at bearing 270.1° W`; empty at a pole."""
    told = words.bearing(azimuth_deg, 1)
    return f" at bearing {told}" if told else ""


def missing(plan):
    """What does not happen and why, reasons told once."""
    by_reason = {}
    for name, reason in plan.timeline.missing.items():
        by_reason.setdefault(_told(reason), []).append(LABELS.get(name, name))
    return [f"{', '.join(names)}: {reason}" for reason, names in by_reason.items()]


def _told(reason):
    """A reason without its hint to those who write programs."""
    return reason.split("; by_eye_height")[0].rstrip(".") + "."


def aim(plan):
    """Where the camera looks, what it takes in, and how the Sun moves in it."""
    camera, framing = plan.kit.camera, plan.framing
    wide, high = camera.field_deg
    yield (
        f"Camera level, its middle at {middle(plan)},"
        f" {_up_or_down(framing.altitude_deg)}:"
        f" {wide:.2f}° by {high:.2f}°, the {'sea horizon' if plan.skyline is None else 'skyline'} a"
        " third up. The Sun is"
        f" {camera.sun_px(float(plan.evening.sun(0).angular_diameter_arcmin)):.0f} pixels wide of"
        f" {camera.frame_px[0]} by {camera.frame_px[1]}."
    )
    along, down = plan.drift_deg_per_min
    end = "At the end" if plan.evening.sets else "Then"
    yield (
        f"{end} the Sun moves {abs(along):.2f}° a minute to the"
        f" {'right' if along >= 0 else 'left'} along the horizon{_sinks(down)}."
    )
    yield from _travel(plan)


def focus(plan):
    """What to focus on when all is set up, and how to hold the focus."""
    shown = [one for one in plan.candidates if one.shows][:FOCUS_SHOWN]
    for one in shown:
        yield _candidate(one)
    if not shown:
        yield "No Moon, planet or bright star shows in the sky as bright as it then is."
    yield (
        f"A mark farther than {sharp_beyond_m(plan.kit.camera) / 1000:.1f} km is as sharp as the"
        " Sun, to a pixel. Between them and the Sun focus does not change by distance, but it does"
        " by temperature: compare on the same target at set-up and an hour later, screen magnified."
    )


def ticks(plan, items=readiness.ITEMS):
    """The list to tick with its numbers, and what is missing, shouted."""
    filled, lacking = readiness.readiness(plan, items)
    return [*(f"[ ] {item}" for item in filled), *(f"[!] {item}" for item in lacking)]


def exposure(plan):
    """The exposure ladder, and what the rim's exposure lets the Sun trail."""
    if plan.ladder is None:
        yield "No last sliver, no ladder to it."
        return
    headroom = says("{number} stop", "{number} stops", plan.ladder.headroom_stops)
    yield f"At most, for the brightest channel {headroom} under saturation:"
    yield from (_rung(rung, plan.kit.camera) for rung in plan.ladder.rungs)
    fits = plan.timeline.step(steps.FITS)
    if fits is not None:
        yield (
            f"With no more than its filter the disc fits at f/{plan.kit.smallest_f_number:g},"
            f" {shutter_words(plan.kit.camera.fastest_shutter_s)} from"
            f" {local_time(fits.when, plan.place)} on."
        )
    if plan.kit.support == TRIPOD:
        longest = max((r.rim.shutter_s or 0 for r in plan.ladder.rungs), default=0)
        longest = longest or plan.kit.camera.fastest_shutter_s
        trail = plan.trail_px(longest)
        told = f"{trail:.1f} pixels" if trail >= 0.1 else "less than a tenth of a pixel"
        yield f"In {shutter_words(longest)} the Sun trails {told}."


def flash(plan):
    """The flash of the nominal air, and the spread over airs; nothing of it a promise."""
    forecast = plan.flash
    if not plan.evening.sets:
        yield "No last sliver, no flash."
        return
    if forecast.kind is None:
        yield f"In the air given, no flash: {_told(forecast.reason)}"
    elif forecast.begins is None:
        yield f"In the air given, {forecast.kind}, but {forecast.reason}"
    else:
        yield (
            f"In the air and haze given: {forecast.kind}, green for {forecast.duration_s:.1f} s, up"
            f" to {forecast.height_arcsec:.0f} arcsec high."
        )
    if plan.spread is not None and plan.spread.earliest is not None:
        yield from _spread(plan.spread)
    if plan.worth is not None:
        yield from _worth(plan.worth)
    yield "Cloud, waves and layers nobody has measured are not in it: a spread, not a promise."


def moving(plan):
    """What climbing, walking and stepping aside change."""
    known = {move.name: move for move in plan.moves if np.isfinite(move.later_s)}
    if "climb" in known:
        climb = known.pop("climb")
        turned = f", {abs(climb.turned_deg):.2f}° along" if np.isfinite(climb.turned_deg) else ""
        yield f"Climbing 10 m: the last sliver {_later(climb.later_s)}{turned}."
    if known:
        yield f"Walking 1 km: {', '.join(f'{n} {_later(m.later_s)}' for n, m in known.items())}."
    if plan.skyline is not None:
        yield "The skyline moves with you: measure it anew where you stand."
    yield (
        f"A mark 1 km away shifts by 1° for {1000 * np.tan(np.radians(1)):.1f} m aside: step left"
        " and it moves right."
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
        return f"{step.above_horizon_deg:+.2f}"
    return f"({step.sun_true_altitude_deg:.1f})"


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
        "the Sun" if plan.place.at_pole else f"bearing {words.bearing(plan.framing.azimuth_deg, 1)}"
    )


def _up_or_down(altitude_deg):
    return f"{abs(altitude_deg):.2f}° {'up' if altitude_deg >= 0 else 'down'}"


def _candidate(one):
    body = one.body
    by = "by eye" if one.eye_margin > 1 else "on the screen only, magnified"
    lit = f", {100 * body.lit_share:.0f} % lit" if body.kind != STAR else ""
    bearing = words.bearing(body.azimuth_deg, point=False)
    where = f" at {bearing}" if bearing else ""
    return (
        f"{body.name}: {one.altitude_deg:.0f}° up{where}, {body.sun_angle_deg:.0f}° from the"
        f" Sun{lit}; seen {by}{_awkward(one)}."
    )


def _awkward(one):
    if one.too_close:
        return "; TOO CLOSE to the Sun: do not sweep towards it"
    told = [
        *(["overhead, awkward on a tripod"] if one.overhead else []),
        *(["behind you when you face the Sun"] if one.behind else []),
    ]
    return "; " + ", ".join(told) if told else ""


def _sinks(down_deg_per_min):
    if abs(down_deg_per_min) < 0.005:
        return f" and {_rises(down_deg_per_min)} {abs(60 * down_deg_per_min):.2f}° an hour"
    return f" and {_rises(down_deg_per_min)} {abs(down_deg_per_min):.2f}°"


def _rises(down):
    return "sinks" if down >= 0 else "rises"


def _travel(plan):
    right, down = plan.travel_px(steps.FIRST_CONTACT)
    if plan.kit.support != TRIPOD or not np.isfinite(right):
        return
    way = "right" if right >= 0 else "left"
    wide = plan.kit.camera.frame_px[0]
    if abs(right) > wide:
        yield (
            f"From first contact to the last sliver it moves {abs(right) / wide:.1f} widths of the"
            f" frame to the {way}: aim anew, or let a mount follow."
        )
        return
    yield (
        f"On the tripod it moves {abs(right):.0f} pixels {way} and {down:.0f} down from first"
        " contact to the last sliver."
    )


def _rung(rung, camera):
    to_go = words.duration(-rung.seconds, digits=0)
    disc, rim = (_setting(setting, camera) for setting in (rung.disc, rung.rim))
    both_at = f" at {shutter_words(camera.fastest_shutter_s)}"
    if disc.endswith(both_at) and rim.endswith(both_at):
        disc, rim = disc.removesuffix(both_at), f"{rim.removesuffix(both_at)},{both_at}"
    return f"{to_go} to go: disc {disc}, green rim {rim}."


def _setting(setting, camera):
    if not setting.exists:
        return "none"
    if setting.limit == "fastest":
        density, _ = whole_stops(setting.density_needed)
        return f"ND {density:.1f} at {shutter_words(camera.fastest_shutter_s)}"
    if setting.limit == "slowest":
        return f"over {shutter_words(camera.slowest_shutter_s)}"
    return shutter_words(setting.shutter_s)


def _spread(spread):
    low, high = spread.durations_s([10, 90])
    known = "; ".join(_varied(name, getattr(spread.ranges, name)) for name in spread.varied)
    yield (
        f"Over {spread.values.shape[0]} airs ({known}) the last sliver falls anywhere within"
        f" {(spread.latest - spread.earliest).total_seconds():.0f} s;"
        f" {100 * spread.flash_share:.0f} % of them show a flash"
        + (f", eight in ten of those {_span(low, high)}." if spread.flash_share else ".")
    )


def _varied(name, pair):
    before, after, unit = VARIED[name]
    return f"{before}{_range(pair, unit)}{after}"


def _span(low_s, high_s):
    low, high = f"{low_s:.1f}", f"{high_s:.1f}"
    return f"{low} s" if low == high else f"{low} to {high} s"


def _worth(worth):
    rows = zip(worth.heights_m, worth.share, worth.kind, worth.low_s, worth.high_s, strict=True)
    told = [
        f"{eye:g} m {100 * share:.0f} %" + (f" ({kind}, {_span(low, high)})" * bool(kind))
        for eye, share, kind, low, high in rows
    ]
    yield f"From other heights, share of {worth.airs} such airs that show one: {', '.join(told)}."
    seen = [
        f"{name} {seconds:.1f} s" if seconds else f"{name} not at all"
        for name, seconds in worth.seen_s.items()
    ]
    yield f"In the air given it is seen, by haze: {', '.join(seen)}."


def _range(pair, unit):
    low, high = pair
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


def _later(seconds):
    return f"{abs(seconds):.1f} s {'later' if seconds >= 0 else 'earlier'}"
