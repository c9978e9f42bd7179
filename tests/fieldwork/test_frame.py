"""Simulated frames: against ISO 12232, counting statistics, and what photographers know."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.ndimage import gaussian_filter

from lowsun.errors import InputError, OutOfRangeError
from lowsun.fieldwork import frame
from lowsun.fieldwork.camera import Camera
from lowsun.phenomena import low_sun
from lowsun.phenomena.seascape import seascape
from lowsun.physics import colour, rays, sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, Haze
from lowsun.physics.scattering import WAVELENGTH_NM, Air, sky_horizon_deg, sky_radiance
from lowsun.physics.sunlight import irradiance

AIR = Atmosphere.standard().with_haze(1500.0)
CURVE = low_sun.curve_for_picture(AIR, 95.0)
VERY_CLEAR = CURVE.through(HAZE["very clear"])
LENS = Camera(400.0, 5.6, 4.0, (6000, 4000), filter_density=1.8)
HORIZON_DEG = rays.horizon_apparent_altitude_deg(AIR, 95.0)
# The Sun's centre when the upper limb, in yellow light, is 4" above the sea: the green flash.
FLASH_DEG = rays.horizon_true_altitude_deg(AIR, 95.0) - low_sun.SUN_DIAMETER_ARCMIN / 120 + 4 / 3600
DISC_DEG = -0.3


def disc(exposure_s=1 / 8000, camera=LENS, curve=VERY_CLEAR, **more):
    window = frame.window_around(camera, CURVE.apparent_at(DISC_DEG), 300, 200)
    return frame.expose(curve, DISC_DEG, camera, exposure_s, window=window, **more)


def flash(exposure_s, **more):
    window = frame.window_around(LENS, HORIZON_DEG, 300, 40)
    bare = replace(LENS, filter_density=0.0)
    return frame.expose(VERY_CLEAR, FLASH_DEG, bare, exposure_s, window=window, **more)


def test_middle_of_the_disc_has_the_level_of_the_standard():
    # ISO 12232: light over saturation, from the radiance of the same rays; noise averages out.
    shot = disc(seeing_arcsec=0.0)
    lit = low_sun.disc_light(VERY_CLEAR, DISC_DEG, shot.window, responses=sensors.STOCK.weights)
    raw = lit.whole(lit.values)
    for channel in range(3):
        patch = raw[95:105, 145:155, channel]
        wanted = LENS.saturation_share(patch, 1 / 8000).mean() * shot.full_level
        assert shot.level[channel, 95:105, 145:155].mean() == pytest.approx(wanted, abs=12)


@pytest.mark.parametrize("stops_over", [-2, 0, 1, 2, 5])
def test_what_is_called_clipped_is_clipped(stops_over):
    # Held to the raw values themselves: at the exposure that just saturates the brightest channel
    # of the disc nothing more than noise clips, and every stop more clips what it says.
    camera = replace(LENS, filter_density=4.0)
    shot_window = disc(camera=camera).window
    lit = low_sun.disc_light(VERY_CLEAR, DISC_DEG, shot_window, responses=sensors.STOCK.weights)
    raw = lit.whole(lit.values)
    exposure_s = float(camera.longest_exposure_s(raw.max())) * 2.0**stops_over
    shot = disc(exposure_s, camera, seeing_arcsec=0.0)
    share = camera.saturation_share(np.moveaxis(raw, -1, 0), exposure_s)
    noise = 5 * np.sqrt(1 / (sensors.STOCK.electrons_per_lxs(4.0) * 0.78))
    surely, surely_not = share > 1 + 2 * noise, share < 1 - noise
    assert np.all(shot.clipped[surely])
    assert not np.any(shot.clipped[surely_not])
    assert np.array_equal(shot.clipped, shot.level == 2**14 - 1)
    assert_allclose(shot.clipped_share, shot.clipped[:, shot.lit].mean(axis=1))
    assert surely.any() == (stops_over > 0)


def test_channels_clip_in_the_order_the_sensor_names():
    shot = disc(1 / 1000)
    lit = low_sun.disc_light(VERY_CLEAR, DISC_DEG, shot.window, responses=sensors.STOCK.weights)
    raw = lit.whole(lit.values)
    shares = shot.clipped_share[np.argsort(-raw[100, 150])]
    assert shares[0] > shares[1] >= shares[2]


@pytest.mark.parametrize(
    ("exposure_s", "shown"),
    [(1 / 4000, "green"), (1 / 1000, "green"), (1 / 100, "yellow"), (1 / 30, "white")],
)
def test_burnt_out_flash_is_not_green(exposure_s, shown):
    # Common practice, no source: the flash oversaturates easily and does not come out green. Green
    # burns out first, then red catches up with it, then blue.
    shot = flash(exposure_s)
    assert shot.shown_colour == shown
    assert (shot.clipped_share[1] < 0.01) == (shown == "green")


def test_removed_infrared_cut_shifts_the_colour():
    # Common practice, no source. The low Sun's red grows most.
    stock, open_ = disc(1 / 8000), disc(1 / 8000, sensor=sensors.INFRARED_CUT_REMOVED)
    ratios = [shot.level[0].mean() / shot.level[1].mean() for shot in (stock, open_)]
    assert ratios[1] > 1.1 * ratios[0]
    assert not np.array_equal(stock.rgb, open_.rgb)


def test_noise_is_that_of_counting():
    # The variance of counts is their mean, plus the read noise; two frames of the same light.
    camera = replace(LENS, iso=1600.0, filter_density=3.0)
    one, two = (disc(1 / 8000, camera, seed=seed).level[1].astype(float) for seed in (1, 2))
    electrons = sensors.STOCK.electrons_per_lxs(4.0) * 78 / 1600 / (2**14 - 1)
    patch = (slice(60, 140), slice(100, 200))
    counts = electrons * (one[patch] + two[patch]).mean() / 2
    variance = electrons**2 * np.var(one[patch] - two[patch]) / 2
    assert variance == pytest.approx(counts + frame.READ_NOISE_E**2, rel=0.05)


def test_same_seed_gives_the_same_frame():
    assert np.array_equal(disc(seed=3).level, disc(seed=3).level)
    assert not np.array_equal(disc(seed=3).level, disc(seed=4).level)


@pytest.mark.parametrize("sigma", [0.4, 2.0, 17.0])
def test_blur_is_the_reference_librarys(sigma):
    plane = np.random.default_rng(1).random((400, 33)).astype(np.float32)
    got = frame._blurred(plane, sigma)
    reach = (plane.shape[0] - got.shape[0]) // 2
    theirs = gaussian_filter(plane, (sigma, 0), truncate=reach / sigma)
    assert_allclose(got, theirs[reach:-reach], rtol=0, atol=1e-4)


def test_no_blur_leaves_all_as_it_was():
    plane = np.random.default_rng(1).random((40, 33)).astype(np.float32)
    assert_allclose(frame._blurred(plane, 0.0), plane, rtol=1e-6)


@pytest.mark.parametrize("drift", [(20.0, 0.0), (0.0, -31.0), (12.0, 9.0)])
def test_drift_spreads_light_along_its_length(drift):
    # A point becomes a line: its light is kept, and the variance along it is length^2 / 12.
    point = np.zeros((1, 101, 101), dtype=np.float32)
    point[0, 50, 50] = 1
    line = frame._drifted(point, drift)[0]
    rows, columns = np.mgrid[:101, :101] - 50.0
    along = (columns * drift[0] - rows * drift[1]) / np.hypot(*drift)
    assert line.sum() == pytest.approx(1, abs=1e-4)
    assert (line * along).sum() == pytest.approx(0, abs=1e-3)
    # Between pixels light is shared by straight lines, which adds under half a pixel's square.
    assert (line * along**2).sum() == pytest.approx(np.hypot(*drift) ** 2 / 12, abs=1.2)


def test_seeing_hides_the_green_rim():
    # A blur several times wider than the rim's 14": the top of the Sun is no longer greener.
    steady, unsteady = disc_top(1.0), disc_top(60.0)
    assert steady > 2 * unsteady


def disc_top(seeing_arcsec):
    """Green over red at the top of the disc's image, over the same in its middle."""
    window = frame.window_around(LENS, CURVE.apparent_at(DISC_DEG), 20, 1200)
    shot = frame.expose(CURVE, DISC_DEG, LENS, 1 / 8000, window=window, seeing_arcsec=seeing_arcsec)
    ratio = shot.level[1].mean(axis=1) / np.maximum(shot.level[0].mean(axis=1), 1)
    bright = shot.level[1].mean(axis=1) > 0.1 * shot.level[1].mean(axis=1).max()
    return ratio[np.flatnonzero(bright)[0]] / ratio[600]


