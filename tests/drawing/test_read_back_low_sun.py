"""The pictures of the setting Sun, the last light and where to stand, read back into numbers."""

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.data import table
from lowsun.drawing.look import DARK
from lowsun.physics.colour import COLOUR_NAMES
from lowsun.scenes import named
from lowsun.stage.canvas import Canvas
from read_back import assert_ticks_say_what_they_mark, drawn, number, row_altitudes, texts

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
          "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")  # fmt: skip


# --- rims: the outside values -----------------------------------------------------------------


def test_outside_points_are_those_of_the_table_and_lie_on_the_curve():
    picture, result = drawn(named("rims"))
    rows = table("rim_widths_palpy")
    assert_allclose(picture.outside.get_xdata(), rows["apparent_altitude_deg"])
    assert_allclose(picture.outside.get_ydata(), rows["width_arcsec"])
    assert len(rows) > 3
    shown = rows["apparent_altitude_deg"] >= result.altitude_deg[0]
    on_curve = np.interp(picture.outside.get_xdata(), *picture.curve.get_data())
    assert_allclose(picture.outside.get_ydata()[shown], on_curve[shown], rtol=0.03)
    assert picture.outside_name.get_text() == "outside values"
    x, y = picture.outside_name.get_position()
    near = np.hypot(np.log(x / picture.outside.get_xdata()), (y - picture.outside.get_ydata()) / 10)
    assert near.min() < 0.3


@pytest.mark.parametrize(
    "state", [{"temperature_c": 16}, {"pressure_hpa": 1012}, {"short_nm": 505}, {"long_nm": 645}]
)
def test_outside_points_stand_in_their_own_air_and_wavelengths_only(state):
    picture, _ = drawn(named("rims"), **state)
    assert picture.outside.get_xdata().size == 0
    assert picture.outside_name.get_text() == ""


# --- the setting Sun --------------------------------------------------------------------------


@pytest.mark.parametrize("state", [{}, {"seconds": -60, "magnification": 3}, {"seconds": -1500}])
def test_the_airless_sun_is_a_circle_of_the_suns_own_size_where_it_stands(state):
    picture, result = drawn(named("setting_sun"), **state)
    sun = result.evening.sun(result.seconds_now)
    circle = picture.airless
    over_horizon = 60 * (sun.true_altitude_deg - result.evening.horizon_apparent_altitude_deg)
    assert circle.center == (0, pytest.approx(over_horizon))
    assert circle.radius == pytest.approx(sun.angular_diameter_arcmin / 2)
    assert 15.7 < circle.radius < 16.3  # Astronomical Almanac: 15'44" to 16'16"
    # Its upper edge now is where the dashed curve of the clock stands at the cursor.
    now = picture.now.get_xdata()[0]
    assert now == result.seconds_now
    at_cursor = np.interp(now, *picture.airless_limb.get_data())
    assert at_cursor == pytest.approx(circle.center[1] + circle.radius, abs=0.05)
    assert circle.get_linestyle() == "--"
    assert picture.airless_limb.get_linestyle() == "--"
    assert circle.get_edgecolor()[:3] == to_rgb(picture.airless_limb.get_color())


def test_the_airless_sun_is_named_beside_it_while_it_is_in_the_picture():
    # So early that it stands in the field; at the start it has sunk under the sea.
    high, _ = drawn(named("setting_sun"), seconds=-900)
    assert high.airless_name.get_text() == "the Sun without air"
    x, y = high.airless_name.get_position()
    low, top = high.view.get_ylim()
    assert abs(y - high.airless.center[1] - high.airless.radius) < 0.07 * (top - low)
    assert 0 < x < high.view.get_xlim()[1]
    gone, _ = drawn(named("setting_sun"), seconds=-30, magnification=8)
    assert gone.airless_name.get_text() == ""


@pytest.mark.parametrize("sheet", ["wide", "square", "upright"])
@pytest.mark.parametrize("seconds", [-160, -125, -108])  # its sides or its top at the bearing
def test_the_airless_sun_does_not_strike_the_bearing_through(seconds, sheet):
    scene = named("setting_sun")
    canvas, result = Canvas(scene, DARK, 1280, sheet), scene.result(seconds=seconds)
    canvas.draw(result, "")
    picture, rows = canvas.picture, canvas.figure.bbox.height

    def at_the_bearing():
        pixels = canvas.draw(result, "").astype(int)
        box = picture.bearing.get_window_extent()
        top, bottom = round(rows - box.y1), round(rows - box.y0)
        return pixels[top:bottom, round(box.x0) : round(box.x1)].copy()

    with_it = at_the_bearing()
    picture.airless.set_edgecolor("none")
    assert np.array_equal(with_it, at_the_bearing())
    assert np.ptp(with_it[..., :3]) > 100  # the letters are there


