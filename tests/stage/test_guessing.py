"""Predict, then try: the truth for the learner's own settings, hints before it, nothing lost."""

import csv

import numpy as np
import pytest

from lowsun.errors import InputError
from lowsun.notebook import live, scene
from lowsun.scenes import questions
from lowsun.stage import guessing
from lowsun.stage.guessing import Guess, verdict


@pytest.fixture(autouse=True)
def no_answers_yet(monkeypatch, tmp_path):
    monkeypatch.setattr(guessing, "_answers", [])
    monkeypatch.chdir(tmp_path)


def asked(name, **values):
    question = questions.question(name)
    stage = live(scene(question.scene))
    stage.set(**values)
    return stage, Guess(stage, question)


def guess(asking, text):
    asking.field.value = text
    asking.check.click()
    return asking.told.value


@pytest.mark.parametrize("question", questions.QUESTIONS, ids=lambda each: each.name)
def test_a_control_is_freed_by_the_first_guess_and_the_truth_is_right(question):
    stage, asking = asked(question.name)
    knob = stage._knobs[question.held].widget
    assert knob.disabled
    truth = question.truth(stage.scene, stage.state)
    assert "Yes:" in guess(asking, f"{truth:.2f}")
    assert not knob.disabled


def test_the_beach_loses_the_sun_by_the_dip_over_the_suns_speed():
    # Dip of the sea horizon 1.76' per root metre with refraction (Bowditch, from memory); between
    # the two horizons the refraction changes too (Bennett 1982, J. Navigation 35, 255); the Sun
    # sinks 0.25' cos(latitude) a second at an equinox.
    stage, _ = asked("beach")
    dips_arcmin = 1.76 * np.sqrt([2, 95])
    seen_deg = -dips_arcmin / 60
    refraction_arcmin = 1 / np.tan(np.radians(seen_deg + 7.31 / (seen_deg + 4.4)))
    expected_s = np.diff(dips_arcmin + refraction_arcmin)[0] / (0.25 * np.cos(np.radians(52.1)))
    truth = questions.question("beach").truth(stage.scene, stage.state)
    assert truth == pytest.approx(expected_s, rel=0.05)


def test_the_rim_narrows_as_the_refraction_does():
    # Refraction 34' on the horizon and 2.6' at 20 deg (Explanatory Supplement, from memory).
    stage, _ = asked("narrower")
    truth = questions.question("narrower").truth(stage.scene, stage.state)
    assert truth == pytest.approx(34 / 2.6, rel=0.15)


def test_the_truth_is_that_of_the_learners_own_settings():
    stage, asking = asked("beach", eye_height_m=20)
    lower = asking.question.truth(stage.scene, stage.state)
    assert lower < 0.6 * asking.question.truth(stage.scene, scene("setting_sun").defaults())


def test_a_hint_comes_before_the_answer():
    _, asking = asked("narrower")
    first = guess(asking, "2")
    assert "too small. The rim is a fixed share" in first
    assert "it is" not in first
    assert "too large by" in guess(asking, "90")
    assert "it is 11.9" in guess(asking, "91")


def test_off_by_how_much_and_which_way():
    question = questions.question("beach")
    assert "too small by 14 s: it is 114 s" not in verdict(question, 100, 114, 1)
    assert verdict(question, 60, 114, 2).startswith("Your guess is too small by 54 s: it is 114 s")
    assert verdict(question, 110, 114, 1).startswith("Yes: 114 s")


def test_a_guess_that_is_no_number_frees_nothing():
    stage, asking = asked("narrower")
    assert "is &#x27;many&#x27;, which is not a number" in guess(asking, "many")
    assert stage._knobs["lower_limb_deg"].widget.disabled


def test_answers_are_saved_as_a_table(tmp_path):
    _, asking = asked("narrower")
    guess(asking, "2")
    guess(asking, "12,5")
    asking.save.click()
    assert "answers-1.csv" in asking.told.value
    with open(tmp_path / "answers-1.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["guess"] for row in rows] == ["2.0", "12.5"]
    assert rows[0]["truth"] == "11.9"
    assert "lower_limb_deg=0.0" in rows[0]["settings"]


def test_a_question_belongs_to_its_scene():
    with pytest.raises(InputError, match=r"narrower is about rims, not polar_map"):
        Guess(live(scene("polar_map")), questions.question("narrower"))
    with pytest.raises(InputError, match=r"no question 'x'; choose one of: beach, narrower"):
        questions.question("x")
