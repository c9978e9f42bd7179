"""Mirages: images, strips unseen, outlines and events, against refraction tables and each other."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.phenomena import mirage
from lowsun.phenomena.low_sun import SUN_DIAMETER_ARCMIN
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_apparent_altitude_deg, transfer_curve

PALPY = np.genfromtxt(
    Path(__file__).parents[1] / "data" / "refraction_palpy.csv",
    delimiter=",",
    names=True,
    skip_header=3,
)
STANDARD = Atmosphere.standard()
WARM_SEA = STANDARD.with_surface_layer(2.0, 3.0)
INVERSION = STANDARD.with_inversion(40.0, 40.0, 1.5)
DUCT = STANDARD.with_inversion(60.0, 40.0, 8.0)
RADIUS_DEG = SUN_DIAMETER_ARCMIN / 120.0


@pytest.fixture(scope="module")
def smooth():
    return mirage.curve_near_horizon(STANDARD, 95.0)


@pytest.fixture(scope="module")
def warm():
    return mirage.curve_near_horizon(WARM_SEA, 2.0)


@pytest.fixture(scope="module")
def folded():
    return mirage.curve_near_horizon(INVERSION, 150.0)


def magnification(curve):
    """Apparent divided by true height of small things along the curve, (A,)."""
    with np.errstate(divide="ignore"):
        return 1.0 / np.gradient(curve.true_altitude_deg, curve.apparent_altitude_deg)


# --- images -------------------------------------------------------------------------------------


def test_smooth_air_shows_everything_once(smooth):
    counts = [len(mirage.images(smooth, deg)) for deg in (-1.0, -0.8, -0.5, 0.0, 1.0)]
    assert counts == [0, 1, 1, 1, 1]
    (only,) = mirage.images(smooth, 0.0)
    assert only.name == "erect"
    traced = transfer_curve(STANDARD, 95.0, only.apparent_altitude_deg, 570.0)
    assert_allclose(traced.true_altitude_deg, 0.0, rtol=0, atol=0.2 / 3600.0)


def test_below_the_lowest_ray_nothing_is_seen(smooth):
    lowest = np.nanmin(smooth.true_altitude_deg)
    assert mirage.images(smooth, lowest - 1e-6) == ()
    assert_allclose(mirage.unseen_strips(smooth, -2.0, 0.5), [[-2.0, lowest]], rtol=1e-9, atol=0)


def test_a_sea_warmer_than_the_air_doubles_the_sun_about_a_fold(warm):
    # Inferior mirage: an erect image over an inverted one, which meet at the fold where the Sun
    # vanishes (any textbook of meteorological optics).
    fold = next(turn for turn in mirage.turns(warm) if turn.lowest)
    upper, lower = mirage.images(warm, fold.true_altitude_deg + 1.0 / 60.0)
    assert (upper.name, lower.name) == ("erect", "inverted")
    assert upper.apparent_altitude_deg > fold.apparent_altitude_deg > lower.apparent_altitude_deg
    closer = mirage.images(warm, fold.true_altitude_deg + 0.1 / 60.0)
    assert closer[0].apparent_altitude_deg - closer[1].apparent_altitude_deg < 0.5 * (
        upper.apparent_altitude_deg - lower.apparent_altitude_deg
    )
    assert mirage.images(warm, fold.true_altitude_deg - 0.1 / 60.0) == ()


def test_an_inversion_under_the_eye_makes_three_images(folded):
    turns = mirage.turns(folded)
    assert [turn.lowest for turn in turns] == [True, False, True]
    lower, saddle, upper = (turn.true_altitude_deg for turn in turns)
    between = 0.5 * (saddle + max(lower, upper))
    names = [image.name for image in mirage.images(folded, between)]
    assert names == ["erect", "inverted", "erect"]
    assert len(mirage.images(folded, 0.5)) == 1


def test_the_height_of_images_is_the_slope_of_published_refraction():
    # palpy 1.8.4, 10 degC, 1010 hPa: dA/dT = 1 / (1 - dR/dA) at 0.025 and 0.4 deg, from its rows at
    # 0 and 0.05, 0.3 and 0.5 deg; our air refracts 0.1 % more.
    rows = PALPY[(PALPY["temperature_k"] == 283.15) & (PALPY["apparent_altitude_deg"] < 0.6)]
    rows = rows[np.argsort(rows["apparent_altitude_deg"])]
    altitude, refraction = rows["apparent_altitude_deg"], rows["refraction_arcsec"]
    slope = np.diff(refraction / 3600.0) / np.diff(altitude)
    curve = mirage.curve_near_horizon(Atmosphere.standard(283.15, 101_000.0), 0.0)
    stretch = magnification(curve)
    middle, known = 0.5 * (altitude[1:] + altitude[:-1]), np.isfinite(stretch)
    got = np.interp(middle, curve.apparent_altitude_deg[known], stretch[known])
    assert_allclose(got, 1.0 / (1.0 - slope), rtol=5e-3, atol=0)


def test_magnification_of_images_is_the_curves(warm):
    whole = magnification(warm)
    for image in mirage.images(warm, -0.45):
        at = np.argmin(np.abs(warm.apparent_altitude_deg - image.apparent_altitude_deg))
        assert_allclose(image.magnification, whole[at], rtol=0.05, atol=0)


def test_a_strip_squeezed_by_a_duct_is_not_seen():
    # From above a duct the sky is seen over it and, upside down, in it, with a strip left out.
    curve = mirage.curve_near_horizon(DUCT, 150.0)
    strips = mirage.unseen_strips(curve, -1.5, 0.0)
    low, high = strips[np.argmax(np.diff(strips)[:, 0])]
    assert high - low > 15.0 / 60.0

    def seen_of(true_altitude_deg):
        found = mirage.images(curve, true_altitude_deg)
        return sum(abs(image.magnification) for image in found)

    assert seen_of(0.5 * (low + high)) < 0.05 < seen_of(-0.3)
    assert seen_of(low + 1e-4) < 0.05
    assert seen_of(high - 1e-4) < 0.05


# --- outline ------------------------------------------------------------------------------------


def test_the_outline_without_a_mirage_is_one_flattened_disc():
    # 0.842 with the lower limb at 0 deg: computed with palpy 1.8.4, 10 degC, 1010 hPa.
    curve = mirage.curve_near_horizon(Atmosphere.standard(283.15, 101_000.0), 0.0)
    seen = mirage.outline(curve, np.nanmin(curve.true_altitude_deg) + RADIUS_DEG)
    assert seen.low_deg.size == 1
    assert_allclose(seen.axis_ratio, 0.842, rtol=0, atol=2e-3)
    assert_allclose(seen.width_arcsec, 60.0 * SUN_DIAMETER_ARCMIN, rtol=1e-9, atol=0)


def test_high_up_the_outline_is_round():
    curve = mirage.curve_near_horizon(STANDARD, 2.0, high_deg=60.0)
    assert_allclose(mirage.outline(curve, 55.0).axis_ratio, 1.0, rtol=0, atol=1e-3)


def test_a_quarter_of_the_disc_is_as_wide_as_its_chord(smooth):
    centre = np.nanmin(smooth.true_altitude_deg) - 0.5 * RADIUS_DEG
    seen = mirage.outline(smooth, centre)
    assert_allclose(seen.width_arcsec, 3600.0 * RADIUS_DEG * np.sqrt(3.0), rtol=1e-6, atol=0)
    assert mirage.outline(smooth, centre - RADIUS_DEG).low_deg.size == 0
    assert np.isnan(mirage.outline(smooth, centre - RADIUS_DEG).axis_ratio)


# --- events -------------------------------------------------------------------------------------

PIECES = {"appears": 1, "detaches": 1, "joins": -1, "vanishes": -1}


@pytest.mark.parametrize(
    ("air", "eye_m"), [(STANDARD, 95.0), (WARM_SEA, 2.0), (INVERSION, 150.0), (INVERSION, 300.0)]
)
def test_events_count_the_pieces_that_the_outline_shows(air, eye_m):
    # Two ways to the number of pieces: turning points of the curve, and the disc looked at between
    # them. Between events less than 2" of sinking apart nothing is looked at.
    curve = mirage.curve_near_horizon(air, eye_m)
    events = mirage.events_setting(curve)
    pieces = 1
    for event, after in pairwise(events):
        pieces += PIECES.get(event.kind, 0)
        if event.sun_true_altitude_deg - after.sun_true_altitude_deg > 2.0 / 3600.0:
            middle = 0.5 * (event.sun_true_altitude_deg + after.sun_true_altitude_deg)
            assert mirage.outline(curve, middle).low_deg.size == pieces, event
    assert pieces + PIECES[events[-1].kind] == 0


def test_an_ordinary_sunset_takes_a_diameter_of_sinking(smooth):
    first, last = mirage.events_setting(smooth)
    assert (first.kind, first.limb) == ("touches down", "lower")
    assert (last.kind, last.limb) == ("vanishes", "upper")
    lasts = last.seconds_after(first.sun_true_altitude_deg, 11.5)
    assert_allclose(lasts, 60.0 * SUN_DIAMETER_ARCMIN / 11.5, rtol=1e-9, atol=0)
    assert_allclose(
        first.apparent_altitude_deg,
        horizon_apparent_altitude_deg(STANDARD, 95.0),
        rtol=0,
        atol=0.1 / 3600.0,
    )


def test_over_a_warm_sea_the_sun_meets_its_own_image_and_leaves_the_sea(warm):
    kinds = [(event.kind, event.limb) for event in mirage.events_setting(warm)]
    assert kinds == [
        ("appears", "lower"),  # the inverted image of the limb rises out of the horizon,
        ("joins", "lower"),  # meets the limb at the fold,
        ("lifts off", "upper"),  # and at last what is left stands free over the sea.
        ("vanishes", "upper"),
    ]


def test_over_an_inversion_the_top_of_the_sun_comes_off(folded):
    upper = [event.kind for event in mirage.events_setting(folded) if event.limb == "upper"]
    assert upper[0] == "detaches"
    assert upper[1:] == ["vanishes", "vanishes"]


def test_sunrise_is_sunset_run_backwards(warm):
    setting, rising = mirage.events_setting(warm), mirage.events_rising(warm)
    assert [e.kind for e in rising] == ["appears", "touches down", "detaches", "vanishes"]
    assert [e.sun_true_altitude_deg for e in rising] == [
        e.sun_true_altitude_deg for e in reversed(setting)
    ]


def test_short_waves_vanish_last():
    gone = [
        mirage.events_setting(mirage.curve_near_horizon(WARM_SEA, 2.0, nm))[-1]
        for nm in (650.0, 570.0, 500.0)
    ]
    altitudes = [event.sun_true_altitude_deg for event in gone]
    assert altitudes == sorted(altitudes, reverse=True)
    assert [event.wavelength_nm for event in gone] == [650.0, 570.0, 500.0]


def test_shallow_turns_are_left_out(folded):
    deep = mirage.turns(folded, notch_arcsec=3600.0)
    assert len(deep) < len(mirage.turns(folded)) <= len(mirage.turns(folded, 0.0, 0.0))


# --- refusals -----------------------------------------------------------------------------------


def test_curves_of_many_wavelengths_are_refused(smooth):
    many = transfer_curve(STANDARD, 95.0, smooth.apparent_altitude_deg, [500.0, 600.0])
    with pytest.raises(InputError, match="wanted are those of one wavelength"):
        mirage.images(many, 0.0)
    one = transfer_curve(STANDARD, 95.0, smooth.apparent_altitude_deg, [570.0])
    assert len(mirage.images(one, 0.0)) == 1


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda curve: mirage.images(curve, np.nan), "true_altitude_deg is nan"),
        (lambda curve: mirage.unseen_strips(curve, -100.0, 0.0), "low_deg, high_deg is -100"),
        (lambda curve: mirage.outline(curve, 0.0, 40.0), "sun_diameter_arcmin is 40 arcmin"),
        (lambda curve: mirage.turns(curve, -1.0), "notch_arcsec, apart_arcsec is -1"),
        (
            lambda curve: mirage.events_setting(curve)[0].seconds_after(0.0, -11.0),
            "events_rising mirrors",
        ),
        (lambda curve: mirage.curve_near_horizon(STANDARD, 2.0, high_deg=95.0), "high_deg is 95"),
    ],
)
def test_refusals(smooth, call, words):
    with pytest.raises(OutOfRangeError, match=words):
        call(smooth)
