"""Sunlight scattered by a spherical atmosphere: the sky from broad day to deep twilight.

Molecules, ozone and haze; rays bent by refraction; all orders of scattering; 13 wavelengths from
400 to 700 nm; absolute radiance. `shells` and `paths` trace the rays, `sunbeam` brings direct
light to every height, `exchange` and `orders` what is scattered more than once, `store` keeps the
tables, `radiance` and `illuminance` read them.
"""

from lowsun.physics.medium import Air
from lowsun.physics.scattering.grid import WAVELENGTH_NM
from lowsun.physics.scattering.illuminance import (
    horizontal_illuminance_lx,
    illuminance_parts_lx,
    level_irradiance_ratio,
)
from lowsun.physics.scattering.radiance import (
    EYE_HEIGHT_RANGE_M,
    SUN_ALTITUDE_RANGE_DEG,
    sky_horizon_deg,
    sky_radiance,
    sky_xyz,
    sky_xyz_grid,
)
from lowsun.physics.scattering.store import sky_table

__all__ = [
    "EYE_HEIGHT_RANGE_M",
    "SUN_ALTITUDE_RANGE_DEG",
    "WAVELENGTH_NM",
    "Air",
    "horizontal_illuminance_lx",
    "illuminance_parts_lx",
    "level_irradiance_ratio",
    "sky_horizon_deg",
    "sky_radiance",
    "sky_table",
    "sky_xyz",
    "sky_xyz_grid",
]
