"""What the air takes from sunlight: scattering by its molecules, ozone, haze.

Every depth is that of one vertical passage through the whole air above the sea; the rays say how
many such passages a low Sun's light makes through each of the three.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from lowsun.data import table
from lowsun.errors import InputError, keep_number, quoted, require_number, require_range, takes

STANDARD_PRESSURE_PA = 101325.0  # U.S. Standard Atmosphere 1976
DOBSON_UNIT_PER_M2 = 2.687e20  # molecules in 0.01 mm of ozone at 0 degC and 101325 Pa
HAZE_SCALE_HEIGHT_M = 1500.0  # common practice, no source: 1 to 2 km is usual
RAYLEIGH_SEA_DEPTH_PER_CROSS_SECTION = 0.0021520  # per 1e-28 cm2; Bodhaine et al. 1999, eq. 30
TOP_M = 100_000.0  # heights above this are refused: the air of the kit ends at 86 km
OZONE_STEP_M = 50.0  # of the running total; its error in the share is below 1e-6


def rayleigh_cross_section_m2(wavelength_nm):
    """Scattering cross-section of one molecule of dry air with 360 ppm of CO2.

    sigma = (a - b w^-2 - c w^2) / (1 + d w^-2 - e w^2), w the wavelength in um.
    wavelength_nm [nm, vacuum], any shape; returns [m2], same shape.
    Valid 250 to 850 nm; within 0.01 % of the full calculation from the refractive index.
    Leaves out water vapour. Source: Bodhaine et al. 1999, J. Atmos. Oceanic Technol. 16, 1854,
    eq. 29.
    """
    wavelength_um = require_range("wavelength_nm", wavelength_nm, 250, 850, unit="nm") / 1000
    square = wavelength_um**2
    above = 1.0455996 - 341.29061 / square - 0.90230850 * square
    below = 1 + 0.0027059889 / square - 85.968563 * square
    return 1e-32 * above / below  # the fit is in 1e-28 cm2


def rayleigh_depth(wavelength_nm, pressure_pa=STANDARD_PRESSURE_PA):
    """Optical depth of the air's molecules, straight up from where the pressure is pressure_pa.

    tau = 0.0021520 (sigma / 1e-28 cm2) p / 101325 Pa.
    wavelength_nm [nm, vacuum] and pressure_pa [Pa] broadcast; returns a pure number.
    Valid 250 to 850 nm, 0 to 120 kPa; 0.1 % at the sea in latitude 45, where the column of air
    over a pascal is counted. Leaves out the change of gravity with place and height (0.3 %).
    Source: Bodhaine et al. 1999, J. Atmos. Oceanic Technol. 16, 1854, eq. 30.
    """
    pressure = require_range("pressure_pa", pressure_pa, 0, 120_000, unit="Pa")
    sea_depth = RAYLEIGH_SEA_DEPTH_PER_CROSS_SECTION * rayleigh_cross_section_m2(wavelength_nm)
    return sea_depth * 1e32 * pressure / STANDARD_PRESSURE_PA


def ozone_cross_section_m2(wavelength_nm):
    """Absorption cross-section of one ozone molecule at 233 K [m2].

    Means over 10 nm, taken to hold at the middle of each bin and joined by straight lines.
    wavelength_nm [nm], any shape. Valid 365 to 835 nm.
    Leaves out the dependence on temperature, and structure finer than 10 nm.
    Source: Gorshelev et al. and Serdyuchenko et al. 2014, Atmos. Meas. Tech. 7, 609 and 625.
    """
    bins = table("ozone_cross_section_233k")
    middle_nm = (bins["bin_start_nm"] + bins["bin_end_nm"]) / 2
    wavelength = require_range(
        "wavelength_nm", wavelength_nm, middle_nm[0], middle_nm[-1], unit="nm"
    )
    return np.interp(wavelength, middle_nm, bins["cross_section_m2"])


def ozone_depth(wavelength_nm, ozone_du=300.0):
    """Optical depth of the whole ozone layer, straight up.

    tau = sigma N, N = 2.687e20 molecules per m2 for each Dobson unit.
    wavelength_nm [nm] and ozone_du [Dobson units] broadcast; returns a pure number.
    Valid 365 to 835 nm, 0 to 600 DU (0: air without ozone, to show what ozone does).
    >>> round(float(ozone_depth(600.0)), 3)
    0.039
    """
    ozone = require_range("ozone_du", ozone_du, 0, 600, unit="DU")
    return ozone_cross_section_m2(wavelength_nm) * ozone * DOBSON_UNIT_PER_M2


@dataclass(frozen=True)
class Haze:
    """Haze by its optical depth at 550 nm, straight up, and Angstrom's exponent.

    tau(w) = depth_550 (w / 550 nm)^-exponent.
    Valid depth 0 to 2; exponent -0.5 (desert dust, coarse salt) to 2.5 (fine smoke).
    Leaves out absorption lines of vapour and the light that haze scatters into the picture.
    Source: Angstrom 1929, Geografiska Annaler 11, 156 (from memory).
    """

    depth_550: float
    exponent: float = 1.3  # Angstrom's mean value (from memory)

    def __post_init__(self):
        keep_number(self, "depth_550", 0, 2)
        keep_number(self, "exponent", -0.5, 2.5)

    @classmethod
    def of_turbidity(cls, turbidity, exponent=1.3):
        """Haze by Angstrom's turbidity, which is its depth at 1000 nm."""
        depth_1000 = require_number("turbidity", turbidity, 0, 2)
        slope = require_number("exponent", exponent, -0.5, 2.5)
        return cls(depth_1000 * (550 / 1000) ** -slope, slope)

    @classmethod
    def named(cls, name):
        """One of HAZE by its name, or an InputError that names those there are."""
        if not isinstance(name, str) or name not in HAZE:
            raise InputError(f"haze is {quoted(name)}; choose one of: {', '.join(HAZE)}.")
        return HAZE[name]

    def depth(self, wavelength_nm):
        """Optical depth straight up; wavelength_nm [nm] of any shape, 340 to 1020 nm."""
        wavelength = require_range("wavelength_nm", wavelength_nm, 340, 1020, unit="nm")
        return self.depth_550 * (wavelength / 550) ** -self.exponent


