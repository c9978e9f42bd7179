"""The air itself: its refractive index and the standard atmosphere."""

from lowsun.physics.air import ZERO_CELSIUS_K, refractivity, saturation_vapour_pressure_pa
from lowsun.physics.atmosphere import Atmosphere
from lowsun.proof.measures.register import measure

MOLAR_MASS, GAS_CONSTANT = 0.0289644, 8.31432  # US Standard Atmosphere 1976: kg/mol, J/(mol K)


@measure("refractivity of air, (n − 1) × 10⁸")
def refractivity_e8(
    wavelength_nm, temperature_c, pressure_pa, humidity=0.0, vapour_pa=None, co2_ppm=450.0
):
    temperature_k = ZERO_CELSIUS_K + temperature_c
    if vapour_pa is not None:
        humidity = vapour_pa / saturation_vapour_pressure_pa(temperature_k)
    return 1e8 * refractivity(wavelength_nm, temperature_k, pressure_pa, humidity, co2_ppm)


@measure("temperature of the standard atmosphere", "K")
def standard_temperature_k(height_m):
    return Atmosphere.standard().at(height_m)[0]


@measure("pressure of the standard atmosphere", "Pa")
def standard_pressure_pa(height_m):
    return Atmosphere.standard().at(height_m)[1]


@measure("density of the standard atmosphere", "kg/m³")
def standard_density(height_m):
    temperature, pressure, _ = Atmosphere.standard().at(height_m)
    return pressure * MOLAR_MASS / (GAS_CONSTANT * temperature)
