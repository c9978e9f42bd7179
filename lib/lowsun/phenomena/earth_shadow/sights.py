"""The dark segment and the arch, found on the sky's own radiance opposite the Sun.

The segment's upper edge is where luminance climbs fastest with altitude. The arch is found twice:
on luminance, as the bright band above the edge, and on chromaticity, as the band that is pink.
Blue and orange skies lie along the line of daylight's own colours; pink is what lies below it.

The pink's borders are where it climbs and falls fastest, the same rule as the edge's. A width at
half height would need a base to count from, and the sky above has none: it is pink itself and
pales slowly up to the zenith. With the Sun 4 deg down in clear maritime air half height gives 12,
14 or 16 deg as the base is taken 30, 45 or 80 deg up; the steepest places stand 9 deg apart
whatever lies above, and within 0.2 deg whatever the step of the computation.
"""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import require_number, takes
from lowsun.physics import colour
from lowsun.physics.scattering import sky_horizon_deg, sky_xyz
from lowsun.physics.scattering.radiance import BEAM_NODES

SUN_RANGE_DEG = (-10.0, 0.0)
SUN_REMEDY = "The Earth's shadow stands in the sky while the Sun is down, to the end of the model."
# A luminance that climbs by less than 1 % a degree shows no edge; common practice, no source.
VISIBLE_SLOPE_PER_DEG = 0.01
# One step that an eye can just tell, in y of the CIE 1931 diagram (MacAdam 1942, from memory).
VISIBLE_PINKNESS = 0.002
# Refraction bends grazing light by twice the horizon's 34' and lowers the shadow by no more.
LOWERED_DEG = 2.0 * 34.0 / 60.0
HIGHEST_EDGE_DEG, TOP_DEG = 45.0, 80.0
NODES, NODE_SCALE_DEG, SMOOTHED_NODES = 110, 8.0, 1.6
FAINTEST = 1e-9  # cd/m2: a shadow without light scattered twice is black, and has no colour
FINE = 128  # steps along each line of sight: fewer leave ripples where the arch is widest


@dataclass(frozen=True, eq=False)
class SeenShadow:
    """What stands opposite the Sun; altitudes in apparent degrees, NaN for what is not there.

    edge_deg: upper edge of the dark segment; slope_per_deg: how fast luminance climbs there
    [1/deg]; contrast: brightest luminance above the edge divided by the darkest below, less 1;
    bright_peak_deg, bright_low_deg, bright_high_deg: the arch on luminance and where it has fallen
    half way to the segment's darkest; pink_peak_deg, pink_low_deg, pink_high_deg: the arch on
    chromaticity and where its pink climbs and falls fastest; pinkness: how far below the line of
    daylight's colours, in y; colour_step: pinkness of arch divided by segment, what parts the two.
    altitude_deg, luminance [cd/m2], chromaticity (N, 2): the profile they were found on.
    """

    sun_true_altitude_deg: float
    edge_deg: float
    slope_per_deg: float
    contrast: float
    bright_peak_deg: float
    bright_low_deg: float
    bright_high_deg: float
    pink_peak_deg: float
    pink_low_deg: float
    pink_high_deg: float
    pinkness: float
    colour_step: float
    altitude_deg: np.ndarray
    luminance: np.ndarray
    chromaticity: np.ndarray

    @property
    def pink_width_deg(self):
        """Vertical width of the pink arch between its steepest borders [deg]."""
        return self.pink_high_deg - self.pink_low_deg

    @property
    def shows_edge(self):
        """Whether the segment can be told from the sky above it."""
        return bool(np.isfinite(self.edge_deg))

    @property
    def shows_pink(self):
        """Whether the arch is pink."""
        return bool(np.isfinite(self.pink_peak_deg))


@takes(single=bool, rough=bool)
def seen(air, sun_true_altitude_deg, *, eye_height_m=2.0, single=False, rough=False):
    """The dark segment and the arch at a place of the Sun.

    air: an `Air` or an `Atmosphere`; sun_true_altitude_deg [deg] -10 to 0; eye_height_m [m];
    single: light scattered once alone; rough: a draft, with fewer steps along each line of sight.
    Returns a `SeenShadow`. Altitudes are good to about 0.2 deg for the air given, in a draft where
    the arch is widest to 1 deg.
    """
    name = "sun_true_altitude_deg"
    sun = require_number(name, sun_true_altitude_deg, *SUN_RANGE_DEG, unit="deg", remedy=SUN_REMEDY)
    altitude = _altitudes(sky_horizon_deg(air, eye_height_m))
    steps = BEAM_NODES if rough else FINE
    xyz = sky_xyz(air, sun, altitude, 180.0, eye_height_m=eye_height_m, single=single, steps=steps)
    xyz = np.maximum(xyz, FAINTEST)
    luminance, xy = xyz[:, 1], colour.chromaticity(xyz)
    edge = _edge(altitude, luminance, -sun - LOWERED_DEG)
    return SeenShadow(
        sun_true_altitude_deg=sun,
        **edge,
        **_pink(altitude, pinkness(xy), np.isfinite(edge["edge_deg"])),
        altitude_deg=altitude,
        luminance=luminance,
        chromaticity=xy,
    )


