"""The evenings of a gap: picture and words read back against what was found."""

import re
from datetime import date

import numpy as np
import pytest
from matplotlib.dates import date2num
from numpy.testing import assert_allclose

from lowsun import scenes, sky
from lowsun.__main__ import main
from lowsun.drawing.look import DARK
from lowsun.fieldwork import plan as planning
from lowsun.scenes import evenings_words

SCENE = scenes.named("which_evenings")


@pytest.fixture(scope="module")
def shown():
    picture, result = SCENE.picture(DARK.figure(), DARK), SCENE.result()
    picture.show(result, SCENE.describe(result))
    return picture, result.found


def test_the_curve_is_the_bearings_and_the_dots_are_in_the_gap(shown):
    picture, found = shown
    days, bearings = picture.bearings.get_data()
    assert_allclose(bearings, found.azimuth_deg)
    assert_allclose(days, date2num(found.day))
    dots = picture.inside.get_xydata()
    assert len(dots) == found.inside.sum()
    edges = [line.get_ydata()[0] for line in picture.edges]
    assert edges == [268, 273]
    assert np.all((dots[:, 1] >= edges[0]) & (dots[:, 1] <= edges[1]))


def test_the_list_names_the_evenings_of_the_dots(shown):
    picture, found = shown
    rows = np.flatnonzero(found.inside)
    assert len(picture.lines) == len(rows)
    for text, row in zip(picture.lines, rows, strict=True):
        words = text.get_text()
        assert words.split()[:2] == [str(found.day[row].day), f"{found.day[row]:%b}"]
        assert ("Moon" in words) == (found.moon_altitude_deg[row] > 0)


def test_the_ticks_are_the_days_they_name(shown):
    picture, _ = shown
    for place, label in zip(
        picture.course.get_xticks(), picture.course.get_xticklabels(), strict=True
    ):
        day, month = label.get_text().split()
        number = [f"{date(2027, m, 1):%b}" for m in range(1, 13)].index(month) + 1
        assert place == date2num(date(2027, number, int(day)))


def test_bearings_about_north_are_drawn_in_one_piece():
    picture = SCENE.picture(DARK.figure(), DARK)
    result = SCENE.result(latitude_deg=66)
    picture.show(result, "")
    drawn = picture.bearings.get_ydata()
    assert np.nanmax(np.abs(np.diff(drawn))) < 20


def test_runs_of_dates_in_words():
    sentence = SCENE.sentence()
    assert sentence.startswith("On 15 evenings the last sliver falls between 268° and 273°:")
    assert "15–22 Mar 2027, 21–27 Sep 2027" in sentence
    none = SCENE.sentence(low_deg=0, high_deg=90)
    assert "On no evening" in none
    assert "from 232° to 312°" in none
    assert "At a pole" in SCENE.sentence(latitude_deg=90)


def test_the_table_keeps_to_eighty_columns():
    found = planning.evenings(
        sky.Place("the fell", 66.0, 20.0, 10.0), date(2027, 5, 20), date(2027, 7, 10), 300, 60
    )
    text = evenings_words.text(found)
    assert max(map(len, text.splitlines())) <= 80
    assert len(evenings_words.table(found)) == found.inside.sum() + 1
    assert f"No last sliver on {len(found.without)} dates." in text


def test_the_command_writes_table_and_picture(tmp_path, capsys):
    asked = ["plan", "--evenings", "2027-06-01", "2027-06-20", "--gap", "309", "311"]
    assert main([*asked, "--folder", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    stem = "evenings-2027-06-01-2027-06-20"
    assert (tmp_path / f"{stem}.txt").read_text(encoding="utf-8") in printed
    assert (tmp_path / f"{stem}.png").read_bytes()[:4] == b"\x89PNG"
    assert main([*asked, "--folder", str(tmp_path)]) == 1


def test_evenings_for_which_there_is_no_room_are_counted():
    picture, result = SCENE.picture(DARK.figure(), DARK), SCENE.result(low_deg=230, high_deg=310)
    picture.show(result, "")
    *named, last = [line.get_text() for line in picture.lines]
    more = int(re.fullmatch(r"and (\d+) more", last)[1])
    assert len(named) + more == result.found.inside.sum() > 100
