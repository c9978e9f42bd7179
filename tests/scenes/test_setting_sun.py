"""The first scene is wired to the sky, the air and the picture."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.drawing.look import DARK
from lowsun.drawing.setting_sun import field_for
from lowsun.errors import LowsunError
from lowsun.physics import rays
from lowsun.scenes import named
from lowsun.scenes.setting_sun import scene
from lowsun.stage.canvas import Canvas


def test_named_in_the_registry():
    assert named("setting_sun") is scene


def test_the_last_sliver_vanishes_at_zero_seconds():
    before, after = (
        scene.result(seconds=s, haze="none").picture.luminance_cd_per_m2 for s in (-2, 3)
    )
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


# --- what the picture shows -------------------------------------------------------------------


def drawn(**state):
    canvas = Canvas(scene, DARK, 1280)
    result = scene.result(**state)
    canvas.draw(result, scene.describe(result))
    return canvas.picture, result


STATES = (
    {},
    {"seconds": -30, "magnification": 8},
    {"seconds": -1500},
    {"seconds": 600},
    {"seconds": -100, "wind_m_per_s": 0},
)


@pytest.mark.parametrize("state", STATES)
def test_axis_bar_and_raster_tell_the_same_scale(state):
    picture, result = drawn(**state)
    low, high = picture.view.get_ylim()
    assert (low, high) == (result.field.low_arcmin, result.field.high_arcmin)
    raster = picture.disc
    assert raster.extent[2:] == (low, high)
    frame = result.picture.lit.frame
    assert 60 * (high - low) == pytest.approx(frame.rows * frame.arcsec_per_px, rel=1e-6)
    assert raster.extent[1] * 120 == pytest.approx(frame.columns * frame.arcsec_per_px, rel=1e-6)
    length = float(np.ptp(picture.bar.get_xdata()))
    assert picture.bar_name.get_text() == f"{length:g} arcmin"
    assert 0.1 * (high - low) < length < 0.6 * (high - low)
    for tick, label in zip(picture.view.get_yticks(), picture.view.get_yticklabels(), strict=True):
        assert float(label.get_text().replace("−", "-") or tick) == pytest.approx(tick)


@pytest.mark.parametrize("state", [{"seconds": -220}, {"seconds": -1200}, {"seconds": -20,
                                   "magnification": 5}])  # fmt: skip
def test_disc_in_the_raster_stands_where_the_limbs_are_drawn(state):
    picture, result = drawn(**state)
    light = result.picture.luminance_cd_per_m2
    middle, beside = light[:, light.shape[1] // 2], light[:, 0]
    low, high = picture.view.get_ylim()
    rows = high - (np.arange(light.shape[0]) + 0.5) * (high - low) / light.shape[0]
    lit = rows[(middle > 20 * beside) & (rows > 0.3)]
    assert lit.max() == pytest.approx(result.upper_limb_arcmin, abs=0.4 + (high - low) / 400)
    now = picture.now.get_xdata()[0]
    curve = picture.limbs[0]
    assert np.interp(now, curve.get_xdata(), curve.get_ydata()) == pytest.approx(
        result.upper_limb_arcmin, abs=0.2
    )


def test_names_stand_beside_the_limbs_they_name():
    picture, _ = drawn(seconds=-200)
    names = {name.get_text(): name for name in picture.names}
    order = [names[each].get_position()[1] for each in ("upper limb", "centre", "lower limb")]
    assert order == sorted(order, reverse=True)
    for name, line in zip(picture.names, picture.limbs, strict=True):
        x, y = name.get_position()
        assert y - np.interp(x, line.get_xdata(), line.get_ydata()) == pytest.approx(1.02, abs=0.02)
    upper, _, lower = (line.get_ydata() for line in picture.limbs)
    assert np.all(upper > lower)


def test_clock_is_in_the_unit_its_axis_names():
    near, _ = drawn(seconds=-100)
    far, _ = drawn(seconds=-1000)
    assert near.clock.get_xlabel().startswith("seconds")
    assert far.clock.get_xlabel().startswith("minutes")
    for picture, unit in ((near, 1), (far, 60)):
        for tick, label in zip(
            picture.clock.get_xticks(), picture.clock.get_xticklabels(), strict=True
        ):
            assert unit * float(label.get_text().replace("−", "-")) == tick


def test_sky_and_sea_meet_at_the_zero_of_the_axis():
    _, result = drawn(seconds=600)
    column = np.log(result.picture.luminance_cd_per_m2[:, 10])
    edge = 1 + np.abs(np.diff(column, 2)).argmax()
    field = result.field
    at = field.high_arcmin - (edge + 0.5) * field.height_arcmin / column.size
    assert at == pytest.approx(0.0, abs=2 * field.height_arcmin / column.size)


def test_wind_breaks_the_mirror_and_widens_the_glitter():
    calm, breeze, gale = (
        scene.result(seconds=-230, wind_m_per_s=wind).picture.luminance_cd_per_m2
        for wind in (0, 2, 14)
    )
    row, middle = -60, calm.shape[1] // 2
    sea = slice(int(0.62 * len(calm)), None)  # the horizon stands at six tenths
    assert calm[sea].max() > 20 * breeze[sea].max()  # the disc's own image
    spread = [each[row] / each[row, middle] for each in (breeze, gale)]
    assert spread[1][0] > spread[0][0]


def test_from_day_to_dusk_the_picture_dims_without_a_jump():
    lights = [
        np.median(scene.result(seconds=s).picture.luminance_cd_per_m2) for s in range(-60, 400, 20)
    ]
    steps = np.diff(np.log(lights))
    assert np.all(steps < 0.01)
    assert np.abs(np.diff(steps)).max() < 0.12


def test_thick_haze_hides_the_sun_and_the_sentence_says_so():
    assert "hidden by the haze" in scene.sentence(seconds=-60, haze="hazy")
    assert "hidden" not in scene.sentence(seconds=-60, haze="very clear")


def test_above_the_scattering_model_the_picture_says_what_it_leaves_out():
    assert "above 9 km" in scene.result(eye_height_m=12_000).screen_note
    assert "left out" not in scene.result(eye_height_m=8_000).screen_note


@pytest.mark.parametrize("seconds", [-238, -200, -150, -100, -30, 5, -2300, -900, 1500])
def test_the_cursor_strikes_no_name_through(seconds):
    canvas = Canvas(scene, DARK, 1280)
    result = scene.result(seconds=seconds)
    canvas.draw(result, scene.describe(result))
    clock = canvas.picture
    cursor = clock.clock.transData.transform((seconds, 0))[0]
    for name in clock.names:
        box = name.get_window_extent(canvas._agg.get_renderer())
        assert not (name.get_visible() and box.x0 - 2 < cursor < box.x1), name.get_text()


def test_the_clock_is_given_with_the_spread_of_the_airs_it_may_be():
    # Refraction goes with density, p / T: 5 K in 288 and 10 hPa in 1013 are 2.7 % of the horizon's
    # 33' of it, 54", which the Sun sinks in so many seconds; the bend's own bend adds
    # about as much again at the horizon.
    result = scene.result()
    sinks = -float(result.sun.vertical_speed_arcsec_per_s)
    by_hand = 33.0 * 60 * (5 / 288 + 10 / 1013) / sinks
    assert by_hand < result.spread_s < 2.2 * by_hand
    assert f"± {result.spread_s:.0f} s" in scene.sentence()
    slow = scene.result(latitude_deg=62)
    assert slow.spread_s > 1.2 * result.spread_s


def test_where_not_all_airs_have_a_sunset_no_spread_is_named():
    assert "±" not in scene.sentence(latitude_deg=78, longitude_deg=16, day=date(2027, 6, 21))


def test_a_hand_on_the_exposure_computes_no_light():
    dark, bright = (scene.result(seconds=-41, exposure_stops=stops) for stops in (0, 2))
    assert bright.picture.lit.values is dark.picture.lit.values
    assert bright.picture.rgb.mean() > dark.picture.rgb.mean()


def test_a_magnified_field_glides_down_with_the_limb_until_the_sea_is_in_it():
    limbs = np.linspace(30.0, -2.0, 321)
    lows = np.array([field_for(limb, 8.0).low_arcmin for limb in limbs])
    over_edge = np.array([field_for(limb, 8.0).high_arcmin for limb in limbs]) - limbs
    assert_allclose(np.diff(lows[:200]), -0.1, atol=1e-9)
    assert_allclose(over_edge[:200], over_edge[0])
    assert np.all(lows[-50:] == lows[-1])
    assert np.abs(np.diff(lows)).max() < 0.1001
