"""Where and when: a place and an instant become the Sun's and the Moon's direction, in numbers."""

from lowsun.sky.contacts import (
    Sunrise,
    Sunset,
    sun_day,
    sunrise,
    sunset,
    visible_horizon_deg,
)
from lowsun.sky.courses import (
    ALMANAC_DEG,
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    Crossing,
    Crossings,
    crossings,
    crossings_by_latitude,
)
from lowsun.sky.days import DOWN_KINDS, KINDS, UP_KINDS, Kind, Stand, SunDay
from lowsun.sky.directions import Sighting, geocentric, moon, seen_from, sun
from lowsun.sky.ephemeris import Geocentric
from lowsun.sky.other_bodies import (
    MOON,
    PLANET,
    STAR,
    Body,
    bodies,
    lit_share,
    moon_magnitude,
    moon_phase,
)
from lowsun.sky.place import Place
from lowsun.sky.search import nearest_passage
from lowsun.sky.speed import VerticalSpeed, vertical_speed
from lowsun.sky.times import clock_text, clock_times, local_day

__all__ = [
    "ALMANAC_DEG",
    "ASTRONOMICAL_DEG",
    "CIVIL_DEG",
    "DOWN_KINDS",
    "KINDS",
    "MOON",
    "NAUTICAL_DEG",
    "PLANET",
    "STAR",
    "UP_KINDS",
    "Body",
    "Crossing",
    "Crossings",
    "Geocentric",
    "Kind",
    "Place",
    "Sighting",
    "Stand",
    "SunDay",
    "Sunrise",
    "Sunset",
    "VerticalSpeed",
    "bodies",
    "clock_text",
    "clock_times",
    "crossings",
    "crossings_by_latitude",
    "geocentric",
    "lit_share",
    "local_day",
    "moon",
    "moon_magnitude",
    "moon_phase",
    "nearest_passage",
    "seen_from",
    "sun",
    "sun_day",
    "sunrise",
    "sunset",
    "vertical_speed",
    "visible_horizon_deg",
]
