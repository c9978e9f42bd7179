"""The cold air's share: air over ice, and by how much it puts the year's last sunset off."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from lowsun.errors import OutOfRangeError, require_number, require_whole, takes
from lowsun.kept import KB, kept
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import Place, nearest_passage, sun, visible_horizon_deg
from lowsun.sky.courses import LOWER_LIMB, UPPER_LIMB
from lowsun.sky.place import require_place

INVERSION_DEPTH_M = 300.0  # the inversion over winter ice; a few hundred metres, from memory
SURFACE_RANGE_K = (193.15, 288.15)
INVERSION_RANGE_K = (0.0, 30.0)  # Antarctic winter inversions reach 30 K; from memory
YEARS = (1900, 2052)


def polar_air(surface_temperature_k, inversion_k=0.0, depth_m=INVERSION_DEPTH_M):
    """The standard atmosphere's shape from a cold surface up, with an inversion lying on it.

    surface_temperature_k [K] 193.15 to 288.15; inversion_k [K] 0 to 30: how much warmer the air is
    at the top of the inversion than at the surface, 0 for none, the standard lapse; depth_m [m] of
    it, 10 to 2000. Pressure at the surface 101325 Pa, dry. Returns an Atmosphere.
    """
    surface = require_number(
        "surface_temperature_k", surface_temperature_k, *SURFACE_RANGE_K, unit="K"
    )
    strength = require_number("inversion_k", inversion_k, *INVERSION_RANGE_K, unit="K")
    depth = require_number("depth_m", depth_m, 10.0, 2000.0, unit="m")
    air = Atmosphere.standard(temperature_k=surface)
    return air if strength == 0 else air.with_inversion(0.0, depth, strength)


@dataclass(frozen=True, kw_only=True)
class Descent:
    """From the polar day to the polar night, aware UTC datetimes.

    first_contact: the lower limb first meets the visible horizon again, None where no polar day
    came before; centre: it sinks through the horizon for the last time, None where it has not come
    up for a year; last_sliver: before the polar night.
    """

    place: Place
    first_contact: datetime | None
    centre: datetime | None
    last_sliver: datetime


@dataclass(frozen=True, kw_only=True)
class PutOff:
    """A year's last sunset in given air and in the standard one [aware UTC], and `by` between."""

    last_sliver: datetime
    standard_last_sliver: datetime

    @property
    def by(self):
        """How much later [timedelta]; negative where it is earlier."""
        return self.last_sliver - self.standard_last_sliver


@takes(atmosphere=Atmosphere)
def descent(place, year, atmosphere=None):
    """The whole sunset of the year at a place that has a polar night.

    year 1900 to 2052, that of the midwinter it leads to. Raises OutOfRangeError where the Sun
    comes up every day of that winter, with the latitude beyond which it does not.
    """
    winter, summer = _solstices(place, year)
    horizon = _horizon_with_night(place, winter, atmosphere)
    return Descent(
        place=place,
        first_contact=_first_dip(place, summer, winter, horizon),
        centre=nearest_passage(place, winter, horizon, later=False),
        last_sliver=_last_sliver(place, winter, horizon),
    )


def has_polar_night(place, year, *atmospheres):
    """Whether the Sun stays under the visible horizon at midwinter, in each of these airs."""
    winter, _ = _solstices(place, year)
    horizons = (visible_horizon_deg(place, a) for a in atmospheres)
    return all(_night_beyond_deg(place, winter, h) < abs(place.latitude_deg) for h in horizons)


@takes(atmosphere=Atmosphere)
def put_off(place, year, atmosphere):
    """By how much this air puts the year's last sunset off, against the standard atmosphere.

    Parameters and errors as for `descent`. Returns a `PutOff`.
    """
    winter, _ = _solstices(place, year)
    given, standard = (_horizon_with_night(place, winter, air) for air in (atmosphere, None))
    return PutOff(
        last_sliver=_last_sliver(place, winter, given),
        standard_last_sliver=_last_sliver(place, winter, standard),
    )


@takes(atmosphere=Atmosphere)
def delay(place, year, atmosphere):
    """`put_off(...).by`, None where the Sun comes up every day of the winter in either air."""
    if not has_polar_night(place, year, atmosphere, None):
        return None
    return put_off(place, year, atmosphere).by


def _solstices(place, year):
    """Midwinter at the place in a year, and the midsummer before it."""
    require_place(place)
    number = require_whole("year", year, *YEARS)
    if place.latitude_deg >= 0:
        return datetime(number, 12, 21, 12, tzinfo=UTC), datetime(number, 6, 21, 12, tzinfo=UTC)
    return datetime(number, 6, 21, 12, tzinfo=UTC), datetime(number - 1, 12, 21, 12, tzinfo=UTC)


def _first_dip(place, summer, winter, horizon_deg):
    """The lower limb's first descent after midsummer, unless it sinks on midsummer day too."""
    dip = nearest_passage(place, summer, horizon_deg, later=True, limb=LOWER_LIMB)
    polar_day = dip is not None and dip - summer > timedelta(days=1)
    return dip if polar_day and dip < winter else None


@kept(500 * KB)
def _last_sliver(place, winter, horizon_deg):
    return nearest_passage(place, winter, horizon_deg, later=False, limb=UPPER_LIMB)


def _horizon_with_night(place, winter, atmosphere):
    """The visible horizon's true altitude [deg], where the Sun stays under it at midwinter."""
    require_place(place)
    horizon = visible_horizon_deg(place, atmosphere)
    limit = _night_beyond_deg(place, winter, horizon)
    if abs(place.latitude_deg) <= limit:
        raise OutOfRangeError(
            f"latitude_deg is {place.latitude_deg:g}; in this air the Sun comes up every day as far"
            f" as {limit:.2f} deg from the equator, so that no sunset is the last. Go nearer to a"
            " pole."
        )
    return horizon


def _night_beyond_deg(place, winter, horizon_deg):
    """Latitude [deg] at which the upper limb just reaches the visible horizon at midwinter."""
    seen = sun(place, winter)
    return 90 - abs(seen.declination_deg) - horizon_deg + seen.angular_diameter_arcmin / 120
