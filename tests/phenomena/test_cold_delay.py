"""How long cold air puts the polar night off: rays, air and Sun computed a second way.

Temperature by height is the one thing taken from the kit. Pressure, index, ray and the Sun's
altitude are another's: hydrostatics by summing up, Peck & Reeder 1972 by density, Auer & Standish
2000 (Astronomical Journal 119, 2472) over the zenith angle, and pvlib's solar position algorithm.
"""

from datetime import timedelta

import numpy as np
import pandas as pd
import pvlib
import pytest

from lowsun.phenomena.polar_sunset import polar_air, put_off
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import Place

RADIUS_M, GRAVITY, MOLAR_MASS, GAS_CONSTANT = 6_371_000.0, 9.80665, 0.0289644, 8.31446
PECK_REEDER_574 = 2.7741e-4  # n - 1 at 574 nm, 15 degC, 101325 Pa, by their formula
POLE = Place("the North Pole", 90, 0, 0.0)
HEIGHT_M = 85_000.0 * np.linspace(0.0, 1.0, 20_001) ** 2  # close together near the ice


def index(atmosphere):
    temperature = atmosphere.at(HEIGHT_M)[0]
    gravity = GRAVITY * (RADIUS_M / (RADIUS_M + HEIGHT_M)) ** 2
    slope = gravity * MOLAR_MASS / (GAS_CONSTANT * temperature)
    steps = np.diff(HEIGHT_M) * (slope[1:] + slope[:-1]) / 2.0
    pressure = 101_325.0 * np.exp(-np.concatenate([[0.0], np.cumsum(steps)]))
    return 1.0 + PECK_REEDER_574 * (pressure / 101_325.0) * (288.15 / temperature)


def horizontal_refraction_deg(atmosphere):
    """R = integral of -q / (1 + q) over the zenith angle, q = d ln n / d ln r."""
    n, r = index(atmosphere), RADIUS_M + HEIGHT_M
    q = r * np.gradient(np.log(n), HEIGHT_M)
    zenith = np.arcsin(np.minimum(n[0] * r[0] / (n * r), 1.0))
    return np.degrees(np.trapezoid(-q / (1.0 + q), -zenith))


def delay_h(deeper_deg):
    """Hours that SPA's Sun takes at the pole, in the autumn of 2027, from one depth to another."""
    when = pd.date_range("2027-09-20", "2027-10-20", freq="1h", tz="UTC")
    altitude = pvlib.solarposition.spa_python(when, 90.0, 0.0, delta_t=None)["elevation"]
    hours = np.arange(when.size)
    radius = 0.266
    passed = np.interp(np.add(deeper_deg, radius), -altitude.to_numpy(), hours)
    return passed[1] - passed[0]


def test_the_second_way_gives_the_handbooks_refraction():
    # palpy 1.8.4 refro, the same surface: 32.95'; another gravity and stratosphere.
    assert horizontal_refraction_deg(Atmosphere.standard()) * 60.0 == pytest.approx(32.95, abs=0.1)


@pytest.mark.parametrize("inversion_k", [0.0, 5.0, 10.0, 15.0])
@pytest.mark.parametrize("surface_k", [258.15, 243.15, 228.15])
def test_cold_air_puts_the_last_sunset_off_by_as_much(surface_k, inversion_k):
    air = polar_air(surface_k, inversion_k)
    depths = [horizontal_refraction_deg(each) for each in (Atmosphere.standard(), air)]
    ours = put_off(POLE, 2027, air).by / timedelta(hours=1)
    # 1.5 %: the compressibility of cold air and the index's own shape with it are left out there.
    assert ours == pytest.approx(delay_h(depths), rel=0.015)
    assert ours > 5.0
