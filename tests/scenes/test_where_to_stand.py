"""Where to stand follows the inversion, the Sun's speed and the place."""

from datetime import date

import numpy as np
from numpy.testing import assert_allclose

from lowsun.scenes.where_to_stand import scene


def test_an_inversion_makes_standing_above_it_worth_while():
    # Young, Kattawar & Parviainen 1997: the mock-mirage flash is seen from above the inversion.
    result = scene.result(inversion_base_m=40, inversion_depth_m=40)
    above = result.eye_height_m > 80
    assert np.all(result.kind[above] == "mock mirage")
    assert result.best_m > 40
    assert result.duration_s[above].min() > 2 * result.duration_s[0]


def test_smooth_air_offers_a_rim_from_everywhere():
    # A second or two at middle latitudes (Young, Kattawar & Parviainen 1997).
    result = scene.result(inversion_k=0)
    assert set(result.kind) == {"rim only"}
    assert np.all((result.duration_s > 1.0) & (result.duration_s < 2.5))


def test_duration_goes_with_the_inverse_of_the_suns_speed():
    # Speed at the equinox 15.04"/s cos(latitude): half at 60 deg; 1 % for the real declination.
    equator, north = (scene.result(latitude_deg=latitude) for latitude in (0, 60))
    assert_allclose(equator.speed_arcsec_per_s, 15.04, rtol=0.01)
    assert_allclose(north.duration_s, 2.0 * equator.duration_s, rtol=0.015)


def test_where_the_sun_stays_up_it_says_so():
    said = scene.sentence(latitude_deg=80, day=date(2027, 6, 21))
    assert "does not set there on that day" in said
