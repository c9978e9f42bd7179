"""Films of several shots, read by ffprobe: frames, tracks, chapters, seams, and what is kept."""

import json
import os
import shutil
import subprocess
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import av
import numpy as np
import pytest

from lowsun.__main__ import main
from lowsun.errors import InputFileError, LowsunError, OutputFileError
from lowsun.stage import montage as films
from lowsun.stage import sequence
from lowsun.stage.montage import montage
from lowsun.stage.page import SIZES, Page
from lowsun.stage.sequence import Frame
from lowsun.stage.takes import next_take

SIZE = SIZES["640x360"]
TEXT = """
title = "Short"
cards = false
{more}
[[shot]]
card = "Guess"
seconds = 1
[[shot]]
scene = "rims"
start = {{ lower_limb_deg = 10 }}
rest_s = 0.5
mark = "rims"
move = [{{ values = {{ lower_limb_deg = 0 }}, seconds = 0.5, rest_s = 0.5 }}]
[[caption]]
at = "rims"
text = "Raise it."
seconds = 1
"""


@pytest.fixture
def made(tmp_path, monkeypatch):
    """Makes a film of 25 frames in parts of 8; returns its path."""
    monkeypatch.setattr(films, "PART_FRAMES", 8)

    def make(name="a.mp4", more="", **settings):
        (tmp_path / "a.toml").write_text(TEXT.format(more=more))
        settings = {"progress": False} | settings
        montage(sequence.load(tmp_path / "a.toml"), tmp_path / name, SIZE, 10, "dark", **settings)
        return tmp_path / name

    return make


