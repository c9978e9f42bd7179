"""What to focus on: light, threshold, noise and warnings."""

from datetime import UTC, datetime
from math import pi

import pytest
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import InputError, OutOfRangeError
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.plan import Framing, Kit, focus, framing_of_horizon
from lowsun.physics.atmosphere import Atmosphere

CAMERA = Camera(400.0, 5.6, 4.0, (6000, 4000))
LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
AIR = Atmosphere.standard()


def _by_name(when, place=LIGHTHOUSE, camera=CAMERA):
    return {one.body.name: one for one in focus.candidates(place, when, camera, AIR)}


def test_light_of_a_magnitude():
    # m = -13.99 - 2.5 log10(E / lx), Crumey 2014: a star of magnitude 0 gives 2.54 microlux.
    assert_allclose(focus.illuminance_lx(0.0), 2.54e-6, rtol=5e-3)
    # The full Moon's -12.7 is 0.3 lx (Allen, from memory).
    assert_allclose(focus.illuminance_lx(-12.7), 0.3, rtol=0.05)
    assert_allclose(focus.illuminance_lx(5.0), focus.illuminance_lx(0.0) / 100)


def test_signal_is_the_photons_of_a_zero_magnitude_star():
    # Bessell 1979: 995 photons/s/cm2/A at V = 0 (from memory), over the 890 A of V.
    photons = 995 * 890 * pi / 4 * (400 / 5.6 / 10) ** 2  # per second through the lens
    still_s = 2 * CAMERA.arcsec_per_pixel / 15.041
    dark, light = 1e-4, float(focus.illuminance_lx(0.0))
    electrons = focus.signal_to_noise(CAMERA, light, dark) ** 2  # nothing but its own noise
    assert 0.25 < electrons / (photons * still_s) < 0.75  # half the photons count


def test_more_sky_less_signal_over_noise():
    told = [focus.signal_to_noise(CAMERA, 2.5e-6, sky_) for sky_ in (0.01, 1.0, 100.0, 3000.0)]
    assert told == sorted(told, reverse=True)


def test_by_day_the_moon_and_venus_show_to_an_eye_and_stars_do_not():
    # Venus at greatest brilliancy is seen by day by who knows where (common practice, no source).
    winter = _by_name(datetime(2025, 2, 14, 17, 0, tzinfo=UTC))
    assert winter["Venus"].eye_margin > 1
    spring = _by_name(datetime(2027, 3, 20, 17, 49, tzinfo=UTC))
    assert spring["Moon"].eye_margin > 1
    stars = [one for one in spring.values() if one.body.kind == sky.STAR]
    assert all(one.eye_margin < 1 for one in stars)


def test_in_the_dusk_stars_come_out_brightest_first():
    dusk = _by_name(datetime(2027, 3, 20, 19, 28, tzinfo=UTC))  # civil dusk
    # First-magnitude stars are out at civil dusk, the almanac's rule for sextant sights
    # (common practice, no source).
    assert dusk["Sirius"].eye_margin > 1
    assert dusk["Capella"].eye_margin > 1
    assert dusk["Sirius"].eye_margin > dusk["Rigel"].eye_margin > dusk["Alnitak"].eye_margin


def test_the_best_is_safe_and_the_moon_before_all():
    ordered = focus.candidates(LIGHTHOUSE, datetime(2027, 3, 20, 17, 49, tzinfo=UTC), CAMERA, AIR)
    assert ordered[0].body.name == "Moon"
    assert not ordered[0].too_close
    assert ordered[0].behind
    assert not ordered[0].overhead
    assert all(one.altitude_deg > focus.LOWEST_DEG for one in ordered)


def test_turns_are_bearings_from_the_suns_and_what_shows_is_told():
    when = datetime(2027, 3, 20, 17, 49, tzinfo=UTC)
    sun = sky.sun(LIGHTHOUSE, when)
    found = _by_name(when)
    for one in found.values():
        turned = (sun.azimuth_deg + one.turn_deg - one.body.azimuth_deg) % 360
        assert min(turned, 360 - turned) < 1e-9
        assert -180 <= one.turn_deg <= 180
        assert one.shows == (one.eye_margin > 1 or one.camera_margin > 1)
    assert found["Moon"].shows
    assert found["Moon"].behind
    assert not found["Saturn"].behind  # 10 deg beside the Sun
    assert found["Capella"].overhead  # 83 deg up


def test_a_body_beside_the_sun_is_warned_of():
    # Venus in superior conjunction, January 2026: a degree from the Sun.
    noon = datetime(2026, 1, 6, 13, 0, tzinfo=UTC)
    ordered = focus.candidates(LIGHTHOUSE, noon, CAMERA, AIR)
    venus = next(one for one in ordered if one.body.name == "Venus")
    assert venus.body.sun_angle_deg < 2
    assert venus.too_close
    assert ordered[0] is not venus


def test_nothing_is_up_where_nothing_is():
    high = _by_name(datetime(2027, 3, 20, 17, 49, tzinfo=UTC))
    assert "Venus" not in high  # 23 deg below the horizon


def test_sharp_beyond_is_the_hyperfocal_distance():
    # H = f^2 / (N c): 400 mm, f/5.6, 4 um: 7.1 km.
    assert_allclose(focus.sharp_beyond_m(CAMERA), 0.4**2 / 5.6 / 4e-6, rtol=1e-9)
    assert_allclose(focus.sharp_beyond_m(CAMERA, 2.0), 0.4**2 / 5.6 / 8e-6, rtol=1e-9)
    with pytest.raises(OutOfRangeError, match="blur_px is 0"):
        focus.sharp_beyond_m(CAMERA, 0)


def test_in_the_middle_of_the_polar_night_the_sky_is_as_dark_as_it_is_known():
    camp = sky.Place("the ice camp", 89.0, 0.0, 2.0)
    found = _by_name(datetime(2027, 12, 21, 12, tzinfo=UTC), camp)
    assert found["Vega"].eye_margin > 1
    assert found["Polaris"].overhead


@pytest.mark.parametrize("camera", [None, 400.0, "a camera"])
def test_what_is_no_camera_is_refused(camera):
    for asked in (
        lambda: focus.sharp_beyond_m(camera),
        lambda: focus.candidates(LIGHTHOUSE, datetime(2027, 3, 20, 18, tzinfo=UTC), camera, AIR),
        lambda: Kit(camera),
        lambda: Framing(camera, 270.0, 0.0),
        lambda: framing_of_horizon(camera, 270.0, 0.0),
    ):
        with pytest.raises(InputError, match=r"camera is .*; give a Camera"):
            asked()


def test_what_carries_no_camera_is_refused():
    with pytest.raises(InputError, match=r"support is .*; give one of tripod, mount"):
        Kit(CAMERA, support=["tripod"])
