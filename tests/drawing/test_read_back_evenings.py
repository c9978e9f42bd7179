"""The polar, caught, plan and evenings' pictures, read back into numbers."""

import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.drawing.look import DARK
from lowsun.scenes import named
from read_back import assert_ticks_say_what_they_mark, bar_of, brightness, drawn, number

# --- the poles --------------------------------------------------------------------------------

SECONDS = {"s": 1, "min": 60, "h": 3600}


def seconds_of(words):
    value, unit = words.split()
    return float(value) * SECONDS[unit]


def test_the_curves_of_the_rim_are_the_days_and_the_years():
    picture, result = drawn(named("polar_sunset"))
    for line, seconds in ((picture.day, result.rims.day_s), (picture.year, result.rims.median_s)):
        assert_allclose(line.get_xdata(), result.rims.latitude_deg)
        assert_allclose(line.get_ydata(), seconds)
    written = {text.get_text(): text for text in picture.rim.texts if text.get_text()}
    assert to_rgb(written["on this day"].get_color()) == to_rgb(picture.day.get_color())
    assert to_rgb(written["median of the year"].get_color()) == to_rgb(picture.year.get_color())
    # Three in a column, from the first down.
    heights = [
        written[words].get_position()[1]
        for words in ("standard air,", "on this day", "median of the year")
    ]
    assert heights == sorted(heights, reverse=True)


def test_ticks_of_the_rim_are_the_seconds_and_latitudes_they_name():
    rim = drawn(named("polar_sunset"))[0].rim
    for place, label in zip(rim.get_yticks(), rim.get_yticklabels(), strict=True):
        assert seconds_of(label.get_text()) == place
    latitudes = {"equator": 0, "pole": 90}
    for place, label in zip(rim.get_xticks(), rim.get_xticklabels(), strict=True):
        text = label.get_text()
        assert latitudes.get(text, number(text)) == place


@pytest.mark.parametrize("state", [{}, {"ridges_arcmin": 5, "latitude_deg": 80}])
def test_the_marks_of_the_rim_stand_at_the_latitude_and_its_seconds(state):
    picture, result = drawn(named("polar_sunset"), **state)
    latitude = abs(named("polar_sunset").check(state)["latitude_deg"])
    assert picture.here.get_data() == ([latitude], [result.rim.longest_s])
    assert seconds_of_words(picture.here_words.get_text()) == pytest.approx(
        result.rim.longest_s, rel=0.02
    )
    assert picture.ragged.get_xdata()[0] == latitude
    if state:
        assert picture.ragged.get_ydata()[0] == result.ragged.total_s > 0
        assert seconds_of_words(picture.ragged_words.get_text()) == pytest.approx(
            result.ragged.total_s, rel=0.02, abs=0.06
        )
    else:
        assert np.isnan(picture.ragged.get_ydata()[0])
        assert picture.ragged_words.get_text() == ""
    for mark, words in ((picture.here, picture.here_words), (picture.ragged, picture.ragged_words)):
        assert to_rgb(mark.get_color()) == to_rgb(words.get_color())


def seconds_of_words(words):
    return sum(float(v) * SECONDS[u] for v, u in re.findall(r"([\d.]+) (s|min|h)\b", words))


@pytest.mark.parametrize("span", ["two minutes", "an hour", "a day"])
def test_the_suns_mark_stands_at_its_bearing_and_height(span):
    picture, result = drawn(named("polar_sunset"), span=span, latitude_deg=80, day_of_year=100)
    sun = sky.sun(result.passage.place, result.now)
    across = float(picture.now.get_xdata()[0])
    assert (across - float(sun.azimuth_deg) + 180) % 360 - 180 == pytest.approx(0, abs=1e-3)
    left, right = picture.path.get_xlim()
    assert left < across < right
    if span != "two minutes":
        continue_at = np.interp(across, *_rising(*picture.way.get_data()))
        assert continue_at == pytest.approx(float(result.moment.apparent_altitude_deg), abs=0.05)
    for place, label in zip(picture.path.get_xticks(), picture.path.get_xticklabels(), strict=True):
        degrees = float(label.get_text().split("°")[0])
        assert (place - degrees) % 360 == pytest.approx(0)
    assert assert_ticks_say_what_they_mark(picture.path.yaxis) >= 2


def _rising(across, up):
    across, up = np.asarray(across), np.asarray(up)
    known = np.isfinite(across) & np.isfinite(up)
    order = np.argsort(across[known])
    return across[known][order], up[known][order]


@pytest.mark.parametrize(("bearing", "point"), [(90, "E"), (180, "S"), (270, "W"), (0, "N")])
def test_compass_points_of_the_path_are_those_of_the_bearings(bearing, point):
    picture, _ = drawn(named("polar_sunset"), span="a day", latitude_deg=80, day_of_year=100)
    labels = [label.get_text() for label in picture.path.get_xticklabels()]
    assert f"{bearing}° {point}" in labels


