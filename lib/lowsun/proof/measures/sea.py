"""The sea as a mirror."""

import numpy as np

from lowsun.physics import water
from lowsun.proof.measures.register import measure


@measure("refractive index of sea water")
def sea_index(wavelength_nm, temperature_c):
    return water.water_index(wavelength_nm, temperature_c)


@measure("light mirrored by flat water", "% of it")
def mirrored_percent(incidence_deg, index=1.333):
    return 100.0 * water.fresnel_reflectance(np.cos(np.radians(incidence_deg)), index)


@measure("slope of the waves, root mean square", "°")
def slope_deg(wind_m_per_s):
    return np.degrees(np.arctan(np.sqrt(sum(water.slope_variances(wind_m_per_s)))))
