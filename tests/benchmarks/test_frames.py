"""How fast frames are read: beside a plain decode, and two processes beside one."""

import shutil
from time import perf_counter

import numpy as np
import pytest
from PIL import Image

from frame_maker import Truth, eight_bits, light
from lowsun.fieldwork import frames
from timing import median_ms, report


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    """A JPEG of 24 megapixels, grain included: 6000 x 4000."""
    truth = Truth(size=(1500, 1000), centre=(750, 480), width=500, upper=215, lower=200)
    picture = Image.fromarray(eight_bits(light(truth))).resize((6000, 4000), Image.BICUBIC)
    grain = np.random.default_rng(0).integers(-3, 4, (4000, 6000, 1), dtype=np.int16)
    codes = np.clip(np.asarray(picture).astype(np.int16) + grain, 0, 255).astype(np.uint8)
    path = tmp_path_factory.mktemp("large") / "sun.jpg"
    Image.fromarray(codes).save(path, quality=92)
    return path


def test_decode_and_measure_beside_pillows_decode(large):
    plain = median_ms(lambda: np.asarray(Image.open(large).convert("RGB")), 3)
    whole = median_ms(lambda: frames.readings(large), 3)
    report(
        "24-megapixel JPEG decoded and measured",
        whole_ms=whole,
        of_pillows_decode=whole / plain,
    )


def test_two_processes_beside_one(large, tmp_path):
    folder = tmp_path / "frames"
    folder.mkdir()
    for number in range(8):
        shutil.copy(large, folder / f"{number}.jpg")
    times = {}
    for processes in (1, 2):
        began = perf_counter()
        frames.read_folder(folder, tmp_path / f"out-{processes}", processes=processes)
        times[processes] = perf_counter() - began
    report("8 frames of 24 megapixels", two_processes_times_one=times[1] / times[2])
