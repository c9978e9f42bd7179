"""What the model says beside the frames, in words."""

import numpy as np

from lowsun.physics.air import ZERO_CELSIUS_K

WHY = (
    "Why may they differ? The air was another than the one given, or lay in layers. The haze was"
    " another. The camera's curves are not those given, or its own tone curve moves one colour"
    " against another. The lens has colour of its own. The clock was wrong: in a minute the Sun"
    " sinks by up to a quarter of a degree."
)


def of_setting(setting):
    """The air that stands behind the model's lines."""
    air, haze = setting.air.atmosphere, setting.air.haze
    return (
        f"Lines: {setting.sensor.name}, {air.temperature_k[0] - ZERO_CELSIUS_K:.0f} °C and"
        f" {air.pressure_pa[0] / 100:.0f} hPa at the sea, haze of depth"
        f" {haze.depth_550:.2f} at 550 nm."
    )


def of_frame(frame):
    """A line on what this air lets expect of a frame, or why that cannot be told."""
    if frame.wanted is None:
        return f"Beside the model: {frame.reason}."
    parts = [part for part in (_shape(frame), _rim(frame, 0), _rim(frame, 1)) if part]
    said = ", ".join(parts) or "its limbs cannot be measured on such a frame"
    return f"Model, Sun's true altitude {frame.sun_true_deg:.2f}°: {said}."


def _shape(frame):
    expected, measured = frame.wanted.axis_ratio, frame.reading.axis_ratio
    if expected is None:
        return "lower limb hidden"
    if measured is None:
        return f"height over width {expected:.3f}"
    return f"height over width {expected:.3f} ({_than(measured - expected, 3, 'measured')})"


def _rim(frame, which):
    name = ("upper", "lower")[which]
    expected = frame.model_px[which]
    if expected is None:
        return ""
    measured = getattr(frame.reading, f"{name}_green_over_red_px")
    beside = "" if measured is None else f" ({_than(measured - expected, 2, 'measured')})"
    return f"{name} limb {expected:.2f} px{beside}"


def _than(difference, digits, what):
    """'measured 0.012 less', or 'the same' where no digit shown differs."""
    size = f"{abs(difference):.{digits}f}"
    if float(size) == 0:
        return f"{what} the same"
    return f"{what} {size} {'more' if difference > 0 else 'less'}"


def of_evening(evening):
    """How the folder stands beside the model, in two or three sentences."""
    compared = evening.compared
    if not compared:
        return (
            "No frame could be set beside the model: each needs its time, and a Sun that was"
            " measured."
        )
    return (
        f"{len(compared)} of {len(evening.frames)} stand beside the model, the Sun's true altitude"
        f" {_span([frame.sun_true_deg for frame in compared])}."
        f"{_middle_shape(compared)}{_agreeing_rims(compared)}"
    )


def _span(altitudes):
    low, high = f"{min(altitudes):.1f}°", f"{max(altitudes):.1f}°"
    return high if low == high else f"{high} to {low}"


def _middle_shape(frames):
    pairs = [(frame.reading.axis_ratio, frame.wanted.axis_ratio) for frame in frames]
    apart = [measured - wanted for measured, wanted in pairs if None not in (measured, wanted)]
    if not apart:
        return ""
    than = _than(float(np.median(apart)), 3, "height over width is")
    other = "" if than.endswith("the same") else " than in this air"
    return f" In the median of {len(apart)} discs {than}{other}."


def _agreeing_rims(frames):
    pairs = [(frame.reading, frame.model_px[0]) for frame in frames]
    known = [
        abs(reading.upper_green_over_red_px - wanted) <= 2 * reading.upper_sigma_px
        for reading, wanted in pairs
        if wanted is not None and reading.upper_green_over_red_px is not None
    ]
    if not known:
        return ""
    return f" The upper rim agrees within two standard errors in {sum(known)} of {len(known)}."
