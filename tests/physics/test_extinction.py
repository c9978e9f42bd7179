"""Extinction against Bodhaine et al. 1999, the Bremen ozone spectra and the AM1.5 standard."""

import importlib
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from pvlib.spectrum import get_reference_spectra

from lowsun.data import table
from lowsun.errors import InputError, OutOfRangeError
from lowsun.physics import extinction
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, Haze
from lowsun.physics.medium import Air
from lowsun.physics.rays import horizon_apparent_altitude_deg, transfer_curve

spectrl2 = importlib.import_module("pvlib.spectrum.spectrl2")  # its function hides its module
VISIBLE_NM = np.arange(380.0, 781.0, 5.0)


def plane_parallel(air_mass, wavelength_nm, sea_pressure_pa=101325.0):
    """The part of a transfer curve that extinction reads, for a Sun high over a flat Earth."""
    crossed = np.full((len(wavelength_nm), 1), float(air_mass))
    traced = transfer_curve(Atmosphere.standard(), 0.0, [90.0], wavelength_nm)
    air = crossed * sea_pressure_pa / 101325.0
    return replace(traced, air_column=air, ozone_column=crossed, haze_column=crossed)


def test_rayleigh_depth_of_bodhaine():
    # Computed from Bodhaine et al. 1999, eq. 30, at the sea; five digits are given.
    depths = [0.36021, 0.22111, 0.14335, 0.09707, 0.06809, 0.04918, 0.03642]
    got = extinction.rayleigh_depth(np.arange(400, 701, 50))
    assert_allclose(got, depths, rtol=0, atol=6e-6)


def test_rayleigh_depth_counts_the_molecules_overhead():
    # Depth is cross-section times molecules overhead: p / (m g), with 28.9644 g/mol and 9.80665
    # m/s2 of the U.S. Standard Atmosphere 1976. Bodhaine's column uses the gravity at the height of
    # the mean molecule, 0.2 % less.
    molecules_per_m2 = 101325 / (28.9644e-3 / 6.02214076e23 * 9.80665)
    counted = extinction.rayleigh_cross_section_m2(550) * molecules_per_m2
    assert_allclose(extinction.rayleigh_depth(550), counted, rtol=4e-3, atol=0)


def test_rayleigh_depth_goes_with_pressure():
    half = extinction.rayleigh_depth([450, 650], 101325 / 2)
    assert_allclose(half, extinction.rayleigh_depth([450, 650]) / 2, rtol=1e-12, atol=0)


def test_ozone_is_strongest_in_the_orange():
    # The Chappuis band peaks near 602 nm with a dip near 585 nm (from memory).
    depth = extinction.ozone_depth(VISIBLE_NM)
    assert 590 <= VISIBLE_NM[np.argmax(depth)] <= 610
    assert extinction.ozone_depth(585) < extinction.ozone_depth(575)


def test_ozone_within_reach_of_the_older_coefficients():
    # Bird & Riordan 1984 [per cm of ozone, 1000 DU], as kept in pvlib's spectral model, are about
    # 10 % lower than the Bremen spectra and rounded coarsely: 15 % over the broad band.
    older = spectrl2._SPECTRL2_COEFFS
    band = (older["wavelength"] >= 500) & (older["wavelength"] <= 660)
    got = extinction.ozone_depth(older["wavelength"][band], 300)
    assert_allclose(got.sum(), 0.3 * older["ozone_absorption"][band].sum(), rtol=0.15, atol=0)
    assert_allclose(got, 0.3 * older["ozone_absorption"][band], rtol=0.3, atol=0)


def test_ozone_profile_adds_up_to_the_model_column():
    # The mid-latitude model of the U.S. Standard Atmosphere 1976 holds about 345 DU (from memory);
    # 2 % for the joining by straight lines and the rounding of the table.
    profile = table("ozone_profile_us_standard_1976")
    column = np.trapezoid(profile["ozone_per_m3"], profile["height_m"])
    assert_allclose(column / extinction.DOBSON_UNIT_PER_M2, 345, rtol=0.02, atol=0)


@pytest.mark.parametrize("share", [extinction.ozone_share_above, extinction.haze_share_above])
def test_share_above_falls_from_one_to_none(share):
    shares = share(np.linspace(0, 100_000, 500))
    assert shares[0] == 1
    assert shares[-1] < 1e-12
    assert np.all(np.diff(shares) <= 0)


def test_ozone_share_is_the_integral_of_its_density():
    # Independent sum over the table's own levels: straight lines integrate to trapezia.
    profile = table("ozone_profile_us_standard_1976")
    high = profile[profile["height_m"] >= 20_000]
    above = np.trapezoid(high["ozone_per_m3"], high["height_m"])
    whole = np.trapezoid(profile["ozone_per_m3"], profile["height_m"])
    assert_allclose(extinction.ozone_share_above(20_000), above / whole, rtol=1e-6, atol=0)


