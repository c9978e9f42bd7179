"""Every question: a truth that the scene computes, a hint that does not tell it, outside values."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from lowsun import scenes
from lowsun.errors import InputError
from lowsun.notebook import scene
from lowsun.scenes import questions
from lowsun.scenes.controls import Control
from lowsun.scenes.questions import Choose
from truths import truth

every = pytest.mark.parametrize("question", questions.every(), ids=lambda each: each.name)


@every
def test_the_truth_is_an_answer_that_can_be_given(question):
    answer = truth(question.name)
    if isinstance(question, Choose):
        assert answer in question.options
        assert len(set(question.options)) == len(question.options)
    else:
        assert np.isfinite(answer)
        assert answer > 0
        assert question.is_right(answer, answer)
        assert not question.is_right(2 * answer, answer)
        assert not question.is_right(answer / 2, answer)


@every
def test_neither_the_words_nor_the_hint_nor_the_scene_tell_the_answer(question):
    answer = truth(question.name)
    said = scene(question.scene).sentence()
    if isinstance(question, Choose):
        assert answer not in question.hint.split(".")[0] or len(answer) < 6
    else:
        shown = question.shown(answer)
        assert shown not in question.words
        assert shown not in question.hint
        assert shown not in said


@every
def test_it_holds_a_control_of_its_scene_and_asks_a_question(question):
    assert isinstance(scene(question.scene).control(question.held), Control)
    assert "?" in question.words
    assert len(question.hint) > 40


def test_a_scenes_questions_are_all_that_ask_about_it():
    for name in scenes.NAMES:
        assert questions.about(name) == tuple(q for q in questions.every() if q.scene == name)


def test_a_notebook_of_one_scene_loads_no_other():
    # The frames' room takes 40 MB of libraries that a class at a slider has no use for.
    program = (
        "import sys; from lowsun.notebook import ask, live, scene; stage = live(scene('rims'));"
        " ask(stage); print(*sorted(m for m in sys.modules if m.startswith('lowsun.scenes.')),"
        " 'scipy' in sys.modules, 'av' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    *loaded, scipy, av = run.stdout.split()
    assert "lowsun.scenes.rims" in loaded
    assert not {f"lowsun.scenes.{name}" for name in scenes.NAMES if name != "rims"} & set(loaded)
    assert (scipy, av) == ("False", "False")


def test_names_are_the_questions_own():
    names = [each.name for each in questions.every()]
    assert len(set(names)) == len(names)
    with pytest.raises(InputError, match=r"no question 'x'; choose one of: set_in_truth, beach"):
        questions.question("x")
    with pytest.raises(InputError, match="There is no question"):
        questions.question(np.array(["beach", "x"]))
    with pytest.raises(InputError, match="scene_name is None; give the name of a scene"):
        questions.about(None)


def asked(name, **state):
    question = questions.question(name)
    played = scene(question.scene)
    return question.truth(played, played.check(state))


# ---- outside values: where a truth can be had without the kit


def sinks_arcmin_per_s(latitude_deg=52.1):
    """At an equinox: 15' an hour's minute, by the cosine of the latitude."""
    return 0.25 * np.cos(np.radians(latitude_deg))


def bennett_arcmin(altitude_deg):
    """Refraction: Bennett 1982, J. Navigation 35, 255."""
    return 1 / np.tan(np.radians(altitude_deg + 7.31 / (altitude_deg + 4.4)))


def dip_deg(height_m):
    """Dip of the sea horizon, 1.76' per root metre with refraction (Nautical Almanac)."""
    return 1.76 * np.sqrt(height_m) / 60


def test_the_beach_loses_the_sun_by_the_dip_over_the_suns_speed():
    seen_deg = -dip_deg(np.array([2, 95]))
    lower = np.diff(-60 * seen_deg + bennett_arcmin(seen_deg))[0]
    assert truth("beach") == pytest.approx(lower / sinks_arcmin_per_s(), rel=0.05)


def test_a_kilometre_up_the_sun_goes_later_by_the_deeper_dip():
    seen_deg = -dip_deg(np.array([95, 1000]))
    lower = np.diff(-60 * seen_deg + bennett_arcmin(seen_deg))[0]
    assert truth("later_up_there") == pytest.approx(lower / sinks_arcmin_per_s(), rel=0.07)


