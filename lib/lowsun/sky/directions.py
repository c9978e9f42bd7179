"""From the Earth's centre to the observer's eye: where a body stands in the sky, without air."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lowsun.errors import InputError, quoted, require_range
from lowsun.physics.sunlight import ALMANAC_SEMIDIAMETER_ARCSEC
from lowsun.sky.ephemeris import LIGHT_KM_PER_S, Geocentric, geocentric_at, require_body
from lowsun.sky.place import (
    EYE_REMEDY,
    HIGHEST_EYE_M,
    LATITUDE_REMEDY,
    LONGITUDE_REMEDY,
    require_place,
)
from lowsun.sky.times import terrestrial_s

EQUATOR_RADIUS_KM = 6378.137  # WGS84
FLATTENING = 1 / 298.257223563  # WGS84
TURN_RAD_PER_S = 7.2921150e-5  # the Earth's rotation, WGS84
AU_KM = 149_597_870.7  # IAU 2012
ARCSEC = np.pi / 648_000
SUN_RADIUS_KM = AU_KM * np.sin(ALMANAC_SEMIDIAMETER_ARCSEC * ARCSEC)
MOON_RADIUS_KM = 1737.4  # mean radius; IAU working group, Archinal et al. 2018
RADIUS_KM = {"sun": SUN_RADIUS_KM, "moon": MOON_RADIUS_KM}


@dataclass(frozen=True, eq=False)
class Sighting:
    """A body as an airless, level observer sees it. Every property is shaped alike.

    Accuracy: directions agree with Skyfield's own reduction of DE421 to 0.002 arcsec from 1899 to
    2053. Leaves out refraction, polar motion (0.3 arcsec) and the plumb line's departure from
    WGS84 (some arcsec, up to a minute near mountains; from memory).
    """

    bodies: Geocentric
    _level_km: tuple  # east, north, up, aberration included
    _up_rate_km_per_s: np.ndarray
    _distance_km: np.ndarray
    _distance_rate_km_per_s: np.ndarray
    _at_pole: np.ndarray

    @cached_property
    def true_altitude_deg(self):
        """Altitude of the centre above the level plane, without air [deg]."""
        return np.degrees(np.arctan2(self._level_km[2], self._along_km))[()]

    @cached_property
    def azimuth_deg(self):
        """Bearing of the centre [deg], north 0, east 90, below 360.

        NaN at latitudes of exactly 90 and -90: no direction there is north or east. What turns
        with the clock at a pole is `subpoint_longitude_deg`.
        """
        bearing = np.degrees(np.arctan2(*self._level_km[:2])) % 360
        bearing %= 360  # once more: a hair west of north was rounded to 360
        return np.where(self._at_pole, np.nan, bearing)[()]

    @cached_property
    def distance_km(self):
        """Distance from the eye to the centre, when the light left it [km]."""
        return self._distance_km[()]

    @cached_property
    def angular_diameter_arcmin(self):
        """Angular diameter of the disc [arcmin], 2 arcsin(radius / distance), without air.

        Sun 31.988 at 1 au (Auwers 1891, semidiameter 959.63 arcsec); Moon by its mean radius.
        """
        return 120 * np.degrees(np.arcsin(RADIUS_KM[self.bodies.body] / self.distance_km))

    @cached_property
    def vertical_speed_arcsec_per_s(self):
        """Rate of the true altitude [arcsec/s], from the ephemeris; negative when sinking.

        Undefined, and NaN or infinite, where the centre stands exactly in the zenith.
        """
        sine = self._level_km[2] / np.hypot(self._level_km[2], self._along_km)
        rate = self._up_rate_km_per_s - sine * self._distance_rate_km_per_s
        return (rate / self._along_km / ARCSEC)[()]

    @cached_property
    def declination_deg(self):
        """Apparent declination seen from the Earth's centre [deg], equator of date."""
        x, y, z = self._from_centre_km
        return self._shaped(np.degrees(np.arctan2(z, np.hypot(x, y))))

    @cached_property
    def subpoint_longitude_deg(self):
        """Longitude of the meridian that faces the body [deg, east positive, -180 to 180]."""
        x, y, _ = self._from_centre_km
        east_of_greenwich = np.degrees(np.arctan2(y, x) - self.bodies.sidereal_rad)
        return self._shaped((east_of_greenwich + 180) % 360 - 180)

    @cached_property
    def _along_km(self):
        return np.hypot(*self._level_km[:2])

    @cached_property
    def _from_centre_km(self):
        vector = self.bodies.vector_km
        return _aberrated(vector, _length(vector), self.bodies.earth_velocity_km_per_s)

    def _shaped(self, values):
        return np.broadcast_to(values, self._distance_km.shape)[()]


def sun(place, when):
    """The Sun from a place, without air; `when` is an aware datetime or an array of them.

    Properties of the result have the shape of `when`: true_altitude_deg, azimuth_deg, distance_km,
    angular_diameter_arcmin, vertical_speed_arcsec_per_s, declination_deg, subpoint_longitude_deg.
    Valid 1899 to 2053 (DE421).
    """
    return _from_place(place, geocentric("sun", when))


def moon(place, when):
    """The Moon from a place, without air; everything else as for `sun`."""
    return _from_place(place, geocentric("moon", when))


