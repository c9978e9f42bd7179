"""What was measured on frames, and what to do better next time, in words."""

from dataclasses import dataclass

from lowsun.fieldwork.frames import green, header, infrared, lens_colour
from lowsun.stage.frame_reader import reasons
from lowsun.words import say, says, term

HEADROOM_STOPS = 0.5  # that next time's exposure should leave
DARK_STOPS = -2.5  # brightest light below full from which a longer exposure would tell more
WIDE_ENOUGH_PX = 150  # disc from which the stated accuracies hold
CLIPPED = 0.001  # share of the disc
GREEN = {
    green.RIM: term("green rim, {wide:.0f} px, {share:.0f} % pure"),
    green.SLIVER: term("green last sliver, {wide:.0f} px, {share:.0f} % pure"),
    green.PIECE: term("green detached piece, {wide:.0f} px, {share:.0f} % pure"),
}


@dataclass(frozen=True)
class Words:
    """What was measured on a frame and what to do next time, a short line each."""

    measured: str
    advice: str


def words(reading):
    """The `Words` of a reading."""
    return Words(measured=_measured(reading), advice=" ".join(_advice(reading)))


def summary(found):
    """What a folder holds, what its lenses and its infrared do, and what to do next time."""
    parts = (held(found), of_infrared(found), of_lenses(found), folder_advice(found))
    return " ".join(part for part in parts if part)


def held(found):
    """What a folder holds, in a sentence."""
    return says(
        "{number} frame: {green} with green light of the Sun, {unclear} where it cannot be told,"
        " {without} without a Sun that could be measured.",
        "{number} frames: {green} with green light of the Sun, {unclear} where it cannot be told,"
        " {without} without a Sun that could be measured.",
        len(found),
        green=sum(bool(reading.green) for _, reading in found),
        unclear=sum(one.green is None and one.pieces is not None for _, one in found),
        without=sum(reading.pieces is None for _, reading in found),
    )


def folder_advice(found):
    """What to do next time for all frames alike, one sentence or none."""
    without = sum(any(reason in header.NO_TIMES for reason in each.reasons) for _, each in found)
    if without == 0:
        return ""
    return say(
        "{without} of {number} without a time in UTC: set the camera's clock and its time zone, or"
        " give --clock-ahead-h.",
        without=without,
        number=len(found),
    )


def of_infrared(found):
    """A sentence where infrared was met, else nothing."""
    met = infrared.met(found)
    if met == 0:
        return ""
    return say(
        "{met} show infrared: no green is claimed in them. For a camera whose infrared cut was"
        " removed give --infrared-modified beside the place.",
        met=met,
    )


def of_lenses(found):
    """What a folder tells of its lenses, or nothing where no rim was measured."""
    each = lens_colour.of(found)
    if not each:
        return ""
    told = [one for one in each if one.share is not None]
    if not told:
        return say(
            "The lens's own colour is not told and is still in the rims: it needs frames with the"
            " Sun left and right of the middle."
        )
    if len(told) == len(each):
        return _lens(told)
    return f"{_lens(told)} {say('It is not told for all of its settings.')}"


def _lens(told):
    there = [one for one in told if one.is_there]
    most_px = max(one.most_px for one in there or told)
    if not there:
        return say(
            "The lens shows no colour of its own: less than {most:.2f} px at any limb.",
            most=most_px,
        )
    return say(
        "The lens's own colour, up to {most:.2f} px at a limb, was taken off the rims.",
        most=most_px,
    )


def _measured(reading):
    if reading.pieces is None:
        return reasons.all_said(reading)
    parts = [_green_words(reading)]
    if reading.disc_width_px is not None:
        parts.append(say("disc {wide:.0f} px", wide=reading.disc_width_px))
    if reading.axis_ratio is not None:
        parts.append(say("height over width {ratio:.3f}", ratio=reading.axis_ratio))
    if reading.upper_green_over_red_px is not None:
        parts.append(
            say(
                "upper limb green over red {width:.2f} ± {sigmas:.2f} px",
                width=reading.upper_green_over_red_px,
                sigmas=2 * reading.upper_sigma_px,
            )
        )
    return ", ".join(parts)


def _green_words(reading):
    if reading.green is None:
        return say("green not told")
    if not reading.green:
        return say("no green")
    told = say(GREEN[reading.kind], wide=reading.green_px, share=100 * reading.green_peak)
    if reading.gap_px is None:
        return told
    return ", ".join((told, say("gap {wide:.0f} px", wide=reading.gap_px)))


def _advice(reading):
    if reading.pieces is None:
        return
    yield from _exposure_advice(reading)
    longer = WIDE_ENOUGH_PX / (reading.disc_width_px or WIDE_ENOUGH_PX)
    if longer > 1.1:
        yield say("A lens {longer:.1f} times as long would measure better.", longer=longer)
    if "cut by the frame" in reading.reasons:
        yield say("Leave the whole disc in the frame.")
    if header.UNKNOWN_CURVE in reading.reasons:
        yield say("Record raw: a developed file's tone curve is unknown.")


def _exposure_advice(reading):
    clipped = max(reading.clipped_red, reading.clipped_green, reading.clipped_blue)
    if clipped > CLIPPED and reading.stops_over >= 0.05:
        yield say(
            "Burnt out by {over:.1f} stops: expose {less:.1f} stops less.",
            over=reading.stops_over,
            less=reading.stops_over + HEADROOM_STOPS,
        )
    elif clipped > CLIPPED:
        yield say("Just burnt out: expose {less:.1f} stops less.", less=HEADROOM_STOPS)
    elif reading.stops_over < DARK_STOPS:
        yield say(
            "Dark: {more:.1f} stops more would fit.", more=-reading.stops_over - HEADROOM_STOPS
        )
