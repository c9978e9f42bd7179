"""Phase functions, their degrees, and the shapes in which light from all sides is kept."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics.extinction import KINDS, Haze, rayleigh_depth
from lowsun.physics.scattering import WAVELENGTH_NM, Air, optics
from lowsun.physics.scattering.moments import DEGREE, basis

NM = np.array([550.0])
COSINE, SHARE = np.polynomial.legendre.leggauss(200)


def over_sphere(values):
    return 2.0 * np.pi * np.sum(SHARE * values)


@pytest.mark.parametrize("kind", KINDS)
def test_phase_functions_share_out_all_the_light(kind):
    assert_allclose(over_sphere(optics.rayleigh_phase(COSINE)), 1.0, rtol=1e-12)
    haze = optics.haze_phase(Haze.of_kind(0.1, kind), COSINE, NM)
    # The marine table's narrow peaks are summed at 200 places only.
    assert_allclose(over_sphere(haze[:, 0]), 1.0, rtol=2e-2 if kind == "marine" else 1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_haze_has_its_stated_mean_cosine(kind):
    haze = Haze.of_kind(0.1, kind)
    mean = over_sphere(COSINE * optics.haze_phase(haze, COSINE, NM)[:, 0])
    assert mean == pytest.approx(haze.asymmetry, rel=2e-2 if kind == "marine" else 1e-9)


def test_molecules_scatter_as_rayleigh_says():
    # Twice as much straight on and back as aside: Rayleigh 1871.
    assert optics.rayleigh_phase(1.0) == optics.rayleigh_phase(-1.0)
    assert_allclose(optics.rayleigh_phase(1.0) / optics.rayleigh_phase(0.0), 2.0, rtol=1e-12)


def test_depths_are_the_published_ones_and_ozone_does_not_scatter():
    air = Air()
    depths = optics.depths(air, np.array([400.0, 550.0, 700.0]))
    # Bodhaine et al. 1999, eq. 30: 0.36021, 0.09707, 0.03642 at the sea.
    assert_allclose(depths[0], [0.36021, 0.09707, 0.03642], rtol=1e-3)
    assert_allclose(depths[0], rayleigh_depth(np.array([400.0, 550.0, 700.0])), rtol=1e-6)
    assert np.all(optics.scattering(depths, air.haze)[1] == 0.0)


def test_degrees_give_rayleigh_back():
    by_degree = optics.by_degree(optics.depths(Air(), WAVELENGTH_NM), Air().haze, 0.2)
    legendre = np.polynomial.legendre.legval(COSINE, by_degree[:, 0, 0] / by_degree[0, 0, 0])
    assert_allclose(legendre / (4.0 * np.pi), optics.rayleigh_phase(COSINE), rtol=1e-12)


def test_degrees_of_haze_keep_its_light_and_its_light_thrown_back():
    depths = optics.depths(Air(), WAVELENGTH_NM)
    haze = Air().haze
    share = optics.by_degree(depths, haze, 0.2)[:, 2, 0] / optics.scattering(depths, haze)[2, 0]
    assert_allclose(share[0], 0.8, rtol=1e-12)
    back = np.polynomial.legendre.legval(-1.0, share) / (4.0 * np.pi)
    # The mean over the last 30 degrees, each as wide as its ring of the sphere.
    angle = np.radians(np.linspace(150.0, 180.0, 3001))
    thrown = optics.haze_phase(haze, np.cos(angle), NM)[:, 0]
    mean = np.average(thrown, weights=np.sin(angle))
    assert_allclose(back, mean, rtol=0.02)


def test_addition_theorem():
    """sum of B(v) B(v'), mirrored in the Sun's plane and summed, is P_l of the angle between."""
    rng = np.random.default_rng(1)
    sine, other = rng.uniform(-1.0, 1.0, (2, 50))
    azimuth, around = rng.uniform(0.0, np.pi, (2, 50))
    product = basis(sine, np.cos(azimuth)) * basis(other, np.cos(around))
    flat = np.sqrt((1.0 - sine**2) * (1.0 - other**2))
    for degree in range(3):
        legendre = np.polynomial.legendre.Legendre.basis(degree)
        pair = [legendre(sine * other + flat * np.cos(azimuth + side * around)) for side in (1, -1)]
        assert_allclose(product[:, degree == DEGREE].sum(axis=1), np.mean(pair, axis=0), atol=1e-12)
