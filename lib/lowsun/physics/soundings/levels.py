"""What both readers hand over: the levels of one ascent as they stand in the file."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import InputFileError
from lowsun.physics import air
from lowsun.physics.atmosphere import geometric_height_m
from lowsun.words import say

NEAREST_LEVELS_M = 30.0  # 0.1 K of rounding is then 3.3 K/km, a tenth of what bends light level

# What any ascent on Earth stays inside, with room to spare; a value outside is a slip of unit.
ALLOWED = {
    "pressure": (1.0, 110_000.0),  # Pa
    "height": (-500.0, 50_000.0),  # m
    "temperature": (150.0, 340.0),  # K
    "dewpoint": (100.0, np.inf),  # K; what stands above the temperature is set aside
    "depression": (-np.inf, 200.0),  # K; likewise
    "relative humidity": (0.0, np.inf),  # 1; likewise
}


@dataclass(frozen=True, eq=False)
class Levels:
    """One ascent, row by row, NaN where the file has no value.

    line: line numbers in the file, from 1; pressure_pa [Pa]; geopotential_m [gpm];
    temperature_k [K]; relative_humidity [1] over water; all shaped (N,).
    """

    line: np.ndarray
    pressure_pa: np.ndarray
    geopotential_m: np.ndarray
    temperature_k: np.ndarray
    relative_humidity: np.ndarray
    humidity_set_aside: int = 0
    pressure_needed: bool = False
    station: str = ""
    date: object = None
    hour_utc: int | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    station_m: float | None = None
    description: str = ""
    notes: tuple = ()

    def __post_init__(self):
        for value in vars(self).values():
            if isinstance(value, np.ndarray):
                value.flags.writeable = False

    @property
    def height_m(self):
        """Geometric heights above the sea [m], NaN where missing, (N,)."""
        return geometric_height_m(self.geopotential_m)


@dataclass(frozen=True, eq=False)
class Profile:
    """Levels with temperature, in order: line in the file, [Pa], [gpm], [K], [1]; all (N,)."""

    line: np.ndarray
    pressure_pa: np.ndarray
    geopotential_m: np.ndarray
    temperature_k: np.ndarray
    relative_humidity: np.ndarray

    @property
    def height_m(self):
        """Geometric heights above the sea [m], (N,)."""
        return geometric_height_m(self.geopotential_m)

    def take(self, which):
        """The levels with these indices, or where this mask is true."""
        return Profile(*(column[which] for column in vars(self).values()))


class AscentError(Exception):
    """What is wrong with an ascent, and where: told with its file's name where that is known."""

    def __init__(self, problem, remedy, *, line=None, column=None):
        super().__init__(problem)
        self.remedy, self.line, self.column = remedy, line, column

    def of(self, name):
        """The InputFileError that says where, what is wrong and what to do."""
        places = [str(name)]
        if self.line is not None:
            places.append(say("line {line}", line=self.line))
        if self.column is not None:
            places.append(say("column {column}", column=str(self.column)))
        return InputFileError(f"{', '.join(places)}: {self}. {self.remedy}")


def span(quantity, factor=1.0, offset=0.0):
    """The allowed values of a quantity in the file's own unit, in words."""
    low, high = ((limit - offset) / factor for limit in ALLOWED[quantity])
    if not np.isfinite(high):
        return say("{low:g} or more", low=low)
    if not np.isfinite(low):
        return say("{high:g} or less", high=high)
    return say("{low:g} to {high:g}", low=low, high=high)


def humidity(lines, temperature_k, relative_humidity, dewpoint_k):
    """Relative humidity [1] over water, and how many values were set aside.

    Where relative humidity is missing, it is e_s(dewpoint) / e_s(temperature), with Ciddor's
    saturation pressure over water. A humidity above saturation or a dewpoint above the
    temperature counts as missing; when most are so, the column is not what its name says.
    Raises AscentError with its line.
    """
    from_dewpoint = _ratio_of_saturation(temperature_k, dewpoint_k)
    share = np.where(np.isnan(relative_humidity), from_dewpoint, relative_humidity)
    impossible, given = share > 1.0, ~np.isnan(share)
    if impossible.sum() > 0.5 * given.sum():
        raise AscentError(
            say(
                "{impossible} of {given} humidities are above saturation",
                impossible=impossible.sum(),
                given=given.sum(),
            ),
            say("Check the unit in the name of the humidity or dewpoint column."),
            line=lines[int(np.argmax(impossible))],
            column=say("humidity or dewpoint"),
        )
    return np.where(impossible, np.nan, share), int(impossible.sum())


def _ratio_of_saturation(temperature_k, dewpoint_k):
    known = np.isfinite(temperature_k) & np.isfinite(dewpoint_k)
    sensible = known & (dewpoint_k <= temperature_k) & (dewpoint_k >= air.TEMPERATURE_RANGE_K[0])
    share = np.where(known, np.inf, np.nan)
    share[known & (dewpoint_k < air.TEMPERATURE_RANGE_K[0])] = 0.0
    share[sensible] = air.saturation_vapour_pressure_pa(
        dewpoint_k[sensible]
    ) / air.saturation_vapour_pressure_pa(temperature_k[sensible])
    return share
