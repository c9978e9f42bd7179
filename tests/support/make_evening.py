"""Make the small evening of frames that ships: python tests/support/make_evening.py

The kit's own picture of the setting Sun over the invented lighthouse, through air that is colder
and heavier than the standard one, taken by an illustrative camera and developed; the clock stands
in each file. What the reader expects for standard air then differs, and a class can ask why.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
from PIL import Image

from lowsun import sky
from lowsun.fieldwork import frame
from lowsun.fieldwork.camera import Camera
from lowsun.phenomena import low_sun
from lowsun.physics import colour, sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE

FOLDER = Path(__file__).parents[2] / "lib/lowsun/data/evening"
PLACE = sky.Place("the lighthouse", 52.1, -10.4, eye_height_m=95)
DAY = date(2027, 3, 20)
AIR = Atmosphere.standard(temperature_k=271.15, pressure_pa=103000.0)
CAMERA = Camera(
    focal_length_mm=400,
    f_number=11,
    pixel_um=5,
    frame_px=(1000, 800),
    fastest_shutter_s=1 / 32000,
    filter_density=3.0,
)
BEFORE_S = (3000, 1800, 1200, 840, 600, 420, 300, 240)  # the last sliver, whole discs
WINDOW_PX = (840, 780)
BRIGHTEST = 0.75  # of what is full, in linear light of the developed picture
SEEING_ARCSEC = 4.0


def main():
    FOLDER.mkdir(exist_ok=True)
    curve = low_sun.curve_for_picture(AIR, PLACE.eye_height_m).through(HAZE["very clear"])
    ends = sky.sunset(PLACE, DAY, AIR).last_sliver
    for number, before_s in enumerate(BEFORE_S, start=1):
        when = ends - timedelta(seconds=before_s)
        exposure, shot = taken(curve, sky.sun(PLACE, when), number)
        save(shot, when, exposure, FOLDER / f"evening-{number}.jpg")


def taken(curve, sun, number):
    """A frame whose brightest channel reaches the share wanted, with its exposure."""
    altitude = float(sun.true_altitude_deg)
    centre = float(curve.apparent_at(altitude))
    options = {
        "window": frame.window_around(CAMERA, centre, *WINDOW_PX),
        "seeing_arcsec": SEEING_ARCSEC,
        "sun_diameter_arcmin": float(sun.angular_diameter_arcmin),
        "sensor": sensors.STOCK,
    }
    exposure = 1 / 8000
    for _ in range(12):
        shot = frame.expose(curve, altitude, CAMERA, exposure, seed=number, **options)
        share = float(colour.decode_srgb(np.percentile(shot.rgb.max(axis=-1), 99.5) / 255))
        if abs(share - BRIGHTEST) < 0.05:
            break
        exposure *= 0.2 if share > 0.97 else BRIGHTEST / max(share, 0.01)
    return exposure, shot


def save(shot, when, exposure, path):
    exif = Image.Exif()
    exif[0x010E] = "Simulated by lowsun: no camera took it"
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = when.strftime("%Y:%m:%d %H:%M:%S")
    inner[0x9291] = f"{when.microsecond // 1000:03}"
    inner[0x9011] = "+00:00"
    inner[0x829A] = exposure
    Image.fromarray(shot.rgb).save(path, quality=90, subsampling=0, exif=exif)


if __name__ == "__main__":
    main()
