"""The tracer against rays followed step by step, in any air and from any eye."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import horizon_apparent_altitude_deg, transfer_curve
from ray_integration import follow

STANDARD = Atmosphere.standard()
SMOOTH = {
    "standard": STANDARD,
    "cold and dense": Atmosphere.standard(253.15, 103_000.0),
    "hot and moist": Atmosphere.standard(303.15, 100_500.0, relative_humidity=0.8),
    "isothermal": Atmosphere.standard(lapse_k_per_m=0.0),
}


def altitudes_above(horizon_deg):
    """From the horizon to the zenith, closer towards the horizon."""
    return horizon_deg + np.append(np.geomspace(0.5 / 3600.0, 89.0, 60), 90.0 - horizon_deg)


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