# Turbidities 0.02, 0.1 and 0.2 are Angstrom's clean, clear and turbid air; the sea air is a mean
# over open oceans, fine salt with a flat spectrum. All from memory.
HAZE = {
    "none": Haze(0.0),
    "very clear": Haze.of_turbidity(0.02),
    "sea air": Haze(0.07, 0.5),
    "clear": Haze.of_turbidity(0.1),
    "hazy": Haze.of_turbidity(0.2),
}


def ozone_share_above(height_m):
    """Share of the whole vertical ozone column that lies above a height.

    height_m [m above the sea], any shape, 0 to 100 km; returns 1 at the sea to 0 at 74 km, where
    the profile ends; about 1e-5 of the column lies above that.
    Number density joined by straight lines between levels 2 km apart: mid-latitude annual mean.
    Leaves out season and latitude: the layer lies higher in the tropics and lower at the poles.
    Source: Krueger & Minzner 1976, J. Geophys. Res. 81, 4477, in the U.S. Standard Atmosphere 1976
    (its table from memory).
    """
    height = require_range("height_m", height_m, 0, TOP_M, unit="m")
    return np.interp(height, *_ozone_shares())


@cache
def _ozone_shares():
    profile = table("ozone_profile_us_standard_1976")
    height_m = np.arange(0, profile["height_m"][-1] + 1, OZONE_STEP_M)
    density = np.interp(height_m, profile["height_m"], profile["ozone_per_m3"])
    below = np.concatenate([[0.0], np.cumsum(density[1:] + density[:-1])])
    return height_m, 1 - below / below[-1]


def haze_share_above(height_m):
    """Share of the whole vertical column of haze that lies above a height.

    share = exp(-height / 1500 m); height_m [m above the sea], any shape, 0 to 100 km.
    Leaves out haze that is well mixed below an inversion and absent above it.
    """
    height = require_range("height_m", height_m, 0, TOP_M, unit="m")
    return np.exp(-height / HAZE_SCALE_HEIGHT_M)


def _require_columns(curve):
    try:
        held = np.ndim(curve.air_column), curve.ozone_column, curve.haze_column
    except Exception as refused:  # what is no curve may raise anything when asked for its columns
        raise InputError(
            f"curve is {quoted(curve)}; give what `rays.transfer_curve` returned."
        ) from refused
    return held


@takes(haze=Haze)
def transmission(curve, haze, ozone_du=300.0):
    """Share of the sunlight that comes through the air along each ray of a transfer curve.

    T = exp(-(tau_air X_air + tau_ozone X_ozone + tau_haze X_haze)), X the ray's columns relative
    to the whole vertical columns above the sea, so nothing is taken from a flat Earth's 1/sin.
    curve: a `TransferCurve`, whose atmosphere gives the pressure at the sea; haze: a `Haze`;
    ozone_du [Dobson units]. Returns the curve's shape, (W, A), 0 to 1; NaN where the curve is NaN
    because the ray never reaches space.
    Valid 365 to 835 nm. Leaves out nitrogen dioxide and the narrow bands of oxygen and water
    vapour, which deepen towards the horizon near 590, 630, 650, 690, 720 and 760 nm.
    """
    _require_columns(curve)
    ozone_du = require_number("ozone_du", ozone_du, 0, 600, unit="DU")
    altitudes = np.ndim(curve.air_column) - np.ndim(curve.wavelength_nm)
    wavelength_nm = np.expand_dims(curve.wavelength_nm, tuple(range(-altitudes, 0)))
    depth = (
        rayleigh_depth(wavelength_nm, curve.atmosphere.pressure_pa[0]) * curve.air_column
        + ozone_depth(wavelength_nm, ozone_du) * curve.ozone_column
        + haze.depth(wavelength_nm) * curve.haze_column
    )
    return np.exp(-depth)
