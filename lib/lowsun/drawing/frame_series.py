"""Measures of a folder's frames against the Sun's altitude, with the model's lines through them."""

import numpy as np

from lowsun.drawing.picture import Figures
from lowsun.words import say, term

CHARTS = (
    (term("height over width"), 0.69, 0.20),
    (term("green over red, upper limb [″]"), 0.40, 0.19),
    (term("green over red, lower limb [″]"), 0.12, 0.19),
)
LEFT, WIDE = 0.07, 0.90
KINDS = {True: (term("developed files"), "-", "o"), False: (term("raw files"), "--", "s")}
ROOM_DEG = 0.3  # left free at both ends of the altitudes


def frame_series(evening, heading, look, width_px=1600):
    """A Figure of three charts from a `frames.beside.Evening`: shape, upper rim, lower rim.

    heading: what stands behind the model's lines. Time runs from left to right as
    the Sun sinks; strokes are two standard errors.
    """
    figure = look.figure(width_px)
    with look.applied():
        figure.text(LEFT, 0.99, heading, va="top")
        axes = [_chart(figure, title, low, high) for title, low, high in CHARTS]
        for kind in evening.lines:
            _draw(axes, evening, kind, look)
        _limit(axes, evening)
        axes[0].legend(loc="lower left", ncols=2)
        axes[-1].set_xlabel(say("true altitude of the Sun's centre [°]"))
    return figure


def _chart(figure, title, low, high):
    axes = figure.add_axes((LEFT, low, WIDE, high))
    axes.set_title(say(title))
    axes.grid(visible=True)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(Figures())
    return axes


def _draw(axes, evening, kind, look):
    files, dash, marker = KINDS[kind]
    frames = [frame for frame in evening.compared if frame.reading.is_developed == kind]
    at = np.array([frame.sun_true_deg for frame in frames])
    for chart, line, (value, sigma) in zip(
        axes, evening.lines[kind], _measured(frames), strict=True
    ):
        chart.plot(
            evening.line_altitudes_deg, line,
            **look.line("sun", linestyle=dash), label=say("this air, {files}", files=say(files)),
        )  # fmt: skip
        chart.errorbar(
            at, value, yerr=sigma, ecolor=look.colour("measured"), elinewidth=1.5,
            **look.points("measured", marker=marker),
            label=say("measured, {files}", files=say(files)),
        )  # fmt: skip


def _measured(frames):
    """Values and twice their standard errors, or None, of the three charts, in their units."""
    ratio = _column(frames, "axis_ratio")
    scale = _column(frames, "arcsec_per_px")
    yield ratio, None
    for limb in ("upper", "lower"):
        moved = _column(frames, f"{limb}_green_over_red_px")
        yield moved * scale, 2 * _column(frames, f"{limb}_sigma_px") * scale


def _column(frames, name):
    values = [getattr(frame.reading, name) for frame in frames]
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def _limit(axes, evening):
    at = [frame.sun_true_deg for frame in evening.compared]
    for chart in axes:
        chart.set_xlim(max(at) + ROOM_DEG, min(at) - ROOM_DEG)
    for chart in axes[:-1]:
        chart.tick_params(labelbottom=False)