def probed(path, *asked):
    if shutil.which("ffprobe") is None and os.environ.get("LOWSUN_BROWSER") != "required":
        pytest.skip("there is no ffprobe; Debian's ffmpeg brings it")
    told = subprocess.run(
        ["ffprobe", "-v", "error", "-of", "json", *asked, str(path)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stderr == ""
    return json.loads(told.stdout)


def decoded(path):
    with av.open(path) as container:
        return [frame.to_ndarray(format="rgb24") for frame in container.decode(video=0)]


@pytest.mark.parametrize(("name", "text"), [("a.mp4", "mov_text"), ("a.mkv", "subrip")])
def test_an_outside_reader_finds_frames_tracks_and_chapters(made, name, text):
    path = made(name)
    told = probed(path, "-show_streams", "-count_frames", "-show_chapters", "-show_format")
    picture, words = told["streams"][:2]
    assert (picture["codec_name"], picture["nb_read_frames"]) == ("h264", "25")
    assert (picture["color_space"], picture["color_range"]) == ("bt709", "tv")
    assert words["codec_name"] == text
    assert [each["tags"]["title"] for each in told["chapters"]] == ["Guess", "Coloured rims"]
    assert [float(each["end_time"]) for each in told["chapters"]] == [1.0, 2.5]
    assert float(told["format"]["duration"]) == pytest.approx(2.5, abs=0.02)
    beside = sorted(each.name for each in path.parent.iterdir())
    assert beside == sorted(["a.toml", name, "a.vtt", "a.png", "a.txt"])
    assert "0:01 Coloured rims" in path.with_suffix(".txt").read_text()


def test_parts_are_joined_without_a_seam(made):
    told = probed(made(), "-show_packets", "-select_streams", "v")["packets"]
    times = sorted(float(packet["pts_time"]) for packet in told)
    np.testing.assert_allclose(np.diff(times), 0.1, atol=1e-6)
    assert times[0] == 0
    order = [float(packet["dts_time"]) for packet in told]
    assert order == sorted(order)


def test_parts_by_processes_are_the_same_film(made):
    here = decoded(made())
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        there = decoded(made("b.mp4", executor=executor))
    np.testing.assert_array_equal(here, there)


def test_a_stopped_film_goes_on_where_it_was(made, monkeypatch):
    begun = []
    real = films.rendered

    def stopping(frames, *asked):
        begun.append(len(frames))
        if len(begun) == 3:
            raise KeyboardInterrupt
        return real(frames, *asked)

    monkeypatch.setattr(films, "rendered", stopping)
    with pytest.raises(KeyboardInterrupt):
        made()
    path = made()
    assert begun == [8, 8, 8, 8, 1]  # the third is begun again, the first two are kept
    assert len(decoded(path)) == 25
    assert not path.with_name(".a-parts").exists()


def test_parts_of_another_edition_are_rendered_again(made, monkeypatch):
    rendered = []
    real = films.rendered
    monkeypatch.setattr(films, "rendered", lambda *asked: rendered.append(1) or real(*asked))
    monkeypatch.setattr(films, "_remove", lambda parts, folder: None)
    made()
    made(overwrite=True)
    assert len(rendered) == 4
    monkeypatch.setattr(films, "edition", lambda: "another")
    made(overwrite=True)
    assert len(rendered) == 8


def test_nothing_is_overwritten_and_takes_are_numbered(made):
    path = made()
    path.with_suffix(".mp4").rename(path.with_name("mine.mp4"))
    with pytest.raises(OutputFileError, match=r"a\.vtt is already there and was left"):
        made()
    assert next_take(path.with_name("b.mp4")).name == "b-1.mp4"
    path.with_name("b-1.mp4").touch()
    assert next_take(path.with_name("b.mp4")).name == "b-2.mp4"


def test_a_full_disk_is_told_before_anything_is_rendered(made, monkeypatch):
    monkeypatch.setattr(films.shutil, "disk_usage", lambda folder: type("", (), {"free": 1000}))
    with pytest.raises(OutputFileError, match=r"25 frames of 640 x 360 may take .* room for 0 MB"):
        made()


# ---- sound


@pytest.fixture
def tone(tmp_path):
    """A tone of that many seconds as tone.flac beside the film."""

    def write(seconds):
        with av.open(tmp_path / "tone.flac", "w") as file:
            stream = file.add_stream("flac", rate=8000, layout="mono", format="s16")
            wave = 8000 * np.sin(2 * np.pi * 440 * np.arange(int(8000 * seconds)) / 8000)
            frame = av.AudioFrame.from_ndarray(wave[None].astype(np.int16), "s16", "mono")
            frame.sample_rate = 8000
            file.mux([*stream.encode(frame), *stream.encode(None)])

    return write


def test_a_sound_is_laid_under(made, tone):
    tone(2.0)
    told = probed(made(more='sound = "tone.flac"'), "-show_streams")["streams"]
    (sound,) = (stream for stream in told if stream["codec_type"] == "audio")
    assert (sound["codec_name"], sound["sample_rate"]) == ("aac", "48000")
    assert float(sound["duration"]) == pytest.approx(2.0, abs=0.05)


def test_a_sound_may_set_the_pace(made, tone):
    tone(5.0)
    more = 'sound = "tone.flac"\npace = "sound"'
    told = probed(made(more=more), "-show_streams", "-count_frames", "-show_chapters")
    assert told["streams"][0]["nb_read_frames"] == "50"
    assert float(told["chapters"][0]["end_time"]) == 2.0


def test_a_sound_that_is_too_long_or_no_sound_is_told(made, tone, tmp_path):
    tone(9.0)
    with pytest.raises(InputFileError, match=r"lasts 9\.0 s, the film 2\.5 s"):
        made(more='sound = "tone.flac"')
    (tmp_path / "tone.wav").write_bytes(b"no sound at all")
    for name in ("tone.wav", "none.wav"):
        with pytest.raises(InputFileError, match=r"does not decode"):
            made(more=f'sound = "{name}"')
    with pytest.raises(LowsunError, match=r"ends in '\.mp3'; allowed is \.wav or \.flac"):
        made(more='sound = "a.mp3"')


# ---- pages


def test_a_fade_is_the_mean_of_both_where_it_is_half_done():
    page = Page(SIZE, "dark")
    card, other = Frame(card=("One", "")), Frame(card=("Two words", "below"))
    half = page.pixels(Frame(card=other.card, under=card, share=0.5)).astype(int)
    mean = (page.pixels(card).astype(int) + page.pixels(other)) / 2
    assert np.abs(half - mean).max() <= 1


@pytest.mark.parametrize("size", ["square", "upright"])
@pytest.mark.parametrize("name", ["setting_sun", "earth_shadow"])
def test_other_shapes_are_laid_out_and_nothing_is_cut_off(size, name):
    pixels = Page(SIZES[size], "dark").pixels(Frame(scene=name, state={}))
    assert pixels.shape[:2] == SIZES[size][::-1]
    lit = np.abs(pixels[..., :3].astype(int) - pixels[-1, -1, :3]).max(axis=2) > 30
    rows = np.flatnonzero(lit.any(axis=1)) / lit.shape[0]
    assert rows[0] > 0.02
    assert 0.55 < rows[-1] < 0.99
    assert not lit[:, :3].any()
    assert not lit[:, -3:].any()


def test_a_sequence_becomes_a_film_by_two_workers(tmp_path, capsys):
    (tmp_path / "a.toml").write_text(
        'title = "x"\ncards = false\n[[shot]]\ncard = "One"\nseconds = 1\n'
    )
    path = tmp_path / "a.mp4"
    asked = ["--size", "640x360", "--frames-per-second", "24", "--workers", "2", "--take"]
    assert main(["film", str(tmp_path / "a.toml"), str(path), *asked]) == 0
    assert "a-1.mp4: 24 frames for 1.0 s" in capsys.readouterr().out
    assert sorted(each.suffix for each in tmp_path.glob("a-1.*")) == [
        ".mp4",
        ".png",
        ".txt",
        ".vtt",
    ]