def test_histogram_counts_every_pixel_once():
    shot = disc(1 / 1000)
    edges, counts, clipped = shot.histogram(stops=20)
    dark = (shot.level == 0).sum(axis=(1, 2))
    assert np.array_equal(counts.sum(axis=1) + clipped + dark, [200 * 300] * 3)
    assert clipped.sum() == shot.clipped.sum() > 0
    middle = (edges[1:] + edges[:-1]) / 2
    mean = np.average(middle, weights=counts[1])
    green = shot.level[1][(shot.level[1] > 0) & ~shot.clipped[1]]
    assert mean == pytest.approx(np.mean(np.log2(green / shot.full_level)), abs=0.03)


def test_developed_picture_is_the_sensors_own():
    shot = disc(1 / 2000)
    raw = np.moveaxis(shot.level, 0, -1) / shot.full_level
    wanted = np.rint(255 * shot.sensor.develop(raw, 1.0))
    assert np.abs(shot.rgb - wanted).max() <= 1


def test_window_covers_what_its_pixels_cover():
    window = frame.window_around(LENS, 1.0, 1500, 1000)
    assert window.arcsec_per_px == LENS.arcsec_per_pixel
    assert (window.rows, window.columns) == (1000, 1500)
    assert np.mean(window.apparent_altitude_deg) == pytest.approx(1.0)
    shot = frame.expose(CURVE, DISC_DEG, LENS, 1 / 8000)
    assert shot.level.shape == (3, 1000, 1500)
    # The disc's width in pixels, from its angle: refraction leaves the width as it is (to 0.1 %).
    assert shot.lit.any(axis=0).sum() == pytest.approx(LENS.sun_px(31.988), abs=8)


