"""The light of the last sliver: against the picture, plain photometry, and what is published."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad

from lowsun.errors import OutOfRangeError
from lowsun.phenomena import flash_light, low_sun
from lowsun.phenomena.dispersion import rim_width_arcsec
from lowsun.physics import colour, rays, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, Haze

AIR = Atmosphere.standard()
EYE_M = 95.0
CURVE = low_sun.curve_for_picture(AIR, EYE_M)
RADIUS_DEG = low_sun.SUN_DIAMETER_ARCMIN / 120.0
SINKING_ARCSEC_PER_S = 11.5  # at 40 degrees on an equinox: 15.04 cos 40
# Seconds from the moment at which the upper limb touches the horizon, at 570 nm.
SECONDS = np.arange(-8.0, 6.0, 0.1)
GONE_DEG = rays.horizon_true_altitude_deg(AIR, EYE_M)
SUN_DEG = GONE_DEG - RADIUS_DEG - SECONDS * SINKING_ARCSEC_PER_S / 3600.0


@pytest.mark.parametrize("k", range(6))
def test_chord_integrals(k):
    integral, _ = quad(lambda u: (1 - u * u) ** (k / 2), -1, 1)
    assert flash_light.CHORD[k] == pytest.approx(integral, rel=1e-7)


@pytest.mark.parametrize("sun_deg", [1.0, -0.5, -1.1])
def test_whole_light_is_that_of_the_picture(sun_deg):
    # The picture adds up pixels of 1", the sliver rows in closed form.
    frame = low_sun.Frame.around(CURVE.apparent_at(sun_deg), 36.0, 2160, 2160)
    lit = low_sun.disc_light(CURVE, sun_deg, frame)
    xyz = lit.whole(lit.values)
    picture_lx = xyz.sum(axis=(0, 1), dtype=float) * np.radians(frame.arcsec_per_px / 3600.0) ** 2
    sliver = flash_light.sliver(CURVE, sun_deg)
    assert_allclose(sliver.xyz[0], picture_lx, rtol=0.01)
    assert sliver.brightest[0] == pytest.approx(xyz[..., 1].max(), rel=0.01)


def test_high_sun_gives_its_published_irradiance_less_the_air():
    # The disc is the solar constant's own lamp: 15 degrees up all of it is seen through one air.
    # The disc of SUN_DIAMETER_ARCMIN is 0.1 % larger in area than the nominal one.
    seen = flash_light.column(CURVE.through(HAZE["none"], 0.0), 15.0, step_arcsec=5.0)
    width = np.gradient(np.radians(seen.apparent_altitude_deg))
    apparent = CURVE.apparent_at(15.0)
    one = rays.transfer_curve(AIR, EYE_M, apparent, CURVE.wavelength_nm)
    share = one.through(HAZE["none"], 0.0).transmission()
    assert_allclose(
        width @ seen.line[0], sunlight.irradiance(CURVE.wavelength_nm) * share, rtol=5e-3
    )


def test_rim_is_as_wide_as_the_traced_one():
    # The air squeezes the rim as it squeezes the disc there. Rows of 0.25" at both edges.
    seen = flash_light.column(CURVE, -1.0, step_arcsec=0.25)
    short, long = (
        seen.wavelength_nm[np.argmin(np.abs(seen.wavelength_nm - nm))] for nm in flash_light.RIM_NM
    )
    height = 3600 * np.gradient(seen.apparent_altitude_deg).sum(where=seen.rim[0])
    limb = CURVE.apparent_at(-1.0 + RADIUS_DEG)
    near = rays.transfer_curve(AIR, EYE_M, limb + np.array([-0.002, 0.002]), long)
    squeezed = 0.004 / np.diff(near.true_altitude_deg)[0]
    width = rim_width_arcsec(AIR, EYE_M, limb, short, long) * squeezed
    assert height == pytest.approx(width, abs=0.5)
    assert np.all(seen.radiance[0][seen.rim[0]][:, seen.wavelength_nm > long] == 0)


def test_last_light_goes_from_orange_through_green_to_blue():
    # Short waves are lifted most, so the images go in the order of their wavelengths.
    seen = flash_light.sliver(CURVE.through(HAZE["none"]), SUN_DEG)
    lit = seen.illuminance_lx > 0
    dominant = seen.dominant_wavelength_nm[lit]
    assert np.all(np.diff(dominant[dominant > 400]) < 0)
    order = list(dict.fromkeys(seen.colours[lit]))
    assert order[:4] == ["orange", "yellow", "green", "cyan"]
    assert np.all(np.diff(seen.illuminance_lx) <= 0)


def test_haze_takes_green_before_red():
    shares = [
        [
            flash_light.surviving_share(CURVE.through(Haze(depth)), -0.28, band)
            for depth in (0.0, 0.05)
        ]
        for band in (flash_light.GREEN_BAND_NM, flash_light.RED_BAND_NM)
    ]
    (green, hazy_green), (red, hazy_red) = shares
    assert 0 < hazy_green < green < red < 1
    assert hazy_green / green < hazy_red / red


def test_surviving_share_of_one_wavelength_is_its_transmission():
    nm = float(CURVE.wavelength_nm[8])
    alone = rays.transfer_curve(AIR, EYE_M, 2.0, nm)
    share = flash_light.surviving_share(CURVE.through(HAZE["hazy"]), 2.0, (nm - 0.01, nm + 0.01))
    assert share == pytest.approx(float(alone.through(HAZE["hazy"]).transmission()), rel=0.005)


def test_torn_off_piece_counts_by_itself():
    lit = np.array([[1, 1, 0, 1, 1, 0], [1, 1, 1, 0, 0, 0], [0, 0, 0, 0, 0, 0]], dtype=bool)
    wanted = np.array([[0, 0, 0, 1, 1, 0], [1, 1, 1, 0, 0, 0], [0, 0, 0, 0, 0, 0]], dtype=bool)
    assert np.array_equal(flash_light.uppermost(lit), wanted)


def test_one_instant_is_one_of_many():
    together = flash_light.column(CURVE, [-1.0, -1.1])
    alone = flash_light.sliver(CURVE, -1.1)
    assert together.radiance.shape[0] == 2
    many = flash_light.sliver(CURVE, [-1.0, -1.1])
    assert_allclose(many.illuminance_lx[1], alone.illuminance_lx[0], rtol=2e-3)


def test_gone_sun_has_neither_light_nor_colour():
    gone = flash_light.sliver(CURVE, -5.0)
    assert gone.illuminance_lx[0] == 0
    assert np.isnan(gone.dominant_wavelength_nm[0])
    assert gone.colours[0] == ""


def test_spans_reach_half_a_step_beyond():
    assert flash_light.spans([0, 1, 2, 3, 4], [0, 1, 1, 0, 1]) == [(0.5, 2.5), (3.5, 4.0)]
    assert flash_light.spans([0, 1], [0, 0]) == []


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: flash_light.sliver(CURVE, 25.0), r"is 25 deg; allowed is -90 to 20 deg. This is"),
        (lambda: flash_light.sliver(CURVE, np.nan), r"sun_true_altitude_deg is nan"),
        (
            lambda: flash_light.sliver(CURVE, [[0.0]]),
            r"is shaped \(1, 1\); give a number",
        ),
        (
            lambda: flash_light.as_seen(CURVE, 0.0, None, np.nan),
            r"sky_cd_per_m2 is nan cd/m2; allowed is 0 to",
        ),
        (lambda: flash_light.column(CURVE, 0.0, sun_diameter_arcmin=60), r"is 60 arcmin; allowed"),
        (lambda: flash_light.column(CURVE, 0.0, step_arcsec=0), r"step_arcsec is 0 arcsec"),
        (lambda: flash_light.spans([1, 0], [True, True]), r"rising instants and one yes or no"),
        (
            lambda: flash_light.surviving_share(CURVE, 0.0, (300, 500)),
            r"band_nm is 300 nm; allowed is 400 to 700 nm",
        ),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


def test_names_of_the_flash_are_names_of_colours():
    assert set(flash_light.FLASH_COLOURS) <= set(colour.COLOUR_NAMES)
