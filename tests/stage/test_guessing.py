"""Predict, then try: a hint before the answer, one control held at a time, nothing lost."""

import csv

import pytest

from lowsun.errors import InputError
from lowsun.notebook import ask, live, scene
from lowsun.scenes import questions
from lowsun.stage import guessing
from lowsun.stage.guessing import Questions, verdict
from truths import truth


@pytest.fixture(autouse=True)
def no_answers_yet(monkeypatch, tmp_path):
    monkeypatch.setattr(guessing, "_answers", [])
    monkeypatch.chdir(tmp_path)


def asked(*names, **values):
    chosen = tuple(questions.question(name) for name in names)
    stage = live(scene(chosen[0].scene))
    stage.set(**values)
    return stage, Questions(stage, chosen)


def guess(asking, value):
    asking.field.value = value
    asking.check.click()
    return asking.told.value


def held(stage):
    return {name for name, each in stage._knobs.items() if each.widget.disabled}


def test_a_control_is_held_until_a_guess_and_the_truth_is_right():
    stage, asking = asked("narrower")
    assert held(stage) == {"lower_limb_deg"}
    assert "Yes: 11.9 times" in guess(asking, f"{truth('narrower'):.2f}")
    assert held(stage) == set()


def test_one_question_after_the_other_holds_its_own_control_alone():
    stage, asking = asked("set_in_truth", "last_colour", "calm")
    assert "Question 1 of 3. Without air" in asking._words.value
    assert asking.back.disabled
    asking.next.click()
    assert held(stage) == {"magnification"}
    assert "Choose an answer first." in guess(asking, guessing._UNCHOSEN)
    assert held(stage) == {"magnification"}
    assert "Yes: green." in guess(asking, "green")
    asking.next.click()
    assert held(stage) == {"wind_m_per_s"}
    assert asking.next.disabled
    asking.back.click()
    assert asking.field.value == "green"
    assert held(stage) == {"magnification"}


def test_a_stage_is_asked_all_questions_about_its_scene():
    stage = live(scene("rims"))
    shown = ask(stage)
    assert "Question 1 of 3." in shown.children[0].value
    assert "Question" not in ask(stage, "narrower").children[0].value


def test_a_hint_comes_before_the_answer():
    _, asking = asked("narrower")
    first = guess(asking, "2")
    assert "too small. The rim is a fixed share" in first
    assert "11.9" not in first
    assert "too large by 78 times. It is 11.9" in guess(asking, "90")


def test_off_by_how_much_and_which_way():
    beach, colour = questions.question("beach"), questions.question("last_colour")
    assert verdict(beach, 60, 114, 2) == (
        "Your guess is too small by 54 s. It is 114 s. Move it and see."
    )
    assert verdict(beach, 110, 114, 1).startswith("Yes: 114 s")
    assert verdict(colour, "red", "green", 1).startswith("Your guess is not the one: red. Air")
    assert verdict(colour, "red", "green", 2).endswith("It is green. Move it and see.")


def test_a_guess_that_is_no_number_frees_nothing():
    stage, asking = asked("narrower")
    assert "is &#x27;many&#x27;, not a number" in guess(asking, "many")
    assert held(stage) == {"lower_limb_deg"}


def test_where_there_is_no_answer_the_learner_is_told_why():
    stage, asking = asked("three_pixels", focal_length_mm=50)
    assert "no rim fills three pixels" in guess(asking, "3")
    assert held(stage) == {"lower_limb_deg"}


def test_answers_are_saved_as_a_table(tmp_path):
    _, asking = asked("narrower", "blue_left")
    guess(asking, "2")
    guess(asking, "12,5")
    asking.next.click()
    guess(asking, "more than half")
    asking.save.click()
    assert "answers-1.csv" in asking.told.value
    with open(tmp_path / "answers-1.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["guess"] for row in rows] == ["2.0", "12.5", "more than half"]
    assert [row["truth"] for row in rows] == ["11.9", "11.9", "less than a hundredth"]
    assert "lower_limb_deg=0.0" in rows[0]["settings"]


def test_a_question_belongs_to_its_scene():
    with pytest.raises(InputError, match=r"narrower is about rims, not polar_map"):
        Questions(live(scene("polar_map")), (questions.question("narrower"),))
    with pytest.raises(InputError, match=r"no questions about the scene polar_map"):
        ask(live(scene("polar_map")))
    with pytest.raises(InputError, match=r"a live scene"):
        ask("rims")
    stage, asking = asked("narrower")
    stage.play(scene("polar_map"))
    assert "The stage shows A year of sunsets" in guess(asking, "3")
