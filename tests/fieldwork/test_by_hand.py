"""Camera, frame and ladder against closed forms worked by hand, each with its sign and its unit."""

from dataclasses import replace
from datetime import date
from math import atan2, cos, degrees, log2, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork import camera, exposures, frame
from lowsun.fieldwork.camera import DIAL_S, Camera
from lowsun.phenomena import low_sun
from lowsun.phenomena.evening import evening
from lowsun.physics import sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.sky import Place

AIR = Atmosphere.standard().with_haze(1500.0)
CURVE = low_sun.curve_for_picture(AIR, 95.0)
VERY_CLEAR = CURVE.through(HAZE["very clear"])
LENS = Camera(400.0, 8.0, 4.0, (6000, 4000), filter_density=1.8)
DISC_DEG = -0.3


def taken(lens=LENS, exposure_s=1 / 4000, rows=240, columns=320, **more):
    middle = CURVE.apparent_at(DISC_DEG)
    window = frame.window_around(lens, middle, columns, rows)
    return frame.expose(VERY_CLEAR, DISC_DEG, lens, exposure_s, window=window, **more)


# --- drift ------------------------------------------------------------------------------------


class Sighting:
    def __init__(self, altitude, azimuth):
        self.true_altitude_deg, self.azimuth_deg = altitude, azimuth
        self.vertical_speed_arcsec_per_s = -1.0


def turned(latitude, hour_angle, declination):
    """Altitude and azimuth from north through east [deg], by the spherical triangle."""
    lat, hour, dec = radians(latitude), radians(hour_angle), radians(declination)
    up = sin(lat) * sin(dec) + cos(lat) * cos(dec) * cos(hour)
    north = cos(lat) * sin(dec) - sin(lat) * cos(dec) * cos(hour)
    east = -cos(dec) * sin(hour)
    return degrees(atan2(up, np.hypot(north, east))), degrees(atan2(east, north)) % 360


@pytest.mark.parametrize("latitude", [-60.0, -20.0, 0.0, 35.0, 52.1, 80.0])
@pytest.mark.parametrize(("hour_angle", "declination"), [(80.0, 10.0), (-70.0, -15.0), (20.0, 5.0)])
def test_drift_to_the_right_is_the_azimuths_change(latitude, hour_angle, declination):
    # Over ten seconds of the sky's turning, 15.041" each, azimuth changes by so much times the
    # cosine of the altitude: to the right where it grows.
    step = 10 * 15.041 / 3600
    (before, one), (after, two) = (
        turned(latitude, hour_angle + side * step / 2, declination) for side in (-1, 1)
    )
    altitude, azimuth = turned(latitude, hour_angle, declination)
    right = (two - one) * 3600 / 10 * cos(radians((before + after) / 2))
    got, _ = frame.drift_arcsec_per_s(Sighting(altitude, azimuth), latitude)
    assert got == pytest.approx(right, abs=1e-3)


def middle_px(shot, channel=1):
    """Where the light's middle stands, columns and rows from the top, in one channel."""
    light = shot.level[channel].astype(float)
    rows, columns = np.indices(light.shape)
    return (light * columns).sum() / light.sum(), (light * rows).sum() / light.sum()


WIDE = Camera(100.0, 8.0, 4.0, (6000, 4000), filter_density=6.0)  # the disc is 233 pixels wide


def well_exposed_s(lens, stops=-0.5):
    """The exposure so many stops from saturating the brightest channel of the disc [s]."""
    window = frame.window_around(lens, CURVE.apparent_at(DISC_DEG), 9, 9)
    lit = low_sun.disc_light(VERY_CLEAR, DISC_DEG, window, responses=sensors.STOCK.weights)
    raw = lit.whole(lit.values)
    return float(lens.longest_exposure_s(raw.max())) * 2.0**stops


@pytest.mark.parametrize("way", [(1, 0), (0, 1), (1, -1)])
def test_a_trail_lengthens_the_image_along_the_drift_alone(way):
    # A drift of L pixels adds L^2 / 12 to the image's variance along it and nothing across.
    exposure_s, length_px = well_exposed_s(WIDE), 36.0
    speed = length_px * WIDE.arcsec_per_pixel / exposure_s / np.hypot(*way)
    still, moved = (
        taken(WIDE, exposure_s, 520, 520, seeing_arcsec=0.0, drift_arcsec_per_s=each)
        for each in ((0.0, 0.0), tuple(speed * part for part in way))
    )
    along = np.array(way) / np.hypot(*way)
    grown = spread(moved, along) - spread(still, along)
    across = spread(moved, along[::-1] * (1, -1)) - spread(still, along[::-1] * (1, -1))
    assert grown == pytest.approx(length_px**2 / 12, rel=0.03)
    assert abs(across) < 0.02 * length_px**2 / 12
    assert middle_px(moved) == pytest.approx(middle_px(still), abs=0.3)


