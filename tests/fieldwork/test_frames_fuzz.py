"""Readers under damage: whatever the bytes, one line and no exception."""

from io import BytesIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from frame_maker import Truth, eight_bits, light, write
from lowsun.fieldwork import frames

SMALL = Truth(size=(96, 80), centre=(48.0, 40.0), width=50.0, upper=20.0, lower=19.0)
KINDS = (".jpg", ".png", ".tif", ".dng", ".gif", ".webp", ".bmp")


@pytest.fixture(scope="module")
def originals(tmp_path_factory):
    folder = tmp_path_factory.mktemp("originals")
    image = Image.fromarray(eight_bits(light(SMALL)))
    for kind in KINDS:
        if kind in (".tif", ".dng"):
            write(folder / f"sun{kind}", SMALL)
        else:
            # At its usual quality WEBP bends the limb of so small a disc: its height is withheld.
            image.save(folder / f"sun{kind}", **({"quality": 90} if kind == ".webp" else {}))
    return {kind: (folder / f"sun{kind}").read_bytes() for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_damaged_bytes_give_one_line(kind, originals, tmp_path_factory, data):
    content = bytearray(originals[kind])
    flips = data.draw(st.lists(st.integers(0, len(content) - 1), min_size=1, max_size=12))
    for place in flips:
        content[place] ^= data.draw(st.integers(1, 255))
    keep = data.draw(st.integers(0, len(content)))
    path = tmp_path_factory.mktemp("damaged") / f"sun{kind}"
    path.write_bytes(content[:keep] if data.draw(st.booleans()) else content)
    found = frames.readings(path)
    assert len(found) == 1
    reading = found[0][1]
    assert reading.pieces is not None or reading.reason


@given(content=st.binary(max_size=400))
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_bytes_under_any_name_give_one_line(content, tmp_path_factory):
    folder = tmp_path_factory.mktemp("any")
    for kind in (*KINDS, ".nef", ".mp4"):
        path = folder / f"sun{kind}"
        path.write_bytes(content)
        ((_, reading),) = frames.readings(path)
        assert reading.reason


def test_what_pillow_can_open_is_measured(originals, tmp_path):
    for kind in (".jpg", ".png", ".tif", ".webp", ".bmp"):
        (tmp_path / f"sun{kind}").write_bytes(originals[kind])
        ((_, reading),) = frames.readings(tmp_path / f"sun{kind}")
        assert reading.axis_ratio == pytest.approx(SMALL.axis_ratio, abs=0.02), kind
    assert Image.open(BytesIO(originals[".gif"])).mode == "P"
