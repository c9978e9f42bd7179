"""What several scenes share: their airs and curves, kept so that moving the Sun traces nothing."""

from datetime import date
from functools import lru_cache

from lowsun.phenomena.evening import evening
from lowsun.phenomena.instruments import EYE as NAKED_EYE
from lowsun.phenomena.instruments import Binoculars, Camera
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE_SCALE_HEIGHT_M
from lowsun.scenes.controls import Choice, Day, Number, Range
from lowsun.sky import Place

# An invented lighthouse, where a school's sky club meets, on a real west-facing coast.
EQUINOX = date(2027, 3, 20)
LIGHTHOUSE_LATITUDE_DEG, LIGHTHOUSE_LONGITUDE_DEG, LIGHTHOUSE_EYE_M = 52.1, -10.4, 95.0

DAY = Day(name="day", label="day", default=EQUINOX)
LATITUDE = Number(
    name="latitude_deg",
    label="latitude, north positive",
    unit="°",
    low=-90,
    high=90,
    default=LIGHTHOUSE_LATITUDE_DEG,
)
LONGITUDE = Number(
    name="longitude_deg",
    label="longitude, east positive",
    unit="°",
    low=-180,
    high=180,
    default=LIGHTHOUSE_LONGITUDE_DEG,
)
EYE = Number(
    name="eye_height_m",
    label="eye above the sea",
    unit="m",
    low=0,
    high=20_000,
    default=LIGHTHOUSE_EYE_M,
)
TEMPERATURE = Range(
    name="temperature_c",
    label="air temperature",
    unit="°C",
    low=-60,
    high=45,
    step=1,
    default=15,
)
PRESSURE = Range(
    name="pressure_hpa",
    label="air pressure",
    unit="hPa",
    low=950,
    high=1050,
    step=1,
    default=1013,
)
INSTRUMENTS = {one.words: one for one in (NAKED_EYE, Binoculars(40, 8), Camera(2.0))}
INSTRUMENT = Choice(
    name="instrument",
    label="looked at with",
    options=tuple(INSTRUMENTS),
    default=NAKED_EYE.words,
)
EXPOSURE = Range(
    name="exposure_stops", label="exposure", unit="stops", low=-4, high=4, step=0.5, default=0
)


@lru_cache(maxsize=32)
def standard_air(temperature_c, pressure_hpa, haze_height_m=HAZE_SCALE_HEIGHT_M):
    """The standard air with the ground's temperature and pressure and the haze's height given."""
    air = Atmosphere.standard(temperature_c + 273.15, 100.0 * pressure_hpa)
    return air.with_haze(haze_height_m)


@lru_cache(maxsize=16)
def evening_of(place, date, atmosphere, high_deg=21.0):
    """The `evening.Evening`, kept."""
    return evening(place, date, atmosphere, high_deg)


def place_of(state, name="the lighthouse"):
    """The place of a state with latitude, longitude and eye height."""
    return Place(name, state["latitude_deg"], state["longitude_deg"], state["eye_height_m"])
