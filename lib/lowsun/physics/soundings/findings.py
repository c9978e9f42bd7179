"""What an ascent holds for the low Sun, and what was done to its levels, in plain words."""

from dataclasses import dataclass

import numpy as np

from lowsun.physics import air
from lowsun.physics.layers import EARTH_RADIUS_M
from lowsun.physics.runs import runs
from lowsun.words import say

LEAST_INVERSION_K = 1.0  # well above the 0.1 K to which ascents are written
REVERSAL_K = 0.3  # a dip smaller than this does not end an inversion: sensor noise
HIGHEST_BASE_M = 5000.0  # the tropopause and what is above it shape no low Sun
DUCT_WAVELENGTH_NM = 570.0


@dataclass(frozen=True)
class Inversion:
    """A layer in which temperature rises: base and top [m, geometric], rise [K]."""

    base_m: float
    top_m: float
    strength_k: float


@dataclass(frozen=True)
class Duct:
    """A layer in which n r falls with height: base and top [m, geometric]."""

    base_m: float
    top_m: float


@dataclass(frozen=True)
class Report:
    """What was done to the levels of an ascent, and what it holds.

    ground_m: height of the lowest level, below which the air is made up [m, geometric];
    levels_read: rows in the file; missing: rows without the values needed; repeated: rows that
    repeat the one before; merged: levels dropped as nearer than 30 m; superadiabatic: levels
    whose temperature was moved; extended: levels added below and above;
    heights_computed: heights that followed from the pressure; humidity_set_aside: humidities
    above saturation.
    """

    ground_m: float
    levels_read: int
    missing: int
    repeated: int
    merged: int
    superadiabatic: int
    extended: int
    heights_computed: int
    humidity_set_aside: int
    inversions: tuple[Inversion, ...]
    ducts: tuple[Duct, ...]
    notes: tuple[str, ...] = ()

    def sentence(self):
        """The inversions and ducts, then what was done, in plain words."""
        return f"{self.findings()} {self.treatment()}"

    def findings(self, explained=True):
        """The inversions and ducts in one sentence; whether what a duct does is explained."""
        does = say(", where light bends more than the Earth curves") if explained else ""
        layers = [
            say(
                "inversion from {base:.0f} to {top:.0f} m, +{strength:.1f} K",
                base=i.base_m,
                top=i.top_m,
                strength=i.strength_k,
            )
            for i in self.inversions
        ] or [say("no inversion of 1 K or more below 5 km")]
        ducts = [
            say(
                "a duct from {base:.0f} to {top:.0f} m{does}", base=d.base_m, top=d.top_m, does=does
            )
            for d in self.ducts
        ] or [say("no duct")]
        return _as_sentence("; ".join(layers + ducts))

    def treatment(self):
        """What was done to the levels, leaving out what was not needed."""
        counts = {
            say("without the values needed"): self.missing,
            say("repeated"): self.repeated,
            say("nearer than 30 m to the next and merged"): self.merged,
            say("moved to the dry adiabatic lapse"): self.superadiabatic,
            say("with the height from the pressure"): self.heights_computed,
            say("with a humidity above saturation, set aside"): self.humidity_set_aside,
            say("added below and above"): self.extended,
        }
        done = [f"{count} {words}" for words, count in counts.items() if count]
        parts = [
            ", ".join([say("{levels} levels read", levels=self.levels_read), *done]),
            *self.notes,
        ]
        return " ".join(_as_sentence(part) for part in parts)


def _as_sentence(text):
    return f"{text[0].upper()}{text[1:]}."


def find_inversions(height_m, temperature_k):
    """Layers, base below 5 km, in which temperature rises by 1 K or more.

    A dip under 0.3 K does not end a layer; level stretches at the top belong to it, at the base
    they do not. height_m [m] rising, temperature_k [K], both (N,).
    """
    levels = temperature_k.tolist()
    found, base, top = [], 0, 0
    for at, temperature in enumerate(levels):
        if temperature < levels[top] - REVERSAL_K:
            found.append((base, top))
            base = top = at
        elif temperature <= levels[base]:
            base = top = at
        elif temperature >= levels[top]:
            top = at
    found.append((base, top))
    return tuple(
        Inversion(float(height_m[base]), float(height_m[top]), levels[top] - levels[base])
        for base, top in found
        if levels[top] - levels[base] > LEAST_INVERSION_K - 1e-6
        and height_m[base] <= HIGHEST_BASE_M
    )


def find_ducts(atmosphere, base_m, top_m):
    """Layers between the levels from base_m to top_m in which n r falls with height.

    base_m [m], top_m [m].
    """
    inside = (atmosphere.height_m >= base_m) & (atmosphere.height_m <= top_m)
    height = atmosphere.height_m[inside]
    refractivity = air.refractivity(
        DUCT_WAVELENGTH_NM,
        atmosphere.temperature_k[inside],
        atmosphere.pressure_pa[inside],
        atmosphere.relative_humidity[inside],
    )
    falling = np.diff(np.log1p(refractivity) + np.log1p(height / EARTH_RADIUS_M)) < 0.0
    return tuple(Duct(float(low), float(high)) for low, high in height[runs(falling)])
