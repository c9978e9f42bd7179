"""One picture measured: shape, rims, green, exposure, and what is withheld, with the reason."""

from dataclasses import dataclass, fields, replace
from math import hypot, sqrt

import numpy as np

from lowsun.errors import InputFileError, takes
from lowsun.fieldwork.frames import (
    chroma,
    exposure,
    finding,
    green,
    header,
    infrared,
    limb,
    outline,
)
from lowsun.fieldwork.frames.picture import Picture

MOST_BENT_PX, MOST_BENT_SHARE = 0.6, 0.006  # of the half width: from the half-ellipses
SEEN_SHARE = 0.6  # of an upper or lower limb's sectors
FAR_OFF_PX, FAR_OFF_BLURS = 1.5, 1.2  # of the half level from the limb's place
LENS_SHAPED = 0.4  # height divided by width under which what stands on a foot shows no sides
MOST_CLIPPED = 0.05  # share of the disc beyond which places of its limb are withheld
LEAST_GREEN = 0.06  # of red: with less light a channel's limb is lost in noise and rounding
SMALLEST_PX = 24  # width of the disc below which nothing is measured on it
NARROWEST_PX = 6.0  # how far in and out the limb is looked at; wider for large or blurred discs
NEAR_LIMB, LONG_LENS, WIDEST_SHARE = 0.14, 0.025, 0.12  # of the smaller semi-axis
# Colour is halved along columns too: there only the nearly level limb is looked at.
UPPER_RAD, HALVED_RAD, SIDES_RAD = np.radians(45), np.radians(26), np.radians((60, 120))
ROUNDS_IN_BLUE = 4  # its place only helps to undo what halved colour does: it has little light
FEWEST_SECTORS = 4  # of the 12, or 6, of an upper or lower limb
# Standard errors that no scatter shows: of the method, and of what a file's coding does. Measured
# on frames of known truth (tests/fieldwork/test_frames_accuracy.py).
FLOOR_PX = {"raw": 0.03, "exact": 0.03, "lossy": 0.07}
FLOOR_BLUR_PX = 2.0  # up to which the method's error is that; with softer limbs it grows
UNSURE_SHARE = 0.45  # of a correction for halved colour
STEP_PX = {"upper": 0.012, "lower": 0.024}  # for each step of halved colour's coding
UNKNOWN_CURVE_PX = 0.4  # an unknown tone curve moves one channel against another by up to 0.8 px
MOST_LEFT_PX = 12.0  # of height, of what a clip's sliver leaves a moment later
FOLLOWED = "found where the frame before it had a green sliver"
ARCSEC_TO_LIMB = 1918.4  # Sun's diameter at 1 au, IAU 2015 nominal radius [arcsec]
DISTANCE_SWING = 0.0167  # of the Earth's orbit, in shares of 1 au, least on 3 January


@dataclass(frozen=True, slots=True)  # a third of the memory: an evening has thousands
class Reading:
    """What one frame says; None where it is withheld, and `reason` says why.

    Pixels of the upright picture; displacements are positive where green stands higher than red.
    column_px, top_px, bottom_px: middle, upper and lower limb of the disc; seen_width_px: of what
    is seen of it; right_, left_green_over_red_px: green outside red at its sides; is_developed:
    were its channels those of linear sRGB, or the camera's own; lens: camera and focal length;
    frame_px: columns and rows; infrared: are its colours those of a camera without infrared cut,
    None where the Sun is too high to tell.
    """

    time_utc: object = None
    green: bool | None = None
    kind: str = ""
    green_px: float | None = None
    green_peak: float | None = None
    gap_px: float | None = None
    disc_width_px: float | None = None
    axis_ratio: float | None = None
    upper_green_over_red_px: float | None = None
    upper_sigma_px: float | None = None
    lower_green_over_red_px: float | None = None
    lower_sigma_px: float | None = None
    clipped_red: float | None = None
    clipped_green: float | None = None
    clipped_blue: float | None = None
    stops_over: float | None = None
    pieces: int | None = None
    horizon_y_px: float | None = None
    roll_deg: float | None = None
    arcsec_per_px: float | None = None
    reasons: tuple[str, ...] = ()
    column_px: float | None = None
    top_px: float | None = None
    seen_width_px: float | None = None
    bottom_px: float | None = None
    right_green_over_red_px: float | None = None
    left_green_over_red_px: float | None = None
    is_developed: bool | None = None
    lens: str = ""
    frame_px: tuple[int, int] | None = None
    infrared: bool | None = None

    @property
    def reason(self):
        """Why something is withheld, in one line."""
        return "; ".join(dict.fromkeys(self.reasons))


