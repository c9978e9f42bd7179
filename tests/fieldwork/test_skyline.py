"""Skylines: files, contacts upright and sideways, and land made from elevations."""

from datetime import date, timedelta
from math import atan, cos, degrees, radians, sqrt, tan

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PIL import Image, TiffImagePlugin

import spoilt
from lowsun import sky
from lowsun.errors import InputError, InputFileError, LowsunError, OutOfRangeError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork import skyline
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.skyline.contacts import _Seen
from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere

LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
DAY = date(2027, 3, 20)
BEARINGS = np.arange(200.0, 330.0, 1.0)
KIT = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
SECOND = timedelta(seconds=1)


@pytest.fixture(scope="module")
def tonight():
    return evening(LIGHTHOUSE, DAY, Atmosphere.standard())


def _flat(height_deg):
    return skyline.Skyline(BEARINGS, np.full(BEARINGS.shape, float(height_deg)))


# --- contacts ---------------------------------------------------------------------------------


def test_a_skyline_under_the_sea_is_the_sea(tonight):
    land = skyline.land_sunset(tonight, _flat(-2))
    assert abs(land.first_contact - tonight.sunset.first_contact) < 0.5 * SECOND
    assert abs(land.last_sliver - tonight.sunset.last_sliver) < 0.5 * SECOND
    assert land.gone == ()


def test_a_level_wall_hides_the_sun_when_its_limb_stands_so_high(tonight):
    land = skyline.land_sunset(tonight, _flat(2.0))
    sun = sky.sun(LIGHTHOUSE, land.last_sliver)
    limb_true = float(sun.true_altitude_deg + sun.angular_diameter_arcmin / 120)
    # Refraction at 2 deg apparent, 15 degC 1013.25 hPa: 17.76' (palpy 1.8.4, reference tables).
    assert_allclose(60 * (2.0 - limb_true), 17.76, rtol=0, atol=0.15)
    assert land.altitude_deg == pytest.approx(2.0)


def test_behind_an_upright_edge_the_sun_goes_sideways(tonight):
    # From 268 deg on stands a tower of 60 deg: the disc moves into it by its drift along.
    bearings = np.append(BEARINGS[BEARINGS < 268], [267.999, *np.arange(268.0, 330.0)])
    heights = np.where(bearings < 268, -2.0, 60.0)
    land = skyline.land_sunset(tonight, skyline.Skyline(bearings, heights))
    first, last = (sky.sun(LIGHTHOUSE, w) for w in (land.first_contact, land.last_sliver))
    for sun, side in ((first, 1), (last, -1)):
        height = radians(float(sun.true_altitude_deg))
        edge = float(sun.azimuth_deg) + side * sun.angular_diameter_arcmin / 120 / cos(height)
        assert_allclose(edge, 268.0, rtol=0, atol=0.01)
    # cos(h) 32' at 15.04"/s sin(52.1 deg), a little faster higher up.
    lasts = (land.last_sliver - land.first_contact) / SECOND
    assert_allclose(lasts, 32.1 * 60 / (15.04 * 0.789), rtol=0.02)


def test_behind_a_peak_and_out_again(tonight):
    heights = np.where(np.abs(BEARINGS - 266) <= 1, 6.0, -2.0)
    land = skyline.land_sunset(tonight, skyline.Skyline(BEARINGS, heights))
    assert len(land.gone) == 1
    (span,) = land.gone
    assert span.begins < span.ends < land.last_sliver
    middle = sky.sun(LIGHTHOUSE, span.begins + (span.ends - span.begins) / 2)
    assert 264 < middle.azimuth_deg < 268
    seen = _Seen(tonight, skyline.Skyline(BEARINGS, heights))
    edges = seen.clearance(np.array([span.begins, span.ends], object))
    assert_allclose(edges[1], 0, rtol=0, atol=1e-4)  # the upper edge, in the middle of the colours
    assert abs(land.first_contact - tonight.sunset.first_contact) < 0.5 * SECOND
    assert abs(land.last_sliver - tonight.sunset.last_sliver) < 0.5 * SECOND


