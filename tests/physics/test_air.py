"""The refractive index of air against Ciddor's own tables, NIST and a rival formula.

Everything is compared in n - 1, in units of 1e-8: a tolerance of 1e-7 on n would be 1.5 % of all
the dispersion there is in the visible.
"""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import air
from lowsun.physics.air import refractivity, saturation_vapour_pressure_pa
from tally import Tally, mostly

PRINTED = 0.06  # of 1e-8: half of the last figure printed, and the temperature's own rounding


def e8(*state, **more):
    """(n - 1) in units of 1e-8."""
    return refractivity(*state, **more) * 1e8


@pytest.mark.parametrize(
    ("wavelength_nm", "expected"),
    # Ciddor 1996 (Applied Optics 35, 1566) eq. 1, by hand: dry, 15 degC, 101325 Pa, 450 ppm CO2
    [
        (400.0, 28276.18),
        (450.0, 28053.34),
        (500.0, 27897.38),
        (550.0, 27783.76),
        (589.3, 27714.73),
        (633.0, 27653.02),
        (656.28, 27625.20),
        (700.0, 27580.45),
    ],
)
def test_standard_dry_air(wavelength_nm, expected):
    assert_allclose(e8(wavelength_nm, 288.15, 101325.0), expected, rtol=0, atol=0.01)


@pytest.mark.parametrize(
    ("short_nm", "long_nm", "expected"), [(400.0, 700.0, 0.02504), (486.13, 656.28, 0.01117)]
)
def test_dispersion_alone(short_nm, long_nm, expected):
    """(n_short - n_long) / (n_550 - 1) by Ciddor 1996 eq. 1: the rims' widths hang on it."""
    short, middle, long = refractivity(np.array([short_nm, 550.0, long_nm]), 288.15, 101325.0)
    assert_allclose((short - long) / middle, expected, rtol=0, atol=5e-6)


def peck_and_reeder(wavelength_nm):
    """(n - 1) 1e8 of dry air, 15 degC, 101325 Pa, 330 ppm: Peck & Reeder 1972, eq. 2.

    J. Opt. Soc. Am. 62, 958; the coefficients from memory.
    """
    s2 = (1e3 / wavelength_nm) ** 2
    return 8060.51 + 2480990.0 / (132.274 - s2) + 17455.7 / (39.32957 - s2)


@given(st.floats(350.0, 1000.0))
def test_rival_formula_agrees(wavelength_nm):
    """Published formulas differ by up to 2e-8."""
    got = e8(wavelength_nm, 288.15, 101325.0, co2_ppm=330.0)
    assert_allclose(got, peck_and_reeder(wavelength_nm), rtol=0, atol=2.0)


def test_rival_formula_agrees_on_the_dispersion():
    blue, red = 450.0, 650.0
    rival = peck_and_reeder(blue) - peck_and_reeder(red)
    own = -np.diff(e8(np.array([blue, red]), 288.15, 101325.0))[0]
    assert_allclose(own, rival, rtol=2e-3)


def test_no_air_bends_nothing():
    assert refractivity(550.0, 250.0, 0.0) == 0.0


@given(st.floats(235.0, 1690.0), st.floats(125.0, 370.0))
def test_thin_dry_air_follows_pressure_over_temperature(wavelength_nm, temperature_k):
    """Ideal-gas limit: at 1 Pa n - 1 goes as p/T to 1e-6."""
    thin = refractivity(wavelength_nm, temperature_k, 1.0)
    assert_allclose(refractivity(wavelength_nm, temperature_k, 2.0), 2.0 * thin, rtol=1e-6)
    cool = refractivity(wavelength_nm, 0.98 * temperature_k, 1.0)
    assert_allclose(cool * 0.98, thin, rtol=1e-6)


@given(st.floats(300.0, 1600.0), st.floats(1.0, 60.0))
def test_shorter_waves_are_bent_more(wavelength_nm, step_nm):
    blue, red = refractivity(np.array([wavelength_nm - step_nm, wavelength_nm]), 280.0, 9e4)
    assert blue > red


@given(st.floats(280.0, 320.0), st.floats(0.05, 1.0))
def test_moist_air_bends_visible_light_less_than_dry(temperature_k, humidity):
    moist = refractivity(550.0, temperature_k, 1e5, humidity)
    assert moist < refractivity(550.0, temperature_k, 1e5)


def test_reference_densities_are_one():
    """At the state each dispersion was measured in, its relative density is 1 by definition."""
    dry, _ = air.relative_densities(288.15, 101325.0)
    assert_allclose(dry, 1.0, rtol=1e-12)


