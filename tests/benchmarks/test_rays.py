"""What the transfer curve costs beside a ray-by-ray integration, and how it grows."""

from importlib.resources import files

import numpy as np
import pytest

from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import NODES, refined_altitudes_deg, transfer_curve
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
    curve_of_rays_ms = all_ms / zenith_distance.size * 400
    ours_ms = curve_ms(STANDARD, altitudes_deg(400))
    # The rival has one wavelength at a time. Ours follows four and draws the others between them:
    # beside it both what the picture would cost there, and what four wavelengths do.
    report(
        "400 rays in 32 wavelengths",
        ours_ms=ours_ms,
        palpy_ms=curve_of_rays_ms * PICTURE_NM.size,
        palpy_in_32_over_ours=curve_of_rays_ms * PICTURE_NM.size / ours_ms,
        palpy_in_4_over_ours=curve_of_rays_ms * NODES[0] / ours_ms,
    )
    # Both trace the same thing: the rival's air is not quite ours, so to an arcminute.
    ours = transfer_curve(STANDARD, EYE_M, 90.0 - np.degrees(zenith_distance), 570.0)
    rival = 3600.0 * np.degrees([palpy.refro(z, *air) for z in zenith_distance])
    np.testing.assert_allclose(ours.refraction_arcsec, rival, rtol=0, atol=60.0)


def test_cost_grows_with_the_rays():
    few, many = curve_ms(STANDARD, altitudes_deg(100)), curve_ms(STANDARD, altitudes_deg(1600))
    report("rays x 32", rays_100_ms=few, rays_1600_ms=many, ratio_for_16_times=many / few)
    curve = transfer_curve(STANDARD, EYE_M, altitudes_deg(1600), PICTURE_NM)
    assert np.isfinite(curve.true_altitude_deg).all()


@pytest.mark.parametrize("name", ["marine-inversion", "marine-duct"])
@pytest.mark.parametrize("eye_m", [95.0, 1200.0])
def test_a_picture_through_a_real_sounding(name, eye_m):
    path = files("lowsun.data") / "soundings" / f"{name}.csv"
    atmosphere = soundings.read(path)[0].atmosphere()
    altitude = np.linspace(-2.0, 1.0, 400)
    ms = median_ms(lambda: transfer_curve(atmosphere, eye_m, altitude, PICTURE_NM))
    refined = refined_altitudes_deg(atmosphere, eye_m, -2.0, 21.0, PICTURE_NM)
    refine_ms = median_ms(
        lambda: refined_altitudes_deg(atmosphere, eye_m, -2.0, 21.0, PICTURE_NM), repeats=5
    )
    trace_ms = median_ms(lambda: transfer_curve(atmosphere, eye_m, refined, PICTURE_NM), repeats=5)
    report(
        f"400 x 32 rays through {name} from {eye_m:g} m",
        ms=ms,
        over_standard_air=ms / curve_ms(STANDARD, altitudes_deg(400)),
        refined_altitudes=refined.size,
        refine_ms=refine_ms,
        refined_trace_ms=trace_ms,
    )
    assert np.all(np.diff(refined) > 0)
