"""Colour against the CIE tables, IEC 61966-2-1 and the colour-science library."""

import colour as reference
import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import colour, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.rays import transfer_curve

VISIBLE_NM = np.arange(380.0, 781.0, 5.0)
SUNLIGHT = sunlight.irradiance(VISIBLE_NM)
D65 = np.array(colour.D65_XY)
COLOURS_XY = [(0.4, 0.4), (0.3, 0.5), (0.2, 0.3), (0.6, 0.35), (0.45, 0.5), (0.16, 0.1)]
PURPLES_XY = [(0.4, 0.2), (0.35, 0.25), (0.5, 0.25)]


def test_colour_matching_of_the_cie():
    # CIE 018:2019 at 1 nm, as colour-science ships it. Straight lines in the 5 nm table are 0.017
    # off at most, 1 % of the peak of z-bar.
    table = reference.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    got = colour.colour_matching(table.wavelengths)
    assert_allclose(got[::5], table.values[::5], rtol=0, atol=1e-6)
    assert_allclose(got, table.values, rtol=0, atol=0.017)


def test_green_is_brightest():
    # CIE 1931: y-bar is 1 at 555 nm.
    assert colour.colour_matching(555.0)[1] == pytest.approx(1, abs=1e-4)


def test_sunlight_above_the_air():
    # ASTM G173-03 extraterrestrial x V(lambda) x 683 lm/W: 133.1 klx; 0.5 %.
    assert_allclose(colour.luminance(SUNLIGHT, VISIBLE_NM), 133.1e3, rtol=5e-3, atol=0)


def test_luminance_of_the_disc():
    # 133.1 klx over the disc's solid angle, 31.974' across: mean 1.96e9 cd/m2; 0.5 %.
    mean = sunlight.centre_radiance(VISIBLE_NM) * sunlight.mean_to_centre(VISIBLE_NM)
    assert_allclose(colour.luminance(mean, VISIBLE_NM), 1.96e9, rtol=5e-3, atol=0)


def noon_and_horizon_luminance():
    curve = transfer_curve(Atmosphere.standard(), 2.0, [0.0, 60.0], VISIBLE_NM)
    through = curve.through(HAZE["very clear"]).transmission().T
    mean = sunlight.centre_radiance(VISIBLE_NM) * sunlight.mean_to_centre(VISIBLE_NM)
    return colour.luminance(through * mean, VISIBLE_NM)


def test_luminance_at_noon_and_on_the_horizon():
    # Handbook orders of magnitude: about 1.6e9 cd/m2 at noon (20 %) and 6e5 on the horizon
    # (a factor 3: it hangs on the haze).
    horizon, noon = noon_and_horizon_luminance()
    assert_allclose(noon, 1.6e9, rtol=0.2, atol=0)
    assert 6e5 / 3 < horizon < 6e5 * 3


def test_xyz_of_the_reference_library():
    # The same integral by colour-science: 5 nm sums instead of trapezia.
    spectrum = reference.SpectralDistribution(SUNLIGHT, VISIBLE_NM)
    eye = reference.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    eye.align(spectrum.shape)
    theirs = reference.sd_to_XYZ(spectrum, eye, method="Integration", k=683.002)
    got = colour.xyz_from_spectrum(SUNLIGHT, VISIBLE_NM)
    assert_allclose(got, theirs, rtol=1e-3, atol=0)


def test_steps_of_ten_nm_serve_for_sunlight():
    coarse_nm = VISIBLE_NM[::2]
    coarse = colour.xyz_from_spectrum(sunlight.irradiance(coarse_nm), coarse_nm)
    fine = colour.xyz_from_spectrum(SUNLIGHT, VISIBLE_NM)
    assert_allclose(coarse, fine, rtol=0.01, atol=0)


def test_xyz_of_many_spectra_is_xyz_of_each():
    spectra = SUNLIGHT * np.array([0.1, 1, 3])[:, None]
    got = colour.xyz_from_spectrum(spectra, VISIBLE_NM)
    one = colour.xyz_from_spectrum(SUNLIGHT, VISIBLE_NM)
    assert_allclose(got, np.outer([0.1, 1, 3], one), rtol=1e-12, atol=0)


