"""A sketch: a few named lines on paper, black on white."""

import numpy as np
from matplotlib.figure import Figure

from lowsun.drawing.look import PRINT

SIZE_IN = (6.4, 3.4)
EVEN_IN = (4.2, 4.6)
_SIDES = {  # offset in points, and how the name lies about its place
    "over": ((0, 6), "center", "bottom"),
    "left": ((-10, 4), "right", "bottom"),
    "right": ((10, -4), "left", "top"),
    "above": ((10, 4), "left", "bottom"),  # and to the right
}


def draw(sketch):
    """A figure of a `scenes.sketches.Sketch`."""
    look = PRINT
    with look.applied():
        figure = Figure(figsize=EVEN_IN if sketch.even else SIZE_IN, dpi=100, layout="constrained")
        axes = figure.add_subplot()
        axes.set_xlabel(sketch.x_name)
        axes.set_ylabel(sketch.y_name)
        for line in sketch.lines:
            _line(axes, look, line)
        axes.margins(x=0.02, y=0.08)
        if sketch.even:
            axes.set_aspect("equal")
    return figure


def _line(axes, look, line):
    how = look.line(line.kind)
    if line.wavelength_nm is not None:
        how |= {"color": look.wavelength(line.wavelength_nm)}
    axes.plot(line.x, line.y, **how)
    at = min(int(line.named_at * (len(line.x) - 1)), len(line.x) - 1)
    aside, across, up = _SIDES[line.side]
    axes.annotate(
        line.name, (np.asarray(line.x)[at], np.asarray(line.y)[at]), aside,
        textcoords="offset points", color=how["color"], fontsize=12, ha=across, va=up,
    )  # fmt: skip
