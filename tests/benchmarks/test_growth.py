"""How costs grow with rays, wavelengths, pixels, frames and workers: shown, not asserted."""

import shutil

import numpy as np
import pytest
from PIL import Image

from frame_maker import Truth, eight_bits, light
from lowsun.fieldwork import frames
from lowsun.phenomena import earth_shadow, low_sun
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import transfer_curve
from lowsun.physics.scattering import Air
from timing import growth, median_ms

EYE_M = 95.0
AIR = Atmosphere.standard()
NM = np.linspace(380.0, 780.0, 24)


def rows_deg(count):
    return np.linspace(-0.28, 20.0, count)


def test_with_the_rays():
    sizes = (100, 400, 1600, 6400)
    cost = {n: median_ms(lambda n=n: transfer_curve(AIR, EYE_M, rows_deg(n), NM), 5) for n in sizes}
    growth("transfer curve in 24 wavelengths", "rays", cost)
    assert all(np.isfinite(list(cost.values())))


def test_with_the_pixels():
    curve = transfer_curve(AIR, EYE_M, np.linspace(-0.28, 2.0, 400), NM)
    cost = {}
    for height in (180, 360, 720, 1440):
        frame = low_sun.Frame(0.3, 0.5 * 3600 / height, 16 * height // 9, height)
        picture = low_sun.picture(curve, -0.3, frame)
        cost[picture.rgb.shape[0] * picture.rgb.shape[1]] = median_ms(
            lambda frame=frame: low_sun.picture(curve, -0.3, frame), 5
        )
    growth("picture of the disc", "pixels", cost)
    assert list(cost) == sorted(cost)


def test_with_the_pixels_of_the_sky():
    air = Air()
    cost = {
        rows * columns: median_ms(
            lambda rows=rows, columns=columns: earth_shadow.panorama(
                air, -2.0, rows=rows, columns=columns
            ),
            3,
        )
        for rows, columns in ((45, 180), (90, 360), (180, 720))
    }
    growth("twilight all round", "pixels", cost)
    assert list(cost) == sorted(cost)


@pytest.fixture(scope="module")
def frame(tmp_path_factory):
    """One made frame of 1.5 megapixels."""
    path = tmp_path_factory.mktemp("one") / "sun.jpg"
    Image.fromarray(eight_bits(light(Truth(size=(1500, 1000))))).save(path, quality=92)
    return path


@pytest.mark.parametrize("processes", [1, 2])
def test_with_the_frames_on_one_worker_and_on_two(frame, tmp_path, processes):
    cost = {}
    for count in (4, 16):
        folder = tmp_path / f"in-{count}"
        folder.mkdir()
        for number in range(count):
            shutil.copy(frame, folder / f"{number}.jpg")
        outs = iter(range(100))
        cost[count] = median_ms(
            lambda folder=folder, outs=outs, count=count: frames.read_folder(
                folder, tmp_path / f"out-{count}-{next(outs)}", processes=processes
            ),
            1,
        )
    growth(f"frames of 1.5 megapixels read, workers: {processes}", "frames", cost)
    assert list(cost) == [4, 16]
