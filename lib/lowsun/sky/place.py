"""Where one stands: coordinates, the height of the eye, and the time zone that follows."""

from dataclasses import dataclass
from functools import cache
from unicodedata import category
from zoneinfo import ZoneInfo

import tzfpy

from lowsun.errors import InputError, keep_number, quoted

LATITUDE_REMEDY = "Give degrees, north positive."
LONGITUDE_REMEDY = "Give degrees, east positive; for one beyond 180 take 360 away: 200 is -160."
EYE_REMEDY = "Give metres above the sea or the plain that makes the horizon."
HIGHEST_EYE_M = 20_000.0
LONGEST_NAME = 100


@dataclass(frozen=True)
class Place:
    """A named place and the height of the eye above the sea or plain that makes its horizon.

    name: one line of up to 100 letters, which may be none;
    latitude_deg [deg, north positive, -90 to 90], longitude_deg [deg, east positive, -180 to 180],
    both on WGS84; eye_height_m [m, 0 to 20000]. The height of the plain itself is left out: 4 km
    of it shift the Sun by 0.006 arcsec and the Moon by 2 arcsec at most.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    eye_height_m: float = 2.0

    def __post_init__(self):
        if not isinstance(self.name, str) or not _is_line(self.name):
            raise InputError(
                f"name is {quoted(self.name)}; give the place's name as text, one line of"
                f" {LONGEST_NAME} letters at most."
            )
        keep_number(self, "latitude_deg", -90, 90, unit="deg", remedy=LATITUDE_REMEDY)
        keep_number(self, "longitude_deg", -180, 180, unit="deg", remedy=LONGITUDE_REMEDY)
        keep_number(self, "eye_height_m", 0, HIGHEST_EYE_M, unit="m", remedy=EYE_REMEDY)

    @property
    def at_pole(self):
        """Whether every direction here is south, or north, so that no azimuth exists."""
        return abs(self.latitude_deg) == 90

    @property
    def timezone(self):
        """The time zone in force at these coordinates, a ZoneInfo.

        On the open sea this is the nautical zone of the meridian (`Etc/GMT+1` is one hour WEST of
        Greenwich). At a pole, where all meridians meet and none decides, it is UTC.
        Source of the borders: timezone-boundary-builder, through tzfpy; of the rules: tzdata.
        """
        return _timezone(self.latitude_deg, self.longitude_deg)


def _is_line(name):
    """Is it short enough for every sheet and code that shows it, and nothing but letters?"""
    return len(name) <= LONGEST_NAME and not {"Cc", "Cs"}.intersection(map(category, name))


def require_place(place):
    """The place itself, or an InputError that says how to make one."""
    if not isinstance(place, Place):
        raise InputError(
            f"place is {quoted(place)}; give a Place(name, latitude_deg, longitude_deg)."
        )
    return place


@cache
def _timezone(latitude_deg, longitude_deg):
    if abs(latitude_deg) == 90:
        return ZoneInfo("UTC")
    return ZoneInfo(tzfpy.get_tz(longitude_deg, latitude_deg) or _nautical_zone(longitude_deg))


def _nautical_zone(longitude_deg):
    """The zone of 15 degrees of longitude that ships keep; the sign in its name is reversed."""
    return f"Etc/GMT{-round(longitude_deg / 15):+d}"
