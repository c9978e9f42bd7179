"""Where and when: a place and an instant become the Sun's and the Moon's direction, in numbers."""

from lowsun.sky.bodies import (
    MOON,
    PLANET,
    STAR,
    Body,
    bodies,
    lit_share,
    moon_magnitude,
    moon_phase,
)
from lowsun.sky.contacts import Sunrise, Sunset, sunrise, sunset, visible_horizon_deg
from lowsun.sky.crossings import (
    ALMANAC_DEG,
    ASTRONOMICAL_DEG,
    CIVIL_DEG,
    NAUTICAL_DEG,
    Crossing,
    Crossings,
    crossings,
    crossings_by_latitude,
)
from lowsun.sky.directions import Sighting, geocentric, moon, seen_from, sun
from lowsun.sky.ephemeris import Geocentric
from lowsun.sky.place import Place
from lowsun.sky.times import clock_text, clock_times, local_day

__all__ = [
    "ALMANAC_DEG",
    "ASTRONOMICAL_DEG",
    "CIVIL_DEG",
    "MOON",
    "NAUTICAL_DEG",
    "PLANET",
    "STAR",
    "Body",
    "Crossing",
    "Crossings",
    "Geocentric",
    "Place",
    "Sighting",
    "Sunrise",
    "Sunset",
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
    "seen_from",
    "sun",
    "sunrise",
    "sunset",
    "visible_horizon_deg",
]
