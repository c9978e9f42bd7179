"""Every quantity that several scenes let the player change, each defined once.

A range is what physics, sky or camera declare, or less of it, so that no end of a control is one
that a computation refuses. A scene narrows a control where its own computation must.
"""

from dataclasses import dataclass
from datetime import date

from lowsun.drawing.twilight import ALL_ROUND, TO_SHADOW, TO_SUN
from lowsun.fieldwork.camera import DIAL_S, RANGES, shutter_words
from lowsun.phenomena.instruments import EYE as NAKED_EYE
from lowsun.phenomena.instruments import Binoculars, Camera
from lowsun.physics import sensors
from lowsun.physics.extinction import CLEAR_EVENING, HAZE, HAZE_SCALE_HEIGHT_M, KINDS
from lowsun.physics.rays import EYE_HEIGHT_RANGE_M
from lowsun.physics.scattering.air import HAZE_DEPTH_RANGE
from lowsun.scenes.controls import Choice, Day, File, Number, Range, Switch
from lowsun.words import term

# ---- where and when: an invented lighthouse, where a school's sky club meets, on a real coast

EQUINOX = date(2027, 3, 20)
LIGHTHOUSE = term("the lighthouse")
LIGHTHOUSE_LATITUDE_DEG, LIGHTHOUSE_LONGITUDE_DEG, LIGHTHOUSE_EYE_M = 52.1, -10.4, 95.0
MOUNTAIN_M = 9000.0  # as high as an observer on the ground stands

DAY = Day(name="day", label=term("day"), default=EQUINOX)
DAY_OF_YEAR = Range(
    name="day_of_year", label=term("day of the year"), low=1, high=365, step=1, default=268
)
YEAR = Number(name="year", label=term("year"), low=1900, high=2052, default=2027)
SECONDS = Range(
    name="seconds",
    label=term("time from the last sliver"),
    unit="s",
    low=-2400,
    high=1800,
    step=1,
    default=-200,
)
SHARE = Range(
    name="share", label=term("how far through it"), unit="%", low=0, high=100, step=0.5, default=50
)
LATITUDE = Number(
    name="latitude_deg",
    label=term("latitude, north positive"),
    unit="°",
    low=-90,
    high=90,
    default=LIGHTHOUSE_LATITUDE_DEG,
)
LONGITUDE = Number(
    name="longitude_deg",
    label=term("longitude, east positive"),
    unit="°",
    low=-180,
    high=180,
    default=LIGHTHOUSE_LONGITUDE_DEG,
)
EYE = Number(
    name="eye_height_m",
    label=term("eye above the sea"),
    unit="m",
    low=EYE_HEIGHT_RANGE_M[0],
    high=EYE_HEIGHT_RANGE_M[1],
    default=LIGHTHOUSE_EYE_M,
)
PLACE = (LATITUDE, LONGITUDE, EYE.narrowed(high=MOUNTAIN_M))

# ---- the air

TEMPERATURE = Range(
    name="temperature_c",
    label=term("air temperature"),
    unit="°C",
    low=-60,
    high=45,
    step=1,
    default=15,
)
PRESSURE = Range(
    name="pressure_hpa",
    label=term("air pressure"),
    unit="hPa",
    low=950,
    high=1050,
    step=1,
    default=1013,
)
LAPSE = Range(
    name="lapse_k_per_km",
    label=term("temperature lapse"),
    unit="K/km",
    low=0,
    high=10,
    step=0.5,
    default=6.5,
)
GROUND = (TEMPERATURE, PRESSURE, LAPSE)
LAYERS = (
    Range(
        name="inversion_base_m",
        label=term("inversion: base"),
        unit="m",
        low=0,
        high=1500,
        step=5,
        default=40,
    ),
    Range(
        name="inversion_depth_m",
        label=term("inversion: depth"),
        unit="m",
        low=5,
        high=500,
        step=5,
        default=40,
    ),
    Range(
        name="inversion_k",
        label=term("inversion: strength"),
        unit="K",
        low=0,
        high=15,
        step=0.25,
        default=2.5,
    ),
    Range(
        name="sea_excess_k",
        label=term("sea warmer than the air"),
        unit="K",
        low=-8,
        high=8,
        step=0.25,
        default=0,
    ),
)
BY_SLIDERS = term("made by the sliders")
ASCENTS = {  # a file of data/soundings, and which ascent of it
    term("sea, thin duct near 920 m"): ("marine-duct.csv", 0),
    term("sea, smooth inversion"): ("marine-inversion.csv", 0),
    term("no inversion"): ("marine-no-inversion.csv", 0),
    term("Arctic coast, 00 UTC"): ("arctic-coast-igra2.txt", 0),
    term("Arctic coast, 12 UTC"): ("arctic-coast-igra2.txt", 1),
}
AIR = Choice(name="air", label=term("the air"), options=(BY_SLIDERS, *ASCENTS), default=BY_SLIDERS)
SOUNDING = File(name="sounding", label=term("your own ascent"), suffixes=(".csv", ".txt"))
OZONE = Range(
    name="ozone_du", label=term("ozone"), unit="DU", low=0, high=500, step=10, default=300
)

