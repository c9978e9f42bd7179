"""What the transfer curve costs beside a ray-by-ray integration, and how it grows."""

from importlib.resources import files

import numpy as np
import pytest

from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import transfer_curve
from timing import median_ms, report

STANDARD = Atmosphere.standard()
EYE_M = 95.0
PICTURE_NM = np.linspace(380.0, 700.0, 32)


def altitudes_deg(count):
    return np.linspace(-0.28, 20.0, count)


def curve_ms(atmosphere, altitude_deg):
    return median_ms(lambda: transfer_curve(atmosphere, EYE_M, altitude_deg, PICTURE_NM))


def test_a_picture_against_one_integration_a_ray():
    palpy = pytest.importorskip("palpy", reason="palpy, the rival integration, is not installed")
    zenith_distance = np.radians(90.0 - altitudes_deg(400)[altitudes_deg(400) > 0.0])
    air = (EYE_M, 287.53, 1001.9, 0.0, 0.57, 0.9, 0.0065, 1e-8)
    all_ms = median_ms(lambda: [palpy.refro(z, *air) for z in zenith_distance], repeats=3)
    rival_ms = all_ms / zenith_distance.size * 400 * PICTURE_NM.size
    ours_ms = curve_ms(STANDARD, altitudes_deg(400))
    report("400 x 32 rays", ours_ms=ours_ms, palpy_ms=rival_ms, palpy_over_ours=rival_ms / ours_ms)
    assert rival_ms > ours_ms


def test_cost_grows_with_the_rays():
    few, many = curve_ms(STANDARD, altitudes_deg(100)), curve_ms(STANDARD, altitudes_deg(1600))
    report("rays x 32", rays_100_ms=few, rays_1600_ms=many, ratio_for_16_times=many / few)
    assert many < 64 * few  # four times what a cost in proportion to the rays would be


@pytest.mark.parametrize("name", ["marine-inversion", "marine-duct"])
def test_a_picture_through_a_real_sounding(name):
    path = files("lowsun.data") / "soundings" / f"{name}.csv"
    atmosphere = soundings.read(path)[0].atmosphere()
    smooth_ms = curve_ms(STANDARD, altitudes_deg(400))
    ms = curve_ms(atmosphere, np.linspace(-0.28, 1.0, 400))
    report(f"400 x 32 rays through {name}", ms=ms, over_standard_air=ms / smooth_ms)
    assert ms > 0