def geocentric(body, when):
    """The Sun or Moon for all places at once: hand the result to `seen_from`.

    body "sun" or "moon"; `when` an aware datetime or an array of them, shape S.
    """
    return geocentric_at(require_body(body), terrestrial_s(when))


def seen_from(bodies, latitude_deg, longitude_deg, eye_height_m=2.0):
    """A Geocentric body from many places; coordinates broadcast against its instants.

    `seen_from(geocentric("sun", hours), latitudes[:, None], 0.0)` is shaped (latitude, hour).
    latitude_deg [deg] -90 to 90, longitude_deg [deg] -180 to 180, eye_height_m [m] 0 to 20 000.
    Raises InputError or OutOfRangeError.
    """
    if not isinstance(bodies, Geocentric):
        raise InputError(f"bodies is {quoted(bodies)}; give what lowsun.sky.geocentric returned.")
    latitude = require_range(
        "latitude_deg", latitude_deg, -90, 90, unit="deg", remedy=LATITUDE_REMEDY
    )
    longitude = require_range(
        "longitude_deg", longitude_deg, -180, 180, unit="deg", remedy=LONGITUDE_REMEDY
    )
    height = require_range(
        "eye_height_m", eye_height_m, 0, HIGHEST_EYE_M, unit="m", remedy=EYE_REMEDY
    )
    return topocentric(bodies, latitude, longitude, height)


def _from_place(place, bodies):
    require_place(place)
    return topocentric(bodies, place.latitude_deg, place.longitude_deg, place.eye_height_m)


def topocentric(bodies, latitude_deg, longitude_deg, eye_height_m):
    """What `seen_from` does, for arguments known to be good.

    line of sight = retarded geocentric vector - observer, then aberration to first order by the
    Earth's and the observer's velocity (the second order is 0.001 arcsec).
    latitude_deg [deg], longitude_deg [deg], eye_height_m [m].
    """
    stand = _Stand(bodies, latitude_deg, longitude_deg, eye_height_m)
    sight, distance = _line_of_sight(bodies, stand.eye_km)
    rate = [body - own for body, own in zip(bodies.velocity_km_per_s, stand.speed, strict=True)]
    velocity = [
        earth + own for earth, own in zip(bodies.earth_velocity_km_per_s, stand.speed, strict=True)
    ]
    east, north, up = stand.level(_aberrated(sight, distance, velocity))
    up_rate = stand.level(rate)[2] + TURN_RAD_PER_S * stand.cosine * east  # the vertical turns too
    return Sighting(
        bodies=bodies,
        _level_km=(east, north, up),
        _up_rate_km_per_s=up_rate,
        _distance_km=distance,
        _distance_rate_km_per_s=_dot(sight, rate) / distance,
        _at_pole=np.abs(latitude_deg) == 90,
    )


class _Stand:
    """Where the eye is and how its horizon lies, in the axes of the bodies; WGS84."""

    def __init__(self, bodies, latitude_deg, longitude_deg, eye_height_m):
        latitude = np.radians(latitude_deg)
        meridian = bodies.sidereal_rad + np.radians(longitude_deg)
        self.cosine, self.sine = np.cos(latitude), np.sin(latitude)
        self.meridian = np.cos(meridian), np.sin(meridian)
        squeeze, height_km = (1 - FLATTENING) ** 2, np.asarray(eye_height_m) / 1000
        normal_km = EQUATOR_RADIUS_KM / np.sqrt(self.cosine**2 + squeeze * self.sine**2)
        axis_km = (normal_km + height_km) * self.cosine
        x, y = axis_km * self.meridian[0], axis_km * self.meridian[1]
        self.eye_km = (x, y, (normal_km * squeeze + height_km) * self.sine)
        self.speed = (-TURN_RAD_PER_S * y, TURN_RAD_PER_S * x, 0.0)  # [km/s]

    def level(self, vector):
        """Components east, north and up."""
        outward = vector[0] * self.meridian[0] + vector[1] * self.meridian[1]
        east = vector[1] * self.meridian[0] - vector[0] * self.meridian[1]
        north = vector[2] * self.cosine - outward * self.sine
        return east, north, outward * self.cosine + vector[2] * self.sine


def _line_of_sight(bodies, eye):
    """From the eye to the body when the light left it, and its length [km].

    The eye is nearer to or farther from the body than the Earth's centre; meanwhile the body
    moves. For the Moon that is up to 0.3 arcsec, and aberration takes most of it back.
    """
    whole = _length(bodies.vector_km)
    sight = [body - own for body, own in zip(bodies.vector_km, eye, strict=True)]
    lead_s = (whole - _length(sight)) / LIGHT_KM_PER_S
    body_velocity = bodies.velocity_km_per_s + bodies.earth_velocity_km_per_s
    sight = [along + speed * lead_s for along, speed in zip(sight, body_velocity, strict=True)]
    return sight, _length(sight)


def _aberrated(sight, distance, velocity):
    return [
        along + distance * speed / LIGHT_KM_PER_S
        for along, speed in zip(sight, velocity, strict=True)
    ]


def _length(vector):
    return np.sqrt(_dot(vector, vector))


def _dot(one, other):
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
