"""The tracer against rays followed step by step, in any air and from any eye."""

from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_apparent_altitude_deg, transfer_curve
from ray_integration import follow

FOLDER = files("lowsun.data") / "soundings"
STANDARD = Atmosphere.standard()
SMOOTH = {
    "standard": STANDARD,
    "cold and dense": Atmosphere.standard(253.15, 103_000.0),
    "hot and moist": Atmosphere.standard(303.15, 100_500.0, relative_humidity=0.8),
    "isothermal": Atmosphere.standard(lapse_k_per_m=0.0),
}


def altitudes_above(horizon_deg):
    """From the horizon to the zenith, closer towards the horizon."""
    return horizon_deg + np.append(np.geomspace(0.5 / 3600.0, 89.0, 40), 90.0 - horizon_deg)


@pytest.mark.parametrize("air", SMOOTH)
@pytest.mark.parametrize("eye_m", [0.0, 2.0, 95.0, 2600.0, 20_000.0])
def test_smooth_air_down_to_the_sea_horizon(air, eye_m):
    # 0.01": the accuracy that transfer_curve claims; the integration is good to 0.001".
    atmosphere = SMOOTH[air]
    altitude = altitudes_above(horizon_apparent_altitude_deg(atmosphere, eye_m))
    integrated, fate = follow(atmosphere, eye_m, altitude)
    curve = transfer_curve(atmosphere, eye_m, altitude, 570.0)
    assert np.array_equal(curve.fate, fate)
    assert_allclose(curve.refraction_arcsec, integrated, rtol=0, atol=0.01)


@pytest.mark.parametrize("eye_m", [2.0, 95.0, 2600.0, 20_000.0])
def test_the_horizon_lies_where_the_integrated_rays_meet_the_sea(eye_m):
    horizon = horizon_apparent_altitude_deg(STANDARD, eye_m)
    _, fate = follow(STANDARD, eye_m, horizon + np.array([-2.0, 2.0]) / 3600.0)
    assert fate.tolist() == [1, 0]


EYES_M = np.array([2.0, 10.0, 30.0, 95.0, 300.0, 1500.0])
MADE = {
    "inversion 60-100 m, 3 K": STANDARD.with_inversion(60, 40, 3),
    "inversion 60-100 m, 8 K": STANDARD.with_inversion(60, 40, 8),
    "inversion 10-30 m, 2 K": STANDARD.with_inversion(10, 20, 2),
    "inversion 300-400 m, 8 K": STANDARD.with_inversion(300, 100, 8),
    "inversion 300-330 m, 8 K": STANDARD.with_inversion(300, 30, 8),
    "inversion 1000-1200 m, 15 K": STANDARD.with_inversion(1000, 200, 15),
    "inversion 20-520 m, 6 K": STANDARD.with_inversion(20, 500, 6),
    "thin duct": STANDARD.with_inversion(100, 5, 3),
    "two inversions": STANDARD.with_inversion(50, 30, 2).with_inversion(400, 100, 5),
    "ground inversion of 25 K": STANDARD.with_inversion(0, 200, 25),
    "polar winter": Atmosphere.standard(243.15).with_inversion(0, 400, 20),
    "sea 0.5 K warmer": STANDARD.with_surface_layer(0.5, 1),
    "sea 2 K warmer": STANDARD.with_surface_layer(2, 3),
    "sea 5 K warmer": STANDARD.with_surface_layer(5, 20),
    "sea 10 K warmer": STANDARD.with_surface_layer(10, 2),
    "sea 1 K colder": STANDARD.with_surface_layer(-1, 5),
    "sea 3 K colder": STANDARD.with_surface_layer(-3, 30),
    "sea 10 K colder": STANDARD.with_surface_layer(-10, 100),
    "warm sea under an inversion": STANDARD.with_surface_layer(2, 3).with_inversion(50, 30, 3),
}
ASCENTS = {
    f"{name}, {sounding.title}": sounding.atmosphere()
    for name in sorted(path.name for path in FOLDER.iterdir() if path.name != "README.md")
    for sounding in soundings.read(FOLDER / name)
}


def rays_about_the_horizon(atmosphere, eye_m):
    horizon = horizon_apparent_altitude_deg(atmosphere, eye_m)
    return np.concatenate(
        [
            np.linspace(-abs(horizon) - 0.05, abs(horizon) + 0.5, 40),
            horizon + np.geomspace(2.5 / 3600.0, 3.0, 20),
        ]
    )


def traced_around(atmosphere, eye_m, altitude_deg):
    """Refraction and fate of rays; whether the curve is tame there, and its fates within 2" one."""
    beside = np.array([-2.0, -0.05, 0.0, 0.05, 2.0]) / 3600.0
    around = altitude_deg[:, None] + beside
    curve = transfer_curve(atmosphere, eye_m, around.ravel(), 570.0)
    true, fate = (part.reshape(around.shape) for part in (curve.true_altitude_deg, curve.fate))
    tame = np.abs(true[:, 3] - true[:, 1]) < 20.0 * (beside[3] - beside[1])
    settled = (fate == fate[:, 2:3]).all(axis=1)
    return curve.refraction_arcsec.reshape(around.shape)[:, 2], fate[:, 2], tame, settled


@pytest.mark.parametrize("air", MADE | ASCENTS)
def test_any_air_from_any_eye(air):
    # 1" in true altitude wherever it changes less than twentyfold with apparent altitude; the same
    # fate for every ray further than 2" from a limit.
    atmosphere = (MADE | ASCENTS)[air]
    altitudes = [rays_about_the_horizon(atmosphere, eye) for eye in EYES_M]
    found = [traced_around(atmosphere, *pair) for pair in zip(EYES_M, altitudes, strict=True)]
    refraction, fate, tame, settled = (np.concatenate(part) for part in zip(*found, strict=True))
    eyes = np.repeat(EYES_M, [altitude.size for altitude in altitudes])
    integrated, integrated_fate = follow(atmosphere, eyes, np.concatenate(altitudes))
    assert np.array_equal(fate[settled], integrated_fate[settled])
    both = tame & np.isfinite(integrated)
    assert both.sum() > 200
    assert_allclose(refraction[both], integrated[both], rtol=0, atol=1.0)
