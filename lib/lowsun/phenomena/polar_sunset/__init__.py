"""The long sunsets of the poles: how the disc goes down at any latitude, and how long it takes.

At a pole the Earth's turning moves the Sun along the horizon and not towards it; its height
changes by declination alone, an arcminute in an hour. Everything here follows from the ephemeris
and the traced air; no latitude is a special case.
"""

from lowsun.phenomena.polar_sunset.cold_air import (
    Descent,
    PutOff,
    delay,
    descent,
    has_polar_night,
    polar_air,
    put_off,
)
from lowsun.phenomena.polar_sunset.passage import (
    Contacts,
    Dusks,
    contacts,
    contacts_at,
    dusks,
)
from lowsun.phenomena.polar_sunset.portrayal import in_its_sky, limb_portrait, portrait, portraits
from lowsun.phenomena.polar_sunset.rims import GreenRim, Ridges, green_rim, rim_horizons_deg
from lowsun.phenomena.polar_sunset.spans import Span, last_passage, rim_span, whole, whole_descent
from lowsun.phenomena.polar_sunset.sweep import RimsByLatitude, SunsetMap, shipped_map, sunset_map
from lowsun.phenomena.polar_sunset.tracks import Track, track, track_at
from lowsun.sky import VerticalSpeed, nearest_passage, vertical_speed

__all__ = [
    "Contacts",
    "Descent",
    "Dusks",
    "GreenRim",
    "PutOff",
    "Ridges",
    "RimsByLatitude",
    "Span",
    "SunsetMap",
    "Track",
    "VerticalSpeed",
    "contacts",
    "contacts_at",
    "delay",
    "descent",
    "dusks",
    "green_rim",
    "has_polar_night",
    "in_its_sky",
    "last_passage",
    "limb_portrait",
    "nearest_passage",
    "polar_air",
    "portrait",
    "portraits",
    "put_off",
    "rim_horizons_deg",
    "rim_span",
    "shipped_map",
    "sunset_map",
    "track",
    "track_at",
    "vertical_speed",
    "whole",
    "whole_descent",
]
