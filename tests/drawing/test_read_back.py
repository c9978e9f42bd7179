"""Pictures read back: axes, bars, names and rasters give the numbers of the result again."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing.look import DARK
from lowsun.phenomena.flash_light import RIM_NM
from lowsun.scenes import named
from read_back import (
    assert_ticks_say_what_they_mark,
    bar_of,
    brightness,
    column_places,
    drawn,
    row_altitudes,
    texts,
)

SAME_SCALE = 0.005  # relative: a pixel of 480


def assert_round(axes):
    """One scale both ways."""
    box = axes.get_window_extent()
    across, up = (np.ptp(limits) for limits in (axes.get_xlim(), axes.get_ylim()))
    assert across / box.width == pytest.approx(up / box.height, rel=SAME_SCALE)


# --- rims -------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", [{}, {"lower_limb_deg": 8.0}, {"short_nm": 450, "long_nm": 700}])
def test_rims(state):
    picture, result = drawn(named("rims"), **state)
    disc, upper, lower, width = picture.figure.axes
    for axes in (disc, upper, lower):
        assert_round(axes)
    assert bar_of(disc, "10 arcmin") == pytest.approx(10.0)
    for axes, title in ((upper, "upper limb, magnified"), (lower, "lower limb, magnified")):
        assert axes.get_title(loc="left") == title
        assert bar_of(axes, "30 arcsec") == pytest.approx(30.0)
    assert assert_ticks_say_what_they_mark(width.xaxis) == 4
    # The magnified fields are as high as their bars say.
    for axes, shown in ((upper, result.upper), (lower, result.lower)):
        frame = shown.lit.frame
        assert np.ptp(axes.get_ylim()) == pytest.approx(frame.rows * frame.arcsec_per_px, rel=0.01)
    # The points stand on the curve, at the limbs' altitudes, as wide as the sentence says.
    above = result.limb_altitude_deg >= picture.curve.get_xdata()[0]
    on_curve = np.interp(result.limb_altitude_deg[above], *picture.curve.get_data())
    assert above[0]
    assert_allclose(picture.marks.get_xdata(), result.limb_altitude_deg)
    assert_allclose(picture.marks.get_ydata()[above], on_curve, rtol=0.02)
    assert f"{picture.marks.get_ydata()[0]:.1f}″ wide above" in named("rims").describe(result)


def test_the_rim_in_the_magnified_raster_is_as_wide_as_the_sentence_says():
    # The upper limb's images at 500 and at 650 nm end so far apart: where the picture has lost its
    # red and where it has lost its green. Read at half of the inner level of each channel.
    picture, result = drawn(named("rims"), lower_limb_deg=0.5)
    middle = picture.upper.rgb.shape[1] // 2
    rows = row_altitudes(picture.upper)
    linear = (picture.upper.rgb[:, middle].astype(float) / 255) ** 2.2
    edge = [
        np.interp(-0.5, -linear[:, c][::-1] / linear[-8:, c].mean(), rows[::-1]) for c in (0, 1)
    ]
    # A screen's red and green primaries stand for 600 to 640 and 520 to 560 nm: about half of the
    # dispersion between 500 and 650 nm (refractive index of air, Ciddor 1996: 0.45).
    assert (
        0.25 * result.limb_width_arcsec[0] < edge[1] - edge[0] < 0.9 * result.limb_width_arcsec[0]
    )


def test_upper_limb_is_green_above_red_and_lower_limb_red_below_green():
    # Common practice, no source: green rim above, red rim below.
    picture, _ = drawn(named("rims"), lower_limb_deg=1.0)
    for raster, first, over in ((picture.upper, 1, 0), (picture.lower, 0, 1)):
        column = raster.rgb[:, raster.rgb.shape[1] // 2].astype(int)
        outer = column if raster is picture.upper else column[::-1]
        lit = outer[outer.sum(axis=1) > 60][:6]
        assert np.all(lit[:, first] > lit[:, over])


def test_width_falls_with_altitude():
    picture, _ = drawn(named("rims"))
    assert np.all(np.diff(picture.curve.get_ydata()) < 0)


# --- any air ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "state",
    [
        {},
        {"air": "sea, thin duct near 920 m", "eye_height_m": 950},
        {"inversion_k": 8, "sun_true_altitude_arcmin": -30},
        {"sea_excess_k": 4, "eye_height_m": 5, "inversion_k": 0},
    ],
)
def test_any_air(state):
    picture, result = drawn(named("any_air"), **state)
    air, curve, view = picture.figure.axes
    assert_round(view)
    assert bar_of(view, "10 arcmin") == pytest.approx(10.0)
    for axes in (curve, view):
        assert assert_ticks_say_what_they_mark(axes.yaxis) > 2
    assert assert_ticks_say_what_they_mark(curve.xaxis) == 3
    assert assert_ticks_say_what_they_mark(air.yaxis) > 2
    # The profile is the air's, the eye stands at its height and its name beside it.
    height = np.array([0.0, 30.0, 100.0])
    told = np.interp(height, picture.profile.get_ydata(), picture.profile.get_xdata())
    assert_allclose(told + 273.15, result.atmosphere.at(height)[0], atol=0.05)
    assert picture.eye.get_ydata()[0] == picture.eye_name.get_position()[1] == result.eye_height_m
    # Curves bear the colours of their wavelengths, green lifted over red.
    assert [line.get_color() for line in picture.curves] == [
        DARK.wavelength(nm) for nm in reversed(RIM_NM)
    ]
    # The airless line runs through the point at which the Sun's centre would be seen.
    at_centre = np.interp(0.0, picture.straight.get_xdata(), picture.straight.get_ydata())
    horizon_arcmin = -result.sun_above_horizon_direction_arcmin + result_sun(state)
    assert at_centre == pytest.approx(result_sun(state) - horizon_arcmin, abs=1e-6)


def result_sun(state):
    return named("any_air").check(state)["sun_true_altitude_arcmin"]


def test_rows_of_the_picture_look_where_the_curve_says():
    # The disc stands where the red curve looks at it, and nowhere else.
    picture, _ = drawn(named("any_air"), inversion_k=3, sun_true_altitude_arcmin=-30)
    red = picture.curves[0]
    order = np.argsort(red.get_ydata())
    rows = row_altitudes(picture.disc)
    true = np.interp(rows, red.get_ydata()[order], red.get_xdata()[order])
    middle = picture.disc.rgb.shape[1] // 2
    shown = brightness(picture.disc)
    lit = shown[:, middle] > shown[:, 0] + 25
    inside = (np.abs(true) < 15.3) & (rows > 0.3)
    outside = (np.abs(true) > 16.7) | (rows < -0.3)
    assert lit[inside].mean() > 0.97
    assert lit[outside].mean() < 0.03
    assert inside.sum() > 40


def test_green_is_lifted_over_red():
    picture, _ = drawn(named("any_air"), inversion_k=0)
    red, green = (_height_at(line, 5.0) for line in picture.curves)
    assert green > red


def _height_at(line, true_arcmin):
    true, height = (np.asarray(each) for each in line.get_data())
    known = np.isfinite(true)
    order = np.argsort(true[known])
    return np.interp(true_arcmin, true[known][order], height[known][order])


# --- the Earth's shadow -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "state", [{}, {"depression_deg": 3.0}, {"facing": "all round"}, {"eye_height_m": 3000}]
)
def test_earth_shadow(state):
    picture, result = drawn(named("earth_shadow"), **state)
    view, _, climb = picture.figure.axes
    if state.get("facing") != "all round":
        assert_round(view)
    for axes in (view, climb):
        assert assert_ticks_say_what_they_mark(axes.yaxis) > 2
    # Azimuths are counted from the middle: labels are distances from it.
    middle = 180.0
    for place, label in zip(view.get_xticks(), view.get_xticklabels(), strict=True):
        assert float(label.get_text().rstrip("°")) == pytest.approx(abs(place - middle))
    seen = result.seen
    assert_allclose(picture.edge.get_ydata(), seen.edge_deg)
    assert_allclose(picture.arch.get_ydata(), [seen.pink_low_deg, seen.pink_high_deg])
    assert picture.edge_name.get_position()[1] == seen.edge_deg
    assert seen.pink_low_deg < picture.arch_name.get_position()[1] < seen.pink_high_deg
    said = named("earth_shadow").describe(result)
    assert f"{picture.edge.get_ydata()[0]:.1f}° high" in said
    assert "from {:.1f}° to {:.1f}°".format(*picture.arch.get_ydata()) in said
    # The cursor of the climb meets its curves at the same heights.
    now = picture.now.get_xdata()[0]
    assert now == result.sun_depression_deg
    for line, height in ((picture.edges, seen.edge_deg), (picture.peaks, seen.pink_peak_deg)):
        assert np.interp(now, line.get_xdata(), line.get_ydata()) == pytest.approx(height, abs=0.4)
    assert np.interp(now, *picture.opposite.get_data()) == pytest.approx(now)


def test_names_of_the_climb_are_in_the_colours_of_their_curves():
    picture, _ = drawn(named("earth_shadow"))
    names = {name.get_text(): name.get_color() for name in picture.names}
    assert names["pink arch"] == picture.peaks.get_color()
    assert names["shadow's edge"] == picture.edges.get_color()
    assert names["opposite the Sun"] == picture.opposite.get_color()


def test_pink_stands_where_the_picture_says():
    # Among the rows of the middle column, those in the marked band are the reddest of the sky
    # above the edge; below the edge it is blue.
    picture, result = drawn(named("earth_shadow"), depression_deg=1.5)
    middle = np.argmin(np.abs(column_places(picture.sky) - 180.0))
    column = picture.sky.rgb[:, middle].astype(float)
    red_over_blue = column[:, 0] / column[:, 2]
    rows, seen = row_altitudes(picture.sky), result.seen
    in_arch = (rows > seen.pink_low_deg) & (rows < seen.pink_high_deg)
    under = (rows > 0.3) & (rows < 0.7 * seen.edge_deg)
    assert in_arch.sum() > 3
    assert under.sum() >= 1
    assert red_over_blue[in_arch].mean() > 1.1 * red_over_blue[under].max()


def test_the_last_ray_grazes_the_ground_and_the_dark_lies_under_it():
    picture, _ = drawn(named("earth_shadow"))
    x, z = (np.asarray(each) for each in picture.last_ray.get_data())
    ground_x, ground_z = picture.ground.get_xy()[:-3].T
    order = np.argsort(ground_x)
    over = z - np.interp(x, ground_x[order], ground_z[order])
    assert over.min() > -0.5  # km
    dark = picture.dark.get_xy()
    assert np.all(dark[:, 1] <= np.interp(dark[:, 0], x, z) + 0.6)


def test_shadow_evening_reads_its_own_clock():
    scene = named("shadow_evening")
    picture, result = drawn(scene)
    ticks = picture.climb.get_xticks()
    labels = [each.get_text() for each in picture.climb.get_xticklabels()]
    begins = result.watch.when[0].astimezone(result.watch.place.timezone)
    for minutes, label in zip(ticks, labels, strict=True):
        hour, minute = map(int, label.split(":"))
        clock = begins.hour * 60 + begins.minute + begins.second / 60 + minutes
        assert (hour * 60 + minute - clock + 720) % 1440 - 720 == pytest.approx(0, abs=0.51)
    now = picture.now.get_xdata()[0]
    assert now == pytest.approx((result.when - result.watch.when[0]).total_seconds() / 60)
    # Bearings: opposite the sunset in the west is the east.
    assert picture.middle.get_text().startswith("opposite the Sun: ")
    bearing = float(picture.middle.get_text().split(": ")[1].split("°")[0])
    assert 60 < bearing < 120
    assert picture.middle.get_text().split("° ")[1] in ("ENE", "E", "ESE")


# --- the exposure ladder ----------------------------------------------------------------------


@pytest.mark.parametrize("state", [{}, {"filter_stops": 10}, {"f_number": 16, "iso": 50}])
def test_exposure_ladder(state):
    picture, result = drawn(named("exposure_ladder"), **state)
    rungs = result.ladder.rungs
    assert_allclose(picture.disc.get_xdata(), [rung.seconds for rung in rungs])
    assert_allclose(picture.disc.get_ydata(), [rung.disc.longest_s for rung in rungs])
    shown = [rung.rim.longest_s if rung.rim.exists else np.nan for rung in rungs]
    assert_allclose(picture.rim.get_ydata(), shown)
    at = picture.disc_name.xy
    assert picture.disc_name.get_text() == "disc"
    assert np.interp(at[0], *picture.disc.get_data()) == pytest.approx(at[1])
    assert picture.rim_name.get_text() == "green rim"
    assert np.interp(picture.rim_name.xy[0], *picture.rim.get_data()) == pytest.approx(
        picture.rim_name.xy[1]
    )
    # What the shutter does not reach ends at its fastest time; the meter's line stands at its own.
    box = picture.fastest
    assert box.get_y() + box.get_height() == pytest.approx(result.camera.fastest_shutter_s)
    assert picture.sunlit.get_ydata()[0] == picture.sunlit_name.get_position()[1] == result.sunlit_s
    # Ticks of both axes mark what they say.
    chart = picture.disc.axes
    unit = {"10 min": -600, "1 min": -60, "10 s": -10, "0": 0}
    for place, label in zip(chart.get_xticks(), chart.get_xticklabels(), strict=True):
        assert unit[label.get_text()] == place
    for place, label in zip(chart.get_yticks(), chart.get_yticklabels(), strict=True):
        top, _, bottom = label.get_text().replace(" ", "").partition("/")
        assert float(top) / float(bottom or 1) == pytest.approx(place)


def test_sheet_lines_are_the_rungs_in_order():
    picture, result = drawn(named("exposure_ladder"))
    rows = [[cell.get_text() for cell in cells] for cells in picture.cells[1:]]
    for words, rung in zip(rows, result.ladder.rungs, strict=False):
        seconds = float(words[0].split()[0]) * (60 if words[0].endswith("min") else 1)
        assert seconds == pytest.approx(abs(rung.seconds))
        assert float(words[1].rstrip("′")) == pytest.approx(
            max(rung.subject.upper_limb_arcmin, 0), abs=0.051
        )


# --- the map ----------------------------------------------------------------------------------


@pytest.mark.parametrize("what", ["the disc, first contact to last sliver", "the green rim, alone"])
def test_polar_map(what):
    picture, result = drawn(named("polar_map"), what=what, latitude_deg=60, day_of_year=200)
    view, profile = picture.figure.axes
    marks = {"N pole": 90, "60° N": 60, "30° N": 30, "equator": 0, "30° S": -30, "60° S": -60,
             "S pole": -90}  # fmt: skip
    for place, label in zip(view.get_yticks(), view.get_yticklabels(), strict=True):
        assert marks[label.get_text()] == place
    starts = dict(
        zip(view.get_xticks(), (m.get_text() for m in view.get_xticklabels()), strict=True)
    )
    for day in result_days():
        assert starts[day.timetuple().tm_yday] == day.strftime("%b")
    assert picture.here.get_xdata()[0] == 200
    assert picture.here.get_ydata()[0] == 60
    # The profile is the map's column, the dot its cell; the map's colour there is the scale's.
    row = np.argmin(np.abs(picture.line.get_ydata() - 60))
    assert picture.line.get_xdata()[row] == picture.dot.get_xdata()[0] == result.here_s
    for seconds, label in zip(profile.get_xticks(), profile.get_xticklabels(), strict=True):
        assert seconds_of(label.get_text()) == pytest.approx(seconds, rel=1e-6)


def seconds_of(words):
    value, _, unit = words.partition(" ")
    return float(value) * {"s": 1, "min": 60, "h": 3600, "": 60}[unit]


def result_days():
    from datetime import date

    return [date(2027, month, 1) for month in range(1, 13)]


def test_lines_of_equal_time_run_through_places_of_that_time():
    picture, result = drawn(named("polar_map"))
    levels = dict(zip(picture._lines.levels, picture._lines.get_paths(), strict=True))
    compared = dict.fromkeys(levels, 0)
    for level, path in levels.items():
        for day, latitude in path.vertices[:: max(1, len(path.vertices) // 60)]:
            column = result.seconds[:, round(day) - 1]
            near = np.abs(result.map_latitude_deg - latitude) < 1.5
            known = column[near][np.isfinite(column[near])]
            if known.size > 1:
                assert known.min() * 0.9 <= level <= known.max() * 1.1, (level, day, latitude)
                compared[level] += 1
    assert min(compared.values()) >= 5, compared


def test_words_on_the_map_stand_on_what_they_say():
    picture, result = drawn(named("polar_map"))
    stays = {"stays up": result.stays_up, "stays down": result.stays_down}
    found = 0
    for text in picture.view.texts:
        if text.get_text() in stays:
            day, latitude = text.get_position()
            row = np.argmin(np.abs(result.map_latitude_deg - latitude))
            assert stays[text.get_text()][row, round(day) - 1]
            found += 1
    assert found == 6


def test_brighter_on_the_map_is_longer():
    picture, result = drawn(named("polar_map"))
    light = brightness(picture.map)[::-1]
    known = np.isfinite(result.seconds) & ~result.stays_up & ~result.stays_down
    order = np.argsort(result.seconds[known])
    steps = light[known][order]
    assert np.corrcoef(np.arange(steps.size), steps)[0, 1] > 0.85


# --- every scene ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["setting_sun", "rims", "any_air", "exposure_ladder"])
def test_names_beside_an_axis_are_visible(name):
    picture, _ = drawn(named(name))
    for axes in picture.figure.axes:
        assert axes.get_title(loc="left") or axes.get_ylabel() or axes.get_xlabel() or texts(axes)