def test_the_rim_goes_last_behind_land_too(tonight):
    land = skyline.land_sunset(tonight, _flat(2.0))
    lasts_s = (land.flash_ends - land.flash_begins) / SECOND
    # 520 to 630 nm at 2 deg: rim of about 7" (14.8" at 0, 5.6/16.9 of it between 0.5 and 5 deg),
    # sinking at 9.2"/s.
    speed = abs(float(sky.sun(LIGHTHOUSE, land.last_sliver).vertical_speed_arcsec_per_s))
    assert 5 < lasts_s * speed < 10


def test_a_sun_that_never_clears_the_land_says_so(tonight):
    high = evening(sky.Place("tropics", 0.0, 0.0), DAY, Atmosphere.standard())
    assert skyline.land_sunset(high, _flat(-2)).last_sliver is not None
    assert "does not come out" in skyline.land_sunset(tonight, _flat(30.0)).reason
    north = evening(sky.Place("camp", 89.0, 0.0), date(2027, 6, 21), Atmosphere.standard())
    ring = skyline.Skyline(np.arange(0.0, 360.0, 5.0), np.full(72, -1.0))
    assert skyline.land_sunset(north, ring).last_sliver is None


def test_a_bearing_that_is_not_covered_is_refused(tonight):
    with pytest.raises(OutOfRangeError, match="covers the bearings 260 to 265; the Sun comes to"):
        skyline.land_sunset(tonight, skyline.Skyline([260.0, 265.0], [0.5, 0.5]))


# --- the plan ---------------------------------------------------------------------------------


def test_the_plan_takes_the_lands_contacts_and_aims_over_it():
    land = _flat(2.0)
    made = planning.plan(
        LIGHTHOUSE, DAY, kit=KIT, skyline=land,
        spread=planning.spread(LIGHTHOUSE, DAY, count=3, skyline=land),
    )  # fmt: skip
    alone = skyline.land_sunset(evening(LIGHTHOUSE, DAY, Atmosphere.standard()), land)
    assert made.timeline.step("last sliver").when == alone.last_sliver
    assert made.timeline.step("flash ends").when == alone.flash_ends
    sea = made.evening.horizon_apparent_altitude_deg
    _, row = made.framing.pixel(made.framing.azimuth_deg, 2.0)
    assert_allclose(row, 4000 * 2 / 3, atol=0.5)
    assert made.timeline.step("last sliver").above_horizon_deg > 1.5 - sea
    spread_s = (made.spread.latest - made.spread.earliest).total_seconds()
    assert 0 < spread_s < 60
    assert "Sun 0.5 deg up" not in [s.name for s in made.timeline.steps if s.heat_share > 0]


# --- files ------------------------------------------------------------------------------------


def test_a_csv_of_bearings_and_heights():
    read = skyline.parse(
        "azimuth,altitude\n# from the roof\n270, 1.5\n275; 2.5\n280 -0.3\n", "a.csv"
    )
    assert_allclose(read.altitude_at([270.0, 272.5, 277.5]), [1.5, 2.0, 1.1])


def test_a_skyline_through_north_and_one_all_round():
    north = skyline.Skyline([355.0, 5.0, 350.0, 0.0], [1.0, 3.0, 0.0, 2.0])
    assert north.first_deg == 350
    assert north.width_deg == 15
    assert_allclose(north.altitude_at([352.5, 2.5]), [0.5, 2.5])
    ring = skyline.Skyline(np.arange(0.0, 360.0, 10.0), np.arange(36.0))
    assert_allclose(ring.altitude_at(355.0), 17.5)


@pytest.mark.parametrize(("text", "answer"), spoilt.SKYLINES)
def test_a_gap_in_the_file_is_an_error_and_not_a_zero(text, answer):
    with pytest.raises(InputFileError, match=answer):
        skyline.parse(text, "mine.csv")


def test_the_invented_hills_cover_all_round():
    from importlib.resources import files

    hills = skyline.parse((files("lowsun.data") / "skyline_hills.csv").read_bytes(), "hills")
    assert hills.width_deg == 360
    assert 0 < hills.altitude_deg.min() < hills.altitude_deg.max() < 6


