"""One evening at one place: the setting Sun second by second, as it stands and as it is seen."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import require_range, takes
from lowsun.phenomena import low_sun
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import OZONE_DU, Air, air_of
from lowsun.physics.rays import TransferCurve, horizon_apparent_altitude_deg

LONGEST_S = 366 * 86_400  # so far from the last sliver an instant may lie; the ephemeris has an end


@dataclass(frozen=True, eq=False)
class Evening:
    """A sunset with the air it is seen through.

    curve: for pictures, and the `Air` it goes through; zero: the aware UTC instant from which
    seconds are counted: the last sliver; where none falls on the date, the Sun's lowest in the
    night after it, its highest if it stays down.
    """

    place: sky.Place
    sunset: sky.Sunset
    curve: TransferCurve
    horizon_apparent_altitude_deg: float
    zero: datetime

    @property
    def air(self):
        """The `Air`: atmosphere, haze and ozone."""
        return self.curve.air

    @property
    def atmosphere(self):
        """The `Atmosphere`."""
        return self.air.atmosphere

    def through(self, haze, ozone_du=OZONE_DU):
        """The same evening through another `Haze` and amount of ozone [DU]."""
        return replace(self, curve=self.curve.through(haze, ozone_du))

    @property
    def sets(self):
        """Whether a last sliver falls on the date."""
        return self.sunset.last_sliver is not None

    def when(self, seconds):
        """The aware UTC instant that many seconds after `zero`; an array gives an object array.

        seconds [s], a year at most each way. Raises OutOfRangeError beyond.
        """
        seconds = require_range("seconds", seconds, -LONGEST_S, LONGEST_S, unit="s")
        if seconds.ndim == 0:
            return self.zero + timedelta(seconds=float(seconds))
        return np.array([self.when(one) for one in seconds], dtype=object)

    def sun(self, seconds):
        """The `sky.Sighting` of the Sun that many seconds after `zero`, number or (N,)."""
        return sky.sun(self.place, self.when(seconds))

    def above_horizon_arcmin(self, true_altitude_deg):
        """How far above the sea horizon a true altitude is seen, upright [arcmin]."""
        apparent = self.curve.apparent_at(true_altitude_deg)
        return 60.0 * (apparent - self.horizon_apparent_altitude_deg)


@takes(air=(Air, Atmosphere))
def evening(place, date, air, high_deg=21.0):
    """The evening of a local date (datetime.date) at a `sky.Place` through an `Air`.

    air: or an `Atmosphere`, with a clear evening's haze in it;
    high_deg [deg]: up to which apparent altitude pictures can be made.
    """
    air = air_of(air)
    sunset = sky.sunset(place, date, air.atmosphere)
    horizon = horizon_apparent_altitude_deg(air.atmosphere, place.eye_height_m)
    return Evening(
        place=place,
        sunset=sunset,
        curve=low_sun.curve_for_picture(air, place.eye_height_m, high_deg),
        horizon_apparent_altitude_deg=float(horizon),
        zero=sunset.last_sliver or _turning_point(sunset.day),
    )


def _turning_point(day):
    """The Sun's lowest in the night after the date; its highest where it stays down."""
    return (day.highest if day.kind in sky.DOWN_KINDS else day.night).when
