"""The refracted disc along its way over the horizon."""

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from lowsun.errors import OutOfRangeError, require_whole, takes
from lowsun.kept import MB, kept
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import Place, clock_times, sun, visible_horizon_deg
from lowsun.sky.times import instant_s

LONGEST = timedelta(days=366)
MOST_DISCS = 20_000
LIMB_ROWS = 24
OF_INSTANTS = (
    "when",
    "true_altitude_deg",
    "apparent_altitude_deg",
    "bearing_deg",
    "semidiameter_deg",
    "vertical_speed_arcsec_per_s",
    "limb_bearing_deg",
    "limb_altitude_deg",
    "shown",
)


@dataclass(frozen=True, eq=False)
class Track:
    """The Sun at N instants, or at one, and what can be seen of its limb.

    when (N,) aware UTC datetimes; true_altitude_deg, apparent_altitude_deg (N,) of the centre, the
    latter NaN where its ray meets the ground; bearing_deg (N,): azimuth, north 0, east 90, or at a
    pole, which has no azimuth, the longitude of the meridian under the Sun, 0 to 360 east;
    bearing_is: `azimuth` or `longitude`; semidiameter_deg (N,);
    limb_bearing_deg, limb_altitude_deg (N, 2 R): the visible limb in apparent altitude, as a
    closed line that runs flat along the horizon where the disc is cut, NaN where nothing is seen;
    shown (N,): share of the disc's true height that is above the visible horizon, 0 to 1;
    horizon_deg: apparent altitude of the level horizon.
    """

    place: Place
    when: np.ndarray
    true_altitude_deg: np.ndarray
    apparent_altitude_deg: np.ndarray
    bearing_deg: np.ndarray
    bearing_is: str
    semidiameter_deg: np.ndarray
    vertical_speed_arcsec_per_s: np.ndarray
    limb_bearing_deg: np.ndarray
    limb_altitude_deg: np.ndarray
    shown: np.ndarray
    horizon_deg: float

    def __getitem__(self, index):
        """The track at some of its instants, or at one."""
        of_instants = {name: getattr(self, name)[index] for name in OF_INSTANTS}
        return replace(self, **of_instants)

    def __iter__(self):
        return (self[k] for k in range(self.when.size))


@takes(atmosphere=Atmosphere)
def track(place, start, end, atmosphere=None, count=288):
    """The refracted disc at `count` evenly spread instants from start to end: a `Track`.

    start, end: aware datetimes, the first earlier, 366 days apart at most; count 2 to 20 000;
    atmosphere: an Atmosphere, by default the standard one. See `track_at`.
    """
    return track_at(place, _instants(start, end, count), atmosphere)


@takes(atmosphere=Atmosphere)
def track_at(place, when, atmosphere=None):
    """The refracted disc at aware datetimes: a `Track` shaped as `when`, one or an array (N,).

    The limb is looked up in the transfer curve at 570 nm, row by row. Leaves out the inverted
    images of mirages (they are in `low_sun.picture`) and the part of the disc's width that the
    meridians' convergence changes (1 part in 1000 up to 45 deg).
    """
    air = atmosphere or Atmosphere.standard()
    seen = sun(place, when)
    radius = seen.angular_diameter_arcmin / 120
    horizon_true = visible_horizon_deg(place, air)
    bearing = _bearing(place, seen)
    across, altitude = _limb(seen.true_altitude_deg, radius, horizon_true, _seen(place, air))
    stretch = np.cos(np.radians(seen.true_altitude_deg))[..., None]
    top = seen.true_altitude_deg + radius
    return Track(
        place=place,
        when=np.asarray(when, dtype=object),
        true_altitude_deg=seen.true_altitude_deg,
        apparent_altitude_deg=_seen(place, air).apparent(seen.true_altitude_deg),
        bearing_deg=bearing,
        bearing_is="longitude" if place.at_pole else "azimuth",
        semidiameter_deg=radius,
        vertical_speed_arcsec_per_s=seen.vertical_speed_arcsec_per_s,
        limb_bearing_deg=bearing[..., None] + across / stretch,
        limb_altitude_deg=altitude,
        shown=np.clip((top - horizon_true) / (2 * radius), 0, 1),
        horizon_deg=_seen(place, air).horizon_deg,
    )


@dataclass(frozen=True, eq=False)
class _Seen:
    """Apparent against true altitude [deg] at 570 nm, on the erect image, true rising."""

    true_deg: np.ndarray
    apparent_deg: np.ndarray
    horizon_deg: float

    def apparent(self, true_deg):
        return np.interp(true_deg, self.true_deg, self.apparent_deg, left=np.nan)


def _seen(place, atmosphere):
    return _traced(atmosphere, place.eye_height_m)


@kept(2 * MB)
def _traced(atmosphere, eye_height_m):
    horizon = float(rays.horizon_apparent_altitude_deg(atmosphere, eye_height_m))
    above = np.geomspace(rays.SLIVER_ARCSEC / 3600, 90 - horizon, 600)
    apparent = np.minimum(horizon + above, 90.0)
    curve = rays.transfer_curve(atmosphere, eye_height_m, apparent, rays.VISUAL_NM)
    true = curve.true_altitude_deg
    erect = true < np.minimum.accumulate(np.append(true[1:], np.inf)[::-1])[::-1]
    return _Seen(true[erect], apparent[erect], horizon)


def _limb(true_deg, radius_deg, horizon_deg, seen):
    """Half widths and apparent altitudes [deg] around the visible limb, (N, 2 R) both.

    Rows are evenly spread in the angle around the disc's centre, from the horizon, or the lower
    limb where that is clear, to the upper limb.
    """
    cut = np.clip((horizon_deg - true_deg) / radius_deg, -1, 1)
    share = np.linspace(0, 1, LIMB_ROWS)
    lowest = np.arcsin(cut)[..., None]
    angle = lowest + (np.pi / 2 - lowest) * share
    half = radius_deg[..., None] * np.cos(angle)
    rows = true_deg[..., None] + radius_deg[..., None] * np.sin(angle)
    # The lowest row of a cut disc is the horizon itself: rounding must not take it below.
    altitude = seen.apparent(np.maximum(rows, seen.true_deg[0]))
    altitude[cut >= 1] = np.nan
    return _there_and_back(half, -half), _there_and_back(altitude, altitude)


def _there_and_back(right, left):
    return np.concatenate([right, left[..., ::-1]], axis=-1)


def _bearing(place, seen):
    return seen.subpoint_longitude_deg % 360 if place.at_pole else seen.azimuth_deg


def _instants(start, end, count):
    first, last = instant_s(start, "start"), instant_s(end, "end")
    _refuse_span(start, end, last - first)
    return clock_times(np.linspace(first, last, require_whole("count", count, 2, MOST_DISCS)))


def _refuse_span(start, end, seconds):
    if not 0 < seconds <= LONGEST.total_seconds():
        raise OutOfRangeError(
            f"start is {start.isoformat()} and end {end.isoformat()}, {seconds / 86400:.2f} days"
            f" apart; allowed is more than 0 and at most {LONGEST.days} days. Exchange the two, or"
            " ask for the path year by year."
        )
