"""Refractive index of air after Ciddor 1996 (Applied Optics 35, 1566-1573).

The refractivity n - 1 is the sum of a dry and a vapour part, and each part is a density, which
depends on the state of the air alone, times a dispersion, which depends on the wavelength alone.
Wavelengths are vacuum wavelengths in nanometres everywhere.
"""

import numpy as np

from lowsun.errors import OutOfRangeError, require_range

WAVELENGTH_RANGE_NM = (230.0, 1690.0)  # Ciddor 1996, range of the dry-air dispersion
TEMPERATURE_RANGE_K = (120.0, 373.15)  # ideal-gas limit below 233 K, where pressures are low
PRESSURE_RANGE_PA = (0.0, 200_000.0)
CO2_RANGE_PPM = (0.0, 2000.0)

GAS_CONSTANT = 8.314510  # J/(mol K), the value the equation was fitted with
WATER_MOLAR_MASS = 0.018015  # kg/mol
ZERO_CELSIUS_K = 273.15


def refractivity(wavelength_nm, temperature_k, pressure_pa, relative_humidity=0.0, co2_ppm=450.0):
    """n - 1 of moist air, without ever forming n.

    n - 1 = (rho_a / rho_axs) (n_axs - 1) + (rho_w / rho_ws) (n_ws - 1)   (Ciddor eq. 5)

    Parameters broadcast together:
        wavelength_nm [nm, vacuum] 230 to 1690; the vapour part is measured from 350 to 1200
        temperature_k [K] 120 to 373.15
        pressure_pa [Pa] 0 to 200 000
        relative_humidity [1] 0 to 1, over water
        co2_ppm [umol/mol] 0 to 2000
    Returns n - 1 [1], broadcast shape.
    Accuracy: 2e-8 to 5e-8 of n at 233 to 373 K and 80 to 120 kPa (Ciddor); the thin cold air
    above is close to an ideal gas. Leaves out absorption lines.

    >>> round(float(refractivity(589.3, 288.15, 101325.0)) * 1e8, 1)
    27714.7
    """
    dry, vapour = relative_densities(temperature_k, pressure_pa, relative_humidity)
    dry_dispersion, vapour_dispersion = dispersions(wavelength_nm, co2_ppm)
    return dry * dry_dispersion + vapour * vapour_dispersion


def dispersions(wavelength_nm, co2_ppm=450.0):
    """Refractivity of dry air and of water vapour at their reference densities.

    Reference: dry air at 288.15 K and 101325 Pa, pure vapour at 293.15 K and 1333 Pa
    (Ciddor eqs. 1 to 3). Returns two arrays [1], broadcast shape.
    """
    wavelength = require_range("wavelength_nm", wavelength_nm, *WAVELENGTH_RANGE_NM, unit="nm")
    co2 = require_range("co2_ppm", co2_ppm, *CO2_RANGE_PPM, unit="ppm")
    s2 = (1e3 / wavelength) ** 2  # um^-2
    dry = 1e-8 * (5792105.0 / (238.0185 - s2) + 167917.0 / (57.362 - s2))
    vapour = 1.022e-8 * (295.235 + s2 * (2.6422 + s2 * (-0.032380 + s2 * 0.004028)))
    return dry * (1.0 + 0.534e-6 * (co2 - 450.0)), vapour


def relative_densities(temperature_k, pressure_pa, relative_humidity=0.0):
    """Densities of the dry and the vapour part divided by their reference densities [1] (Ciddor eq.
    4).

    Parameters and ranges as in `refractivity`; returns two arrays, broadcast shape.
    """
    temperature, pressure, humidity = _state(temperature_k, pressure_pa, relative_humidity)
    vapour_share = _vapour_mole_fraction(temperature, pressure, humidity)
    molar = _molar_density(temperature, pressure, vapour_share)
    # The molar mass, and with it CO2, cancels: both densities of the dry part are of one gas.
    dry = molar * (1.0 - vapour_share) / _molar_density(288.15, 101325.0, 0.0)
    vapour = molar * vapour_share / _molar_density(293.15, 1333.0, 1.0)
    return dry, vapour


def saturation_vapour_pressure_pa(temperature_k):
    """Saturation vapour pressure over water [Pa] (Ciddor 1996, after Davis 1992).

    temperature_k [K] 120 to 373.15; also used below freezing, as relative humidity is by
    convention (WMO) reckoned over water there too.
    """
    t = require_range("temperature_k", temperature_k, *TEMPERATURE_RANGE_K, unit="K")
    return np.exp(1.2378847e-5 * t**2 - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t)


def dry_molar_mass(co2_ppm=450.0):
    """Molar mass of dry air [kg/mol] (Ciddor 1996).

    co2_ppm [ppm] 0 to 2000. Raises OutOfRangeError outside.
    """
    co2 = require_range("co2_ppm", co2_ppm, *CO2_RANGE_PPM, unit="ppm")
    return 1e-3 * (28.9635 + 12.011e-6 * (co2 - 400.0))


def virtual_temperature_k(temperature_k, pressure_pa, relative_humidity=0.0):
    """Temperature at which dry air would be as dense as this moist air [K]."""
    temperature, pressure, humidity = _state(temperature_k, pressure_pa, relative_humidity)
    share = _vapour_mole_fraction(temperature, pressure, humidity)
    return temperature / (1.0 - share * (1.0 - WATER_MOLAR_MASS / dry_molar_mass()))


def _state(temperature_k, pressure_pa, relative_humidity):
    remedy = "It is a share: 0.5 for 50 %."
    return (
        require_range("temperature_k", temperature_k, *TEMPERATURE_RANGE_K, unit="K"),
        require_range("pressure_pa", pressure_pa, *PRESSURE_RANGE_PA, unit="Pa"),
        require_range("relative_humidity", relative_humidity, 0.0, 1.0, remedy=remedy),
    )


def _vapour_mole_fraction(temperature_k, pressure_pa, relative_humidity):
    celsius = temperature_k - ZERO_CELSIUS_K
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * celsius**2
    partial = relative_humidity * enhancement * saturation_vapour_pressure_pa(temperature_k)
    if np.any(partial > pressure_pa):
        raise OutOfRangeError(
            f"relative_humidity up to {np.max(relative_humidity):g} asks for more vapour than there"
            " is air; allowed is a vapour pressure up to the air's own. Lower the humidity of such"
            " thin or hot air."
        )
    return partial / np.maximum(pressure_pa, np.finfo(float).tiny)


def _molar_density(temperature_k, pressure_pa, vapour_share):
    return pressure_pa / (
        _compressibility(temperature_k, pressure_pa, vapour_share) * GAS_CONSTANT * temperature_k
    )


def _compressibility(temperature_k, pressure_pa, vapour_share):
    """Ciddor 1996 eq. 12 (BIPM 1981/91 density equation)."""
    t = temperature_k - ZERO_CELSIUS_K
    x = vapour_share
    ratio = pressure_pa / temperature_k
    linear = (
        1.58123e-6
        + t * (-2.9331e-8 + t * 1.1043e-10)
        + (5.707e-6 - 2.051e-8 * t) * x
        + (1.9898e-4 - 2.376e-6 * t) * x**2
    )
    return 1.0 - ratio * linear + ratio**2 * (1.83e-11 - 0.765e-8 * x**2)