def test_the_sun_has_set_in_truth_by_the_refraction_over_its_speed():
    # Bennett's formula is made for altitudes above 0 and runs high below it.
    refraction = bennett_arcmin(-dip_deg(95))
    assert truth("set_in_truth") == pytest.approx(refraction / sinks_arcmin_per_s(), rel=0.07)
    assert truth("lifted") == pytest.approx(refraction, rel=0.07)


def test_the_rim_narrows_as_the_refraction_does():
    # Refraction 34' on the horizon and 2.6' at 20 deg (Explanatory Supplement, from memory).
    assert truth("narrower") == pytest.approx(34 / 2.6, rel=0.15)


def test_three_pixels_are_the_rim_of_a_refraction_that_fits():
    # 4 um behind 600 mm are 1.375"; the rim is (n500 - n650) / (n - 1), 1.0 % of the refraction by
    # Edlen 1966 (from memory), so three pixels are the rim of 6.9' of refraction.
    refraction = 3 * 206.265 * 4 / 600 / 0.010 / 60
    expected = np.interp(-refraction, -bennett_arcmin(np.arange(1, 21)), np.arange(1, 21))
    assert truth("three_pixels") == pytest.approx(expected, rel=0.1)


def test_the_solstices_lie_as_far_apart_as_declination_says():
    # cos A = sin d / cos(latitude), without refraction; a frame 24 mm wide behind 400 mm.
    apart = 2 * np.degrees(np.arcsin(np.sin(np.radians(23.44)) / np.cos(np.radians(52.1))))
    frame = 2 * np.degrees(np.arctan(12 / 400))
    assert truth("frames_apart") == pytest.approx(apart / frame, rel=0.03)


def test_drift_is_to_the_right_in_the_north_and_to_the_left_in_the_south():
    assert truth("drifts") == "to the left"
    question = questions.question("drifts")
    assert question.options.index(truth("drifts")) == 0


def test_pressure_and_warmth_undo_each_other_as_dense_air_does():
    # Refraction goes with P / T, and near the horizon about as 1 / T^2 or steeper, the air lying
    # lower: 20 hPa of 1013 are 2 %, undone by 1 % to 2 % of 288 K.
    assert 0.008 * 288 < truth("pressure_undone") < 0.02 * 288


def test_the_frames_were_made_in_colder_air():
    # make_evening.py made them at -2 deg C and 1030 hPa.
    assert truth("frames_air") == "colder"
    assert asked("frames_air", temperature_c=-2, pressure_hpa=1030) == "the same"
    assert asked("frames_air", temperature_c=-12, pressure_hpa=1030) == "warmer"


def test_a_sunlit_beach_and_the_noon_sun_are_nineteen_stops_apart():
    # The disc at noon, 1.6e9 cd/m2, lights a white card with 1.2e5 lx or 1.8e4 cd/m2 of a medium
    # one's 18 % (6.9e3): 18 stops (values of the trade). Low and in haze it has lost some.
    assert 8 < truth("stops_apart") < 18


def test_the_shadow_shows_no_light_scattered_once():
    assert truth("scattered_again") > 99


def test_the_truth_is_that_of_the_learners_own_settings():
    assert asked("beach", eye_height_m=20) < 0.6 * truth("beach")
    assert asked("three_pixels", focal_length_mm=300) < truth("three_pixels")


def test_where_there_is_no_answer_it_says_why():
    with pytest.raises(InputError, match=r"no rim fills three pixels\. Take a longer"):
        asked("three_pixels", focal_length_mm=50)
    with pytest.raises(InputError, match=r"Nothing is burnt out at this shutter"):
        asked("burnt_first", shutter="1/32000 s")
    with pytest.raises(InputError, match=r"does not set here"):
        asked("beach", latitude_deg=89)


def test_a_number_is_shown_in_figures_that_can_be_read():
    question = questions.question("beach")
    assert question.shown(114.83) == "115 s"
    assert question.shown(2.43) == "2.4 s"
    assert question.shown(-0.345) == "\N{MINUS SIGN}0.34 s"
    assert replace(question, unit="°").shown(7.1155) == "7.1°"
