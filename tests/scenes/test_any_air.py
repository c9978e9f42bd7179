"""Any air: the scene reads the player's ascent, and picture, curve and words tell one story."""

from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from lowsun.errors import InputFileError
from lowsun.physics import rays
from lowsun.scenes.any_air import scene
from lowsun.scenes.catalogue import ASCENTS
from lowsun.scenes.controls import UserFile
from lowsun.scenes.made import air_of
from read_back import disc_rows

DUCT = "sea, thin duct near 920 m"  # 905 to 942 m, as the ascent's own header says
OWN = UserFile("mine.csv", (files("lowsun.data") / "soundings" / "marine-duct.csv").read_bytes())


def test_the_players_own_ascent_goes_before_the_sliders():
    said = scene.sentence(sounding=OWN, inversion_k=0)
    assert said.startswith("Inversion from 850 to 1351 m, +9.6 K")
    assert "duct from 905 to 942 m" in said


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "empty"), (b"a,b\n1,2\n", "line 1"), (b"\x00\x01", "plain text")],
)
def test_a_bad_file_is_answered_with_a_sentence(content, words):
    with pytest.raises(InputFileError, match=words):
        scene.sentence(sounding=UserFile("bad.csv", content))


@pytest.mark.parametrize("air", ASCENTS)
def test_every_shipped_ascent_says_what_it_holds(air):
    assert "inversion" in scene.sentence(air=air, inversion_k=0).lower()


def pieces_in(picture):
    """Separate heights at which the middle column is lit."""
    lit = disc_rows(picture.luminance_cd_per_m2)
    return int(np.count_nonzero(np.diff(np.concatenate([[0], lit.astype(int), [0]])) == 1))


def test_under_inside_and_above_a_duct_the_pictures_differ_as_theory_says():
    # Inside the duct rays that leave the eye too level are held in it: a blank strip cuts the Sun.
    # From below, every ray that rises gets out. Above it, the strip lies under the horizontal.
    state = {"air": DUCT, "inversion_k": 0, "sun_true_altitude_arcmin": -75}
    below, inside, above = (scene.result(**state, eye_height_m=eye) for eye in (880, 920, 1000))
    assert below.outline.low_deg.size == 1
    assert inside.outline.low_deg.size >= 2
    assert below.outline.axis_ratio < above.outline.axis_ratio < inside.outline.axis_ratio


def test_a_gentle_inversion_under_the_eye_tears_the_sun_in_two():
    # Common practice, no source: an inversion of 1-2 K under the eye is enough.
    descent = np.arange(-66.0, -40.0, 2.0)
    whole, torn = (
        [scene.result(inversion_k=k, sun_true_altitude_arcmin=t) for t in descent] for k in (0, 2)
    )
    assert max(result.outline.low_deg.size for result in whole) == 1
    assert max(result.outline.low_deg.size for result in torn) == 2
    # And the picture shows as many pieces as the outline counts.
    for result in torn:
        if np.all(
            3600 * np.diff(np.sort(np.r_[result.outline.low_deg, result.outline.high_deg])) > 60
        ):
            assert pieces_in(result.picture) == result.outline.low_deg.size


def test_picture_stands_where_the_outline_says():
    result = scene.result(inversion_k=0, sun_true_altitude_arcmin=-20)
    rows = result.picture.apparent_altitude_deg[disc_rows(result.picture.luminance_cd_per_m2)]
    # A row is 8"; the rims of the other wavelengths reach 30" further on each side.
    assert_allclose(rows.max(), result.outline.high_deg[0], atol=40 / 3600)
    assert_allclose(rows.min(), result.outline.low_deg[-1], atol=40 / 3600)


def test_warm_sea_and_low_eye_make_the_inferior_kind():
    assert "inferior mirage" in scene.sentence(inversion_k=0, sea_excess_k=2, eye_height_m=4)


def test_inversion_under_the_eye_makes_the_mock_kind():
    assert "mock mirage" in scene.sentence(inversion_k=2, eye_height_m=95)


def test_a_draft_is_like_the_picture_it_stands_for():
    state = scene.check({"inversion_k": 3.1, "eye_height_m": 97, "sun_true_altitude_arcmin": -50})
    quick = scene.draft(state)  # of an air not seen before
    full = scene.compute(state)
    assert quick.flash.kind == full.flash.kind == "mock mirage"
    assert_allclose(quick.flash.height_arcsec, full.flash.height_arcsec, atol=3)
    assert quick.outline.low_deg.size == full.outline.low_deg.size
    assert_allclose(quick.outline.high_deg, full.outline.high_deg, atol=5 / 3600)
    light = [np.mean(result.picture.luminance_cd_per_m2) for result in (quick, full)]
    assert_allclose(*light, rtol=0.03)


def test_an_air_seen_before_needs_no_draft(monkeypatch):
    state = scene.check({"inversion_k": 3.2})
    scene.compute(state)
    monkeypatch.setattr(rays, "transfer_curve", None)
    lower = state | {"sun_true_altitude_arcmin": -60.0}
    assert_array_equal(scene.draft(lower).from_sun_arcmin, scene.compute(lower).from_sun_arcmin)


def high_ground(**more):
    """An ascent from a plateau at 874 m, seen by an eye at 95 m."""
    rows = (
        "pressure_hpa,height_m,temperature_c\n912,874,15\n850,1457,11\n700,3012,1\n500,5574,-18\n"
    )
    content = UserFile("plateau.csv", rows.encode())
    return scene.check({"sounding": content, "eye_height_m": 95, "inversion_k": 0} | more)


def test_an_eye_under_the_ground_of_its_ascent_is_told_what_the_air_there_is():
    told = scene.describe(scene.compute(high_ground(lapse_k_per_km=8)))
    assert "It begins at 874 m, above the eye: below, the lapse chosen, 8 K/km." in told
    assert "above the eye" not in scene.describe(scene.compute(high_ground(eye_height_m=900)))


def test_the_lapse_makes_the_air_between_the_sea_and_an_ascent():
    for lapse in (2.0, 8.0):
        sea_k, eye_k = air_of(high_ground(lapse_k_per_km=lapse)).atmosphere.at([0.0, 500.0])[0]
        assert 1000 * (sea_k - eye_k) / 500.0 == pytest.approx(lapse, abs=0.05)
        assert eye_k == pytest.approx(288.15 + lapse * 0.374, abs=0.05)
