"""Why the pole is different: what moves the Sun up and down, and how fast."""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from lowsun.sky.directions import sun
from lowsun.sky.times import terrestrial_s

STEP = timedelta(minutes=10)  # over which declination and hour angle are straight to 1e-6


@dataclass(frozen=True, eq=False)
class VerticalSpeed:
    """Rate of the Sun's true altitude [arcsec/s], shaped as the instants; negative is sinking.

    total: from the ephemeris; turning: what the Earth's turning does; declination: what the Sun's
    way north and south does. The two shares add up to the total within 0.003 arcsec/s.
    """

    total_arcsec_per_s: np.ndarray
    turning_arcsec_per_s: np.ndarray
    declination_arcsec_per_s: np.ndarray


def vertical_speed(place, when):
    """How fast the Sun sinks or climbs, and which of its two motions does it.

    sin a = sin lat sin dec + cos lat cos dec cos H, hence
    da/dt = [-cos lat cos dec sin H dH/dt + (sin lat cos dec - cos lat sin dec cos H) ddec/dt]/cos a

    when: an aware datetime or an array of them. Returns a `VerticalSpeed`. Valid 1899 to 2053 and
    outside the zenith. Leaves out of the shares the parallax of 8.8", which is in the total.
    """
    terrestrial_s(when)
    moments = np.asarray(when, dtype=object)
    here, before, after = (
        sun(place, np.asarray(moments + shift)[()]) for shift in (0 * STEP, -STEP, STEP)
    )
    seconds = 2 * STEP.total_seconds()
    hour_rate = _wrapped(before.subpoint_longitude_deg - after.subpoint_longitude_deg) / seconds
    declination_rate = (after.declination_deg - before.declination_deg) / seconds
    by_hour, by_declination = _slopes(place, here)
    return VerticalSpeed(
        total_arcsec_per_s=here.vertical_speed_arcsec_per_s,
        turning_arcsec_per_s=3600 * by_hour * hour_rate,
        declination_arcsec_per_s=3600 * by_declination * declination_rate,
    )


def _slopes(place, seen):
    """da/dH and da/ddec of the formula above [1]."""
    cosine, sine = np.cos(np.radians(place.latitude_deg)), np.sin(np.radians(place.latitude_deg))
    cosine = 0.0 if place.at_pole else cosine
    declination = np.radians(seen.declination_deg)
    hour = np.radians(place.longitude_deg - seen.subpoint_longitude_deg)
    flat = np.cos(np.radians(seen.true_altitude_deg))
    by_hour = -cosine * np.cos(declination) * np.sin(hour) / flat
    northwards = sine * np.cos(declination) - cosine * np.sin(declination) * np.cos(hour)
    return by_hour, northwards / flat


def _wrapped(angle_deg):
    return (angle_deg + 180) % 360 - 180