# ---- haze: how much, of what, up to where


@dataclass(frozen=True, kw_only=True)
class Depth(Range):
    """A depth of haze; one of the typical hazes' names is taken for its depth."""

    def check(self, value):
        """The depth as a float inside the limits, or an OutOfRangeError."""
        if isinstance(value, str) and value in HAZE:
            value = HAZE[value].depth_550
        return super().check(value)


HAZE_DEPTH = Depth(
    name="haze",
    label=term("haze, depth at 550 nm"),
    low=HAZE_DEPTH_RANGE[0],
    high=HAZE_DEPTH_RANGE[1],
    step=0.01,
    default=CLEAR_EVENING.depth_550,
)
HAZE_KIND = Choice(
    name="haze_kind", label=term("kind of haze"), options=tuple(KINDS), default="marine"
)
HAZE_HEIGHT = Range(
    name="haze_height_m",
    label=term("height over which haze thins out"),
    unit="m",
    low=200,
    high=4000,
    step=100,
    default=HAZE_SCALE_HEIGHT_M,
)
HAZE_CONTROLS = (HAZE_DEPTH, HAZE_KIND, HAZE_HEIGHT)
HAZE_SELDOM = (HAZE_KIND.name, HAZE_HEIGHT.name)
HAZE_UNDER = Switch(name="haze_under", label=term("haze only under the lowest inversion"))

# ---- who looks, and how

FACING = Choice(
    name="facing", label=term("look"), options=(TO_SHADOW, TO_SUN, ALL_ROUND), default=TO_SHADOW
)
EXPOSURE = Range(
    name="exposure_stops",
    label=term("exposure"),
    unit=term("stops"),
    low=-4,
    high=4,
    step=0.5,
    default=0,
)
WIND = Range(
    name="wind_m_per_s",
    label=term("wind over the sea"),
    unit="m/s",
    low=0,
    high=15,
    step=0.5,
    default=3,
)
MAGNIFICATION = Range(
    name="magnification", label=term("magnification"), low=1, high=16, step=1, default=1
)
INSTRUMENTS = {
    NAKED_EYE.words: NAKED_EYE,
    term("binoculars 8 × 40"): Binoculars(40, 8),
    term("a camera of 2″ a pixel"): Camera(2.0),
}
INSTRUMENT = Choice(
    name="instrument",
    label=term("looked at with"),
    options=tuple(INSTRUMENTS),
    default=NAKED_EYE.words,
)

# ---- the camera

SHUTTERS = {shutter_words(each): each for each in DIAL_S}
SENSORS = {
    term("as sold"): sensors.STOCK,
    term("infrared cut removed"): sensors.INFRARED_CUT_REMOVED,
}
FOCAL_LENGTH = Number(
    name="focal_length_mm",
    label=term("focal length of your lens"),
    unit="mm",
    low=10,
    high=4000,
    default=400,
)
F_NUMBER = Number(
    name="f_number",
    label=term("f-number of your lens"),
    low=RANGES["f_number"][0],
    high=RANGES["f_number"][1],
    default=5.6,
)
PIXEL = Number(
    name="pixel_um", label=term("pixel of your sensor"), unit="µm", low=1, high=20, default=4
)
ISO = Number(name="iso", label=term("ISO speed"), low=25, high=25_600, default=100)
FILTER = Range(
    name="filter_stops",
    label=term("neutral filter in front"),
    unit=term("stops"),
    low=0,
    high=20,
    step=1,
    default=0,
)
SENSOR = Choice(name="sensor", label=term("sensor"), options=tuple(SENSORS), default="as sold")
LENS = (FOCAL_LENGTH, F_NUMBER, PIXEL, ISO)
