"""The picture of the disc: held to a brute-force rendering, to photometry and to the trade."""

from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.phenomena import low_sun
from lowsun.physics import colour, extinction, soundings, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import transfer_curve

STANDARD = Atmosphere.standard()
CURVE = low_sun.curve_for_picture(STANDARD, 0.0)
CLIFF = low_sun.curve_for_picture(STANDARD, 95.0)
TORN = low_sun.curve_for_picture(STANDARD.with_inversion(40.0, 40.0, 2.5), 95.0)
CLEAN = extinction.HAZE["none"], 0.0


def brute_force_luminance(curve, sun_deg, frame, diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN):
    """Each pixel as the mean of 12 x 12 rays, straight from the definitions."""
    fine = 12
    radius_deg = diameter_arcmin / 120.0
    step_deg = frame.arcsec_per_px / 3600.0 / fine
    altitude = frame.high_deg - (np.arange(frame.rows * fine) + 0.5) * step_deg
    side = (np.arange(frame.columns * fine) + 0.5 - frame.columns * fine / 2) * step_deg
    share = curve.transmission()
    total = np.zeros((altitude.size, side.size))
    weights = colour.xyz_weights(curve.wavelength_nm)[:, 1]
    for band, nm in enumerate(curve.wavelength_nm):
        args = (altitude, curve.apparent_altitude_deg)
        true = np.interp(*args, curve.true_altitude_deg[band], left=np.nan, right=np.nan)
        light = np.interp(*args, share[band], left=np.nan, right=np.nan)
        r2 = ((true - sun_deg)[:, None] ** 2 + side**2) / radius_deg**2
        on_disc = r2 < 1.0
        mu = np.sqrt(np.where(on_disc, 1.0 - r2, 0.0))
        disc = sunlight.disc_radiance(mu, nm) * np.nan_to_num(light)[:, None]
        total += weights[band] * np.where(on_disc, disc, 0.0)
    return total.reshape(frame.rows, fine, frame.columns, fine).mean(axis=(1, 3))


@pytest.mark.parametrize(("curve", "sun_deg"), [(CLIFF, -0.3), (TORN, -0.75), (TORN, -0.9)])
def test_agrees_with_brute_force(curve, sun_deg):
    # Tolerance: a pixel on the limb knows its distance to it, not the limb's bend within it; in
    # the torn disc a row spans a fold of the curve, hence the mean as well as the worst pixel.
    frame = low_sun.Frame.around(curve.apparent_at(sun_deg), 40.0, 160, 160)
    expected = brute_force_luminance(curve, sun_deg, frame)
    seen = low_sun.picture(curve, sun_deg, frame).luminance_cd_per_m2
    assert_allclose(seen.sum(), expected.sum(), rtol=0.01)
    assert np.abs(seen - expected).mean() < 0.004 * expected.max()
    assert np.quantile(np.abs(seen - expected), 0.99) < 0.08 * expected.max()


def illuminance_lx(picture):
    px_sr = np.radians(picture.arcsec_per_px / 3600.0) ** 2
    return picture.luminance_cd_per_m2.sum() * px_sr


def test_light_of_the_whole_disc_is_the_solar_illuminance():
    # ASTM G173-03 extraterrestrial spectrum x V(lambda): 133.1 klx outside the air. From 20 deg
    # up in clean air without ozone what is left is Rayleigh's share. 1 %: 24 bands, 5 nm table.
    wavelength = low_sun.bands_nm(61)
    curve = low_sun.curve_for_picture(STANDARD, 0.0, wavelength_nm=wavelength)
    picture = low_sun.picture(curve.through(*CLEAN), 20.0)
    mass = transfer_curve(STANDARD, 0.0, 20.0, 550.0).air_mass
    left = np.exp(-mass * extinction.rayleigh_depth(wavelength))
    spectrum = sunlight.irradiance(wavelength)
    whole = colour.luminance(spectrum, wavelength)
    assert_allclose(whole, 133_100.0, rtol=0.01)
    # 31.988' against the nominal radius' 31.974' of the irradiance: 0.09 % more disc.
    expected = colour.luminance(spectrum * left, wavelength) * (31.988 / 31.974) ** 2
    # Refraction squeezes the disc but not its radiance: at 20 deg by 0.2 %.
    assert_allclose(illuminance_lx(picture), expected, rtol=0.005)