def bearing_of(text):
    """Degrees and compass point of 'bearing 271.4° W'."""
    word, degrees, point = text.split()
    assert word == "bearing"
    return float(degrees.rstrip("°")), point


@pytest.mark.parametrize("state", [{}, {"seconds": -2400}, {"latitude_deg": -34, "seconds": 0}])
def test_the_bearing_is_the_suns(state):
    picture, result = drawn(named("setting_sun"), **state)
    place, when = result.evening.place, result.evening.when(result.seconds_now)
    degrees, point = bearing_of(picture.bearing.get_text())
    assert degrees == pytest.approx(float(sky.sun(place, when).azimuth_deg), abs=0.051)
    assert point == POINTS[round(degrees / 22.5) % 16]


def test_at_the_equinox_the_sun_sets_in_the_west():
    # Due west but for the 1.4 degrees by which refraction and radius carry it on.
    degrees, point = bearing_of(drawn(named("setting_sun"), seconds=0)[0].bearing.get_text())
    assert point == "W"
    assert degrees == pytest.approx(271.4, abs=0.6)


def test_the_names_of_the_limbs_bear_the_colour_of_their_curves():
    picture, _ = drawn(named("setting_sun"))
    for name, line in zip(picture.names, picture.limbs, strict=True):
        assert to_rgb(name.get_color()) == to_rgb(line.get_color())
    assert assert_ticks_say_what_they_mark(picture.view.yaxis) > 3


# --- the last light ---------------------------------------------------------------------------

STATES = [{}, {"seconds": -20, "magnification": 1}, {"seconds": -5, "focal_length_mm": 1200}]


def angle_arcsec(words):
    value, unit = words.split()
    return float(value) * {"arcmin": 60, "arcsec": 1}[unit]


@pytest.mark.parametrize("state", STATES)
def test_the_bar_of_both_fields_is_as_long_as_it_says(state):
    picture, result = drawn(named("last_light"), **state)
    eye, camera = picture.figure.axes[:2]
    # The fields' own scale: so many seconds of arc of the computed picture fill the axes.
    high_arcsec = result.eye.rgb.shape[0] * result.eye.arcsec_per_px
    per_unit = high_arcsec / np.ptp(eye.get_ylim())
    length = np.ptp(picture.bar.get_xdata()) * per_unit
    assert length == pytest.approx(angle_arcsec(picture.bar_words.get_text()), rel=0.01)
    window = result.shot.window
    assert window.rows * window.arcsec_per_px == pytest.approx(high_arcsec, rel=0.02)
    assert eye.get_xlim() == camera.get_xlim()
    assert eye.get_ylim() == camera.get_ylim()
    x, y = picture.bar_words.get_position()
    assert picture.bar.get_xdata()[1] < x < picture.bar.get_xdata()[1] + 20
    assert y == picture.bar.get_ydata()[0]


@pytest.mark.parametrize("state", [{"seconds": -10, "magnification": 1}, {"seconds": -10}])
def test_the_dotted_line_is_the_horizon_at_which_the_sun_ends(state):
    picture, result = drawn(named("last_light"), **state)
    light = result.eye.luminance_cd_per_m2
    lit = light.max(axis=1) > 0.05 * light.max()  # sky and sea are far darker than the Sun
    heights = np.arange(light.shape[0])[::-1] + 0.5
    foot = heights[lit].min()
    for line in (picture.eye_horizon, picture.camera_horizon):
        assert line.get_ydata()[0] == line.get_ydata()[1] == pytest.approx(foot, abs=2)
        assert tuple(line.get_xdata()) == picture.figure.axes[0].get_xlim()
    x, y = picture.horizon_name.get_position()
    assert picture.horizon_name.get_text() == "sea horizon"
    assert foot - 8 < y < foot + 2
    assert 0.9 * picture.figure.axes[0].get_xlim()[1] < x


def test_each_field_is_named_for_what_it_shows():
    picture, result = drawn(named("last_light"))
    eye, camera = picture.figure.axes[:2]
    assert (eye.get_title(loc="left"), camera.get_title(loc="left")) == ("the eye", "the camera")
    assert eye is picture.eye.axes
    assert camera is picture.camera.axes
    assert np.array_equal(picture.eye.rgb, result.eye.rgb)
    corners = picture.camera.rgb[[0, 0, -1, -1], [0, -1, 0, -1]]
    assert np.array_equal(corners, result.shot.rgb[[0, 0, -1, -1], [0, -1, 0, -1]])
    assert_allclose(picture.camera.rgb.mean((0, 1)), result.shot.rgb.mean((0, 1)), atol=3)
    assert picture.eye_words.get_text() == result.eye_words
    assert picture.camera_words.get_text() == result.camera_words


