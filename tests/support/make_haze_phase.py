"""Makes lib/lowsun/data/haze_phase_marine.csv: how clean marine haze scatters, by Mie's theory.

    python tests/support/make_haze_phase.py

Spheres of the lognormal modes of OPAC's clean maritime aerosol at 80 % relative humidity (Hess,
Koepke & Schult 1998, Bull. Am. Meteorol. Soc. 79, 831; modes and refractive indices from memory,
numbers per volume as transcribed in public code), summed with the library miepython.
"""

import sys
from pathlib import Path

import miepython
import numpy as np

PATH = Path(__file__).parents[2] / "lib/lowsun/data/haze_phase_marine.csv"
WAVELENGTH_NM = (400, 475, 550, 625, 700)
ANGLE_DEG = np.unique(
    np.round(
        np.concatenate(
            [
                [0.0],
                np.geomspace(0.1, 10.0, 36),
                np.arange(11.0, 30.0, 1.5),
                np.arange(30.0, 181.0, 2.5),
            ]
        ),
        3,
    )
)
# number per cm3, mode radius [um], geometric standard deviation, refractive index at 550 nm
MODES = {
    "water soluble": (1500.0, 0.0306, 2.24, 1.40 - 0.002j),
    "sea salt, fine": (20.0, 0.416, 2.03, 1.354 - 1e-8j),
    "sea salt, coarse": (0.0032, 3.49, 2.03, 1.354 - 1e-8j),
}
SMALLEST_UM, LARGEST_UM, RADII = 0.005, 60.0, 400


def scattered(wavelength_nm, angle_deg=ANGLE_DEG):
    """Extinction and scattering [1/km] and the phase function [1/sr] of the mixed modes."""
    cosine = np.cos(np.radians(angle_deg))
    extinction = scattering = 0.0
    phase = np.zeros_like(cosine)
    for number, middle, spread, index in MODES.values():
        radius = np.geomspace(
            max(SMALLEST_UM, middle / spread**5), min(LARGEST_UM, middle * spread**5), RADII
        )
        share = number * _lognormal(radius, middle, spread) * np.gradient(radius)
        for r, weight in zip(radius, share, strict=True):
            x = 2.0 * np.pi * r / (wavelength_nm / 1000.0)
            q_ext, q_sca, _, _ = miepython.efficiencies_mx(index, x)
            area = np.pi * r**2 * weight * 1e-3  # um2 per cm3 is 1e-6 1/m, 1e-3 1/km
            extinction += q_ext * area
            scattering += q_sca * area
            # miepython's unpolarised intensity, normed to one over the sphere
            phase += q_sca * area * miepython.i_unpolarized(index, x, cosine, norm="one")
    return float(extinction), float(scattering), phase / scattering


def _lognormal(radius, middle, spread):
    log = np.log(spread)
    return np.exp(-0.5 * (np.log(radius / middle) / log) ** 2) / (np.sqrt(2 * np.pi) * log * radius)


def asymmetry(phase, angle_deg=ANGLE_DEG):
    """Mean cosine of the scattering angle."""
    cosine = np.cos(np.radians(angle_deg))
    total = np.trapezoid(phase, cosine)
    return float(np.trapezoid(phase * cosine, cosine) / total)


def main():
    """Write the table, and say what the haze takes."""
    columns = []
    for nm in WAVELENGTH_NM:
        extinction, scattering, phase = scattered(nm)
        print(f"{nm} nm: {extinction:.4f} 1/km, albedo {scattering / extinction:.4f},"
              f" asymmetry {asymmetry(phase):.4f}")  # fmt: skip
        columns.append(phase)
    header = [
        "# Phase function of clean marine haze [1/sr], its integral over the sphere 1.",
        "# Source: Mie's theory (miepython 3.3.0) for OPAC's clean maritime modes at 80 % relative",
        "# humidity, Hess, Koepke & Schult 1998, Bull. Am. Meteorol. Soc. 79, 831 (modes from"
        " memory).",
        "# Made by tests/support/make_haze_phase.py.",
        "angle_deg," + ",".join(f"nm{nm}" for nm in WAVELENGTH_NM),
    ]
    rows = [
        f"{angle:g}," + ",".join(f"{column[k]:.5g}" for column in columns)
        for k, angle in enumerate(ANGLE_DEG)
    ]
    PATH.write_text("\n".join([*header, *rows, ""]), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
