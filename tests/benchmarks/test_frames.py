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
    # Each process begins by importing the kit's measuring, whatever the evening: said apart.
    few, many = tmp_path / "few", tmp_path / "many"
    for folder, number in ((few, 4), (many, 28)):
        folder.mkdir()
        for name in range(number):
            shutil.copy(large, folder / f"{name:02}.jpg")
    alone, begun, together = (
        _seconds(folder, tmp_path / out, processes)
        for folder, out, processes in ((many, "a", 1), (few, "b", 2), (many, "c", 2))
    )
    each = (together - begun) / (28 - 4)
    report(
        "28 frames of 24 megapixels",
        two_processes_times_one=alone / together,
        start_up_s=max(0.0, begun - 4 * each),
        once_begun_times_one=alone / 28 / each,
    )


def _seconds(folder, out, processes):
    began = perf_counter()
    frames.read_folder(folder, out, processes=processes)
    return perf_counter() - began
