"""An evening counts its seconds from the last sliver and knows what to do without one."""

from datetime import date

import numpy as np
from numpy.testing import assert_allclose

from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import Place, sunset

AIR = Atmosphere.standard()
CLIFF = Place("cliff", 52.1, -10.4, 95.0)


def test_upper_limb_meets_the_horizon_at_zero():
    found = evening(CLIFF, date(2027, 3, 20), AIR)
    sun = found.sun(0.0)
    limb = found.above_horizon_arcmin(sun.true_altitude_deg + sun.angular_diameter_arcmin / 120)
    # 0.05" above the horizon by the definition of the last sliver, in the middle wavelength
    # instead of 570 nm: a second of arc.
    assert_allclose(limb, 0.0, atol=0.05)
    assert found.sets
    assert found.zero == sunset(CLIFF, date(2027, 3, 20), AIR).last_sliver


def test_array_of_seconds_equals_one_by_one():
    found = evening(CLIFF, date(2027, 3, 20), AIR)
    many = found.sun([-60.0, 0.0, 15.0]).true_altitude_deg
    assert_allclose(many, [found.sun(s).true_altitude_deg for s in (-60.0, 0.0, 15.0)], atol=1e-9)
    assert np.all(np.diff(many) < 0)


def test_polar_day_counts_from_the_lowest_and_polar_night_from_the_highest_sun():
    # At 78 N the Sun's lowest altitude in June is declination - (90 - latitude): 23.44 - 12 deg,
    # its highest in December 12 - 23.44 deg (spherical astronomy); 0.1 deg for the day chosen.
    north = Place("north", 78.0, 16.0, 2.0)
    for day, altitude in ((date(2027, 6, 21), 11.44), (date(2027, 12, 22), -11.44)):
        found = evening(north, day, AIR)
        assert not found.sets
        assert_allclose(found.sun(0.0).true_altitude_deg, altitude, atol=0.1)
