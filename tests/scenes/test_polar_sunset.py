"""The scene of the polar sunsets: clock, portraits, path and words tell of the same Sun."""

from datetime import UTC, date, timedelta
from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.drawing.look import DARK
from lowsun.drawing.polar import CELL_ARCMIN, PORTRAITS, STRIP_ARCMIN
from lowsun.drawing.sentence import SENTENCE_LINES, sentence_lines
from lowsun.errors import OutOfRangeError
from lowsun.phenomena.polar_sunset import contacts_at
from lowsun.scenes import named
from lowsun.scenes.polar_sunset import DESCENT, SHOWN, scene
from lowsun.stage import Segment, film

EQUINOXES_AND_SOLSTICES = (79, 172, 266, 355)
LATITUDES = (-90, -89, -78, -66.56, -38, 0, 38, 66.56, 78, 89, 90)
STANDARD = {"surface_temperature_c": 15}
NORTH_POLE = {"latitude_deg": 90, "day_of_year": 267}


def new_picture():
    return scene.picture(DARK.figure(), DARK)


@pytest.fixture(scope="module")
def kept_picture():
    """One picture for sweeps: on the stage, too, one picture takes state after state."""
    return new_picture()


def drawn(picture=None, **state):
    """The picture of a state, and what it was made of."""
    picture, result = picture or new_picture(), scene.result(**state)
    picture.show(result, scene.describe(result))
    return picture, result


def lit_arcmin(result, number):
    """Height of the uppermost and the lowest lit row of a portrait over the level horizon."""
    columns = np.array_split(np.arange(result.portraits.shape[1]), PORTRAITS)[number]
    lit = np.flatnonzero(result.portraits[:, columns].max(axis=(1, 2)) > 40)
    rows = result.portraits.shape[0]
    scale = (STRIP_ARCMIN[1] - STRIP_ARCMIN[0]) / rows
    return STRIP_ARCMIN[1] - lit[[0, -1]] * scale if lit.size else None


def test_named_in_the_registry():
    assert named("polar_sunset") is scene


@pytest.mark.parametrize("day_of_year", EQUINOXES_AND_SOLSTICES)
@pytest.mark.parametrize("latitude_deg", LATITUDES)
def test_every_latitude_at_the_turning_points_of_the_year(latitude_deg, day_of_year, kept_picture):
    for span in SHOWN:
        picture, result = drawn(
            kept_picture, latitude_deg=latitude_deg, day_of_year=day_of_year, span=span
        )
        sentence = scene.describe(result)
        assert len(sentence_lines(sentence)) <= SENTENCE_LINES
        assert "nan" not in sentence
        assert np.mean(picture.path.get_xlim()) == pytest.approx(result.centre_deg)


@pytest.mark.parametrize(("ridges_arcmin", "inversion_k"), [(10, 0), (0.5, 30), (4, 12)])
@pytest.mark.parametrize("latitude_deg", LATITUDES)
def test_words_fit_whatever_the_air_and_the_ridges(latitude_deg, ridges_arcmin, inversion_k):
    air = {"inversion_k": inversion_k, "surface_temperature_c": -70}
    days = [{"day_of_year": day} for day in (1, 81, 110, 267, 300)]
    for when in (*days, {"span": DESCENT, "share": 37}):
        sentence = scene.sentence(
            latitude_deg=latitude_deg, ridges_arcmin=ridges_arcmin, **air, **when
        )
        assert len(sentence_lines(sentence)) <= SENTENCE_LINES, sentence


@pytest.mark.parametrize("latitude_deg", LATITUDES)
@pytest.mark.parametrize("span", list(SHOWN))
def test_the_path_is_true_to_scale(latitude_deg, span, kept_picture):
    picture, _ = drawn(kept_picture, latitude_deg=latitude_deg, span=span)
    for axes in (picture.path, picture.strip):
        across, up = np.ptp(axes.get_xlim()), np.ptp(axes.get_ylim())
        box = axes.get_window_extent()
        assert_allclose(across / up, box.width / box.height, rtol=1e-6)