def test_light_does_not_depend_on_the_pixels():
    coarse, fine = (
        low_sun.picture(CLIFF, 0.4, low_sun.Frame.around(0.9, 40.0, n, n)) for n in (80, 640)
    )
    assert_allclose(illuminance_lx(coarse), illuminance_lx(fine), rtol=0.003)


def test_folds_thinner_than_a_row_do_not_depend_on_where_the_rows_fall():
    # The sliver that a duct leaves of the Sun is a few arcsec high; rows are 8". With one line of
    # sight to a row the light would change by half with where the rows fall.
    ascent = files("lowsun.data") / "soundings" / "marine-duct.csv"
    curve = low_sun.curve_for_picture(soundings.read(ascent)[0].atmosphere(), 1000.0, 3.0)
    high = curve.apparent_altitude_deg[0] + 0.8
    shifted = [
        illuminance_lx(low_sun.picture(curve, -1.9, low_sun.Frame(high + up / 3600, 8.0, 400, 300)))
        for up in np.arange(0.0, 8.0, 0.8)
    ]
    assert_allclose(shifted, np.mean(shifted), rtol=0.03)


def outline(picture):
    """Height and width [px] of the disc at half the luminance next to its edge."""
    lit = picture.luminance_cd_per_m2 > 0.02 * picture.luminance_cd_per_m2.max()
    return lit.any(axis=1).sum(), lit.any(axis=0).sum()


