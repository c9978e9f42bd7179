"""What the scenes with a camera share: its controls, and the camera of a state."""

from dataclasses import replace

from lowsun.fieldwork.camera import DIAL_S, RANGES, Camera, density_of_stops, shutter_words
from lowsun.physics import sensors
from lowsun.scenes import shared
from lowsun.scenes.controls import Choice, Number, Range

FRAME_PX = (6000, 4000)
SHUTTERS = {shutter_words(each): each for each in DIAL_S}
SENSORS = {"as sold": sensors.STOCK, "infrared cut removed": sensors.INFRARED_CUT_REMOVED}

FOCAL_LENGTH = Number(
    name="focal_length_mm",
    label="focal length of your lens",
    unit="mm",
    low=10,
    high=4000,
    default=400,
)
F_NUMBER = Number(
    name="f_number",
    label="f-number of your lens",
    low=RANGES["f_number"][0],
    high=RANGES["f_number"][1],
    default=5.6,
)
PIXEL = Number(name="pixel_um", label="pixel of your sensor", unit="µm", low=1, high=20, default=4)
ISO = Number(name="iso", label="ISO speed", low=25, high=25_600, default=100)
FILTER = Range(
    name="filter_stops",
    label="neutral filter in front",
    unit="stops",
    low=0,
    high=20,
    step=1,
    default=0,
)
SENSOR = Choice(name="sensor", label="sensor", options=tuple(SENSORS), default="as sold")
LENS = (FOCAL_LENGTH, F_NUMBER, PIXEL, ISO)
PLACE = (shared.LATITUDE, shared.LONGITUDE, replace(shared.EYE, high=9000))  # of mountains


def camera_of(state, fastest="1/32000 s", slowest="30 s"):
    """The `Camera` of a state, with the words of its shutter's limits."""
    return Camera(
        focal_length_mm=state["focal_length_mm"],
        f_number=state["f_number"],
        pixel_um=state["pixel_um"],
        frame_px=FRAME_PX,
        iso=state["iso"],
        filter_density=density_of_stops(state["filter_stops"]),
        fastest_shutter_s=SHUTTERS[fastest],
        slowest_shutter_s=SHUTTERS[slowest],
    )
