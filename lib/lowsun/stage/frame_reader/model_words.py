"""What the model says beside the frames, in words."""

import numpy as np

from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.stage.frame_reader import reasons
from lowsun.words import figures, say, term

WHY = term(
    "Why may they differ? The air was another than the one given, or lay in layers. The haze was"
    " another. The camera's curves are not those given, or its own tone curve moves one colour"
    " against another. The lens has colour of its own. The clock was wrong: in a minute the Sun"
    " sinks by up to a quarter of a degree."
)
SENSORS = (  # the kit's own; a measured one has the name that its owner gave it
    term("illustrative colour camera"),
    term("illustrative colour camera, infrared-cut filter removed"),
)
UPPER, LOWER = term("upper limb {expected:.2f} px"), term("lower limb {expected:.2f} px")


def of_setting(setting):
    """The air that stands behind the model's lines."""
    air, name = setting.air.atmosphere, setting.sensor.name
    return say(
        "Lines: {sensor}, {temperature:.0f} °C and {pressure:.0f} hPa at the sea, haze of depth"
        " {depth:.2f} at 550 nm.",
        sensor=say(name) if name in SENSORS else name,
        temperature=air.temperature_k[0] - ZERO_CELSIUS_K,
        pressure=air.pressure_pa[0] / 100,
        depth=setting.air.haze.depth_550,
    )


def of_frame(frame):
    """A line on what this air lets expect of a frame, or why that cannot be told."""
    if frame.wanted is None:
        return say("Beside the model: {reason}.", reason=reasons.said(frame.reason))
    upper, lower = frame.model_px
    parts = (
        _shape(frame),
        _rim(UPPER, upper, frame.reading.upper_green_over_red_px),
        _rim(LOWER, lower, frame.reading.lower_green_over_red_px),
    )
    said = ", ".join(filter(None, parts)) or say("its limbs cannot be measured on such a frame")
    return say(
        "Model, Sun's true altitude {altitude:.2f}°: {said}.",
        altitude=frame.sun_true_deg,
        said=said,
    )


def _shape(frame):
    expected, measured = frame.wanted.axis_ratio, frame.reading.axis_ratio
    if expected is None:
        return say("lower limb hidden")
    told = say("height over width {ratio:.3f}", ratio=expected)
    return told if measured is None else f"{told} ({_measured(measured - expected, 3)})"


def _rim(message, expected, measured):
    if expected is None:
        return ""
    told = say(message, expected=expected)
    return told if measured is None else f"{told} ({_measured(measured - expected, 2)})"


def _measured(difference, digits):
    """'measured 0.012 less', or 'the same' where no digit shown differs."""
    if _is_none(difference, digits):
        return say("measured the same")
    apart = figures(abs(difference), f".{digits}f")
    more = difference > 0
    return say("measured {apart} more" if more else "measured {apart} less", apart=apart)


def _is_none(difference, digits):
    return float(f"{abs(difference):.{digits}f}") == 0


def of_evening(evening):
    """How the folder stands beside the model, in two or three sentences."""
    compared = evening.compared
    if not compared:
        return say(
            "No frame could be set beside the model: each needs its time, and a Sun that was"
            " measured."
        )
    beside = say(
        "{compared} of {number} stand beside the model, the Sun's true altitude {altitudes}.",
        compared=len(compared),
        number=len(evening.frames),
        altitudes=_span([frame.sun_true_deg for frame in compared]),
    )
    parts = (beside, _middle_shape(compared), _agreeing_rims(compared))
    return " ".join(part for part in parts if part)


def _span(altitudes):
    low, high = (f"{figures(each, '.1f')}°" for each in (min(altitudes), max(altitudes)))
    return high if low == high else say("{high} to {low}", high=high, low=low)


def _middle_shape(frames):
    pairs = [(frame.reading.axis_ratio, frame.wanted.axis_ratio) for frame in frames]
    apart = [measured - wanted for measured, wanted in pairs if None not in (measured, wanted)]
    if not apart:
        return ""
    middle, discs = float(np.median(apart)), len(apart)
    if _is_none(middle, 3):
        return say("In the median of {discs} discs height over width is the same.", discs=discs)
    return say(
        "In the median of {discs} discs height over width is {apart:.3f} more than in this air."
        if middle > 0
        else "In the median of {discs} discs height over width is {apart:.3f} less than in this"
        " air.",
        discs=discs,
        apart=abs(middle),
    )


def _agreeing_rims(frames):
    pairs = [(frame.reading, frame.model_px[0]) for frame in frames]
    known = [
        abs(reading.upper_green_over_red_px - wanted) <= 2 * reading.upper_sigma_px
        for reading, wanted in pairs
        if wanted is not None and reading.upper_green_over_red_px is not None
    ]
    if not known:
        return ""
    return say(
        "The upper rim agrees within two standard errors in {agree} of {number}.",
        agree=int(sum(known)),
        number=len(known),
    )
