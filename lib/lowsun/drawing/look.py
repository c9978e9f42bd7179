"""The one look of the kit: dark for the low Sun and twilight, black on white for print.

Sizes are in points on a figure 12.8 inches wide, so that at 1280 x 720 one point is 1.4 pixels and
on a wider film everything grows alike.
"""

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import matplotlib
import numpy as np
from matplotlib.figure import Figure
from matplotlib.transforms import offset_copy

from lowsun.errors import require_whole
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.colour import colour_matching, encode_srgb, linear_srgb_from_xyz
from lowsun.words import say, term

WIDTH_IN, HEIGHT_IN = 12.8, 7.2  # 16:9
SHEETS_IN = {"wide": (WIDTH_IN, HEIGHT_IN), "square": (9.0, 9.0), "upright": (7.5, 7.5 * 16 / 9)}
WIDTH_RANGE_PX = (320, 3840)  # narrower no word can be read
TICK_PT, LABEL_PT, SENTENCE_PT = 13, 14, 20
TITLE_PAD_PT = 10  # a title stands so far over its axes

# One line style and one marker for each kind of quantity, so that no line is told by colour alone.
_STYLES = {
    "sun": ("-", "o"),
    "apparent": ("-", "s"),
    "true": ("--", "D"),
    "ray": ("-", "^"),
    "temperature": ("-", "v"),
    "humidity": (":", "P"),
    "light": ("-.", "X"),
    "shadow": ("--", "<"),
    "measured": ("none", "o"),
}


def require_width(width_px):
    """The width of a picture as an int, 320 to 3840 px, or an OutOfRangeError."""
    return require_whole("width_px", width_px, *WIDTH_RANGE_PX, unit="px")


def fineness(width_px):
    """Pixels of a picture of that width for one of the 1280 for which it is laid out."""
    return require_width(width_px) / (100 * WIDTH_IN)


@dataclass(frozen=True)
class Look:
    """Colours of one variant; `kinds` maps each kind of quantity to its colour.

    `ink` writes on the surround, `over` writes over a computed picture, which stays as dark in
    print as it is on the screen.
    """

    name: str
    surround: str
    ink: str
    over: str
    faint: str
    hairline: str
    sea: str
    land: str
    kinds: MappingProxyType
    light_limit: float
    words_light_limit: float

    def colour(self, kind):
        """The colour of a kind of quantity."""
        return self.kinds[kind]

    def line(self, kind, **more):
        """Keywords for `axes.plot`: the colour, the dash and the width of a kind of quantity."""
        dash, _ = _STYLES[kind]
        return {"color": self.kinds[kind], "linestyle": dash, "linewidth": 2.5} | more

    def points(self, kind, **more):
        """Keywords for `axes.plot`: the marker of a kind of quantity, without a line."""
        _, marker = _STYLES[kind]
        hollow = {"markerfacecolor": "none"} if kind == "measured" else {}
        keywords = {"color": self.kinds[kind], "linestyle": "none", "marker": marker}
        return keywords | {"markersize": 8, "markeredgewidth": 2} | hollow | more

    def wavelength(self, wavelength_nm):
        """The colour (r, g, b) in which a line of that wavelength is drawn: see `spectral_rgb`."""
        return spectral_rgb(float(wavelength_nm), self.light_limit)

    def words_of_wavelength(self, wavelength_nm):
        """The same for words, on paper darker: 4.5 to 1 (WCAG 2.1, 1.4.3) where lines have 2.6."""
        return spectral_rgb(float(wavelength_nm), self.words_light_limit)

    @property
    def rc(self):
        """The matplotlib settings under which a picture is built."""
        return _rc(self)

    def figure(self, width_px=1280, sheet="wide"):
        """An empty figure of that width, one of SHEETS_IN in shape, free of pyplot.

        Letters take more of a square or upright sheet, which is seen on a smaller screen.
        """
        size = SHEETS_IN[sheet]
        with self.applied():
            return Figure(figsize=size, dpi=require_width(width_px) / size[0])

    def applied(self):
        """A context in which matplotlib builds and draws in this look."""
        return matplotlib.rc_context(self.rc)


def _rc(look):
    return {
        "font.family": "DejaVu Sans",
        "font.size": LABEL_PT,
        "text.hinting": "none",  # letters keep their shape at any size, and draw twice as fast
        "text.color": look.ink,
        "figure.facecolor": look.surround,
        "savefig.facecolor": look.surround,
        "axes.facecolor": look.surround,
        "axes.edgecolor": look.faint,
        "axes.labelcolor": look.ink,
        "axes.labelsize": LABEL_PT,
        "axes.titlesize": LABEL_PT,
        "axes.titlecolor": look.ink,
        "axes.titlelocation": "left",
        "axes.titlepad": TITLE_PAD_PT,
        "axes.titley": 1.0,  # or a hidden title sends its neighbour out of the picture
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.linewidth": 1.0,
        "xtick.color": look.faint,
        "ytick.color": look.faint,
        "xtick.labelcolor": look.ink,
        "ytick.labelcolor": look.ink,
        "xtick.labelsize": TICK_PT,
        "ytick.labelsize": TICK_PT,
        "grid.color": look.hairline,
        "grid.linewidth": 1.0,
        "lines.solid_capstyle": "round",
        "legend.frameon": False,
        "legend.fontsize": TICK_PT,
        "svg.fonttype": "path",
        "svg.hashsalt": "lowsun",
    }


