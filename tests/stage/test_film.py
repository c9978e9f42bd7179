"""Films: decoded again, their frames counted, their colours held to BT.709 by another library."""

import dataclasses
import importlib
import itertools

import av
import colour
import numpy as np
import pytest

from lowsun.drawing.look import PRINT
from lowsun.errors import OutOfRangeError, OutputFileError
from lowsun.stage.recorder import film
from lowsun.stage.segment import Move, Segment
from toy_scene import GLOW, SKY, compute, refusing, scene

WIDTH, HEIGHT = 640, 360
REST = Segment(scene=scene, start={"radius": 20}, rest_s=0.4)
# Inside the disc, in its sky and in the surround, at 1280 x 720.
PLACES = {"disc": (464, 282), "sky": (130, 100), "surround": (1260, 10)}
BT709 = 1  # ITU-T H.273: primaries, transfer and matrix 1; range "limited"


def filmed(path, segment=REST, **settings):
    return film(segment, path, width_px=WIDTH, frames_per_second=10, progress=False, **settings)


def planes(frame):
    """Luma and the two colour differences, each on the grid of the colour differences."""
    raw = frame.to_ndarray()
    luma = raw[:HEIGHT].reshape(HEIGHT // 2, 2, WIDTH // 2, 2).mean(axis=(1, 3))
    others = raw[HEIGHT:].reshape(2, HEIGHT // 2, WIDTH // 2)
    return np.stack([luma, *others], axis=-1)


def rgb_at(path, place):
    """8-bit RGB by colour-science's own BT.709 decoding of the stored limited-range samples."""
    with av.open(path) as container:
        frame = list(container.decode(video=0))[-1]
    column, row = (round(px * WIDTH / 1280 / 2) for px in PLACES[place])
    sample = planes(frame)[row - 1 : row + 2, column - 1 : column + 2].mean(axis=(0, 1))
    weights = colour.WEIGHTS_YCBCR["ITU-R BT.709"]
    return 255 * colour.YCbCr_to_RGB(
        sample, K=weights, in_bits=8, in_legal=True, in_int=True, out_legal=False
    )


@pytest.mark.parametrize("tint", ["orange", "green"])
def test_colours_are_converted_as_they_are_tagged(tmp_path, tint):
    segment = dataclasses.replace(REST, start={"radius": 20, "colour": tint})
    filmed(tmp_path / "a.mp4", segment)
    # 8-bit limited range rounds to 1.2/255 in luma and 2/255 in blue; the codec adds as much
    np.testing.assert_allclose(rgb_at(tmp_path / "a.mp4", "disc"), GLOW[tint], atol=4)
    np.testing.assert_allclose(rgb_at(tmp_path / "a.mp4", "sky"), SKY, atol=4)
    np.testing.assert_allclose(rgb_at(tmp_path / "a.mp4", "surround"), (11, 13, 18), atol=4)


def test_white_paper_is_white(tmp_path):
    filmed(tmp_path / "a.mp4", look=PRINT)
    np.testing.assert_allclose(rgb_at(tmp_path / "a.mp4", "surround"), 255, atol=4)


@pytest.mark.parametrize("ending", [".mp4", ".mkv"])
def test_the_file_says_what_it_holds(tmp_path, ending):
    assert filmed(tmp_path / f"a{ending}") == 4
    with av.open(tmp_path / f"a{ending}") as container:
        codec = container.streams.video[0].codec_context
        assert codec.name == "h264"
        assert (codec.width, codec.height, codec.pix_fmt) == (WIDTH, HEIGHT, "yuv420p")
        tags = (codec.color_primaries, codec.color_trc, codec.colorspace, codec.color_range)
        assert tags == (BT709, BT709, BT709, av.video.reformatter.ColorRange.MPEG)
        assert container.streams.video[0].average_rate == 10
        assert {k.lower(): v for k, v in container.metadata.items()}["title"] == "A toy disc"
        assert len(list(container.decode(video=0))) == 4


def test_every_state_becomes_one_frame_and_a_rest_is_computed_once(tmp_path):
    computed = []
    counting = dataclasses.replace(scene, compute=lambda s: computed.append(s) or compute(s))
    moves = (Move(values={"centre": 30}, seconds=1, rest_s=0.5),)
    segment = Segment(scene=counting, moves=moves, rest_s=0.5)
    assert filmed(tmp_path / "a.mp4", segment) == 5 + 10 + 5
    assert len(computed) == 1 + 10
    with av.open(tmp_path / "a.mp4") as container:
        frames = [planes(frame)[..., 0] for frame in container.decode(video=0)]
    assert len(frames) == 20
    changes = [np.abs(a - b).max() > 40 for a, b in itertools.pairwise(frames)]
    assert changes[5:13] == [True] * 8  # the eased ends move by less than a pixel of this film
    assert changes[:4] == [False] * 4
    assert changes[15:] == [False] * 4


def test_a_film_is_written_whole_or_not_at_all(tmp_path):
    sinking = Segment(
        scene=dataclasses.replace(scene, compute=refusing),
        moves=(Move(values={"centre": -10}, seconds=1),),
    )
    with pytest.raises(OutOfRangeError, match=r"below the horizon"):
        filmed(tmp_path / "a.mp4", sinking)
    assert list(tmp_path.iterdir()) == []


def test_a_failing_encoder_leaves_nothing_behind(tmp_path, monkeypatch):
    def fails(*_):
        raise MemoryError("no room for the frame")

    monkeypatch.setattr(importlib.import_module("lowsun.stage.encoder"), "_encode", fails)
    with pytest.raises(MemoryError, match=r"no room"):
        filmed(tmp_path / "a.mp4")
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_overwritten_unless_told(tmp_path):
    path = tmp_path / "a.mp4"
    path.write_text("mine")
    with pytest.raises(OutputFileError, match=r"a.mp4 is already there and was left as it is"):
        filmed(path)
    assert path.read_text() == "mine"
    filmed(path, overwrite=True)
    assert path.stat().st_size > 1000


@pytest.mark.parametrize(
    ("name", "settings", "error", "words"),
    [
        ("a.avi", {}, OutputFileError, r"ends in '.avi'; a film ends in .mp4 or .mkv"),
        ("a", {}, OutputFileError, r"ends in 'nothing'; a film ends in"),
        ("a.mp4", {"width_px": 1000}, OutOfRangeError, r"multiple of 32. Use 992 or 1024"),
        ("a.mp4", {"width_px": 641}, OutOfRangeError, r"multiple of 32. Use 640 or 672"),
        (
            "a.mp4",
            {"width_px": 100},
            OutOfRangeError,
            r"width_px is 100 px; allowed is 320 to 3840",
        ),
        ("a.mp4", {"frames_per_second": 0}, OutOfRangeError, r"frames_per_second is 0; allowed"),
        ("a.mp4", {"frames_per_second": 29.97}, OutOfRangeError, r"is 29.97; give a whole number"),
        ("a.mp4", {"width_px": float("nan")}, OutOfRangeError, r"width_px is nan"),
    ],
)
def test_what_cannot_be_filmed_is_refused(tmp_path, name, settings, error, words):
    with pytest.raises(error, match=words):
        film(REST, tmp_path / name, progress=False, **settings)
    assert list(tmp_path.iterdir()) == []