@pytest.mark.parametrize("share", [0, 50, 100])
def test_the_suns_own_sky_fills_the_field_of_an_hour_and_is_brightest_about_it(share):
    picture, result = drawn(named("polar_sunset"), share=share, latitude_deg=89)
    left, right, low, high = picture.sky.extent
    shown = picture.path.get_xlim()
    assert left <= shown[0]
    assert right >= shown[1]
    assert (low, high) == pytest.approx(picture.path.get_ylim())
    light = brightness(picture.sky)[: picture.sky.rgb.shape[0] // 2].sum(axis=0)
    brightest = left + (light.argmax() + 0.5) * (right - left) / light.size
    assert brightest == pytest.approx(result.moment.bearing_deg % 360, abs=0.5)
    assert light.min() > 0  # no part is left black


def test_after_the_last_sliver_the_sky_stays_lit_until_deep_dusk():
    shown = [drawn(named("polar_sunset"), span="a day" if deep else "an hour", share=100,
                   latitude_deg=40, day_of_year=80)[1] for deep in (False, True)]  # fmt: skip
    assert shown[0].moment.shown == 0
    assert shown[0].sky.max() > 100
    assert shown[1].sky is None  # a panorama shows the way alone


def test_portraits_stand_over_the_horizon_as_high_as_their_scale_says():
    picture, result = drawn(named("polar_sunset"), latitude_deg=0, day_of_year=80, span="an hour")
    strip = picture.strip
    assert assert_ticks_say_what_they_mark(strip.yaxis) == 2
    light = brightness(picture.portraits)
    cells = np.array_split(np.arange(light.shape[1]), len(strip.get_xticks()))
    low, high = strip.get_ylim()
    rows = high - (np.arange(light.shape[0]) + 0.5) * (high - low) / light.shape[0]
    for k, columns in enumerate(cells):
        lit = rows[light[:, columns].max(axis=1) > 200]
        middle = 60 * (result.steps.apparent_altitude_deg[k] - result.steps.horizon_deg)
        if lit.size and 17 < middle < 28:
            assert lit.mean() == pytest.approx(middle, abs=1.5)
    seen = [light[:, columns].max() > 200 for columns in cells]
    shares = [float(each) > 0.02 for each in result.steps.shown]
    up = [note == "" for note in result.notes]
    assert seen == [share and note for share, note in zip(shares, up, strict=True)]
    labels = [label.get_text().split("\n")[0] for label in strip.get_xticklabels()]
    zone = result.passage.place.timezone
    for text, when in zip(labels, result.steps.when, strict=True):
        local = when.astimezone(zone)
        minutes = 60 * local.hour + local.minute + local.second / 60
        told = 60 * int(text[:2]) + int(text[3:5])
        assert (told - minutes + 720) % 1440 - 720 == pytest.approx(0, abs=1.0)


def test_the_bar_of_the_polar_limb():
    picture, result = drawn(named("polar_sunset"))
    assert bar_of(picture.limb, "20 arcsec") == pytest.approx(20.0)
    frame = result.limb.lit.frame
    assert np.ptp(picture.limb.get_ylim()) == pytest.approx(frame.rows * frame.arcsec_per_px)
    assert picture.limb.get_title(loc="left") == "upper limb, magnified"


@pytest.mark.parametrize("state", [{}, {"latitude_deg": 30, "day_of_year": 80, "span": "a day"}])
def test_the_clock_of_the_polar_picture_has_its_names_in_order(state):
    picture, result = drawn(named("polar_sunset"), **state)
    told = [text.get_text().split("\n") for text in picture.clock]
    assert [lines[0] for lines in told] == ["first contact", "centre", "last sliver"]
    places = [text.get_position()[0] for text in picture.clock]
    assert places == sorted(places)
    passage = result.passage
    for lines, when in zip(
        told, (passage.first_contact, passage.centre, passage.last_sliver), strict=True
    ):
        utc = next(line for line in lines[1:] if line.endswith("UTC"))
        clock = re.search(r"(\d\d):(\d\d):(\d\d)", utc)
        told_s = sum(
            int(part) * unit for part, unit in zip(clock.groups(), (3600, 60, 1), strict=True)
        )
        true_s = when.hour * 3600 + when.minute * 60 + when.second + when.microsecond / 1e6
        assert told_s == pytest.approx(true_s, abs=0.51)


# --- what the camera caught -------------------------------------------------------------------


def test_bars_of_the_upper_rim_are_twice_their_sigma_to_each_side():
    picture, result = drawn(named("caught"), frame=4)
    _, spread, points, now = picture.upper
    across, up = (np.asarray(each).reshape(-1, 3) for each in spread.get_data())
    assert np.isnan(up[:, 2]).all()
    sigma = np.array([shot.reading.upper_sigma_px for shot in result.shots])
    middle = np.array([shot.reading.upper_green_over_red_px for shot in result.shots])
    assert_allclose(up[:, 1] - up[:, 0], 4 * sigma)
    assert_allclose(up[:, :2].mean(axis=1), middle)
    assert_allclose(points.get_ydata(), middle)
    altitudes = [shot.sun_true_deg for shot in result.shots]
    assert_allclose(points.get_xdata(), altitudes)
    assert_allclose(across[:, 0], altitudes)
    assert now.get_xdata()[0] == altitudes[3]
    assert now.get_markersize() > 1.5 * points.get_markersize()
    # The sentence names the same half length.
    assert f"± {(up[3, 1] - up[3, 0]) / 2:.2f} px" in named("caught").describe(result)


def test_points_of_the_caught_stand_at_the_suns_altitude_of_their_instant():
    picture, result = drawn(named("caught"))
    place = sky.Place("", 52.1, -10.4, 95.0)
    for shot, x in zip(result.shots, picture.ratio[2].get_xdata(), strict=True):
        sun = sky.sun(place, shot.reading.time_utc)
        assert x == pytest.approx(float(sun.true_altitude_deg), abs=1e-6)
    line = picture.upper[0]
    at = result.shot.sun_true_deg
    order = np.argsort(line.get_xdata())
    on_line = np.interp(at, line.get_xdata()[order], np.asarray(line.get_ydata())[order])
    assert on_line == pytest.approx(result.upper_px, abs=0.03)


def test_axes_of_the_caught_say_what_they_mark():
    picture, _ = drawn(named("caught"))
    frame, shape, rim = picture.figure.axes
    assert assert_ticks_say_what_they_mark(rim.xaxis) > 3
    assert assert_ticks_say_what_they_mark(rim.yaxis) > 2
    assert assert_ticks_say_what_they_mark(shape.yaxis) > 2
    assert assert_ticks_say_what_they_mark(frame.yaxis) > 2
    assert shape.get_title(loc="left") == "height over width"
    assert rim.get_title(loc="left") == "green over red, upper limb [px]"
    assert shape.get_xlim() == rim.get_xlim()
    assert frame.get_aspect() == "auto"
    box = frame.get_window_extent()
    assert np.ptp(frame.get_xlim()) / box.width == pytest.approx(
        np.ptp(frame.get_ylim()) / box.height, rel=0.01
    )


def test_no_point_and_no_line_of_the_caught_is_cut_off():
    picture, _ = drawn(named("caught"))
    for line, _, points, _ in (picture.ratio, picture.upper):
        low, high = points.axes.get_ylim()
        for artist in (points, line):
            known = np.asarray(artist.get_ydata())[np.isfinite(artist.get_ydata())]
            assert low <= known.min()
            assert known.max() <= high


# --- the plan and the evenings ----------------------------------------------------------------


@pytest.mark.parametrize("minutes", [-60, -9, 5])
def test_the_large_words_of_the_plan_are_the_results(minutes):
    picture, result = drawn(named("evening_plan"), minutes=minutes)
    assert picture.clock.get_text() == result.clock
    assert picture.countdown.get_text() == result.countdown
    assert picture.coming.get_text() == result.coming
    assert picture.countdown.get_fontsize() > 2 * picture.coming.get_fontsize()
    assert to_rgb(picture.countdown.get_color()) == to_rgb(DARK.colour("sun"))
    rows = [line.get_position()[1] for line in picture.lines]
    assert rows == list(range(len(rows)))
    marked = picture.marker.get_xydata()[:, 1]
    assert marked.min() < result.next_line < marked.max()
    assert np.ptp(marked) < 1.0


def test_the_frame_of_the_plan_bears_the_focal_length_it_is_of():
    picture, result = drawn(named("evening_plan"), focal_length_mm=300)
    assert picture.horizon.frame_name.get_text() == "frame of 300 mm"
    turn, height = picture.horizon.frame.get_data()
    # 6000 pixels of 4 um behind 300 mm: 2 atan(12 / 300).
    assert np.ptp(turn) == pytest.approx(2 * np.degrees(np.arctan(12 / 300)), rel=2e-3)
    assert picture.horizon.frame_name.get_position() == (min(turn), max(height))
    view = picture.horizon.axes
    middle = result.sketch.middle_deg
    for place, label in zip(view.get_xticks(), view.get_xticklabels(), strict=True):
        assert (float(label.get_text().split("°")[0]) - middle - place) % 360 == pytest.approx(
            0, abs=1e-6
        )


def test_ticks_of_the_evenings_are_the_bearings_they_name():
    picture, result = drawn(named("which_evenings"))
    course = picture.course
    compared = 0
    for place, label in zip(course.get_yticks(), course.get_yticklabels(), strict=True):
        assert float(label.get_text().split("°")[0]) == place
        compared += 1
    assert compared > 3
    low, high = course.get_ylim()
    assert low < result.found.azimuth_deg.min()
    assert result.found.azimuth_deg.max() < high
    assert picture.list.get_title(loc="left") == "into the gap, local time"
    # Midsummer is the top of the curve in the north.
    days, bearings = picture.bearings.get_data()
    assert 165 < days[np.argmax(bearings)] - days[0] < 180