@pytest.mark.parametrize(
    ("celsius", "expected_pa", "rtol"),
    # Vapour pressure over water: 0.01 degC triple point and 100 degC by IAPWS, 20 and 25 degC and
    # supercooled -20 degC by the Goff-Gratch tables of WMO-No. 8; all from memory.
    [
        (0.01, 611.66, 1e-3),
        (20.0, 2339.0, 1e-3),
        (25.0, 3169.0, 1e-3),
        (100.0, 101420.0, 5e-3),
        (-20.0, 125.4, 1e-2),
    ],
)
def test_saturation_vapour_pressure(celsius, expected_pa, rtol):
    assert_allclose(saturation_vapour_pressure_pa(273.15 + celsius), expected_pa, rtol=rtol)


def test_carbon_dioxide_adds_its_own_share():
    """0.534e-6 of n - 1 for each ppm (Ciddor 1996 eq. 2)."""
    more, less = (refractivity(550.0, 288.15, 101325.0, co2_ppm=c) for c in (550.0, 450.0))
    assert_allclose(more / less - 1.0, 5.34e-5, rtol=1e-6)


def test_numbers_and_arrays_agree():
    wavelength = np.array([400.0, 550.0, 700.0])[:, None, None]
    temperature = np.array([250.0, 290.0])[:, None]
    pressure = np.array([2e4, 9e4, 1e5])
    whole = refractivity(wavelength, temperature, pressure, 0.4)
    assert whole.shape == (3, 2, 3)
    each = [
        refractivity(float(w), float(t), float(p), 0.4)
        for w in wavelength.ravel()
        for t in temperature.ravel()
        for p in pressure
    ]
    assert_allclose(whole.ravel(), each, rtol=1e-14)


@pytest.mark.parametrize(
    ("state", "message"),
    [
        ((229.0, 288.0, 1e5), "wavelength_nm is 229 nm; allowed is 230 to 1690 nm"),
        ((0.55, 288.0, 1e5), r"wavelength_nm is 0.55 nm; allowed"),
        ((550.0, 15.0, 1e5), "temperature_k is 15 K; allowed is 120 to 373.15 K"),
        ((550.0, 288.0, -1.0), "pressure_pa is -1 Pa; allowed is 0 to 200000 Pa"),
        ((550.0, 288.0, 1e5, 50.0), "relative_humidity is 50; allowed is 0 to 1"),
        ((550.0, 288.0, 1e5, 0.5, -1.0), "co2_ppm is -1 ppm; allowed is 0 to 2000 ppm"),
        ((np.nan, 288.0, 1e5), "wavelength_nm is nan nm; allowed"),
        ((550.0, np.inf, 1e5), "temperature_k is inf K; allowed"),
        (([550.0, 1700.0], 288.0, 1e5), "wavelength_nm is 1700 nm; allowed"),
        (("green", 288.0, 1e5), "wavelength_nm is 'green', which is not a number"),
    ],
)
def test_what_cannot_be_is_refused(state, message):
    with pytest.raises(OutOfRangeError, match=message):
        refractivity(*state)


def test_any_state_gives_a_number_or_is_refused():
    tally = Tally(OutOfRangeError)

    @given(
        mostly(st.floats(*air.WAVELENGTH_RANGE_NM)),
        mostly(st.floats(*air.TEMPERATURE_RANGE_K)),
        mostly(st.floats(*air.PRESSURE_RANGE_PA)),
        mostly(st.floats(0.0, 0.01)),
    )
    def every(wavelength, temperature, pressure, humidity):
        with tally.example():
            assert np.isfinite(refractivity(wavelength, temperature, pressure, humidity)).all()

    every()
    tally.require(accepted=8, refused=8)
    assert all(re.search("; allowed is|not a number|more vapour", m) for m in tally.messages)


@given(
    st.floats(*air.WAVELENGTH_RANGE_NM),
    st.floats(*air.TEMPERATURE_RANGE_K),
    st.floats(*air.PRESSURE_RANGE_PA),
    st.floats(0.0, 1.0),
    st.floats(*air.CO2_RANGE_PPM),
)
def test_every_state_within_the_ranges_gives_a_sensible_number(
    wavelength, temperature, pressure, humidity, co2
):
    """Denser than any air allowed: 2 bar at 120 K, about 5 times the air at the ground."""
    # Vapour in air too thin for it is refused; half the saturation pressure leaves 0.5 % for its
    # enhancement by the air.
    most = 0.5 * pressure / air.saturation_vapour_pressure_pa(temperature)
    humidity = min(humidity, most)
    assert 0.0 <= refractivity(wavelength, temperature, pressure, humidity, co2) < 2.5e-3


def test_more_vapour_than_air_is_refused():
    # Water boils at 373 K at 1013 hPa: at half that pressure the air cannot hold it.
    with pytest.raises(OutOfRangeError, match="more vapour than there is air"):
        refractivity(550.0, 373.0, 50_000.0, 1.0)
    assert refractivity(550.0, 373.0, 50_000.0, 0.0) > 0.0
