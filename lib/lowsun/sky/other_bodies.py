"""What else is up: the Moon, the bright planets and stars, from a place at one instant."""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from skyfield.api import Star, wgs84
from skyfield.magnitudelib import planetary_magnitude

from lowsun.errors import require_range, takes
from lowsun.sky.directions import AU_KM, Sighting, moon, sun
from lowsun.sky.ephemeris import DAY_S, J2000_JD, kernel, timescale
from lowsun.sky.place import require_place
from lowsun.sky.times import instant_s
from lowsun.words import term

MOON, PLANET, STAR = "moon", "planet", "star"
PLANETS = {
    term("Mercury"): "mercury",
    term("Venus"): "venus",
    term("Mars"): "mars",
    term("Jupiter"): "jupiter barycenter",  # within 220 km of the planet's middle
    term("Saturn"): "saturn barycenter",
}
# Mean radii, IAU working group, Archinal et al. 2018.
RADIUS_KM = {
    "Mercury": 2439.4,
    "Venus": 6051.8,
    "Mars": 3389.5,
    "Jupiter": 69911.0,
    "Saturn": 58232.0,
}
FULL_MOON_MAGNITUDE = -12.73  # Allen, Astrophysical Quantities, as in Krisciunas & Schaefer 1991


@dataclass(frozen=True)
class Body:
    """One body at one instant, without air.

    kind: "moon", "planet" or "star"; magnitude: visual, above the air; diameter_arcmin: 0 for a
    star; lit_share: of its disc, 0 to 1; sun_angle_deg: between it and the Sun's centre.
    """

    name: str
    kind: str
    true_altitude_deg: float
    azimuth_deg: float
    magnitude: float
    diameter_arcmin: float
    lit_share: float
    sun_angle_deg: float


def bodies(place, when):
    """The Moon, five planets and the brightest stars at an aware datetime: a tuple of `Body`.

    From high to low, below the horizon too. Directions to 0.001 deg; planets' magnitudes after
    Mallama & Hilton 2018, a tenth; the Moon's after Krisciunas & Schaefer 1991, some tenths near
    full. Stars: Hipparcos, without parallax.
    """
    require_place(place)
    seen = _Seen(place, when)
    found = [_moon(seen), *(_planet(seen, name) for name in PLANETS), *_stars(seen)]
    return tuple(sorted(found, key=lambda body: -body.true_altitude_deg))


class _Seen:
    """A place at an instant, ready to look from."""

    def __init__(self, place, when):
        self.place, self.when = place, when
        self.time = timescale().tt_jd(J2000_JD, instant_s(when) / DAY_S)
        ground = wgs84.latlon(
            place.latitude_deg, place.longitude_deg, elevation_m=place.eye_height_m
        )
        self.eye = (kernel()["earth"] + ground).at(self.time)
        self.sun = self.eye.observe(kernel()["sun"]).apparent()

    def look(self, target):
        """Altitude, azimuth and angle from the Sun [deg] of a Skyfield target, without air."""
        there = self.eye.observe(target).apparent()
        altitude, azimuth, _ = there.altaz()
        bearing = np.full_like(azimuth.degrees, np.nan) if self.place.at_pole else azimuth.degrees
        return altitude.degrees, bearing, there.separation_from(self.sun).degrees


def _moon(seen):
    sighting = moon(seen.place, seen.when)
    angle, phase_deg = moon_phase(sighting, sun(seen.place, seen.when))
    return Body(
        name=term("Moon"),
        kind=MOON,
        true_altitude_deg=float(sighting.true_altitude_deg),
        azimuth_deg=float(sighting.azimuth_deg),
        magnitude=float(moon_magnitude(phase_deg)),
        diameter_arcmin=float(sighting.angular_diameter_arcmin),
        lit_share=float(lit_share(phase_deg)),
        sun_angle_deg=float(angle),
    )


@takes(moon=Sighting, sun=Sighting)
def moon_phase(moon, sun):
    """The Moon's angle from the Sun and its phase angle [deg], of two sightings alike in shape.

    The phase angle is the one at the Moon, in the triangle of eye, Moon and Sun: 0 when full.
    """
    first, second = (np.array(each._level_km, dtype=float) for each in (moon, sun))
    crossed = np.linalg.norm(np.cross(first, second, axis=0), axis=0)
    angle = np.arctan2(crossed, (first * second).sum(axis=0))
    far, near = sun.distance_km, moon.distance_km
    phase = np.arctan2(far * np.sin(angle), near - far * np.cos(angle))
    return np.degrees(angle), np.degrees(phase)


def lit_share(phase_deg):
    """Share of a disc that is lit, by its phase angle [deg] 0 to 180: (1 + cos phase) / 2."""
    phase = require_range("phase_deg", phase_deg, 0, 180, unit="deg")
    return ((1 + np.cos(np.radians(phase))) / 2)[()]


def moon_magnitude(phase_deg):
    """The Moon's visual magnitude by its phase angle [deg] 0 to 180: -12.73 + 0.026 a + 4e-9 a^4.

    Source: Krisciunas & Schaefer 1991, Publ. Astron. Soc. Pacific 103, 1033 (from memory).
    """
    phase = require_range("phase_deg", phase_deg, 0, 180, unit="deg")
    return (FULL_MOON_MAGNITUDE + 0.026 * phase + 4e-9 * phase**4)[()]


def _planet(seen, name):
    target = kernel()[PLANETS[name]]
    altitude, azimuth, angle = seen.look(target)
    there = seen.eye.observe(target)
    phase = there.phase_angle(kernel()["sun"]).radians
    radius_au = RADIUS_KM[name] / AU_KM
    return Body(
        name=name,
        kind=PLANET,
        true_altitude_deg=float(altitude),
        azimuth_deg=float(azimuth),
        magnitude=float(planetary_magnitude(there)),
        diameter_arcmin=float(120 * np.degrees(np.arcsin(radius_au / there.distance().au))),
        lit_share=float(lit_share(np.degrees(phase))),
        sun_angle_deg=float(angle),
    )


def _stars(seen):
    names, columns = _catalogue()
    ascension, declination, east, north, magnitude = columns
    targets = Star(
        ra_hours=ascension / 15,
        dec_degrees=declination,
        ra_mas_per_year=east,
        dec_mas_per_year=north,
    )
    altitude, azimuth, angle = seen.look(targets)
    for row, name in enumerate(names):
        yield Body(
            name=name,
            kind=STAR,
            true_altitude_deg=float(altitude[row]),
            azimuth_deg=float(azimuth[row]),
            magnitude=float(magnitude[row]),
            diameter_arcmin=0.0,
            lit_share=1.0,
            sun_angle_deg=float(angle[row]),
        )


@cache
def _catalogue():
    """Names, and arrays of the other columns of the table of bright stars."""
    text = (files("lowsun.data") / "bright_stars.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(line for line in text.splitlines() if not line.startswith("#")))[1:]
    return [row[0] for row in rows], np.array([row[1:] for row in rows], dtype=float).T