# --- elevations -------------------------------------------------------------------------------

SIDE = 1201


def _hgt(tmp_path, height, name="N52W011.hgt"):
    path = tmp_path / name
    path.write_bytes(height.astype(">i2").tobytes())
    return path


def _hill(tmp_path, top_m=500.0, north=52.1, west=-10.7):
    """A tile of sea with one block of a hill, 0.02 deg wide, at a place."""
    lat = 53 - np.arange(SIDE)[:, None] / (SIDE - 1)
    lon = -11 + np.arange(SIDE) / (SIDE - 1)
    return np.where((np.abs(lat - north) < 0.01) & (np.abs(lon - west) < 0.01), top_m, 0)


def test_a_hill_stands_as_high_as_the_triangle_and_the_curvature_say(tmp_path):
    tile = skyline.read_tile(_hgt(tmp_path, _hill(tmp_path)))
    land = skyline.around(
        LIGHTHOUSE, [tile], first_deg=260, last_deg=280, reach_m=80_000, sea_beyond=True
    )
    # The near edge stands 0.29 deg of longitude away, 6371 km radius, k = 0.13 (surveyors' mean).
    near_m = radians(0.29) * 6371e3 * cos(radians(52.1))
    expected = degrees(atan((500 - 95 - near_m**2 * 0.87 / 2 / 6371e3) / near_m))
    assert_allclose(land.altitude_at(270.0), expected, rtol=0, atol=0.01)
    # Beside it the sea: its horizon is the dip, 1.926' sqrt(h (1 - k)) (reference tables).
    assert_allclose(60 * land.altitude_at(262.0), -1.926 * sqrt(95 * 0.87), rtol=0, atol=0.05)


def test_where_tiles_end_is_an_error_unless_there_is_sea(tmp_path):
    tile = skyline.read_tile(_hgt(tmp_path, _hill(tmp_path)))
    with pytest.raises(OutOfRangeError, match=r"The tiles end .* km away at bearing 2"):
        skyline.around(LIGHTHOUSE, [tile], first_deg=260, last_deg=280)


def test_a_void_is_an_error_and_not_a_zero(tmp_path):
    height = _hill(tmp_path)
    height[1050:1100, 300:340] = -32768
    tile = skyline.read_tile(_hgt(tmp_path, height))
    with pytest.raises(OutOfRangeError, match="the tile has a gap there"):
        skyline.around(LIGHTHOUSE, [tile], first_deg=260, last_deg=280, sea_beyond=True)


def test_an_eye_under_the_ground_is_refused(tmp_path):
    tile = skyline.read_tile(_hgt(tmp_path, np.full((SIDE, SIDE), 400)))
    with pytest.raises(OutOfRangeError, match="The ground at the lighthouse is 400 m high"):
        skyline.around(LIGHTHOUSE, [tile])
    with pytest.raises(OutOfRangeError, match=r"lies on none of the tiles N52W011\.hgt"):
        skyline.around(sky.Place("far", 10.0, 10.0, 500.0), [tile])
    with pytest.raises(InputError, match="tiles is empty"):
        skyline.around(LIGHTHOUSE, [])


def test_a_tile_of_the_wrong_size_or_name_is_refused(tmp_path):
    with pytest.raises(InputFileError, match="holds 200 bytes"):
        skyline.read_tile(_hgt(tmp_path, np.zeros((10, 10))))
    with pytest.raises(InputFileError, match="does not say where it lies"):
        skyline.read_tile(_hgt(tmp_path, np.zeros((SIDE, SIDE)), "west.hgt"))


def test_heights_of_a_tile_lie_where_the_name_says(tmp_path):
    ramp = np.arange(SIDE)[None, :] + np.zeros((SIDE, 1))
    tile = skyline.read_tile(_hgt(tmp_path, ramp, "S34E018.hgt"))
    assert_allclose(tile.height_at(-33.5, 18.25), 300)
    assert_allclose(tile.height_at(-33.9, 19.0), 1200)
    assert np.isnan(tile.height_at(-34.2, 18.5))