@takes(picture=Picture)
def measure(picture):
    """The `Reading` of a `Picture`."""
    reading = Reading(time_utc=picture.shot.time_utc, reasons=picture.shot.notes)
    try:
        disc = finding.find(picture)
    except InputFileError as refused:
        return replace(reading, reasons=(*reading.reasons, str(refused)))
    if disc.wide < SMALLEST_PX:
        why = f"the Sun is {disc.wide:.0f} px wide, {SMALLEST_PX} are needed"
        return replace(reading, pieces=disc.pieces, reasons=(*reading.reasons, why))
    return _in_plain_numbers(_measured(picture, disc, reading))


def followed(picture, reading, before):
    """The reading of a clip's frame, its sliver looked for where the frame before had a green one.

    The last of a sliver, a pixel or two high, is no disc by its shape; its place tells it.
    """
    wide, high = before.seen_width_px, min(before.bottom_px, before.top_px + MOST_LEFT_PX)
    rows = slice(max(0, round(2 * before.top_px - high) - 12), round(high) + 4)
    columns = slice(
        max(0, round(before.column_px - 0.75 * wide)), round(before.column_px + 0.75 * wide) + 1
    )
    left, place = green.remnant(picture, rows, columns)
    if not left.is_there:
        return reading
    top, first, bottom, last = (float(edge) for edge in place)
    return replace(
        reading,
        green=True,
        kind=left.kind,
        green_px=left.area_px,
        green_peak=left.peak,
        pieces=1,
        column_px=(first + last) / 2,
        top_px=top,
        bottom_px=bottom,
        seen_width_px=last - first + 1,
        reasons=(*picture.shot.notes, FOLLOWED),
    )


def timed(reading, when):
    """A reading whose frame was taken at another instant (aware UTC) than its header tells."""
    reasons = tuple(each for each in reading.reasons if each not in header.NO_TIMES)
    scale = reading.arcsec_per_px
    if scale is not None:
        scale *= _sun_arcsec(when) / _sun_arcsec(reading.time_utc)
    return replace(reading, time_utc=when, reasons=reasons, arcsec_per_px=scale)


def _in_plain_numbers(reading):
    values = {field.name: getattr(reading, field.name) for field in fields(reading)}
    return replace(
        reading, **{name: each.item() for name, each in values.items() if hasattr(each, "item")}
    )


def _measured(picture, disc, reading):
    clipped, stops = exposure.of_disc(picture, disc)
    leading = 1 if clipped[0] > MOST_CLIPPED >= clipped[1] else 0
    band, mean, count, every = _limb_light(picture, disc)
    ellipses = _refined(disc, every[leading])
    if _far_off(every[leading]):
        disc = replace(disc, ellipses=ellipses)
        band, mean, count, every = _limb_light(picture, disc)
        ellipses = _refined(disc, every[leading])
    disc = replace(disc, ellipses=ellipses, half_level=disc.ellipses)
    reading = replace(
        reading,
        clipped_red=clipped[0],
        clipped_green=clipped[1],
        clipped_blue=clipped[2],
        stops_over=stops,
        pieces=disc.pieces,
        column_px=ellipses.column,
        top_px=max(ellipses.top, disc.top - 2),
        bottom_px=ellipses.row + ellipses.lower,
        seen_width_px=disc.wide,
        is_developed=picture.is_developed,
        lens=picture.shot.lens,
        frame_px=(picture.columns, picture.rows),
        infrared=infrared.tells(picture, disc, clipped),
    )
    reading = _with_horizon(reading, disc)
    reading = _with_shape(reading, disc, every[leading], clipped)
    reading = _with_green(reading, picture, disc, band, mean, count, clipped)
    return _with_rims(reading, picture, disc, every, band, clipped)


def _limb_light(picture, disc):
    """Band, mean light, counts and edges, wide enough for the blur and the rims that are met."""
    smallest = min(disc.ellipses.half_width, disc.ellipses.upper)
    # A large disc is a sharp one seen through a long lens, or a soft one: look wider at once.
    widest = max(limb.FINE_REACH_PX, LONG_LENS * smallest)
    reach = round(np.clip(NEAR_LIMB * smallest, NARROWEST_PX, widest))
    before = {}
    while True:
        band = limb.band(picture, disc, reach)
        mean, count = band.binned()
        in_red = limb.edges(mean[0], count[0], band, **before)
        blur = {"blur_px": in_red.blur_px}
        wider = _wide_enough(in_red.blur_px, reach, WIDEST_SHARE * smallest)
        if wider == reach:
            in_green = limb.edges(mean[1], count[1], band, **blur)
            if _fits(in_red, in_green, reach) or reach > WIDEST_SHARE * smallest:
                in_blue = limb.edges(mean[2], count[2], band, **blur, rounds=ROUNDS_IN_BLUE)
                return band, mean, count, [in_red, in_green, in_blue]
            wider = 2 * reach
        reach, before = wider, {**blur, "place_px": in_red.place_px}