def test_gone_sun_leaves_noise_alone():
    window = frame.window_around(LENS, HORIZON_DEG, 100, 50)
    dark = frame.expose(CURVE, -5.0, LENS, 1 / 60, window=window)
    assert not dark.lit.any()
    assert dark.shown_colour == ""
    assert np.array_equal(dark.clipped_share, np.zeros(3))
    assert dark.level.max() < 50


class Sighting:
    def __init__(self, altitude, azimuth, speed):
        self.true_altitude_deg, self.azimuth_deg = altitude, azimuth
        self.vertical_speed_arcsec_per_s = speed


@pytest.mark.parametrize(
    ("latitude", "azimuth", "right"),
    [
        # Setting due west on an equinox: 15.04"/s sin(latitude) to the right, left in the south.
        (52.1, 270.0, 15.041 * 0.7891),
        (-52.1, 270.0, -15.041 * 0.7891),
        (0.0, 270.0, 0.0),
        (90.0, np.nan, 15.041),
    ],
)
def test_drift_before_a_tripod(latitude, azimuth, right):
    got = frame.drift_arcsec_per_s(Sighting(0.0, azimuth, -9.2), latitude)
    assert got == (pytest.approx(right, abs=2e-3), -9.2)


def test_electrons_of_a_pixel_by_hand():
    # 0.78 lx s of 555 nm light is 0.78 / 683.002 J/m2; a photon of it 3.58e-19 J: 3190 photons on
    # a square um, half of them counted. Sunlight spreads beyond: the same to a third.
    photons = 0.78 / colour.LUMINOUS_EFFICACY_LM_PER_W / 3.579e-19 * 1e-12
    assert sensors.STOCK.electrons_per_lxs(1.0) * 0.78 == pytest.approx(photons / 2, rel=0.33)
    ratio = sensors.STOCK.electrons_per_lxs(4.0) / sensors.STOCK.electrons_per_lxs(2.0)
    assert ratio == pytest.approx(4)


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: disc(1.0e-5), r"exposure_s is 1e-05 s; allowed is"),
        (lambda: disc(seeing_arcsec=-1), r"seeing_arcsec is -1 arcsec; allowed is 0 to 120"),
        (lambda: CURVE.through(Haze(9)), r"depth_550 is 9; allowed is 0 to 2"),
        (lambda: disc(np.nan), r"exposure_s is nan s"),
        (
            lambda: disc(30.0, drift_arcsec_per_s=(60.0, 0.0)),
            r"drift is 872.* px; allowed is 0 to 400 px. Expose more briefly",
        ),
        (
            lambda: frame.window_around(LENS, 0.0, 7000, 1000),
            r"columns is 7000; allowed is 1 to 6000. The sensor has no more pixels",
        ),
        (
            lambda: disc(camera=replace(LENS, pixel_um=0.5, iso=1e6)),
            r"electrons at saturation, 30 are needed. Lower the ISO",
        ),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


