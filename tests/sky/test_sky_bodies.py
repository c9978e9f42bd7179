"""Moon, planets and stars from a place, against astropy, Meeus and handbook magnitudes."""

from datetime import UTC, datetime

import numpy as np
import pytest
from astropy import units
from astropy.coordinates import AltAz, EarthLocation, SkyCoord, get_body, get_sun
from astropy.time import Time
from astropy.utils import iers
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import InputError, OutOfRangeError

iers.conf.auto_download = False
iers.conf.auto_max_age = None

PLACE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
STAND = EarthLocation(lat=52.1 * units.deg, lon=-10.4 * units.deg, height=95 * units.m)
INSTANTS = (datetime(2027, 3, 20, 17, 49, tzinfo=UTC), datetime(2025, 8, 9, 4, tzinfo=UTC))
# Hipparcos (van Leeuwen 2007): ICRS J2000 [deg], motion [mas/yr].
STARS = {
    "Sirius": (101.287155, -16.716116, -546.01, -1223.07),
    "Vega": (279.234735, 38.783689, 200.94, 286.23),
    "Arcturus": (213.915300, 19.182409, -1093.39, -2000.06),
    "Rigel": (78.634467, -8.201638, 1.31, 0.50),
    "Betelgeuse": (88.792939, 7.407064, 27.54, 11.30),
    "Polaris": (37.954561, 89.264109, 44.48, -11.85),
    "Canopus": (95.987994, -52.695720, 19.93, 23.24),
    "Procyon": (114.825494, 5.224993, -714.59, -1036.80),
    "Altair": (297.695827, 8.868321, 536.23, 385.29),
}
pytestmark = [
    pytest.mark.filterwarnings("ignore::astropy.utils.exceptions.AstropyWarning"),
    pytest.mark.filterwarnings("ignore::erfa.core.ErfaWarning"),  # of stars without a parallax
]


def _found(when):
    return {body.name: body for body in sky.bodies(PLACE, when)}


def _apart_deg(body, altaz):
    seen = SkyCoord(
        az=body.azimuth_deg * units.deg, alt=body.true_altitude_deg * units.deg, frame=altaz.frame
    )
    return seen.separation(altaz).deg


@pytest.mark.parametrize("when", INSTANTS)
@pytest.mark.parametrize("name", ["Moon", "Mercury", "Venus", "Mars", "Jupiter", "Saturn"])
def test_moon_and_planets_stand_where_astropy_sees_them(when, name):
    time = Time(when.replace(tzinfo=None), scale="utc")
    theirs = get_body(name.lower(), time, STAND).transform_to(AltAz(obstime=time, location=STAND))
    # astropy's built-in theories: an arc minute for the outer planets.
    assert _apart_deg(_found(when)[name], theirs) < 0.02


@pytest.mark.parametrize("when", INSTANTS)
@pytest.mark.parametrize("name", STARS)
def test_stars_stand_where_astropy_sees_them(when, name):
    ascension, declination, east, north = STARS[name]
    time = Time(when.replace(tzinfo=None), scale="utc")
    star = SkyCoord(
        ra=ascension * units.deg,
        dec=declination * units.deg,
        pm_ra_cosdec=east * units.mas / units.yr,
        pm_dec=north * units.mas / units.yr,
        obstime=Time(2000.0, format="jyear"),
        distance=1 * units.kpc,
    ).apply_space_motion(new_obstime=time)
    theirs = star.transform_to(AltAz(obstime=time, location=STAND))
    # The turning of the Earth is predicted otherwise there: 0.3 s, 0.0012 deg, in 2027.
    assert _apart_deg(_found(when)[name], theirs) < 0.002


@pytest.mark.parametrize("when", INSTANTS)
def test_angle_from_the_sun(when):
    time = Time(when.replace(tzinfo=None), scale="utc")
    frame = AltAz(obstime=time, location=STAND)
    sun = get_sun(time).transform_to(frame)
    for name in ("Moon", "Venus", "Jupiter"):
        theirs = get_body(name.lower(), time, STAND).transform_to(frame)
        ours = _found(when)[name].sun_angle_deg
        assert_allclose(ours, theirs.separation(sun).deg, rtol=0, atol=0.02)


def test_phase_of_the_moon_is_meeus_example():
    # Meeus, Astronomical Algorithms, example 48.a (from memory): 1992 April 12.0 TD, 0.6786 lit
    # from the Earth's centre; a place on its surface turns the phase by a degree at most.
    moon = _found(datetime(1992, 4, 11, 23, 59, tzinfo=UTC))["Moon"]
    assert_allclose(moon.lit_share, 0.6786, rtol=0, atol=0.015)


def test_magnitudes_are_those_of_the_handbooks():
    # Allen, Astrophysical Quantities (from memory): full Moon -12.7, quarters near -10.
    full = _found(datetime(2027, 3, 22, 10, 44, tzinfo=UTC))["Moon"]
    assert full.lit_share > 0.995
    assert_allclose(full.magnitude, -12.7, rtol=0, atol=0.1)
    venus = _found(datetime(2025, 2, 14, 18, tzinfo=UTC))["Venus"]
    assert_allclose(venus.magnitude, -4.9, rtol=0, atol=0.1)  # greatest brilliancy, from memory
    jupiter = _found(datetime(2023, 11, 3, tzinfo=UTC))["Jupiter"]
    assert_allclose(jupiter.magnitude, -2.9, rtol=0, atol=0.1)  # opposition, from memory
    equator = 71492 / 69911  # over the mean radius; IAU
    assert_allclose(jupiter.diameter_arcmin * 60 * equator, 49.5, rtol=0.01)  # from memory


def test_thirty_stars_none_twice_and_all_from_high_to_low():
    found = sky.bodies(PLACE, INSTANTS[0])
    stars = [body for body in found if body.kind == sky.STAR]
    assert len(stars) >= 30
    assert len({(s.true_altitude_deg, s.azimuth_deg) for s in stars}) == len(stars)
    assert len({body.name for body in found}) == len(found)
    heights = [body.true_altitude_deg for body in found]
    assert heights == sorted(heights, reverse=True)


def test_polaris_stands_at_the_pole():
    polaris = _found(INSTANTS[0])["Polaris"]
    assert_allclose(polaris.true_altitude_deg, 52.1, rtol=0, atol=0.7)
    at_pole = {b.name: b for b in sky.bodies(sky.Place("pole", 90.0, 0.0), INSTANTS[0])}
    assert at_pole["Polaris"].true_altitude_deg > 89.3
    assert np.isnan(at_pole["Polaris"].azimuth_deg)


def test_what_has_no_phase_is_refused():
    sun = sky.sun(PLACE, INSTANTS[0])
    with pytest.raises(InputError, match="moon is 5; give a Sighting"):
        sky.moon_phase(5, sun)
    for measure in (sky.lit_share, sky.moon_magnitude):
        with pytest.raises(OutOfRangeError, match="phase_deg is 181 deg; allowed is 0 to 180 deg"):
            measure(181.0)
