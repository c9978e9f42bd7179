"""What the air takes from sunlight: scattering by its molecules, ozone, haze.

Every depth is that of one vertical passage through the whole air above the sea; the rays say how
many such passages a low Sun's light makes through each of the three.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from lowsun.data import table
from lowsun.errors import InputError, keep_number, quoted, require_number, require_range, takes
from lowsun.words import term

STANDARD_PRESSURE_PA = 101325.0  # U.S. Standard Atmosphere 1976
DOBSON_UNIT_PER_M2 = 2.687e20  # molecules in 0.01 mm of ozone at 0 degC and 101325 Pa
# Hess, Koepke & Schult 1998, Bull. Am. Meteorol. Soc. 79, 831: 1 km over the sea (transcribed).
HAZE_SCALE_HEIGHT_M = 1000.0
HAZE_SCALE_RANGE_M = (100.0, 10_000.0)
AIR_EXTINCTION_PER_KM = 0.0116  # clean air at the sea, 550 nm; Hess, Koepke & Schult 1998
LEAST_TOP_M = 10.0
NO_TOP_M = 100_000.0  # haze that ends nowhere
RAYLEIGH_SEA_DEPTH_PER_CROSS_SECTION = 0.0021520  # per 1e-28 cm2; Bodhaine et al. 1999, eq. 30
TOP_M = 100_000.0  # heights above this are refused: the air of the kit ends at 86 km
OZONE_STEP_M = 50.0  # step of the running total; the share errs by less than 1e-6


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
class HazeKind:
    """What haze is made of: how it dims by wavelength, what it scatters, how high it reaches.

    exponent: Angstrom's; albedo: share of what it takes that it scatters; asymmetry: mean cosine
    of the scattering angle; scale_height_m [m].
    """

    exponent: float
    albedo: float
    asymmetry: float
    scale_height_m: float


# Marine: exponent between the clean Atlantic's 1.1 (Kaufman et al. 2001, Geophys. Res. Lett. 28,
# 3251) and the oceans' mean of 0.6 (Smirnov et al. 2009, J. Geophys. Res. 114, D06204); albedo,
# asymmetry and height of clean maritime aerosol at 80 % humidity, Hess, Koepke & Schult 1998
# (transcribed). The others' exponents are usual means; they and their optics are from memory.
KINDS = {
    term("marine"): HazeKind(0.8, 0.997, 0.772, HAZE_SCALE_HEIGHT_M),
    term("continental"): HazeKind(1.3, 0.95, 0.70, 2000.0),
    term("dust"): HazeKind(0.2, 0.92, 0.73, 3000.0),
    term("smoke"): HazeKind(1.8, 0.88, 0.63, 2500.0),
}
MARINE = KINDS["marine"]


@dataclass(frozen=True)
class Haze:
    """Haze by its optical depth at 550 nm, straight up, and how it dims and scatters.

    tau(w) = depth_550 (w / 550 nm)^-exponent.
    Valid depth 0 to 2; exponent -0.5 (desert dust, coarse salt) to 2.5 (fine smoke); albedo 0.5 to
    1; asymmetry 0 to 0.95. Where haze lies by height belongs to an `Atmosphere`.
    Leaves out absorption lines of vapour and the light that haze scatters into the picture.
    Source: Angstrom 1929, Geografiska Annaler 11, 156 (from memory).
    """

    depth_550: float
    exponent: float = MARINE.exponent
    albedo: float = MARINE.albedo
    asymmetry: float = MARINE.asymmetry

    def __post_init__(self):
        keep_number(self, "depth_550", 0, 2)
        keep_number(self, "exponent", -0.5, 2.5)
        keep_number(self, "albedo", 0.5, 1)
        keep_number(self, "asymmetry", 0, 0.95)

    @classmethod
    def of_kind(cls, depth_550, kind="marine"):
        """Haze of a kind: "marine", "continental", "dust" or "smoke".

        Raises InputError for another.
        """
        if not isinstance(kind, str) or kind not in KINDS:
            raise InputError(f"kind is {quoted(kind)}; choose one of: {', '.join(KINDS)}.")
        made = KINDS[kind]
        return cls(depth_550, made.exponent, made.albedo, made.asymmetry)

    @classmethod
    def of_turbidity(cls, turbidity, exponent=1.3):
        """Haze by Angstrom's turbidity, which is its depth at 1000 nm; 1.3 is his mean exponent.

        turbidity [1] 0 to 2, exponent [1] -0.5 to 2.5. Raises OutOfRangeError outside.
        """
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


# From the clearest to the thickest. "very clear" is Angstrom's clean air, turbidity 0.02 (from
# memory), which no sea has for long. The clean oceans' medians at 500 nm are 0.052 (Pacific,
# exponent 0.77) and 0.071 (Atlantic, 1.1), Kaufman et al. 2001: 0.048 and 0.064 at 550 nm. The
# oceans' mean is 0.11 at 500 nm, exponent 0.6, Smirnov et al. 2009: 0.104 at 550 nm. "hazy" is
# Angstrom's turbid air, turbidity 0.1 (from memory).
HAZE = {
    term("none"): Haze(0.0),
    term("very clear"): Haze.of_turbidity(0.02),
    term("clear"): Haze(0.05),
    term("sea air"): Haze(0.104, 0.6),
    term("hazy"): Haze.of_turbidity(0.1),
}
# The clean Pacific's median: a sea evening on which people go out for the Sun.
CLEAR_EVENING = HAZE["clear"]  # what the kit assumes where nothing else is said

LEAST_CONTRAST = 0.02  # Koschmieder's; AMS Glossary, "meteorological range": 3.912 / extinction


@takes(haze=Haze)
def visibility_km(haze, scale_height_m=HAZE_SCALE_HEIGHT_M):
    """How far a dark hill is seen at the sea in this haze: Koschmieder's visibility [km].

    V = ln(1 / 0.02) / b, b = rayleigh(550 nm) / 8.4 km + depth_550 / scale height.
    haze: a `Haze`; scale_height_m [m] 100 to 10 000, one number. Raises OutOfRangeError.
    Leaves out fog, and that the horizon itself may be nearer.
    Source: Koschmieder 1924 (from memory); contrast 0.02 as in the AMS Glossary.
    """
    height_m = require_number("scale_height_m", scale_height_m, *HAZE_SCALE_RANGE_M, unit="m")
    per_km = AIR_EXTINCTION_PER_KM + haze.depth_550 / (height_m / 1000.0)
    return -np.log(LEAST_CONTRAST) / per_km


def ozone_share_above(height_m):
    """Share of the whole vertical ozone column that lies above a height.

    height_m [m above the sea], any shape, 0 to 100 km; returns 1 at the sea to 0 at 74 km, where
    the profile ends; about 1e-5 of the column lies above that.
    Number density joined by straight lines between levels 2 km apart: mid-latitude annual mean.
    Leaves out season and latitude: the layer lies higher in the tropics and lower at the poles.
    Source: Krueger & Minzner 1976, J. Geophys. Res. 81, 4477, in the U.S. Standard Atmosphere 1976;
    its 37 rows equal those of NCAR's TUV-x (commit 94a148b).
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


def haze_share_above(height_m, scale_height_m=HAZE_SCALE_HEIGHT_M, top_m=NO_TOP_M):
    """Share of the whole vertical column of haze that lies above a height.

    share = (exp(-h / H) - exp(-top / H)) / (1 - exp(-top / H)) below the top, 0 above it.
    height_m [m above the sea], any shape, 0 to 100 km; scale_height_m, H [m] 100 to 10 000; top_m
    [m] 10 to 100 000: where haze ends, such as the base of an inversion. Raises OutOfRangeError.
    """
    height = require_range("height_m", height_m, 0, TOP_M, unit="m")
    scale = require_number("scale_height_m", scale_height_m, *HAZE_SCALE_RANGE_M, unit="m")
    top = require_number("top_m", top_m, LEAST_TOP_M, NO_TOP_M, unit="m")
    beyond = np.exp(-top / scale)
    return np.maximum(np.exp(-height / scale) - beyond, 0.0) / (1.0 - beyond)
