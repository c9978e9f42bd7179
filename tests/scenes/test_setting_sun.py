"""The first scene is wired to the sky, the air and the picture."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import LowsunError
from lowsun.physics import rays
from lowsun.scenes import named
from lowsun.scenes.setting_sun import scene


def test_named_in_the_registry():
    assert named("setting_sun") is scene


def test_the_last_sliver_vanishes_at_zero_seconds():
    before, after = (scene.result(seconds=s).picture.luminance_cd_per_m2 for s in (-2, 3))
    assert before.max() > 0
    assert after.max() < 0.05 * before.max()


def test_picture_and_clock_agree_on_the_upper_limb():
    # The picture's highest lit row against the diagram's curve, to a row and the green rim's 20".
    result = scene.result(seconds=-120)
    lit = result.picture.luminance_cd_per_m2.max(axis=1) > 0.05 * (
        result.picture.luminance_cd_per_m2.max()
    )
    top_deg = result.picture.apparent_altitude_deg[lit].max()
    above = 60.0 * (top_deg - result.evening.horizon_apparent_altitude_deg)
    assert_allclose(above, result.upper_limb_arcmin, atol=0.5)


def test_sinks_at_the_speed_of_its_latitude():
    # 15.04"/s sqrt(cos^2 lat - sin^2 dec): 15.0 at the equator at the equinox, 1 %.
    for latitude, speed in ((0.0, 15.04), (60.0, 7.52)):
        ends = [scene.result(latitude_deg=latitude, seconds=s).airless_arcmin for s in (-60, 0)]
        assert_allclose(60.0 * (ends[0] - ends[1]) / 60.0, speed, rtol=0.01)


def test_sentence_names_the_instant_that_the_sky_names():
    state = scene.defaults()
    place = sky.Place("", state["latitude_deg"], state["longitude_deg"], state["eye_height_m"])
    last = sky.sunset(place, state["day"]).last_sliver
    # 15 degC, 1013 hPa against the standard 1013.25 hPa: 0.02 s.
    assert f"{last:%H:%M}" in scene.sentence(seconds=-30)


def test_where_the_sun_stays_up_the_sentence_says_so():
    said = scene.sentence(latitude_deg=78, longitude_deg=16, day=date(2027, 6, 21))
    assert said.startswith("Polar day")
    said = scene.sentence(latitude_deg=78, longitude_deg=16, day=date(2027, 12, 21))
    assert said.startswith("Polar night")


def test_at_the_pole_there_is_no_bearing():
    result = scene.result(latitude_deg=90, day=date(2027, 9, 24))
    assert "no bearing" in result.bearing
    assert np.isnan(result.sun.azimuth_deg)


def test_a_place_off_the_globe_is_refused():
    with pytest.raises(LowsunError, match="latitude, north positive is 95"):
        scene.sentence(latitude_deg=95)


def test_moving_only_the_sun_traces_no_rays(monkeypatch):
    scene.result(seconds=-100)

    def traced(*arguments):
        raise AssertionError(f"rays were traced again for {arguments[1:]}")

    for name in ("transfer_curve", "refined_altitudes_deg"):
        monkeypatch.setattr(rays, name, traced)
    assert scene.result(seconds=-50).picture.rgb.any()
    with pytest.raises(AssertionError, match="traced again"):
        scene.result(seconds=-50, temperature_c=-7)


def test_the_presenter_is_told_how_much_sooner_the_beach_loses_the_sun():
    notebook = Path(__file__).parents[2] / "notebooks" / "00-start-here.ipynb"
    assert "almost two minutes earlier" in notebook.read_text(encoding="utf-8")
    cliff, beach = (scene.result(eye_height_m=eye).evening.sunset.last_sliver for eye in (95, 2))
    assert 105 < (cliff - beach).total_seconds() < 120
