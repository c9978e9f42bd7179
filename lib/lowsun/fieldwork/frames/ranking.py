"""Which frames come first, and what to do better next time."""

from dataclasses import dataclass

from lowsun.fieldwork.frames import header

HEADROOM_STOPS = 0.5  # that next time's exposure should leave
DARK_STOPS = -2.5  # brightest light below full from which a longer exposure would tell more
WIDE_ENOUGH_PX = 150  # disc from which the stated accuracies hold
CLIPPED = 0.001  # share of the disc


def ranked(found):
    """[(file, `Reading`)] with the purest and largest green first, frames without a Sun last."""
    return sorted(found, key=lambda entry: (*_rank(entry[1]), entry[0]))


def _rank(reading):
    if reading.green:
        return 0, -reading.green_peak * reading.green_px
    if reading.pieces is None:
        return 3, 0.0
    return (1 if reading.green is None else 2), 0.0


@dataclass(frozen=True)
class Words:
    """What was measured on a frame and what to do next time, a short line each."""

    measured: str
    advice: str


def words(reading):
    """The `Words` of a reading."""
    return Words(measured=_measured(reading), advice=" ".join(_advice(reading)))


def folder_advice(found):
    """What to do next time for all frames alike, one sentence or none."""
    without = sum(any(reason in header.NO_TIMES for reason in each.reasons) for _, each in found)
    if without == 0:
        return ""
    return (
        f"{without} of {len(found)} without a time in UTC: set the camera's clock and its time"
        " zone, or give --clock-ahead-h."
    )


def _measured(reading):
    if reading.pieces is None:
        return reading.reason
    parts = [_green_words(reading)]
    if reading.disc_width_px is not None:
        parts.append(f"disc {reading.disc_width_px:.0f} px")
    if reading.axis_ratio is not None:
        parts.append(f"height over width {reading.axis_ratio:.3f}")
    if reading.upper_green_over_red_px is not None:
        parts.append(
            f"upper limb green over red {reading.upper_green_over_red_px:.2f}"
            f" ± {2 * reading.upper_sigma_px:.2f} px"
        )
    return ", ".join(parts)


def _green_words(reading):
    if reading.green is None:
        return "green not told"
    if not reading.green:
        return "no green"
    gap = "" if reading.gap_px is None else f", gap {reading.gap_px:.0f} px"
    share = f"{100 * reading.green_peak:.0f} % pure"
    return f"green {reading.kind}, {reading.green_px:.0f} px, {share}{gap}"


def _advice(reading):
    if reading.pieces is None:
        return
    yield from _exposure_advice(reading)
    longer = WIDE_ENOUGH_PX / (reading.disc_width_px or WIDE_ENOUGH_PX)
    if longer > 1.1:
        yield f"A lens {longer:.1f} times as long would measure better."
    if "cut by the frame" in reading.reasons:
        yield "Leave the whole disc in the frame."
    if header.UNKNOWN_CURVE in reading.reasons:
        yield "Record raw: a developed file's tone curve is unknown."


def _exposure_advice(reading):
    clipped = max(reading.clipped_red, reading.clipped_green, reading.clipped_blue)
    if clipped > CLIPPED and reading.stops_over >= 0.05:
        less = reading.stops_over + HEADROOM_STOPS
        yield f"Burnt out by {reading.stops_over:.1f} stops: expose {less:.1f} stops less."
    elif clipped > CLIPPED:
        yield f"Just burnt out: expose {HEADROOM_STOPS:.1f} stops less."
    elif reading.stops_over < DARK_STOPS:
        yield f"Dark: {-reading.stops_over - HEADROOM_STOPS:.1f} stops more would fit."
