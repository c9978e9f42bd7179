"""What each constituent of the air takes from light and what it sends on, and where to."""

import numpy as np

from lowsun.physics.extinction import MARINE, ozone_depth, rayleigh_depth
from lowsun.physics.scattering.haze_phase import marine_phase

MIDDLE_NM = np.array([550.0])  # degrees are taken of the phase function here

BACKWARDS = np.cos(np.radians(np.arange(150.0, 180.1, 2.0)))  # these angles count as thrown back
HAZE_STRAIGHT_ON = 0.2  # share counted as not scattered once light comes from all sides


def rayleigh_phase(cosine):
    """Share of light that molecules scatter into a steradian [1/sr], at the angle's cosine.

    p = 3 (1 + cos^2) / 16 pi; its integral over the sphere is 1. Leaves out the molecules' own
    shape (1.5 % at most). Source: Rayleigh 1871 (from memory).
    """
    return 3.0 / (16.0 * np.pi) * (1.0 + np.asarray(cosine) ** 2)


def haze_phase(haze, cosine, wavelength_nm):
    """Share of light that haze scatters into a steradian [1/sr], one over the sphere: (..., W).

    Marine haze: `marine_phase`, by Mie's theory. Any other: that of its asymmetry g,
    p = (1 - g^2) / 4 pi (1 + g^2 - 2 g cos)^1.5, which leaves out the bright ring about the Sun.
    haze: an `extinction.Haze`; cosine (...) of the scattering angle; wavelength_nm (W,) [nm].
    Source of the second: Henyey & Greenstein 1941, Astrophys. J. 93, 70.
    """
    if haze.asymmetry == MARINE.asymmetry:
        return marine_phase(cosine, wavelength_nm)
    g, cosine = haze.asymmetry, np.asarray(cosine, dtype=float)[..., None]
    phase = (1.0 - g**2) / (4.0 * np.pi * (1.0 + g**2 - 2.0 * g * cosine) ** 1.5)
    return np.broadcast_to(phase, (*phase.shape[:-1], np.size(wavelength_nm)))


def depths(air, wavelength_nm):
    """Vertical depth of molecules, ozone and haze above the sea (3, W).

    wavelength_nm [nm].
    """
    return np.stack(
        [
            rayleigh_depth(wavelength_nm, air.atmosphere.pressure_pa[0]),
            ozone_depth(wavelength_nm, air.ozone_du),
            air.haze.depth(wavelength_nm),
        ]
    )


def scattering(depths_of_all, haze):
    """The part of `depths` that scatters, (3, W); haze: an `extinction.Haze`."""
    return depths_of_all * np.array([1.0, 0.0, haze.albedo])[:, None]


def soft_depths(depths_of_all, haze):
    """Depths for light that comes from all sides: haze's straight-on share counts as unscattered.

    tau (1 - albedo f). Source of the device: Joseph, Wiscombe & Weinman 1976, J. Atmos. Sci. 33,
    2452; f = 0.2 is this kit's, by trial against a Monte Carlo count of photons.
    """
    straight_on = np.array([0.0, 0.0, HAZE_STRAIGHT_ON])[:, None]
    return depths_of_all - straight_on * scattering(depths_of_all, haze)


def by_degree(depths_of_all, haze, straight_on):
    """Scattering by degree of the phase function, (3 degrees, 3, W): depth times (2l+1) chi_l.

    Molecules: 1, 0, 1/2, exactly theirs. Haze: 1 - f, 3 (g - f) and what gives light thrown back,
    the mean over the last 30 degrees, its true share, because the sky opposite the Sun is what we
    look at.
    """
    f, g = straight_on, haze.asymmetry
    wide = np.sqrt(1.0 - BACKWARDS**2)
    back = 4.0 * np.pi * np.average(haze_phase(haze, BACKWARDS, MIDDLE_NM)[:, 0], weights=wide)
    shape_of_haze = np.array([1.0 - f, 3.0 * (g - f), back - (1.0 - f) + 3.0 * (g - f)])
    shape = np.stack([[1.0, 0.0, 0.5], np.zeros(3), shape_of_haze], axis=1)
    return shape[:, :, None] * scattering(depths_of_all, haze)