def test_haze_share_falls_by_e_in_a_scale_height():
    shares = extinction.haze_share_above([0, extinction.HAZE_SCALE_HEIGHT_M])
    assert_allclose(shares, [1, np.exp(-1)], rtol=1e-12, atol=0)


def test_haze_follows_angstrom():
    haze = Haze(0.2, exponent=1.3)
    assert haze.depth(550) == pytest.approx(0.2, rel=1e-12)
    ratio = haze.depth(440) / haze.depth(870)
    assert np.log(ratio) / np.log(870 / 440) == pytest.approx(1.3, rel=1e-12)
    assert Haze.of_turbidity(0.1).depth(1000) == pytest.approx(0.1, rel=1e-12)


def test_haze_under_a_lid_ends_there():
    # By hand: of exp(-h/H) between the sea and the lid, what lies above h.
    above = extinction.haze_share_above([0.0, 300.0, 800.0, 900.0], 1000.0, 800.0)
    by_hand = (np.exp(-0.3) - np.exp(-0.8)) / (1 - np.exp(-0.8))
    assert_allclose(above, [1.0, by_hand, 0.0, 0.0], rtol=1e-12, atol=0)


def test_typical_hazes_are_the_published_ones():
    # Kaufman et al. 2001: clean medians at 500 nm 0.052 (Pacific, the kit's clear evening), 0.071
    # (Atlantic). Smirnov et al. 2009: the oceans' mean 0.11, exponent 0.6.
    assert extinction.CLEAR_EVENING.depth(500.0) == pytest.approx(0.052, abs=0.003)
    assert HAZE["sea air"].depth(500.0) == pytest.approx(0.11, abs=0.001)
    assert HAZE["sea air"].exponent == 0.6
    assert 0.6 < extinction.KINDS["marine"].exponent < 1.1


def test_clean_marine_optics_are_the_published_ones():
    # Hess, Koepke & Schult 1998, clean maritime at 80 %, 550 nm: albedo 0.997, asymmetry 0.772.
    made = Haze.of_kind(0.1)
    assert (made.albedo, made.asymmetry) == (0.997, 0.772)
    with pytest.raises(InputError, match="kind is 'fog'; choose one of: marine, continental"):
        Haze.of_kind(0.1, "fog")


@pytest.mark.parametrize(
    ("haze_per_km", "visibility_km"),
    [
        # Koschmieder with a contrast of 0.02, AMS Glossary: 3.912 / extinction, clean air's 0.0116
        # included; 337 km is what clean air alone leaves.
        (0.0666, 50.0),
        (0.0275, 100.0),
        (0.0, 337.0),
    ],
)
def test_visibility_is_koschmieders(haze_per_km, visibility_km):
    for height_m in (1000.0, 2500.0):
        haze = Haze(haze_per_km * height_m / 1000.0)
        assert extinction.visibility_km(haze, height_m) == pytest.approx(visibility_km, rel=2e-3)


def test_haze_presets_run_from_none_to_hazy():
    depths = [haze.depth_550 for haze in HAZE.values()]
    assert depths == sorted(depths)
    assert depths[0] == 0


def test_transmission_of_nothing_is_one():
    curve = plane_parallel(1, VISIBLE_NM, sea_pressure_pa=0)
    clear = curve.through(HAZE["none"], 0).transmission()
    assert_allclose(clear, 1, rtol=0, atol=0)


def test_transmission_multiplies_along_the_way():
    once, thrice = plane_parallel(1, VISIBLE_NM), plane_parallel(3, VISIBLE_NM)
    one = once.through(HAZE["hazy"]).transmission()
    assert one.shape == (len(VISIBLE_NM), 1)
    assert_allclose(thrice.through(HAZE["hazy"]).transmission(), one**3, rtol=1e-12, atol=0)


def test_transmission_of_a_blocked_ray_is_not_a_number():
    curve = plane_parallel(np.nan, VISIBLE_NM)
    assert np.isnan(curve.through(HAZE["none"]).transmission()).all()


def test_transmission_along_traced_rays():
    curve = transfer_curve(Atmosphere.standard(), 2.0, [0.0, 5.0, 90.0], [450.0, 650.0])
    share = curve.through(HAZE["very clear"]).transmission()
    assert share.shape == (2, 3)
    assert np.all(np.diff(share, axis=1) > 0)
    # Straight up from the sea every column is whole, within the 2 m below the eye.
    depth = (
        extinction.rayleigh_depth(curve.wavelength_nm)
        + extinction.ozone_depth(curve.wavelength_nm)
        + HAZE["very clear"].depth(curve.wavelength_nm)
    )
    assert_allclose(share[:, 2], np.exp(-depth), rtol=3e-4, atol=0)