def test_matrix_of_the_standard():
    # IEC 61966-2-1, printed to four places from rounded intermediate values.
    printed = [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
    got = colour.linear_srgb_from_xyz(np.eye(3)).T
    assert_allclose(got, printed, rtol=0, atol=4e-4)


def test_luminance_row_of_the_standard():
    # IEC 61966-2-1: Y = 0.2126 R + 0.7152 G + 0.0722 B.
    row = colour.xyz_from_linear_srgb(np.eye(3))[:, 1]
    assert_allclose(row, [0.2126, 0.7152, 0.0722], rtol=0, atol=5e-5)


def test_encoding_of_the_standard():
    # IEC 61966-2-1 through colour-science, both sides of the knee.
    linear = np.array([0, 0.001, 0.0031308, 0.0032, 0.18, 0.5, 1])
    theirs = reference.models.eotf_inverse_sRGB(linear)
    assert_allclose(colour.encode_srgb(linear), theirs, rtol=0, atol=1e-7)


def test_encoding_and_matrix_return():
    grid = np.random.default_rng(1).random((50, 3))
    assert_allclose(colour.decode_srgb(colour.encode_srgb(grid)), grid, rtol=0, atol=1e-7)
    there = colour.linear_srgb_from_xyz(colour.xyz_from_linear_srgb(grid))
    assert_allclose(there, grid, rtol=0, atol=1e-12)


def test_colours_inside_the_gamut_are_left_alone():
    linear = np.array([[0.2, 0.5, 0.1], [1, 1, 1], [0, 0, 0], [0.9, 0, 0]])
    shown = colour.srgb_from_xyz(colour.xyz_from_linear_srgb(linear) * 500, 500)
    assert_allclose(shown.rgb, colour.encode_srgb(linear), rtol=0, atol=1e-6)
    assert not shown.outside_gamut.any()
    assert shown.note == ""


@pytest.mark.parametrize("wavelength_nm", [430.0, 490.0, 520.0, 550.0, 590.0, 640.0])
def test_pure_colours_keep_luminance_and_hue(wavelength_nm):
    xyz = 0.05 * colour.colour_matching(wavelength_nm) / colour.colour_matching(wavelength_nm)[1]
    shown = colour.srgb_from_xyz(xyz, 1.0)
    back = colour.xyz_from_linear_srgb(colour.decode_srgb(shown.rgb))
    assert shown.outside_gamut
    assert 0 < shown.colour_kept < 1
    assert shown.rgb.min() == pytest.approx(0, abs=1e-6)
    assert back[1] == pytest.approx(0.05, rel=1e-6)
    hue_nm = colour.dominant_wavelength_nm(colour.chromaticity(back))
    assert hue_nm == pytest.approx(wavelength_nm, abs=0.01)


def test_share_outside_the_gamut_is_told():
    pure_green = 0.1 * colour.colour_matching(520.0)
    grey = colour.xyz_from_linear_srgb([0.1, 0.1, 0.1])
    shown = colour.srgb_from_xyz(np.array([pure_green, grey, grey, grey]), 1.0)
    assert shown.outside_gamut_share == 0.25
    assert shown.note == "The screen cannot show 25 % of the picture in its full colour."


def test_over_exposed_orange_pales_or_turns_yellow():
    orange = colour.xyz_from_linear_srgb([1.6, 0.7, 0.05])
    pale = colour.srgb_from_xyz(orange, 1.0)
    clipped = colour.srgb_from_xyz(orange, 1.0, overexposed="clip")
    true_nm = colour.dominant_wavelength_nm(colour.chromaticity(orange))

    def shown_nm(shown):
        xyz = colour.xyz_from_linear_srgb(colour.decode_srgb(shown.rgb))
        return colour.dominant_wavelength_nm(colour.chromaticity(xyz))

    assert pale.too_bright
    assert clipped.too_bright
    assert shown_nm(pale) == pytest.approx(true_nm, abs=0.01)
    assert shown_nm(clipped) < true_nm - 5
    assert "100 % of the picture is over-exposed" in pale.note


def test_far_over_exposed_is_white_or_cut():
    red = colour.xyz_from_linear_srgb([9.0, 0.1, 0.0])
    assert_allclose(colour.srgb_from_xyz(red, 1.0).rgb, 1, rtol=0, atol=1e-9)
    cut = colour.srgb_from_xyz(red, 1.0, overexposed="clip").rgb
    assert_allclose(cut, colour.encode_srgb([1, 0.1, 0]), rtol=0, atol=1e-6)


def test_fitting_exposure_just_fits():
    xyz = colour.xyz_from_spectrum(SUNLIGHT * np.array([[1.0], [0.3]]), VISIBLE_NM)
    white = colour.white_luminance_to_fit(xyz)
    assert colour.srgb_from_xyz(xyz, white).rgb.max() == pytest.approx(1, abs=1e-9)
    assert colour.srgb_from_xyz(xyz, white * 0.98).too_bright.any()


def test_bytes_of_a_file_are_the_rounded_encoding():
    # The steps of the look-up are far finer than those of 8 bits: no level may be more than one
    # off, and only where rounding is a tie within a step.
    linear = np.linspace(0, 1, 200_001)
    wanted = np.rint(255 * colour.encode_srgb(linear)).astype(int)
    got = colour.srgb_bytes(linear)
    assert got.dtype == np.uint8
    assert np.abs(got - wanted).max() <= 1
    assert np.mean(got != wanted) < 0.01
    single = colour.srgb_bytes(linear.astype(np.float32))
    assert np.abs(got.astype(int) - single).max() <= 1


def test_black_and_lit_pixels_share_a_picture():
    light = colour.xyz_from_linear_srgb([[0.2, 0.3, 0.4], [0, 0, 0], [1, 1, 1]])
    shown = colour.srgb_from_xyz(light, 1.0)
    assert_allclose(shown.linear, [[0.2, 0.3, 0.4], [0, 0, 0], [1, 1, 1]], rtol=0, atol=1e-6)
    assert np.array_equal(shown.rgb8[1:], [[0, 0, 0], [255, 255, 255]])
    single = colour.srgb_from_xyz(light.astype(np.float32), 1.0)
    assert single.linear.dtype == np.float32
    assert_allclose(single.rgb, shown.rgb, rtol=0, atol=1e-5)


def test_pictures_larger_than_a_block_are_whole():
    xyz = np.random.default_rng(2).random((3, colour.BLOCK_PIXELS, 3)) + 0.1
    whole = colour.srgb_from_xyz(xyz, 1.0)
    last = colour.srgb_from_xyz(xyz[-1, -7:], 1.0)
    assert whole.rgb.shape == xyz.shape
    assert_allclose(whole.rgb[-1, -7:], last.rgb, rtol=0, atol=1e-12)
    assert np.array_equal(whole.outside_gamut[-1, -7:], last.outside_gamut)


@pytest.mark.parametrize("xy", COLOURS_XY)
def test_dominant_wavelength_of_the_reference_library(xy):
    # colour-science works on whole nanometres: 0.6 nm, and 0.002 in purity.
    theirs_nm = reference.dominant_wavelength(xy, D65)[0]
    assert colour.dominant_wavelength_nm(xy) == pytest.approx(float(theirs_nm), abs=0.6)
    theirs = reference.excitation_purity(xy, D65)
    assert colour.excitation_purity(xy) == pytest.approx(float(theirs), abs=2e-3)


@pytest.mark.parametrize("xy", PURPLES_XY)
def test_purples_have_a_complementary_wavelength(xy):
    # The same, in the reference library's own sign convention. The line of purples is closed there
    # at 360 and 780 nm and here at 400 and 700 nm: 0.005 in purity.
    theirs_nm = reference.dominant_wavelength(xy, D65)[0]
    assert colour.dominant_wavelength_nm(xy) == pytest.approx(float(theirs_nm), abs=0.6)
    theirs = reference.excitation_purity(xy, D65)
    assert colour.excitation_purity(xy) == pytest.approx(float(theirs), abs=5e-3)


def test_spectral_colours_are_pure():
    wavelength_nm = np.arange(405.0, 700.0, 7.3)
    xy = colour.chromaticity(colour.colour_matching(wavelength_nm))
    assert_allclose(colour.dominant_wavelength_nm(xy), wavelength_nm, rtol=0, atol=0.15)
    assert_allclose(colour.excitation_purity(xy), 1, rtol=0, atol=2e-3)


def test_hue_of_many_colours_is_hue_of_each():
    together = colour.dominant_wavelength_nm(np.array(COLOURS_XY + PURPLES_XY))
    one_by_one = [colour.dominant_wavelength_nm(xy) for xy in COLOURS_XY + PURPLES_XY]
    assert_allclose(together, one_by_one, rtol=1e-12, atol=0)


@pytest.mark.parametrize(
    ("wavelength_nm", "name"),
    [
        (430, "violet"),
        (470, "blue"),
        (492, "cyan"),
        (520, "green"),
        (575, "yellow"),
        (605, "orange"),
        (650, "red"),
    ],
)
def test_names_of_pure_colours(wavelength_nm, name):
    assert colour.colour_name(colour.colour_matching(wavelength_nm)) == name


def test_names_of_white_and_purple():
    white = colour.xyz_from_linear_srgb([1, 1, 1])
    purple = colour.xyz_from_linear_srgb([1, 0, 1])
    assert [colour.colour_name(white), colour.colour_name(purple)] == ["white", "purple"]


def test_high_sun_is_white_and_low_sun_is_not():
    # Common practice, no source: the high Sun is called white, the setting Sun orange or red.
    curve = transfer_curve(Atmosphere.standard(), 2.0, [0.0, 60.0], VISIBLE_NM)
    light = curve.through(HAZE["very clear"]).transmission().T * sunlight.centre_radiance(
        VISIBLE_NM
    )
    low, high = colour.xyz_from_spectrum(light, VISIBLE_NM)
    assert colour.colour_name(high) == "white"
    assert colour.colour_name(low) in ("orange", "red")


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: colour.colour_matching(300), r"wavelength_nm is 300 nm; allowed is 360 to 830"),
        (lambda: colour.xyz_weights([500, 500]), r"rising wavelengths. Sort them"),
        (lambda: colour.xyz_weights(500), r"shape \(\) and must be a list"),
        (lambda: colour.encode_srgb([0.5, 1.2]), r"linear is 1.2; allowed is 0 to 1. Map the"),
        (lambda: colour.decode_srgb(255), r"encoded is 255; .* Divide 8-bit numbers by 255"),
        (lambda: colour.srgb_from_xyz([1, np.nan, 1], 1), r"xyz is nan cd/m2"),
        (lambda: colour.srgb_from_xyz([1, -2, 1], 1), r"xyz is -2 cd/m2; allowed is 0 to"),
        (lambda: colour.srgb_bytes([0.5, 1.5]), r"linear is 1.5; allowed is 0 to 1. Map the"),
        (lambda: colour.srgb_from_xyz([1, 1, 1], 0), r"white_luminance is 0 cd/m2"),
        (lambda: colour.srgb_from_xyz([1, 1, 1], 1, overexposed="x"), r"'x'; allowed is 'pale'"),
        (lambda: colour.chromaticity([0, 0, 0]), r"X \+ Y \+ Z is 0; .*Black has no colour"),
        (lambda: colour.dominant_wavelength_nm(D65), r"White has no hue"),
        (lambda: colour.white_luminance_to_fit(np.zeros((2, 3))), r"picture is all black"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


def test_the_observer_sees_nothing_negative():
    # Where a curve falls to 0 between two rows of the table, rounding took it below.
    wavelength = np.linspace(360.0, 830.0, 100_003)
    assert colour.colour_matching(wavelength).min() == 0.0


def test_eye_response_is_half_way_at_what_it_is_adapted_to():
    # Naka & Rushton 1966: the response to the adapting light is half of the greatest.
    grey = np.array([[95.0, 100.0, 109.0]])
    assert colour.eye_response(grey, 100.0)[0, 1] == pytest.approx(0.15)
    bright, dark = (colour.eye_response(factor * grey, 100.0)[0, 1] for factor in (1e6, 1e-6))
    assert bright == pytest.approx(0.30, rel=1e-3)
    # Far below, it falls by the exponent: a factor 10 of light by 10^0.74.
    darker = colour.eye_response(1e-7 * grey, 100.0)[0, 1]
    assert dark / darker == pytest.approx(10**0.74, rel=1e-3)


@pytest.mark.parametrize("stops", [0.0, 1.5])
@pytest.mark.parametrize("adapted_to", [None, 300.0])
def test_a_glance_is_an_eyes_response_on_a_screen(stops, adapted_to):
    light = np.random.default_rng(7).lognormal(4.0, 3.0, (90, 200, 3)).astype(np.float32)
    light[3] = 0.0
    glance = colour.srgb_at_a_glance(light, adapted_to, exposure_stops=stops)
    response = colour.eye_response(light, adapted_to)
    wanted = colour.srgb_from_xyz(response, 1.0, exposure_stops=stops)
    assert wanted.outside_gamut.any()
    assert wanted.too_bright.any()
    assert_allclose(glance.linear, wanted.linear, rtol=0, atol=1e-5)
    assert np.mean(glance.outside_gamut != wanted.outside_gamut) < 1e-3
    assert np.mean(glance.too_bright != wanted.too_bright) < 1e-3
    assert glance.white_luminance == wanted.white_luminance


def test_a_screens_pixels_are_a_files_and_opaque():
    shown = colour.srgb_from_xyz(np.random.default_rng(3).random((5, 7, 3)))
    assert np.array_equal(shown.rgbx8[..., :3], shown.rgb8)
    assert np.array_equal(shown.rgb8, np.rint(255 * shown.rgb).astype(np.uint8))
    assert (shown.rgbx8[..., 3] == 255).all()


def test_eye_response_keeps_chromaticity_and_black():
    light = np.array([[3.0, 1.0, 0.2], [0.0, 0.0, 0.0]])
    shown = colour.eye_response(light)
    assert_allclose(shown[0] / shown[0, 1], light[0], rtol=1e-12)
    assert np.array_equal(shown[1], [0.0, 0.0, 0.0])
    with pytest.raises(OutOfRangeError, match="adapted_to is 0 cd/m2"):
        colour.eye_response(light, 0.0)
