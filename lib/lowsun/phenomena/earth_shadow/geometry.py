"""The shadow of a ball in straight light, and that of the mountain one stands on."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import OutOfRangeError, quoted, require_number, require_range, require_vectors
from lowsun.physics.rays import EARTH_RADIUS_M

DEPRESSION_RANGE_DEG = (0.0, 18.0)
AIR_HEIGHT_RANGE_M = (100.0, 400e3)
MOUNTAIN_RANGE_M = (500.0, 9000.0)  # lower hills throw their shadow on what is near
SLOPE_RANGE_DEG = (5.0, 70.0)
DISTANCES = 200


def shadow_height_m(sun_depression_deg):
    """Height of the shadow's edge straight above the observer [m]: R (1 / cos d - 1).

    sun_depression_deg [deg] 0 to 18, any shape. Straight rays, a smooth ball.
    >>> round(float(shadow_height_m(6.0)) / 1000, 1)
    35.1
    """
    d = np.radians(require_range("sun_depression_deg", sun_depression_deg, 0.0, 18.0, unit="deg"))
    return EARTH_RADIUS_M * (1.0 / np.cos(d) - 1.0)


def geometric_edge_deg(sun_depression_deg, air_height_m):
    """Altitude at which the shadow's edge stands opposite the Sun, on air of one height [deg].

    Along a line of sight at altitude e the shadow ends at s = R (1 - cos d) / sin(e - d), where
    the air is H high: (R + H)^2 = R^2 + s^2 + 2 R s sin e.
    sun_depression_deg [deg] 0 to 18 and air_height_m [m] 100 to 400 000 broadcast. NaN where the
    shadow has risen beyond the zenith of that air. The higher the air that sends the light, the
    closer the edge comes to e = d, the point opposite the Sun, and it never stands lower.
    """
    d = require_range("sun_depression_deg", sun_depression_deg, *DEPRESSION_RANGE_DEG, unit="deg")
    height = require_range("air_height_m", air_height_m, *AIR_HEIGHT_RANGE_M, unit="m")
    d, height = np.broadcast_arrays(np.radians(d), height)
    # Seen from the centre, the edge on a sphere R + H stands acos(R / (R + H)) beyond the
    # terminator, which itself is d on the Sun's side of the observer.
    beyond = np.arccos(EARTH_RADIUS_M / (EARTH_RADIUS_M + height)) - d
    up = (EARTH_RADIUS_M + height) * np.cos(beyond) - EARTH_RADIUS_M
    along = (EARTH_RADIUS_M + height) * np.sin(beyond)
    return np.where(beyond >= 0.0, np.degrees(np.arctan2(up, along)), np.nan)[()]


@dataclass(frozen=True, eq=False)
class MountainShadow:
    """The shadow of a cone-shaped mountain, seen from its summit.

    apex_altitude_deg: where its tip points, the point opposite the Sun [deg]; length_m: from below
    the summit to where the tip meets the sea, infinite once it points above the horizon [m];
    azimuth_deg (2, N): left and right border, from the point opposite the Sun [deg];
    altitude_deg (N,): of the sea on which they lie [deg].
    """

    apex_altitude_deg: float
    length_m: float
    azimuth_deg: np.ndarray
    altitude_deg: np.ndarray

    @property
    def in_the_air(self):
        """Whether the tip has left the sea and lies on the hazy air above the horizon."""
        return np.isinf(self.length_m)


def mountain_shadow(eye_height_m, sun_true_altitude_deg, slope_deg=25.0):
    """The shadow of the mountain one stands on, in straight light on a round, smooth sea.

    At a distance x the mountain's outline is copied x tan(a) lower and the sea falls off by
    x^2 / 2R: half width w = (h - x tan a + x^2 / 2R) / tan(slope), azimuth atan(w / x). Whatever
    the mountain's shape, far away the borders run together: every shadow comes to a point.
    eye_height_m [m] 500 to 9000; sun_true_altitude_deg [deg] -5 to 30; slope_deg [deg] 5 to 70.
    Leaves out refraction (half a degree at most) and the blur of the Sun's half degree.
    """
    height = require_number(
        "eye_height_m",
        eye_height_m,
        *MOUNTAIN_RANGE_M,
        unit="m",
        remedy="From lower down no shadow of the hill itself is seen far out.",
    )
    name = "sun_true_altitude_deg"
    sun = require_number(name, sun_true_altitude_deg, -5.0, 30.0, unit="deg")
    slope = require_number("slope_deg", slope_deg, *SLOPE_RANGE_DEG, unit="deg")
    length = _length_m(height, np.tan(np.radians(sun)))
    horizon = np.sqrt(2.0 * EARTH_RADIUS_M * height)
    x = np.geomspace(height / np.tan(np.radians(slope)), min(length, horizon), DISTANCES)
    tip = height - x * np.tan(np.radians(sun)) + x**2 / (2.0 * EARTH_RADIUS_M)
    half = np.degrees(np.arctan2(np.maximum(tip, 0.0) / np.tan(np.radians(slope)), x))
    fall = -np.degrees(np.arctan2(height + x**2 / (2.0 * EARTH_RADIUS_M), x))
    return MountainShadow(-sun, length, np.stack([-half, half]), fall)


def _length_m(height_m, tangent):
    """Root of h - x tan a + x^2 / 2R = 0, the nearer one; infinite where there is none."""
    root = (EARTH_RADIUS_M * tangent) ** 2 - 2.0 * EARTH_RADIUS_M * height_m
    if tangent <= 0.0 or root < 0.0:
        return np.inf
    return float(EARTH_RADIUS_M * tangent - np.sqrt(root))


@dataclass(frozen=True, eq=False)
class SideView:
    """The Earth, its air and its shadow cut in the Sun's vertical plane through the observer.

    All in km, x away from the Sun and y up from the observer, shaped (2, N): ground and air_top;
    edge: the last ray over the Earth, where it grazes and onwards; shadow: outline of the air it
    leaves dark; sights: one line of sight (2, 2) for each altitude asked for.
    """

    ground: np.ndarray
    air_top: np.ndarray
    edge: np.ndarray
    shadow: np.ndarray
    sights: list


def side_view(sun_depression_deg, sight_altitudes_deg, *, reach_km=(-300.0, 700.0), air_km=30.0):
    """What stands beside the panorama: why the shadow climbs as the Sun sinks, in straight light.

    sun_depression_deg [deg] -3 to 10; sight_altitudes_deg: of lines of sight away from the Sun
    [deg], NaN for none; reach_km: how far the cut goes towards and away from the Sun; air_km: how
    high the air is drawn, where its density has fallen to a hundredth.
    """
    d = require_number("sun_depression_deg", sun_depression_deg, -3.0, 10.0, unit="deg")
    reach_km = require_vectors("reach_km", reach_km, 2)
    require_range("reach_km", reach_km, -1500.0, 1500.0, unit="km")
    air_km = require_number("air_km", air_km, 1.0, 200.0, unit="km")
    sights = _sights_deg(sight_altitudes_deg)
    d, radius = np.radians(d), EARTH_RADIUS_M / 1000.0
    x = np.linspace(*reach_km, 101)
    graze = -radius * np.sin(d)
    beyond = np.linspace(np.clip(graze, *reach_km), reach_km[1], 101)
    edge = _ray_km(d, beyond)
    dark = np.concatenate([edge, np.stack([beyond, _sphere_km(0.0, beyond)])[:, ::-1]], axis=1)
    return SideView(
        ground=np.stack([x, _sphere_km(0.0, x)]),
        air_top=np.stack([x, _sphere_km(air_km, x)]),
        edge=edge,
        shadow=dark,
        sights=[_sight_km(a, air_km) for a in sights],
    )


def _sights_deg(given):
    """Altitudes of lines of sight in a row; NaN is a line that there is not."""
    name = "sight_altitudes_deg"
    asked = f"{name} is {quoted(given)}; give numbers in a row, none masked."
    try:
        row = np.atleast_1d(given)
    except Exception as refused:  # what is no array may raise anything when asked for one
        raise OutOfRangeError(asked) from refused
    if np.ma.isMaskedArray(row) or row.ndim > 1:
        raise OutOfRangeError(asked)
    there = [one for one in row if not (isinstance(one, float | np.floating) and np.isnan(one))]
    return require_range(name, there, -90.0, 90.0, unit="deg")


def _sphere_km(height_km, x_km):
    radius = EARTH_RADIUS_M / 1000.0
    return np.sqrt((radius + height_km) ** 2 - np.asarray(x_km) ** 2) - radius


def _ray_km(depression_rad, x_km):
    """The ray that grazes the Earth: y = R (1 / cos d - 1) + x tan d."""
    radius = EARTH_RADIUS_M / 1000.0
    height = radius * (1.0 / np.cos(depression_rad) - 1.0) + x_km * np.tan(depression_rad)
    return np.stack([x_km, height])


def _sight_km(altitude_deg, air_km):
    """From the observer to where the line of sight leaves the air that is drawn."""
    sine, cosine = np.sin(np.radians(altitude_deg)), np.cos(np.radians(altitude_deg))
    up = EARTH_RADIUS_M / 1000.0 * sine
    length = -up + np.sqrt(up**2 + air_km * (2.0 * EARTH_RADIUS_M / 1000.0 + air_km))
    return np.array([[0.0, length * cosine], [0.0, length * sine]])
