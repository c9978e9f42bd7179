"""The marine haze's phase function against published aerosol optics and Mie's sums themselves."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

import make_haze_phase
from lowsun.errors import OutOfRangeError
from lowsun.physics.scattering.haze_phase import WAVELENGTH_NM, marine_phase

COSINE = np.cos(
    np.radians(np.concatenate([np.geomspace(0.01, 20, 3000), np.arange(20, 180.05, 0.1)]))
)


def mean(values):
    """The mean over the sphere of values along COSINE, times 4 pi."""
    return -2.0 * np.pi * np.trapezoid(values, COSINE, axis=0)


def test_all_light_goes_somewhere():
    assert_allclose(mean(marine_phase(COSINE, WAVELENGTH_NM)), 1.0, atol=0.005)


def test_asymmetry_is_that_of_published_marine_haze():
    # Hess, Koepke & Schult 1998, table 4, clean maritime at 80 %: 0.772 at 550 nm (from memory).
    # Shettle & Fenn 1979 have 0.76 to 0.82 for their maritime model (from memory).
    forward = mean(marine_phase(COSINE, [550.0])[:, 0] * COSINE)
    assert forward == pytest.approx(0.772, abs=0.003)


def test_between_the_angles_of_the_table_it_is_mies_sum():
    angle_deg = np.array([0.35, 1.05, 3.3, 9.0, 46.2, 138.7, 180.0])
    _, _, phase = make_haze_phase.scattered(550, angle_deg=angle_deg)
    ours = marine_phase(np.cos(np.radians(angle_deg)), [550.0])[:, 0]
    assert_allclose(ours, phase, rtol=0.02)


def test_extinction_and_albedo_of_the_modes_are_the_published_ones():
    # The same table: 0.090 1/km and 0.997 at 550 nm (from memory).
    extinction, scattering, _ = make_haze_phase.scattered(550, angle_deg=np.array([0.0]))
    assert extinction == pytest.approx(0.090, rel=0.02)
    assert scattering / extinction == pytest.approx(0.997, abs=0.002)


def test_near_the_sun_it_is_far_brighter_than_one_number_has_it():
    # Henyey & Greenstein's function of the same asymmetry, in closed form.
    g, cosine = 0.772, np.cos(np.radians(1.0))
    one_number = (1 - g**2) / (4 * np.pi * (1 + g**2 - 2 * g * cosine) ** 1.5)
    assert marine_phase(cosine, [550.0])[0] > 1.5 * one_number


@pytest.mark.parametrize(
    ("cosine", "nm", "message"),
    [(1.1, 550.0, r"cosine is 1\.1; allowed is -1 to 1"), (0.5, 900.0, r"wavelength_nm is 900 nm")],
)
def test_outside_the_range_is_refused(cosine, nm, message):
    with pytest.raises(OutOfRangeError, match=message):
        marine_phase(cosine, [nm])