# Chosen so that the kinds stay apart for the three dichromacies and stand out from the surround;
# tests/drawing/test_look.py measures both.
DARK = Look(
    name="dark",
    surround="#0b0d12",
    ink="#ece9e2",
    over="#ece9e2",
    faint="#9aa0aa",
    hairline="#2c313b",
    sea="#16303f",
    land="#2f2a24",
    kinds=MappingProxyType(
        {
            "sun": "#ffe45c",
            "apparent": "#5abdf9",
            "true": "#bf7ea8",
            "ray": "#e8a120",
            "temperature": "#de602f",
            "humidity": "#30a97f",
            "light": "#d3eefd",
            "shadow": "#7985dc",
            "measured": "#ece9e2",
        }
    ),
    light_limit=1.0,
    words_light_limit=1.0,
)
PRINT = Look(
    name="print",
    surround="#ffffff",
    ink="#000000",
    over="#ece9e2",
    faint="#5c5f66",
    hairline="#d4d6da",
    sea="#cfe0ea",
    land="#e3dccf",
    kinds=MappingProxyType(
        {
            "sun": "#796a03",
            "apparent": "#0077d9",
            "true": "#a0568c",
            "ray": "#c57e14",
            "temperature": "#861900",
            "humidity": "#0b805d",
            "light": "#48525a",
            "shadow": "#3d45a1",
            "measured": "#000000",
        }
    ),
    light_limit=0.35,
    words_light_limit=0.18,
)
LOOKS = MappingProxyType({look.name: look for look in (DARK, PRINT)})


@cache
def spectral_rgb(wavelength_nm, light_limit=1.0):
    """The screen colour (r, g, b) nearest to one wavelength, as bright as the limit allows.

    The colour of the CIE 1931 observer lies outside every screen: white is added until no primary
    is negative, then all are scaled to the brightest that has a relative luminance within the limit
    (0..1). It tells lines apart; it says nothing of how bright a wavelength is.
    """
    rgb = np.ravel(linear_srgb_from_xyz(colour_matching(np.array([wavelength_nm]))[0]))
    rgb = rgb - min(rgb.min(), 0.0)
    rgb = rgb / rgb.max()
    luminance = rgb @ (0.2126, 0.7152, 0.0722)  # IEC 61966-2-1
    rgb = rgb * min(1.0, light_limit / luminance)
    return tuple(float(part) for part in encode_srgb(rgb))


# ----------------------------------------------------------------------- scales and directions


def set_field(axes, low, high, centre=0.0):
    """Limits with one scale both ways: low to high upwards, about the centre sideways.

    Returns (left, right). Units are those of low and high, whatever they are.
    """
    box = axes.get_window_extent()
    half = 0.5 * (high - low) * box.width / box.height
    axes.set(xlim=(centre - half, centre + half), ylim=(low, high))
    return centre - half, centre + half


DEG, ARCMIN, APPARENT = term("deg"), term("arcmin"), term("apparent altitude")


def altitude_axis(axes, unit=DEG, what=APPARENT):
    """The altitude scale on the left; up is up."""
    axes.set_ylabel(say("{what} [{unit}]  up →", what=say(what), unit=say(unit)))


def shown_temperature_c(atmosphere, top_m):
    """Limits of an axis of temperature [degC] that shows the air up to a height, in fives."""
    shown = atmosphere.temperature_k[atmosphere.height_m <= top_m] - ZERO_CELSIUS_K
    return float(5 * np.floor(shown.min() / 5)), float(5 * np.ceil(shown.max() / 5))


def scale_bar(axes, length, label, look, *, foot=0.06, left=0.05):
    """A bar of that length in data units with its label above it, low on the left."""
    start = axes.get_xlim()[0] + left * np.diff(axes.get_xlim())[0]
    height = axes.get_ylim()[0] + foot * np.diff(axes.get_ylim())[0]
    (bar,) = axes.plot(
        [start, start + length], [height] * 2, color=look.over, linewidth=2, marker="|",
        markersize=10, markeredgewidth=2,
    )  # fmt: skip
    above = offset_copy(axes.transData, axes.figure, y=8, units="points")
    middle = start + length / 2
    text = axes.text(middle, height, label, transform=above, ha="center", color=look.over)
    return bar, text