def spread(shot, direction):
    """Variance of the light along a direction (right, up) [px2]."""
    light = shot.level[1].astype(float) * shot.lit
    rows, columns = np.indices(light.shape)
    along = columns * direction[0] - rows * direction[1]
    mean = (light * along).sum() / light.sum()
    return (light * (along - mean) ** 2).sum() / light.sum()


def test_trail_of_one_second():
    # 15.041" x cos(declination) each second; 4 um on 400 mm is 2.0626".
    assert LENS.trail_px(15.041, 1.0) == pytest.approx(7.292, abs=1e-3)
    assert LENS.trail_px(15.041, 0.5) == pytest.approx(3.646, abs=1e-3)
    with pytest.raises(OutOfRangeError, match=r"speed_arcsec_per_s is 60\.5 .*allowed is 0 to 60"):
        LENS.trail_px(60.5, 1.0)


# --- blur, channels, filter -------------------------------------------------------------------


def edge_width_px(shot, channel):
    """Width at half height of the line-spread function of the disc's left limb [px].

    Rows near the disc's middle, where the limb stands upright.
    """
    rows = shot.level.shape[1] // 2
    profile = shot.level[channel, rows - 4 : rows + 4].mean(axis=0)
    line = np.gradient(profile[: profile.size // 2])
    peak = line.argmax()
    half = np.flatnonzero(line > line[peak] / 2)
    return half[-1] - half[0] + 1


@pytest.mark.parametrize("seeing_arcsec", [60.0, 110.0])
def test_blur_is_as_wide_as_asked(seeing_arcsec):
    # A Gaussian's width at half height is its own; 8.25" a pixel, diffraction 9.3".
    shot = taken(WIDE, well_exposed_s(WIDE), columns=400, seeing_arcsec=seeing_arcsec)
    wanted = np.hypot(seeing_arcsec, 9.3) / WIDE.arcsec_per_pixel
    assert edge_width_px(shot, 0) == pytest.approx(wanted, abs=2.0)  # whole pixels, at both ends


def test_channels_stand_in_their_order():
    # The lower the Sun, the redder: red over green over blue, whatever the sensor.
    low = taken(exposure_s=1 / 8000).level.mean(axis=(1, 2))
    assert low[0] > low[1] > low[2] > 0


def test_filter_in_front_takes_its_density():
    # A neutral density of 0.3 halves the light, in every channel and of every measure.
    denser = replace(LENS, filter_density=LENS.filter_density + 0.3)
    one, half = (taken(lens, 1 / 8000).level[0].mean() for lens in (LENS, denser))
    assert half / one == pytest.approx(10**-0.3, rel=0.01)
    for measure in ("focal_plane_exposure_lxs", "saturation_share"):
        through, bare = (getattr(lens, measure)(3200.0, 1 / 60) for lens in (denser, LENS))
        assert through / bare == pytest.approx(10**-0.3, rel=1e-12)
    through, bare = (lens.longest_exposure_s(3200.0) for lens in (denser, LENS))
    assert through / bare == pytest.approx(10**0.3, rel=1e-12)


def test_focal_plane_exposure_by_hand():
    # ISO 12232: H = 0.65 L t / N^2. 3200 cd/m2, 1/100 s, f/8: 0.325 lx s.
    bare = replace(LENS, filter_density=0.0)
    assert bare.focal_plane_exposure_lxs(3200.0, 0.01) == pytest.approx(0.325, rel=1e-12)
    # ISO 12232: t = 78 N^2 / (0.65 L S) = 78 x 64 / 208 000 = 24 ms.
    assert bare.longest_exposure_s(3200.0) == pytest.approx(0.024, rel=1e-12)


def test_burnt_out_share_of_a_whole_disc():
    # Sixteen stops over, all channels of all the disc but its very limb are at the scale's end;
    # four stops under, none.
    for stops, share in ((16.0, 1.0), (-4.0, 0.0)):
        exposure_s = well_exposed_s(WIDE, stops)
        lens = replace(WIDE, slowest_shutter_s=3600.0) if stops > 0 else WIDE
        shot = taken(lens, min(exposure_s, 3600.0), seeing_arcsec=0.0)
        assert shot.clipped_share == pytest.approx([share] * 3, abs=0.06)


def test_noise_of_a_dark_frame_is_the_read_noise():
    # No light at all: half of the normal deviates lie below zero and are cut; of the rest the mean
    # is sigma / sqrt(2 pi), with sigma 3 electrons.
    lens = replace(LENS, iso=6400.0)
    window = frame.window_around(lens, 20.0, 300, 200)
    dark = frame.expose(CURVE, DISC_DEG, lens, 1 / 8000, window=window)
    electrons = sensors.STOCK.electrons_per_lxs(4.0) * 78 / 6400
    sigma = 3.0 / electrons * dark.full_level
    # Levels are rounded down, half a level on average of those that are not cut to zero.
    assert dark.level.mean() == pytest.approx(sigma / sqrt(2 * pi) - 0.25, rel=0.03)


# --- limits and dial --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("focal_length_mm", 1, 20_000),
        ("f_number", 0.5, 128),
        ("pixel_um", 0.5, 50),
        ("bits", 8, 16),
        ("iso", 1, 1_000_000),
        ("filter_density", 0, 10),
    ],
)
def test_limits_are_allowed_and_no_more(name, low, high):
    for end in (low, high):
        assert getattr(replace(LENS, **{name: end}), name) == end
    for beyond in (low - max(1e-3, abs(low) * 1e-3), high * 1.001):
        with pytest.raises(OutOfRangeError, match=rf"{name} is .*allowed is {low}"):
            replace(LENS, **{name: beyond})