def pinkness(chromaticity):
    """How far a colour lies below the line of daylight's colours, in y, negative above it.

    y_D = -3 x^2 + 2.87 x - 0.275 (CIE 15, daylight of 4000 to 25 000 K, x 0.25 to 0.38; deeper
    twilight blues lie up to 0.04 beyond its blue end, where the curve is simply continued).
    chromaticity (..., 2); returns (...).
    """
    x, y = np.moveaxis(np.asarray(chromaticity), -1, 0)
    return -3.0 * x**2 + 2.87 * x - 0.275 - y


def _altitudes(horizon_deg):
    """Nodes [deg] from the horizon up, closer together where the shadow first stands."""
    ends = np.arcsinh(np.array([horizon_deg, TOP_DEG]) / NODE_SCALE_DEG)
    nodes = NODE_SCALE_DEG * np.sinh(np.linspace(*ends, NODES))
    nodes[0] = horizon_deg
    return nodes


def _edge(altitude, luminance, lowest_deg):
    slope = _smooth(np.gradient(np.log(luminance), altitude))
    at = _highest_maximum(slope, altitude, lowest_deg)
    names = ("edge_deg", "slope_per_deg", "contrast")
    bright = ("bright_peak_deg", "bright_low_deg", "bright_high_deg")
    if at is None:
        return dict.fromkeys((*names, *bright), np.nan)
    edge, steepest = vertex(altitude, slope, at)
    top = at + int(np.argmax(luminance[at:]))
    darkest = luminance[: at + 1].min()
    half = (luminance[top] + darkest) / 2.0
    found = (edge, steepest, luminance[top] / darkest - 1.0)
    band = (vertex(altitude, luminance, top)[0], *_half_heights(altitude, luminance, top, half))
    return dict(zip((*names, *bright), (*found, *band), strict=True))


def _highest_maximum(slope, altitude, lowest_deg):
    """Index of the highest place where the slope peaks and can be seen; haze peaks below it."""
    inner, at = slope[1:-1], altitude[1:-1]
    peaks = (inner > slope[:-2]) & (inner >= slope[2:]) & (inner >= VISIBLE_SLOPE_PER_DEG)
    found = np.flatnonzero(peaks & (at >= lowest_deg) & (at <= HIGHEST_EDGE_DEG))
    return int(found[-1]) + 1 if found.size else None


def _pink(altitude, pink, on_segment):
    """The pinkest band below 45 deg, an arch where it stands on a dark segment."""
    at = int(np.argmax(np.where(altitude <= HIGHEST_EDGE_DEG, pink, -np.inf)))
    over_segment, over_sky = pink[at] - pink[: at + 1].min(), pink[at] - pink[at:].min()
    found = {"pinkness": float(pink[at]), "colour_step": float(over_segment)}
    # Pink that goes on to the zenith is a colour of the whole sky and no arch.
    arch = on_segment and min(pink[at], over_segment, over_sky) >= VISIBLE_PINKNESS
    band = (vertex(altitude, pink, at)[0], *borders(altitude, pink, at)) if arch else [np.nan] * 3
    names = ("pink_peak_deg", "pink_low_deg", "pink_high_deg")
    return found | dict(zip(names, band, strict=True))


def borders(altitude, height, at):
    """Altitudes [deg] where a band climbs fastest below its peak `at` and falls fastest above it.

    Two standard deviations apart for a bell-shaped band, on a level or evenly sloping ground.
    """
    slope = _smooth(np.gradient(height, altitude))
    low, high = int(np.argmax(slope[: at + 1])), at + int(np.argmin(slope[at:]))
    return vertex(altitude, slope, low)[0], vertex(altitude, slope, high)[0]


def _smooth(values):
    """Over a few nodes, by a Gaussian; the ends repeat."""
    reach = np.arange(-8, 9)
    kernel = np.exp(-0.5 * (reach / SMOOTHED_NODES) ** 2)
    return np.convolve(np.pad(values, 8, mode="edge"), kernel / kernel.sum(), mode="valid")


def vertex(x, y, at):
    """Vertex of the parabola through a greatest value and its neighbours; itself at the ends."""
    if not 0 < at < x.size - 1:
        return float(x[at]), float(y[at])
    fit = np.polynomial.Polynomial.fit(x[at - 1 : at + 2], y[at - 1 : at + 2], 2)
    vertex = fit.deriv().roots()
    inside = vertex.size == 1 and x[at - 1] <= vertex[0] <= x[at + 1]
    place = float(vertex[0]) if inside else float(x[at])
    return place, float(fit(place))


def _half_heights(x, y, at, half):
    """Where the values around `at` first fall below `half`, below and above; NaN where never."""
    return _crossing(x[at::-1], y[at::-1], half), _crossing(x[at:], y[at:], half)


def _crossing(x, y, level):
    under = np.flatnonzero(y < level)
    if not under.size:
        return np.nan
    i = under[0]
    share = (y[i - 1] - level) / (y[i - 1] - y[i])
    return float(x[i - 1] + share * (x[i] - x[i - 1]))
