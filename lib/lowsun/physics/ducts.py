"""The heights under a duct from which light can just get out of the air, or into the eye.

Along a ray n r cos(altitude) keeps its value, so a ray passes a height only where n r is greater.
A duct ends where n r is least; an eye below it, at a height with the same n r, sees level rays just
clear it. A little lower they pass it at a grazing angle and are spread out as by no other air; a
little higher they are trapped.
"""

import numpy as np

from lowsun.errors import require_number, require_row, takes
from lowsun.physics import air
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.layers import EARTH_RADIUS_M, samples_m
from lowsun.physics.rays import GREEN_NM

DIVISIONS = 64  # parts of the layer in which a height is looked for: to centimetres


@takes(atmosphere=Atmosphere)
def grazing_heights_m(atmosphere, grazing_arcmin, wavelength_nm=GREEN_NM):
    """Heights from which level rays pass the end of a duct at grazing angles, (D, G) [m].

    ln nr(height) = ln nr(end of the duct) + ln cos(grazing angle): at 0 level rays just clear it.
    grazing_arcmin [arcmin] 0 to 60, (G,); D ducts, from low to high, none where n r rises all the
    way up; wavelength_nm [nm, vacuum] 230 to 1690, one number. Raises OutOfRangeError outside.
    To centimetres between the air's levels. Where the sea cuts the heights off it is 0.
    """
    grazing = require_row("grazing_arcmin", grazing_arcmin, 0.0, 60.0, unit="arcmin")
    name, limits = "wavelength_nm", air.WAVELENGTH_RANGE_NM
    wavelength = require_number(name, wavelength_nm, *limits, unit="nm")
    found = _grazing_heights(atmosphere, wavelength, grazing)
    heights = sorted(found, key=lambda row: row[-1])
    return np.array(heights).reshape(-1, grazing.size)


def _grazing_heights(atmosphere, wavelength_nm, grazing_arcmin):
    """Heights [G] for every duct and every stretch of air that looks at it."""
    height = samples_m(atmosphere.height_m, 0.0)
    log_nr = _log_nr(atmosphere, height, wavelength_nm)
    least_above = np.minimum.accumulate(log_nr[::-1])[::-1]
    drop = -np.log(np.cos(np.radians(np.asarray(grazing_arcmin) / 60.0)))
    found = []
    for top in _duct_tops(log_nr, least_above):
        least = log_nr[top]
        sees_it = least_above[1:top] >= least  # no lower duct stands between
        rises = (log_nr[: top - 1] < least) & (log_nr[1:top] >= least) & sees_it
        for layer in np.flatnonzero(rises):
            levels = height[: layer + 2]
            heights = [
                _height_of(atmosphere, levels, log_nr[: layer + 2], least - one, wavelength_nm)
                for one in drop
            ]
            found.append(heights)
    return found


def _duct_tops(log_nr, least_above):
    """Where n r stops falling and is nowhere less further up."""
    falls = np.diff(log_nr) < 0.0
    ends = np.flatnonzero(falls[:-1] & ~falls[1:]) + 1
    return ends[log_nr[ends] <= least_above[ends]]


def _height_of(atmosphere, height, log_nr, wanted, wavelength_nm):
    """The height below the last level given at which ln nr is `wanted`; the sea if it never is."""
    below = np.flatnonzero(log_nr < wanted)
    if below.size == 0:
        return 0.0
    layer = below[-1]
    fine = np.linspace(height[layer], height[layer + 1], DIVISIONS + 1)
    return np.interp(wanted, _log_nr(atmosphere, fine, wavelength_nm), fine)


def _log_nr(atmosphere, height_m, wavelength_nm):
    refractivity = air.refractivity(wavelength_nm, *atmosphere.at(height_m))
    return np.log1p(refractivity) + np.log1p(height_m / EARTH_RADIUS_M)