def test_flattening_on_the_sea_horizon():
    # palpy 1.8.4 `refro`, 10 degC 1010 hPa: 0.842 with the lower limb at apparent altitude 0;
    # common practice, no source: flattened by about a sixth. Here in clean air, so that the
    # lower limb is bright enough to be found; 0.01: two pixels of 400.
    air = Atmosphere.standard(temperature_k=283.15, pressure_pa=101_000.0)
    curve = low_sun.curve_for_picture(air, 0.0)
    lowest = np.nanmin(curve.true_altitude_deg[curve.wavelength_nm.size // 2])
    picture = low_sun.picture(curve.through(*CLEAN), lowest + 0.2665 + 0.01)
    height, width = outline(picture)
    assert_allclose(height / width, 0.842, atol=0.01)


def test_high_sun_is_round():
    height, width = outline(low_sun.picture(CURVE.through(*CLEAN), 20.0))
    assert_allclose(height / width, 1.0, atol=0.008)


def test_green_above_and_red_below():
    # Common practice, no source: the upper limb has a green rim, the lower a red one.
    frame = low_sun.Frame.around(CLIFF.apparent_at(0.0), 34.0, 1360, 9)
    lit = low_sun.disc_light(CLIFF, 0.0, frame)
    xyz = lit.whole(lit.values)
    column = colour.linear_srgb_from_xyz(xyz[:, 4])
    lit = np.flatnonzero(xyz[:, 4, 1] > 1e-3 * xyz[:, 4, 1].max())
    top, bottom = column[lit[:3]].mean(axis=0), column[lit[-3:]].mean(axis=0)
    middle = column[lit[lit.size // 2]]
    assert top[1] > 1.2 * top[0]
    assert bottom[1] / bottom[0] < 0.5 * middle[1] / middle[0]


def test_lower_limb_is_fainter_and_redder_than_the_upper():
    lit = low_sun.disc_light(CLIFF, 0.0, None)
    xyz = lit.whole(lit.values)
    column = xyz[:, 200]
    lit = np.flatnonzero(column[:, 1] > 0)
    upper, lower = column[lit[lit.size // 5]], column[lit[-lit.size // 5]]
    assert upper[1] > lower[1]
    assert upper[0] / upper[1] < lower[0] / lower[1]


def test_disc_is_left_right_symmetric_for_odd_and_even_columns():
    for columns in (100, 101):
        rgb = low_sun.picture(CLIFF, 0.0, low_sun.Frame.around(0.5, 40, 100, columns)).rgb
        assert rgb.shape == (100, columns, 3)
        assert np.array_equal(rgb, rgb[:, ::-1])


def test_below_the_horizon_nothing_is_seen():
    picture = low_sun.picture(CLIFF, -5.0)
    assert picture.luminance_cd_per_m2.max() == 0.0
    assert picture.rgb.max() == 0


def test_one_exposure_for_a_whole_evening_dims_the_setting_disc():
    bright = low_sun.picture(CLIFF, 2.0)
    later = low_sun.picture(CLIFF, -0.3, white_luminance=bright.white_luminance)
    assert later.rgb.mean() < 0.2 * bright.rgb.mean()


def test_picture_stands_for_its_pixels():
    picture = low_sun.picture(CLIFF, 0.0, low_sun.Frame.around(0.5, 40, 50, 60))
    assert np.asarray(picture).shape == (50, 60, 3)
    assert_allclose(picture.arcsec_per_px, 48.0)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"sun_true_altitude_deg": 91.0}, "sun_true_altitude_deg is 91 deg; allowed is -90 to 90"),
        ({"sun_true_altitude_deg": np.nan}, "sun_true_altitude_deg is nan"),
        ({"sun_diameter_arcmin": 320.0}, "sun_diameter_arcmin is 320 arcmin"),
        ({"white_luminance": -1.0}, "white_luminance is -1"),
    ],
)
def test_bad_values(values, message):
    with pytest.raises(OutOfRangeError, match=message):
        low_sun.picture(**{"curve": CLIFF, "sun_true_altitude_deg": 0.0} | values)


def test_curve_unfit_for_a_picture():
    few = transfer_curve(STANDARD, 95.0, np.linspace(0, 1, 9), [500.0, 600.0])
    with pytest.raises(OutOfRangeError, match="16 wavelengths or more"):
        low_sun.picture(few, 0.0)
    falling = transfer_curve(STANDARD, 95.0, [1.0, 0.0], low_sun.bands_nm())
    with pytest.raises(OutOfRangeError, match="do not rise"):
        low_sun.picture(falling, 0.0)


@settings(max_examples=60, deadline=None)
@given(
    sun_deg=st.floats(allow_nan=True, allow_infinity=True),
    high_deg=st.floats(-100, 100),
    scale=st.floats(-1, 130),
    rows=st.integers(-1, 40),
    columns=st.integers(-1, 40),
)
def test_any_frame_gives_a_picture_or_a_typed_error(sun_deg, high_deg, scale, rows, columns):
    try:
        frame = low_sun.Frame(high_deg, scale, rows, columns)
        picture = low_sun.picture(CLIFF, sun_deg, frame)
    except OutOfRangeError:
        return
    assert np.isfinite(picture.luminance_cd_per_m2).all()
    assert picture.rgb.shape == (rows, columns, 3)


def test_erect_image_is_the_one_that_goes_on_upwards():
    # Over a warm sea the rays at the horizon look back up: what stands above the fold is upright,
    # and the last point of the sky that goes is seen at the fold, where both images meet.
    warm = low_sun.curve_for_picture(STANDARD.with_surface_layer(2.0, 5.0), 20.0)
    middle = warm.true_altitude_deg[warm.wavelength_nm.size // 2]
    fold = np.nanargmin(middle)
    assert np.isfinite(middle[:fold]).sum() > 10
    at_fold = warm.apparent_at(middle[fold])
    assert at_fold == pytest.approx(warm.apparent_altitude_deg[fold])
    higher = warm.apparent_at(middle[fold] + np.linspace(0.0, 0.5, 20))
    assert np.all(np.diff(higher) > 0)


def test_sun_blotted_out_by_haze_is_black():
    lost = low_sun.picture(CLIFF.through(extinction.Haze(0.4)), -1.1)
    assert 0 < lost.luminance_cd_per_m2.max() < low_sun.DARKEST_CD_PER_M2
    assert not lost.rgb.any()


@pytest.mark.parametrize("bands", range(low_sun.LEAST_BANDS, 40))
def test_any_number_of_bands_makes_a_picture_on_the_horizon(bands):
    curve = low_sun.curve_for_picture(STANDARD, 0.0, wavelength_nm=low_sun.bands_nm(bands))
    picture = low_sun.picture(curve, -0.3)
    reference = low_sun.picture(CURVE, -0.3)
    ratio = picture.luminance_cd_per_m2.sum() / reference.luminance_cd_per_m2.sum()
    assert_allclose(ratio, 1.0, atol=0.02)


@pytest.mark.parametrize(
    ("responses", "error", "words"),
    [
        (len, OutOfRangeError, r"responses is shaped \(\); give 3 numbers"),
        (None, InputError, "responses is None; give a function of wavelengths"),
        (lambda: 0, InputError, "It raised TypeError"),
        (
            lambda nm: np.ones((2, 3)),
            OutOfRangeError,
            r"is shaped \(2, 3\); give a row for",
        ),
    ],
)
def test_what_gives_no_weights_is_refused(responses, error, words):
    with pytest.raises(error, match=words):
        low_sun.disc_light(CLIFF, 0.0, None, responses=responses)