@pytest.mark.parametrize("wavelength_nm", [550.0, [550.0]])
@pytest.mark.parametrize("altitude_deg", [10.0, [10.0]])
def test_transmission_keeps_the_shape_of_the_curve(wavelength_nm, altitude_deg):
    curve = transfer_curve(Atmosphere.standard(), 2.0, altitude_deg, wavelength_nm)
    share = curve.through(HAZE["none"]).transmission()
    assert np.shape(share) == np.shape(wavelength_nm) + np.shape(altitude_deg)


def test_mountain_stands_above_part_of_the_haze():
    # Straight up from 3 km exp(-3) of the haze is left; a level ray from there crosses far less of
    # it than one from the beach, and the ray down to the sea horizon far more than either.
    air, haze = Atmosphere.standard(), HAZE["hazy"]
    above = transfer_curve(air, 3000.0, [90.0, 0.0], [450.0, 650.0])
    beach = transfer_curve(air, 0.0, [90.0, 0.0], [450.0, 650.0])
    thinned = above.through(haze).transmission() / above.through(HAZE["none"]).transmission()
    left = np.exp(-haze.depth(above.wavelength_nm) * np.exp(-3))
    assert_allclose(thinned[:, 0], left, rtol=1e-4, atol=0)
    assert np.all(above.haze_column[:, 1] < 0.2 * beach.haze_column[:, 1])
    horizon = horizon_apparent_altitude_deg(air, 3000.0) + 0.01
    down = transfer_curve(air, 3000.0, horizon, 550.0)
    assert down.haze_column > 1.5 * beach.haze_column[0, 1]


@pytest.mark.parametrize(("low_nm", "high_nm"), [(450, 550), (550, 640), (660, 685)])
def test_air_mass_1_5_of_the_standard(low_nm, high_nm):
    # ASTM G173-03 direct normal over extraterrestrial at air mass 1.5: aerosol depth 0.084 at
    # 500 nm, 343.8 DU (as the standard states). Its rural aerosol has an exponent near 1.1 in the
    # visible (from memory). 10 %: the bands of water and oxygen and the circumsolar light are left
    # out; the ranges avoid oxygen at 687 nm and take in the water bands at 590 and 650 nm.
    standard = get_reference_spectra()
    wavelength_nm = np.arange(float(low_nm), high_nm + 1)
    rows = standard.loc[wavelength_nm]
    haze = Haze(0.084 * (500 / 550) ** 1.1, exponent=1.1)
    curve = plane_parallel(1.5, wavelength_nm)
    got = curve.through(haze, 343.8).transmission()[:, 0]
    wanted = (rows["direct"] / rows["extraterrestrial"]).to_numpy()
    assert_allclose(got, wanted, rtol=0.10, atol=0)
    assert_allclose(got.mean(), wanted.mean(), rtol=0.03, atol=0)


@pytest.mark.parametrize(
    ("function", "value"),
    [
        (extinction.rayleigh_cross_section_m2, 500),
        (extinction.rayleigh_depth, 500),
        (extinction.ozone_cross_section_m2, 500),
        (extinction.ozone_depth, 500),
        (extinction.ozone_share_above, 20_000),
        (extinction.haze_share_above, 800),
        (HAZE["hazy"].depth, 500),
    ],
)
def test_scalar_and_array_agree(function, value):
    grid = function(np.full((2, 3), value))
    assert grid.shape == (2, 3)
    assert np.ndim(function(value)) == 0
    assert_allclose(grid, function(value), rtol=0, atol=0)


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: extinction.rayleigh_depth(200), r"wavelength_nm is 200 nm; allowed is 250 to 850"),
        (lambda: extinction.rayleigh_depth(550, -1), r"pressure_pa is -1 Pa"),
        (lambda: extinction.ozone_depth(900), r"wavelength_nm is 900 nm; allowed is 365 to 835"),
        (lambda: extinction.ozone_depth(550, 601), r"ozone_du is 601 DU"),
        (lambda: extinction.ozone_share_above(-1), r"height_m is -1 m; allowed is 0"),
        (lambda: extinction.haze_share_above(np.nan), r"height_m is nan m"),
        (lambda: Haze(-0.1), r"depth_550 is -0.1; allowed is 0 to 2"),
        (lambda: Haze(0.1, exponent=4), r"exponent is 4; allowed is -0.5 to 2.5"),
        (lambda: HAZE["hazy"].depth(2000), r"wavelength_nm is 2000 nm"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


def test_haze_is_taken_by_its_name():
    curve = plane_parallel(2.0, np.array([450.0]))
    assert curve.through("hazy").air == Air(haze=HAZE["hazy"])
    with pytest.raises(InputError, match=r"haze is 'foggy'; choose one of: none, very clear"):
        curve.through("foggy")