def _wide_enough(blur_px, reach, most):
    """A reach that holds red's blur, if it may be so wide: green need not be fitted in less."""
    while 4 * blur_px >= reach and reach <= most:
        reach *= 2
    return reach


def _fits(in_red, in_green, reach):
    """Does the band hold the limb of red and green with sky and disc on both sides?"""
    apart = np.abs(in_green.place_px - in_red.place_px)
    widest = np.nanpercentile(apart, 90) if np.isfinite(apart).any() else 0.0
    return 4 * in_red.blur_px + widest < reach


def _far_off(edges):
    """Does the outline lie so far off that its sectors mix what is near the limb and what is not?

    So it does where the air dims the disc downwards. Then the limb is measured again.
    """
    seen = np.isfinite(edges.place_px) & (edges.error_px < 1.0)
    far = max(FAR_OFF_PX, FAR_OFF_BLURS * edges.blur_px)
    return seen.any() and float(np.abs(edges.place_px[seen]).max()) > far


def _refined(disc, edges):
    """Half-ellipses through the limb's places; those of the outline where too few are seen."""
    seen = np.isfinite(edges.place_px) & (edges.error_px < 1.0)
    if seen.sum() < limb.SECTORS // 3:
        return disc.ellipses
    row, column = _points(disc.ellipses, edges.place_px)
    known = disc.foot is None or disc.foot.row_at(disc.ellipses.column) > disc.ellipses.row
    try:
        fitted, _ = outline.fit(row[seen], column[seen], width_known=known, start=disc.ellipses)
    except InputFileError:
        return disc.ellipses
    return fitted


def _points(ellipses, place_px):
    """Rows and columns of places along the normals of the sectors."""
    normal = limb.sector_angle_rad()
    up = np.where(np.cos(normal) > 0, ellipses.upper, ellipses.lower)
    size = ellipses.depth_px(normal)
    right = ellipses.half_width**2 * np.sin(normal) / size + place_px * np.sin(normal)
    down = -(up**2 * np.cos(normal) / size + place_px * np.cos(normal))
    return ellipses.row + down, ellipses.column + right


def _with_horizon(reading, disc):
    if disc.foot is None:
        return reading
    row = float(disc.foot.row_at(disc.ellipses.column))
    return replace(reading, horizon_y_px=row, roll_deg=disc.foot.roll_deg)


def _sides_seen(disc):
    """Are the widest places of the disc in the frame and above the horizon?"""
    if disc.cut:
        return False
    if disc.foot is not None and disc.high < LENS_SHAPED * disc.wide:
        return False
    return disc.foot is None or disc.foot.row_at(disc.ellipses.column) > disc.ellipses.row + 2


def _with_shape(reading, disc, edges, clipped):
    if not _sides_seen(disc):
        why = "cut by the frame" if disc.cut else "sides below the horizon"
        return replace(reading, reasons=(*reading.reasons, why))
    width = 2 * disc.ellipses.half_width
    reading = replace(reading, disc_width_px=width)
    if header.UNKNOWN_CURVE not in reading.reasons:
        reading = replace(reading, arcsec_per_px=_sun_arcsec(reading.time_utc) / width)
    if disc.foot is not None:
        return replace(reading, reasons=(*reading.reasons, "lower limb below the horizon"))
    if min(clipped[0], clipped[1]) > MOST_CLIPPED:
        return replace(reading, reasons=(*reading.reasons, _clipped_words(clipped)))
    hidden = _hidden(disc, edges)
    if hidden:
        return replace(reading, reasons=(*reading.reasons, hidden))
    return replace(reading, axis_ratio=disc.ellipses.axis_ratio)


def _hidden(disc, edges):
    """Which limb clouds or birds hide or bend, or an empty text."""
    row, column = _points(disc.half_level, edges.place_px)
    bent = np.abs(disc.ellipses.outside_px(row, column))
    good = (bent < max(MOST_BENT_PX, MOST_BENT_SHARE * disc.ellipses.half_width)) & (
        edges.error_px < 1.0
    )
    angle = np.abs(limb.sector_angle_rad())
    limbs = {"upper": angle < UPPER_RAD, "lower": angle > np.pi - UPPER_RAD}
    missing = [name for name, arc in limbs.items() if good[arc].mean() < SEEN_SHARE]
    return f"{' and '.join(missing)} limb hidden or torn" if missing else ""