def _geotiff(path, height, point=True, model=2, no_data=None):
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[33550] = (0.01, 0.01, 0.0)
    tags.tagtype[33550] = 12
    tags[33922] = (0.0, 0.0, 0.0, -11.0, 53.0, 0.0)
    tags.tagtype[33922] = 12
    tags[34735] = (1, 1, 0, 2, 1024, 0, 1, model, 1025, 0, 1, 2 if point else 1)
    tags.tagtype[34735] = 3
    if no_data is not None:
        tags[42113] = no_data
    Image.fromarray(height.astype(np.float32)).save(path, tiffinfo=tags)
    return path


def test_a_geotiff_of_heights(tmp_path):
    ramp = np.arange(101.0)[None, :] + 10 * np.arange(101.0)[:, None]
    tile = skyline.read_tile(_geotiff(tmp_path / "a.tif", ramp))
    assert_allclose(tile.height_at(52.5, -10.75), 525)
    # Where pixels are areas, their corner is tied and their middle lies half a step in.
    area = skyline.read_tile(_geotiff(tmp_path / "b.tif", ramp, point=False))
    assert_allclose(area.height_at(52.5 - 0.005, -10.75 + 0.005), 525)


def test_a_geotiffs_unknown_heights_are_unknown(tmp_path):
    height = np.full((101, 101), 3.0)
    height[50, 25] = -9999
    tile = skyline.read_tile(_geotiff(tmp_path / "a.tif", height, no_data="-9999"))
    assert np.isnan(tile.height_at(52.5, -10.75))
    assert tile.height_at(52.3, -10.75) == 3


def test_what_is_no_geotiff_in_degrees_is_refused(tmp_path):
    with pytest.raises(InputFileError, match="drawn on a map's grid"):
        skyline.read_tile(_geotiff(tmp_path / "a.tif", np.zeros((9, 9)), model=1))
    Image.fromarray(np.zeros((9, 9), np.float32)).save(tmp_path / "plain.tif")
    with pytest.raises(InputFileError, match="does not say where it lies"):
        skyline.read_tile(tmp_path / "plain.tif")
    (tmp_path / "text.tif").write_text("no picture")
    with pytest.raises(InputFileError, match="no TIFF that can be read"):
        skyline.read_tile(tmp_path / "text.tif")


def test_a_mark_of_a_known_height(tmp_path):
    # 100 m over the eye at 10 km, without curvature 0.573 deg, less 0.039 deg of it.
    drop = 10_000**2 * 0.87 / 2 / 6371e3
    assert_allclose(degrees(atan((100 - drop) / 10_000)), 0.534, atol=0.001)
    assert tan(radians(0.573)) == pytest.approx(0.01, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: skyline.parse(None), "give the text or bytes of a CSV file"),
        (lambda: skyline.parse("250,1\n251,1", name=5), "name is 5; give a text"),
        (lambda: skyline.read(5), "give the name of a file"),
        (lambda: skyline.read_tile(None), "give the name of a file"),
        (lambda: skyline.around(LIGHTHOUSE, "N52W011.hgt"), "give a list"),
        (lambda: skyline.around(LIGHTHOUSE, ["N52W011.hgt"]), "give one or more of read_tile"),
        (lambda: skyline.around(LIGHTHOUSE, [5], first_deg="west"), "first_deg is 'west'"),
        (lambda: skyline.around(LIGHTHOUSE, [5], refraction=7), "refraction is 7"),
        (lambda: skyline.around(LIGHTHOUSE, [5], sea_beyond="no"), "give True or False"),
        (lambda: skyline.land_sunset(LIGHTHOUSE, None), "give an Evening"),
        (lambda: skyline.Skyline(BEARINGS, 0 * BEARINGS).altitude_at("west"), "not a number"),
        (lambda: skyline.Skyline(BEARINGS, 0 * BEARINGS, name=5), "name is 5; give a text"),
    ],
)
def test_what_is_no_skyline_tile_or_bearing_is_named(call, said):
    with pytest.raises(LowsunError, match=said):
        call()