def test_dial_is_the_series_of_thirds_of_a_stop():
    # Common practice, no source: dials follow 2^(k/3), printed within a tenth of a stop.
    thirds = 3 * np.log2(np.sort(DIAL_S))
    assert np.array_equal(np.rint(thirds), np.arange(np.rint(thirds[0]), np.rint(thirds[-1]) + 1))
    assert np.abs(thirds - np.rint(thirds)).max() / 3 < 0.13
    assert (min(DIAL_S), max(DIAL_S)) == (1 / 32000, 30.0)


def test_shutter_ends_where_the_camera_says():
    bare = replace(LENS, filter_density=0.0)
    fastest = float(bare.longest_exposure_s(1.0)) / bare.fastest_shutter_s / 2.0
    assert bare.shutter_s(fastest) == pytest.approx(1 / 8000, rel=1e-9)
    with pytest.raises(OutOfRangeError, match=r"1\.0 stops are missing"):
        bare.shutter_s(2 * fastest)
    slowest = float(bare.longest_exposure_s(1.0)) / bare.slowest_shutter_s / 2.0
    assert bare.shutter_s(slowest) == pytest.approx(30.0, rel=1e-9)
    with pytest.raises(OutOfRangeError, match=r"1\.0 stops too many"):
        bare.shutter_s(slowest / 2)


def test_filter_needed_is_what_is_missing():
    bare = replace(LENS, filter_density=0.0)
    bright = float(bare.longest_exposure_s(1.0)) / bare.fastest_shutter_s / 2.0 * 32
    # Five stops more than the shutter has: density 1.505, whatever filter is in front now.
    for lens in (bare, LENS):
        assert lens.filter_density_needed(bright) == pytest.approx(1.50515, abs=1e-4)
        assert lens.filter_density_needed(bright, 0.0) == pytest.approx(1.20412, abs=1e-4)
    assert camera.whole_stops(1.505149) == (pytest.approx(1.50515, abs=1e-4), 5)
    assert camera.whole_stops(1.51)[1] == 6


def test_image_of_the_sun_by_its_tangent():
    assert LENS.sun_image_mm(32.0) == pytest.approx(2 * 400 * tan(radians(16 / 60)), rel=1e-9)
    for arcmin in (31.0, 33.0):
        assert LENS.sun_px(arcmin) == pytest.approx(arcmin * 60 / LENS.arcsec_per_pixel, rel=1e-4)


# --- ladder -----------------------------------------------------------------------------------


def test_rungs_of_the_ladder_move_as_a_fixed_camera_sees_them():
    cliff = evening(Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 6, 21), AIR)
    subject = exposures.subjects(cliff, seconds=(-60.0,))[0]
    # 15.041" x cos(23.43 deg) at the solstice.
    assert subject.drift_arcsec_per_s == pytest.approx(15.041 * cos(radians(23.43)), abs=2e-3)


def test_a_stop_more_headroom_halves_the_exposure():
    for stops in (0.0, 1.0, 2.5):
        one = exposures.setting(LENS, 1e5, stops)
        assert log2(exposures.setting(LENS, 1e5, 0.0).longest_s / one.longest_s) == pytest.approx(
            stops
        )
        assert one.shutter_s <= one.longest_s < one.shutter_s * 2**0.5


@pytest.mark.parametrize(
    ("call", "low", "high"),
    [
        # What the docstrings promise: allowed at both ends, refused just beyond them.
        (lambda value: LENS.diffraction_arcsec(value), 300, 1100),
        (LENS.blur_arcsec, 0, 120),
        (lambda value: LENS.pixels(value), 0, 36_000),
        (lambda value: LENS.sun_px(value), 31, 33),
        (lambda value: camera.density_of_stops(value), 0, 33),
        (lambda value: camera.stops_of_density(value), 0, 10),
        (lambda value: LENS.filter_density_needed(1e9, value), 0, 10),
        (lambda value: exposures.ladder(LENS, (), value), 0, 10),
        (lambda value: exposures.setting(LENS, value), 0, 1e10),
        (lambda value: camera.exposure_value(value), 1e-6, 1e10),
    ],
)
def test_ranges_end_where_they_are_said_to(call, low, high):
    call(low)
    call(high)
    for beyond in (low - 1e-3 * max(abs(low), 1e-3), high * 1.001):
        with pytest.raises(OutOfRangeError, match="allowed is"):
            call(beyond)
