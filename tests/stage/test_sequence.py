"""Sequences: shots, marks and captions in their time; slips told with table and line."""

import html
import textwrap
from types import SimpleNamespace

import pytest
import webvtt

from lowsun import scenes
from lowsun.__main__ import main
from lowsun.errors import InputFileError
from lowsun.scenes import caution
from lowsun.stage import captions, sequence

TEXT = """
title = "Two scenes"
sources = ["A book, 1999"]
[[shot]]
card = "Guess"
seconds = 2
mark = "guess"
[[shot]]
scene = "rims"
start = { lower_limb_deg = 10 }
rest_s = 1
fade_s = 0.5
mark = "rims"
move = [{ values = { lower_limb_deg = 0 }, seconds = 2, rest_s = 1, mark = "sea" }]
[[shot]]
scene = "polar_map"
rest_s = 3
fade_s = 0
[[caption]]
at = "guess"
text = "Which limb is <green> & why?"
seconds = 2
[[caption]]
at = "sea"
after_s = 0.25
text = "Widest."
seconds = 1
"""


def loaded(folder, text=TEXT):
    (folder / "a.toml").write_text(text)
    return sequence.load(folder / "a.toml")


def test_time_runs_from_card_to_card(tmp_path):
    found = loaded(tmp_path)
    # A title of 4 s, a card of 2, a path of 1 + 2 + 1, a rest of 3, an end of 6.
    assert found.beginnings_s == [0, 4, 6, 10, 13]
    assert found.length_s == 19
    assert found.frames(10) == 190 == len(list(found.each_frame(10)))
    assert found.marks == {"guess": 4, "rims": 6, "sea": 9, "end": 13}


def test_a_fade_mixes_with_the_last_frame_before_and_a_cut_does_not(tmp_path):
    frames = list(loaded(tmp_path).each_frame(10))
    fading = [frame for frame in frames[60:70] if frame.under is not None]
    assert [round(frame.share, 3) for frame in fading] == [0.167, 0.333, 0.5, 0.667, 0.833]
    assert {frame.under.card for frame in fading} == {("Guess", "")}
    assert all(frame.under is None for frame in frames[100:130])
    assert frames[89].state["lower_limb_deg"] == 0


def test_the_last_card_names_sources_and_the_caution(tmp_path):
    last = loaded(tmp_path).shots[-1]
    assert last.text == f"A book, 1999\n\n{caution.SHORT}"
    plain = loaded(tmp_path, TEXT.replace('title = "Two scenes"', "cards = false"))
    assert plain.shots[-1].title == "A year of sunsets, pole to pole"


def test_captions_are_webvtt_to_another_reader(tmp_path):
    (tmp_path / "a.vtt").write_text(captions.webvtt(loaded(tmp_path)), encoding="utf-8")
    first, second = webvtt.read(str(tmp_path / "a.vtt"))
    assert (first.start, first.end) == ("00:00:04.000", "00:00:06.000")
    assert html.unescape(first.raw_text) == "Which limb is <green> & why?"
    assert (second.start_in_seconds, second.text) == (9, "Widest.")
    assert second.start == "00:00:09.250"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('scene = "rims"', 'scene = "rim"', r"shot 2 \(line 8\): There is no scene 'rim'"),
        ("rest_s = 3", "rest_s = -3", r"shot 3 \(line 15\): rest_s is -3 s"),
        ("lower_limb_deg = 10", "limb = 10", r"shot 2 \(line 8\).*no control limb"),
        ("lower_limb_deg = 0", "lower_limb_deg = 99", r"shot 2 \(line 8\).*is 99 °; allowed is"),
        ('at = "sea"', 'at = "gone"', r"caption 2 \(line 23\): there is no mark 'gone'; set are"),
        ('at = "sea"', 'at = "guess"', r"caption 2 \(line 23\): it begins at 4\.2 s, before"),
        ("after_s = 0.25", "after_s = 12", r"caption 2.*ends at 22\.0 s, after the film's 19\.0 s"),
        ("seconds = 2\nmark", "seconds = 0\nmark", r"shot 1 \(line 4\): seconds is 0 s"),
        ("fade_s = 0.5", "fades = 1", r"shot 2 \(line 8\): it holds fades; allowed is: fade_s"),
        ('mark = "rims"', 'mark = "guess"', r"the mark 'guess' is set twice"),
        ('sources = ["A book, 1999"]', "speed = 1", r"it holds speed; allowed is: caption, cards"),
        ('sources = ["A book, 1999"]', 'pace = "slow"', r"pace is 'slow'; allowed is \"sound\""),
        ('sources = ["A book, 1999"]', "shot = []", r"is not TOML"),
    ],
)
def test_a_slip_is_told_with_table_and_line(tmp_path, old, new, words):
    assert old in TEXT
    with pytest.raises(InputFileError, match=words):
        loaded(tmp_path, TEXT.replace(old, new))


def test_the_example_in_the_help_is_a_film_and_every_scene_is_listed(tmp_path, capsys):
    with pytest.raises(SystemExit):
        main(["film", "--help"])
    told = capsys.readouterr().out
    example = told.split("a.mp4):\n")[1].split("\nA title card")[0]
    (tmp_path / "a.toml").write_text(textwrap.dedent(example))
    shots = sequence.load(tmp_path / "a.toml")
    assert list(shots.marks) == ["low", "clear", "gone", "end"]
    for name in scenes.NAMES:
        assert f"  {name}\n" in told
    assert "eye_height_m: 0 to 20000" in told


def test_captions_of_a_long_film_are_told_in_hours_and_minutes():
    long = SimpleNamespace(
        title="An evening",
        captions=[SimpleNamespace(text="the last sliver")],
        timed=lambda caption: (3723.004, 7385.5),
    )
    assert "01:02:03.004 --> 02:03:05.500\nthe last sliver" in captions.webvtt(long)