def test_the_clock_marks_the_seconds_it_names():
    picture, result = drawn(named("last_light"))
    clock = picture.figure.axes[3]
    named_s = 0
    for place, label in zip(clock.get_xticks(), clock.get_xticklabels(), strict=True):
        text = label.get_text()
        if text:
            # Before the sliver seconds are counted down to it, after it with a plus.
            assert (float(text) if text.startswith("+") else -float(text)) == place
            named_s += 1
    assert named_s > 5
    left, right = clock.get_xlim()
    assert left < result.seconds_now < right
    assert_allclose(picture.lost.get_data(), (result.seconds, result.dominant_nm))


def test_the_heights_of_the_clock_are_the_colours_they_name():
    picture, _ = drawn(named("last_light"))
    clock, found = picture.figure.axes[3], []
    for nm, label in zip(clock.get_yticks(), clock.get_yticklabels(), strict=True):
        name = next(name for name, upper in COLOUR_NAMES.items() if nm < upper)
        assert label.get_text() == name
        found.append(name)
    assert found[:1] == ["orange"]
    assert found[-1:] == ["cyan"]


def test_the_course_is_drawn_where_its_colour_is_seen_and_in_that_colour():
    picture, result = drawn(named("last_light"))
    segments = picture.colours.get_segments()
    both = result.seen[:-1] & result.seen[1:]
    assert len(segments) == both.sum() > 3
    assert_allclose([s[0][0] for s in segments], result.seconds[:-1][both])
    for segment, colour in zip(segments, picture.colours.get_color(), strict=True):
        assert_allclose(colour[:3], DARK.wavelength(segment[0][1]), atol=1e-6)


def test_lines_and_bars_of_a_channel_are_in_its_colour_over_its_letter():
    picture, _ = drawn(named("last_light"))
    histogram = picture.figure.axes[2]
    letters = {
        label.get_text(): place
        for place, label in zip(histogram.get_xticks(), histogram.get_xticklabels(), strict=True)
    }
    for k, letter in enumerate("RGB"):
        line, bar = picture.counts[k], picture.bars[k]
        assert to_rgb(line.get_color()) == to_rgb(bar.get_facecolor())
        assert int(np.argmax(to_rgb(line.get_color()))) == k
        assert bar.get_x() + bar.get_width() / 2 == pytest.approx(letters[letter])
        assert picture.shares[k].get_position()[0] == letters[letter]
    stops = {place: number(text) for text, place in letters.items() if text not in "RGB"}
    assert stops == {place: -place for place in stops}


# --- where to stand ---------------------------------------------------------------------------


@pytest.mark.parametrize("state", [{}, {"inversion_base_m": 200}])
def test_stand_here_is_written_at_the_height_that_is_named(state):
    picture, result = drawn(named("where_to_stand"), **state)
    assert picture.best_name.get_text() == "stand here"
    assert picture.best_name.get_position()[1] == pytest.approx(result.best_m, rel=0.1)
    for line in picture.best:
        assert line.get_ydata()[0] == pytest.approx(result.best_m)
    assert to_rgb(picture.best_name.get_color()) == to_rgb(picture.best[0].get_color())
    assert f"Stand at {result.best_m:.0f} m" in named("where_to_stand").describe(result)


def test_the_air_is_drawn_as_warm_as_it_is_at_each_height():
    picture, result = drawn(named("where_to_stand"))
    temperature, height = picture.profile.get_data()
    at = np.array([10.0, 60.0, 300.0, 1200.0])
    assert_allclose(
        np.interp(at, height, temperature) + 273.15, result.atmosphere.at(at)[0], atol=0.05
    )
    left, right = picture.air.get_xlim()
    shown = (height > 2) & (height < 1500)
    assert left <= temperature[shown].min()
    assert right >= temperature[shown].max()


def test_ticks_of_heights_seconds_and_degrees_say_what_they_mark():
    picture, _ = drawn(named("where_to_stand"))
    flash, air = picture.figure.axes
    for axis in (flash.yaxis, air.yaxis, flash.xaxis):
        assert assert_ticks_say_what_they_mark(axis) >= 4
    assert assert_ticks_say_what_they_mark(air.xaxis) >= 2
    assert flash.get_ylim() == air.get_ylim()
    assert "seconds" in flash.get_xlabel()
    assert "°C" in air.get_xlabel()
    assert "[m]" in flash.get_ylabel()


def test_names_of_the_curves_stand_on_them():
    picture, result = drawn(named("where_to_stand"))
    x, y = picture.geometric_name.get_position()
    assert x == pytest.approx(np.interp(y, result.eye_height_m, result.geometric_s), rel=0.35)
    assert picture.geometric_name.get_text() == "by geometry alone"
    assert "by geometry alone" in texts(picture.flash)


def test_rows_of_the_setting_sun_are_heights_over_its_sea_horizon():
    picture, result = drawn(named("setting_sun"))
    rows = row_altitudes(picture.disc)
    horizon = result.evening.horizon_apparent_altitude_deg
    assert_allclose(rows, 60 * (result.picture.apparent_altitude_deg - horizon), atol=1e-6)