@pytest.mark.parametrize(
    ("scenery", "complaint"),
    [
        (float, "scenery is .*; give a seascape that lacks its frame .* It raised TypeError"),
        (lambda frame, responses: frame, "scenery's light is .*; give what `seascape` returns"),
        (3, "scenery is 3; give a seascape"),
    ],
)
def test_what_is_no_scenery_is_refused(scenery, complaint):
    with pytest.raises(InputError, match=complaint):
        disc(scenery=scenery)


def test_haze_darkens_the_frame():
    assert disc(curve=CURVE.through(HAZE["sea air"])).level.mean() < disc().level.mean()


def test_sky_through_a_sensor_is_its_spectrum_summed():
    # The same directions twice: by the picture's table of angles and by the whole sky's sum.
    air = Air(haze=HAZE["none"])  # whose aureole would be centred on the seen Sun
    camera = replace(LENS, filter_density=0.0)
    window = frame.window_around(camera, 2.0, 40, 30)
    horizon = sky_horizon_deg(air, 95.0)
    about = partial(
        seascape, CURVE, air, -2.0, horizon_deg=horizon, eye_height_m=95.0, wind_m_per_s=5.0
    )
    light = about(window, responses=sensors.STOCK.weights).values[:, 0]
    rows = window.apparent_altitude_deg
    spectrum = sky_radiance(air, -2.0, rows, 0.0, eye_height_m=95.0)
    fine = np.arange(400.0, 701.0, 2.0)  # the Sun's lines and the sensor's edges
    share = [np.interp(fine, WAVELENGTH_NM, row / irradiance(WAVELENGTH_NM)) for row in spectrum]
    assert_allclose(light, sensors.STOCK.raw(share * irradiance(fine), fine), rtol=0.04)
    shot = frame.expose(CURVE, -2.0, camera, 1 / 60, window=window, scenery=about)
    share = shot.level.mean(axis=(1, 2)) / shot.full_level
    wanted = camera.saturation_share(light.mean(axis=0), 1 / 60)
    assert_allclose(share, wanted, rtol=0.02)
    assert shot.lit.all()
