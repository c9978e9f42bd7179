"""Frames of a camera without its infrared cut: green is not claimed, and the reason stands."""

from dataclasses import replace

import pytest

import simulated
from frame_decoys import piece, rim, sliver, sunset
from frame_maker import write
from lowsun.fieldwork import frame, frames
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.frames import infrared
from lowsun.fieldwork.frames.beside import INFRARED_NM
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.phenomena import low_sun
from lowsun.physics import sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.stage.frame_reader import frame_words

CAMERA = Camera(
    focal_length_mm=400,
    f_number=11,
    pixel_um=5,
    frame_px=(1000, 800),
    fastest_shutter_s=1 / 320_000,
    filter_density=3.0,
)
SENSORS = {"as sold": sensors.STOCK, "modified": sensors.INFRARED_CUT_REMOVED}
PICTURES = (simulated.raw_picture, simulated.developed_picture)


@pytest.fixture(scope="module")
def curves():
    air = Atmosphere.standard()
    return {
        "as sold": low_sun.curve_for_picture(air, 95.0),
        "modified": low_sun.curve_for_picture(air, 95.0, wavelength_nm=INFRARED_NM),
    }


def exposed(curve, altitude_deg, sensor, haze):
    """A frame whose brightest channel, developed, reaches about 0.7 of what is full."""
    exposure = 1e-3
    for _ in range(15):
        shot = frame.expose(
            curve.through(HAZE[haze]), altitude_deg, CAMERA, exposure, sensor=sensor, seed=1
        )
        share = float((shot.level.max(axis=(1, 2)) * sensor.white_balance).max() / shot.full_level)
        if 0.5 < share < 0.8:
            return shot
        exposure *= 0.3 if share > 1 else 0.65 / share
    raise AssertionError(f"exposure not found, {share}")


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize(("altitude_deg", "haze"), [(1.0, "very clear"), (0.0, "clear"),
                                                    (2.0, "hazy"), (-0.4, "clear")])  # fmt: skip
def test_a_modified_camera_is_recognised_and_its_green_not_claimed(
    curves, picture, altitude_deg, haze
):
    shot = exposed(curves["modified"], altitude_deg, SENSORS["modified"], haze)
    reading = frames.measure(picture(shot))
    assert reading.infrared is True
    assert reading.green is None
    assert infrared.SEEN in reading.reason


@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize(("altitude_deg", "haze"), [(6.0, "very clear"), (2.0, "clear"),
                                                    (-0.4, "clear"), (4.0, "hazy")])  # fmt: skip
def test_a_camera_as_sold_is_left_alone(curves, picture, altitude_deg, haze):
    shot = exposed(curves["as sold"], altitude_deg, SENSORS["as sold"], haze)
    reading = frames.measure(picture(shot))
    assert reading.infrared is False
    assert reading.green is True


@pytest.mark.parametrize("maker", [sunset, rim, sliver, piece])
def test_suns_of_ordinary_colours_are_no_infrared(tmp_path, maker):
    for seed in range(6):
        path = write(tmp_path / f"{seed}.png", maker(seed))
        ((_, reading),) = frames.readings(path)
        assert not reading.infrared


GREEN = Reading(green=True, kind="rim", green_px=9.0, green_peak=0.5, lens="x 400 mm",
                is_developed=True)  # fmt: skip


def test_frames_too_high_to_tell_follow_the_others_of_their_camera():
    low = [(f"low-{n}", replace(GREEN, green=None, infrared=True)) for n in range(3)]
    odd = ("odd", replace(GREEN, infrared=False))
    other = ("other", replace(GREEN, lens="y", infrared=False))
    settled = dict(infrared.settled([*low, odd, ("high", GREEN), other]))
    assert settled["high"].green is None
    assert settled["high"].green_px is None
    assert settled["high"].reason == infrared.BY_OTHERS
    assert settled["other"].green is True


def test_one_odd_frame_makes_no_modified_camera():
    found = [("odd", replace(GREEN, green=None, infrared=True)),
             ("a", replace(GREEN, infrared=False)), ("b", GREEN)]  # fmt: skip
    settled = dict(infrared.settled(found))
    assert settled["a"].green is True
    assert settled["b"].green is True
    assert frame_words.of_infrared([("a", GREEN)]) == ""


def test_the_summary_says_what_to_do():
    found = [("a", replace(GREEN, green=None, reasons=(infrared.SEEN,))), ("b", GREEN)]
    assert frame_words.of_infrared(found).startswith("1 show infrared: no green is claimed")