def _sun_arcsec(when):
    """The Sun's diameter; without a date its mean, which is within 1.7 %."""
    if when is None:
        return ARCSEC_TO_LIMB
    days = when.timetuple().tm_yday - 3
    return ARCSEC_TO_LIMB / (1 - DISTANCE_SWING * np.cos(2 * np.pi * days / 365.25))


def _clipped_words(clipped):
    return f"burnt out: {100 * max(clipped):.0f} % of the disc, 5 % are allowed"


def _with_green(reading, picture, disc, band, mean, count, clipped):
    if picture.is_grey:
        return reading
    if reading.infrared:
        return replace(reading, reasons=(*reading.reasons, infrared.SEEN))
    found = green.look(picture, disc, band, mean, count)
    if found.is_there:
        return replace(
            reading,
            green=True,
            kind=found.kind,
            green_px=found.area_px,
            green_peak=found.peak,
            gap_px=found.gap_px if found.kind == green.PIECE else None,
        )
    if max(clipped) > MOST_CLIPPED:
        return replace(reading, reasons=(*reading.reasons, _clipped_words(clipped)))
    reasons = (*reading.reasons, found.refused) if found.refused else reading.reasons
    return replace(reading, green=False, reasons=reasons)


def _with_rims(reading, picture, disc, every, band, clipped):
    """How far green's limb stands above red's, at the top and at the bottom."""
    why_not = _no_rims(picture, disc, every, clipped)
    if why_not:
        return replace(reading, reasons=(*reading.reasons, why_not))
    difference = every[1].place_px - every[0].place_px
    error = np.hypot(every[0].error_px, every[1].error_px)
    angle = limb.sector_angle_rad()
    reach = HALVED_RAD if picture.halves_rows else UPPER_RAD
    found = {}
    for name, turn in (("right", 1), ("left", -1)):
        side = (turn * angle > SIDES_RAD[0]) & (turn * angle < SIDES_RAD[1])
        arc = _arc(difference, error, np.abs(np.sin(angle)), side)
        found[f"{name}_green_over_red_px"] = None if arc is None else arc[0]
    for name, chosen, outward in (
        ("upper", np.abs(angle) < reach, 1),
        ("lower", np.abs(angle) > np.pi - reach, -1),
    ):
        arc = _arc(difference, error, np.cos(angle), chosen)
        if arc is None:
            continue
        moved = chroma.moved_px(every, band, chosen) if picture.halves_rows else 0.0
        found[f"{name}_green_over_red_px"] = arc[0] - outward * moved
        floor = _floor(picture) * max(1.0, every[1].blur_px / FLOOR_BLUR_PX)
        found[f"{name}_sigma_px"] = hypot(floor, _total(arc[1], moved, name, picture, reading))
    return replace(reading, **found)


def _no_rims(picture, disc, every, clipped):
    if picture.is_grey:
        return "no colours"
    if max(clipped[0], clipped[1]) > MOST_CLIPPED:
        return _clipped_words(clipped)
    light = np.maximum(disc.level - disc.sky, 0)
    if light[1] < LEAST_GREEN * light[0]:
        return "green under 6 % of red"
    if not _sides_seen(disc):
        return "sides missing"
    return ""


def _arc(difference, error, cosine, chosen):
    """Weighted mean of a vertical displacement over sectors and its standard error, or None."""
    chosen = chosen & np.isfinite(difference) & (error < 1.0)
    if chosen.sum() < FEWEST_SECTORS:
        return None
    moved, weight = difference[chosen] / cosine[chosen], cosine[chosen] ** 2
    middle = np.median(moved)
    scatter = 1.4826 * np.median(np.abs(moved - middle)) + 1e-6
    kept = np.abs(moved - middle) < 4 * scatter + 0.02
    moved, weight = moved[kept], weight[kept]
    mean = float(np.average(moved, weights=weight))
    spread = sqrt(np.average((moved - mean) ** 2, weights=weight) / max(moved.size - 1, 1))
    return mean, spread


def _floor(picture):
    """The method's own standard error on a sharp limb [px]."""
    return FLOOR_PX["lossy" if picture.is_lossy else "exact" if picture.is_developed else "raw"]


def _total(spread, moved, name, picture, reading):
    """Scatter, the error of halved colour, and an unknown curve's."""
    unknown = UNKNOWN_CURVE_PX if header.UNKNOWN_CURVE in reading.reasons else 0.0
    coarse = STEP_PX[name] * picture.colour_step if picture.halves_rows else 0.0
    return hypot(spread, UNSURE_SHARE * moved, coarse, unknown)