@pytest.mark.parametrize(
    ("latitude_deg", "day_of_year"), [(0, 79), (-38, 172), (78, 283), (89, 268)]
)
def test_clock_and_portraits_agree(latitude_deg, day_of_year):
    # Two minutes around the centre's contact: the middle portrait is cut in half. The lowest lit
    # row stands on the horizon, the upper limb where refraction puts it: 12 to 16'.
    result = scene.result(latitude_deg=latitude_deg, day_of_year=day_of_year, span="two minutes")
    assert abs(result.now - result.passage.centre) < timedelta(seconds=1)
    top, foot = lit_arcmin(result, PORTRAITS // 2)
    assert_allclose(foot, 0, rtol=0, atol=0.6)
    assert 11.5 < top < 16.5


def test_the_descent_at_the_pole_begins_whole_and_ends_with_the_sliver():
    # The span is the descent and 4 % on each side: the first portrait is clear of the horizon, the
    # last shows nothing, and the instants of the clock lie inside, 33 hours apart.
    result = scene.result(**NORTH_POLE, **STANDARD, span=DESCENT)
    _, foot = lit_arcmin(result, 0)
    assert foot > 0.5
    assert lit_arcmin(result, PORTRAITS - 1) is None
    assert result.notes[-1] == "down"
    assert [lines[0] for lines in result.clock] == [
        "the year's first contact",
        "centre, last time",
        "last sliver",
    ]
    passage = result.passage
    assert f"{passage.last_sliver + timedelta(milliseconds=500):%H:%M:%S}" in result.clock[2][1]
    assert "24–25 Sep 2027: the Sun sets for the winter in 32 h 45 min" in scene.describe(result)
    heights = [lit_arcmin(result, k)[0] for k in range(PORTRAITS - 1)]
    assert heights == sorted(heights, reverse=True)


def test_the_descent_is_the_years_whatever_the_date():
    states = [{"latitude_deg": 89, "day_of_year": day, "span": DESCENT} for day in (20, 268, 355)]
    results = [scene.result(**state) for state in states]
    assert len({one.clock for one in results}) == 1
    assert len({scene.describe(one) for one in results}) == 1
    assert results[0].rim.longest_s > 30


def test_where_there_is_no_polar_night_the_descent_is_the_evenings():
    result = scene.result(latitude_deg=38, day_of_year=172, span=DESCENT)
    assert result.descent is None
    assert [lines[0] for lines in result.clock] == ["first contact", "centre", "last sliver"]
    assert "3 min 6 s to go" in scene.describe(result)


def test_two_minutes_at_the_pole_change_nothing_a_day_much():
    two = scene.result(**NORTH_POLE, span="two minutes")
    assert_allclose(lit_arcmin(two, 0), lit_arcmin(two, PORTRAITS - 1), rtol=0, atol=0.3)
    day = scene.result(**NORTH_POLE, span="a day")
    # 24 h of 0.97' of declination, seen through air that squeezes by a sixth and more.
    assert 14 < lit_arcmin(day, 0)[0] - lit_arcmin(day, PORTRAITS - 1)[0] < 24


def test_the_disc_in_the_path_is_the_moments():
    picture, _ = drawn(latitude_deg=0, day_of_year=79, span="two minutes", share=20, **STANDARD)
    left, right, _, _ = picture.sky.extent
    track_width = np.ptp(picture.limbs.get_xdata()[np.isfinite(picture.limbs.get_ydata())])
    lit = np.flatnonzero(picture.sky.rgb.max(axis=(0, 2)) > 200)  # its sky is darker
    scale = (right - left) / picture.sky.rgb.shape[1]
    assert_allclose(lit.size * scale, track_width, rtol=0, atol=3 * scale)


def test_share_runs_through_the_span():
    begins, ends = (scene.result(share=share, span="a day").now for share in (0, 100))
    assert ends - begins == timedelta(days=1)
    picture, _ = drawn(share=100)
    assert_allclose(picture.mark.get_xdata(), [(PORTRAITS - 0.5) * CELL_ARCMIN])


def test_the_shipped_film_of_the_descent_follows_the_sun():
    segment = Segment.load(files("lowsun.data") / "polar_descent.toml")
    states = segment.states(frames_per_second=1)
    assert segment.scene is scene
    assert (states[0]["share"], states[-1]["share"]) == (0, 100)
    results = [scene.compute(state) for state in states[2:12]]
    centres = [one.centre_deg for one in results]
    hours = [(one.now - results[0].now).total_seconds() / 3600 for one in results]
    turned = (np.array(centres) - centres[0] + 15.0 * np.array(hours) + 180) % 360 - 180
    assert_allclose(turned, 0, rtol=0, atol=0.2)  # 15 deg an hour, westwards
    assert all(one.path.bearing_is == "longitude" for one in results)


def test_the_descent_films(tmp_path):
    segment = Segment.load(files("lowsun.data") / "polar_descent.toml")
    path = tmp_path / "descent.mp4"
    frames = film(segment, path, frames_per_second=1, width_px=640, progress=False)
    assert frames == 2 + (32 + 1) + 10 + (1 + 2) + 1
    assert path.stat().st_size > 0


def test_ridges_stand_in_the_path_and_hide_the_sliver():
    level, _ = drawn(**NORTH_POLE, span=DESCENT)
    ragged, result = drawn(**NORTH_POLE, span=DESCENT, ridges_arcmin=3)
    assert np.ptp(level.land.get_xy()[1:-2, 1]) == 0
    assert np.ptp(ragged.land.get_xy()[1:-2, 1]) > 0.1 / 60
    assert len(result.ragged.stretches) > 3
    assert "times in" in scene.describe(result)
    assert "in all" in ragged.ragged_words.get_text()
    assert level.ragged_words.get_text() == ""


def test_the_rim_dot_stands_on_the_days_curve_in_standard_air():
    result = scene.result(latitude_deg=60, day_of_year=266, **STANDARD)
    at = np.interp(60, result.rims.latitude_deg, result.rims.day_s)
    assert_allclose(result.rim.longest_s, at, rtol=0.01)


def test_cold_air_puts_the_last_sunset_off_and_the_sentence_says_by_how_much():
    cold = scene.result(surface_temperature_c=-40, inversion_k=20)
    assert cold.put_off > timedelta(days=1)
    assert "puts off the last sunset by" in scene.describe(cold)
    assert "last sunset" not in scene.sentence(**STANDARD)
    assert scene.result(latitude_deg=38).put_off is None


def test_words_for_each_kind_of_date():
    said = {
        "polar day": {"latitude_deg": 78, "day_of_year": 172},
        "polar night": {"latitude_deg": 78, "day_of_year": 355},
        "dips in part": {"latitude_deg": 65.97, "day_of_year": 172},
        "only a part of the disc": {"latitude_deg": 67.25, "day_of_year": 355},
        "comes up and does not set": {"latitude_deg": 89, "day_of_year": 80},
    }
    for words, state in said.items():
        assert words in scene.sentence(**state, **STANDARD)


def test_a_date_without_a_sunset_names_the_next_and_the_last():
    said = scene.sentence(latitude_deg=90, day_of_year=172, **STANDARD)
    assert "Last sunset 24 Sep 2026, next 24 Sep 2027" in said


def test_clock_in_local_time_and_utc():
    result = scene.result(latitude_deg=38, longitude_deg=-9, day_of_year=172)
    local, universal = result.clock[1][1:]
    centre = contacts_at(result.passage.place, date(2027, 6, 21), result.passage.atmosphere).centre
    centre = (centre + timedelta(milliseconds=500)).astimezone(UTC)
    assert universal == f"21 Jun {centre:%H:%M:%S} UTC"
    assert local == f"21 Jun {centre + timedelta(hours=1):%H:%M:%S} WEST"
    assert scene.result(**NORTH_POLE).clock[1][2] == ""  # at a pole local time is UTC


def test_states_there_are_not():
    with pytest.raises(OutOfRangeError, match=r"latitude.* is 95 °; allowed is -90 to 90"):
        scene.sentence(latitude_deg=95)
    with pytest.raises(OutOfRangeError, match=r"year is 1850; allowed is 1900 to 2052"):
        scene.sentence(year=1850)


def limb_at(share, **state):
    """The magnified limb's picture and its brightest colour, red, green, blue."""
    result = scene.result(share=share, **state)
    lit = result.limb.rgb.reshape(-1, 3)
    return result, lit[lit.sum(axis=1).argmax()].astype(int)


def shares_of(result, *whens):
    length = result.span.ends - result.span.begins
    return [100 * (when - result.span.begins) / length for when in whens]


def test_the_magnified_limb_is_green_while_the_sentence_says_so():
    whole = {**NORTH_POLE, "span": DESCENT}
    ((begins, ends),) = scene.result(**whole).rim.stretches
    # The last of the orange goes in the first part; then green, in the end the blue behind it.
    long = ends - begins
    asked = begins - long / 4, begins + 0.8 * long, ends - long / 20, ends + long
    before, early, late, after = shares_of(scene.result(**whole), *asked)
    red, green, blue = limb_at(before, **whole)[1]
    assert red > 1.5 * green
    for share in (early, late):
        red, green, blue = limb_at(share, **whole)[1]
        assert green > max(red, blue)
    red, green, blue = limb_at(after, **whole)[1]
    assert green < 1.1 * max(red, blue)


def test_the_magnified_field_is_as_high_as_its_scale_bar_says():
    picture, result = drawn(**NORTH_POLE, span=DESCENT, share=50)
    low, high = picture.limb.get_ylim()
    frame = result.limb.lit.frame
    assert high - low == pytest.approx(frame.rows * frame.arcsec_per_px, rel=1e-6)
    bar = next(line for line in picture.limb.lines if np.ptp(line.get_xdata()) > 0)
    assert np.ptp(bar.get_xdata()) == pytest.approx(20.0)
    assert any(text.get_text() == "20 arcsec" for text in picture.limb.texts)
    # The raster's columns are as wide as its rows are high.
    assert np.ptp(picture.limb.get_xlim()) == pytest.approx(
        frame.columns * frame.arcsec_per_px, rel=0.01
    )


def test_the_ground_stands_at_the_horizon_in_the_magnified_field():
    picture, result = drawn(**NORTH_POLE, span=DESCENT, share=96.3)
    top = picture.limb_land.get_xy()[1:-2, 1].max()
    frame = result.limb.lit.frame
    assert top == pytest.approx(3600 * (result.moment.horizon_deg - frame.low_deg), abs=0.01)
    assert 0 < top < 20
    # Lit rows end at the ground: what is below the horizon is dark, what is above has sky.
    rows = result.limb.apparent_altitude_deg
    lit = result.limb.luminance_cd_per_m2.max(axis=1) > 0
    assert rows[lit].min() == pytest.approx(result.moment.horizon_deg, abs=2 * 0.3 / 3600)
