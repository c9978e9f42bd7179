"""The rims scene is wired to the dispersion, the picture and the camera."""

from pathlib import Path

from numpy.testing import assert_allclose

from lowsun.data import table
from lowsun.scenes.rims import scene

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


def test_width_of_the_scene_is_the_outside_one():
    # palpy 1.8.4 refro, in data/rim_widths_palpy.csv; 2 % as for the dispersion itself.
    rows = table("rim_widths_palpy")
    result = scene.result(pressure_hpa=1013)
    for altitude, width in zip(rows["apparent_altitude_deg"], rows["width_arcsec"], strict=True):
        said = scene.result(lower_limb_deg=altitude).limb_width_arcsec[1]
        assert_allclose(said, width, rtol=0.025)
    assert result.outside_width_arcsec.size == rows.size


def test_outside_values_show_only_where_they_hold():
    assert scene.result(short_nm=450).outside_width_arcsec.size == 0
    assert scene.result(temperature_c=0).outside_width_arcsec.size == 0


def test_lower_limb_stands_where_it_is_asked_for():
    result = scene.result(lower_limb_deg=3)
    assert_allclose(result.limb_altitude_deg[1], 3.0, atol=0.001)
    # Flattened at 3 deg to 0.95 (palpy refro, from memory), 0.53 deg across.
    assert 0.49 < result.limb_altitude_deg[0] - result.limb_altitude_deg[1] < 0.53


def test_pixels_follow_the_lens():
    short, long = (
        scene.sentence(focal_length_mm=f).split(": ")[-1].split(" pixels")[0] for f in (300, 1200)
    )
    # One decimal each: 4 within the rounding of the smaller.
    assert_allclose(float(long) / float(short), 4.0, rtol=0.02)


def test_the_notebook_tells_the_growth_that_the_scene_shows():
    words = (NOTEBOOKS / "01-dispersion.ipynb").read_text(encoding="utf-8")
    width = {h: scene.result(lower_limb_deg=h).limb_width_arcsec[0] for h in (0, 10, 20)}
    assert "it grows sixfold from 10° to the sea" in words
    assert 5.5 < width[0] / width[10] < 6.5
    assert "To what part do the rims shrink?" in words
    assert 11.5 < width[0] / width[20] < 12.5  # the answer that is right: a twelfth
