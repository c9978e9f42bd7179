"""Long sunsets held to published instants, two other solar positions, laws and limits."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pandas as pd
import pvlib
import pytest
from astropy import units
from astropy.coordinates import AltAz, EarthLocation, get_body
from astropy.time import Time
from astropy.utils import iers
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from lowsun.errors import InputError, OutOfRangeError
from lowsun.phenomena.polar_sunset import (
    Ridges,
    contacts,
    contacts_at,
    descent,
    dusks,
    green_rim,
    nearest_passage,
    polar_air,
    put_off,
    rim_horizons_deg,
    track,
    vertical_speed,
)
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import Place, sun, sunset

MARCH, JUNE, SEPTEMBER, DECEMBER = (
    date(2027, 3, 20),
    date(2027, 6, 21),
    date(2027, 9, 23),
    date(2027, 12, 22),
)
NORTH, SOUTH = Place("the North Pole", 90, 0), Place("the South Pole", -90, 0)
CAMP = Place("ice camp", 89.0, 0.0)  # invented
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
iers.conf.auto_download = False


def at(*clock):
    return datetime(*clock, tzinfo=UTC)


# --- the speed of sinking -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude_deg", "day", "law_arcsec_per_s"),
    [(0, MARCH, 15.0), (40, MARCH, 11.5), (40, JUNE, 9.8), (40, DECEMBER, 9.8), (60, MARCH, 7.5)],
)
def test_speed_law(latitude_deg, day, law_arcsec_per_s):
    # 15.04"/s sqrt(cos^2 lat - sin^2 dec) at true altitude 0; 1 %, the law's rate is that of the
    # stars and its values are rounded.
    place = Place("x", latitude_deg, 0)
    noon = datetime.combine(day, datetime.min.time(), tzinfo=UTC) + 12 * HOUR
    level = nearest_passage(place, noon, 0.0, later=True)
    speed = vertical_speed(place, level)
    assert_allclose(-speed.total_arcsec_per_s, law_arcsec_per_s, rtol=0.01)
    assert speed.total_arcsec_per_s == sun(place, level).vertical_speed_arcsec_per_s


@pytest.mark.parametrize("latitude_deg", [-90, -89.5, -78, -40, 0, 38, 66.56, 85, 89, 89.99, 90])
def test_the_two_motions_add_up_to_the_ephemeris(latitude_deg):
    # The shares are formed from the geocentric hour angle and declination; the total is the
    # topocentric rate. Between them lies the parallax: 8.8" turning once a day is 0.0006"/s.
    place = Place("x", latitude_deg, 25)
    when = np.array([at(2027, 1, 1) + n * 7.3 * DAY for n in range(50)])
    speed = vertical_speed(place, when)
    shares = speed.turning_arcsec_per_s + speed.declination_arcsec_per_s
    high = sun(place, when).true_altitude_deg > 80
    assert_allclose(shares[~high], speed.total_arcsec_per_s[~high], rtol=0, atol=0.003)


@pytest.mark.parametrize("place", [NORTH, SOUTH])
def test_at_a_pole_declination_alone_moves_the_sun(place):
    speed = vertical_speed(place, np.array([at(2027, 9, 24, h) for h in range(24)]))
    assert np.all(speed.turning_arcsec_per_s == 0)
    assert_allclose(np.abs(speed.total_arcsec_per_s), 0.973 / 60, rtol=0.02)


@pytest.mark.parametrize(
    ("equinox", "arcmin_per_hour"), [(at(2024, 3, 20, 3), 0.988), (at(2024, 9, 22, 12), -0.973)]
)
def test_declination_rate_at_the_equinoxes(equinox, arcmin_per_hour):
    # Computed from the elements of the Earth's orbit; 2 %.
    speed = vertical_speed(NORTH, equinox)
    assert_allclose(speed.declination_arcsec_per_s * 60, arcmin_per_hour, rtol=0.02)


# --- how long the disc takes --------------------------------------------------------------------


@pytest.mark.parametrize(("latitude_deg", "seconds"), [(0, 128), (40, 167), (60, 256)])
def test_disc_times_at_the_equinox(latitude_deg, seconds):
    # A 32' disc at 15.0, 11.5 and 7.5"/s; 2 %: the disc of March is 32.1', the centre is half a
    # degree under the level at which those speeds hold.
    passage = contacts(latitude_deg, MARCH)
    assert_allclose(passage.length_s, seconds, rtol=0.02)


@pytest.mark.parametrize(("pole", "day"), [(90, date(2027, 9, 24)), (-90, date(2027, 3, 21))])
def test_disc_takes_32_to_33_hours_at_a_pole(pole, day):
    # 32.1' at 0.988 and 0.973'/h: 32.5 h, 2 %.
    passage = contacts(pole, day)
    assert_allclose(passage.length_s / 3600, 32.5, rtol=0.02)
    assert passage.kind == "sets"
    assert passage.sunset.centre_azimuth_deg is not None
    assert np.isnan(passage.sunset.centre_azimuth_deg)  # no direction is west there


@pytest.mark.parametrize(
    ("day", "published"),
    [(date(2024, 3, 22), at(2024, 3, 22, 6, 15)), (date(2025, 3, 22), at(2025, 3, 22, 11))],
)
def test_published_sunsets_at_the_south_pole(day, published):
    # Published for the station in the almanacs' convention, centre at -50' without dip or traced
    # air; 1 h, since the station is not exactly at the pole.
    passage = contacts(-90, day)
    assert abs(passage.almanac - published) < HOUR


def test_a_sunset_of_33_hours_is_the_same_on_each_date_it_touches():
    days = [date(2024, 3, 20), date(2024, 3, 21), date(2024, 3, 22)]
    found = [contacts(-90, day) for day in days]
    assert len({(one.first_contact, one.centre, one.last_sliver) for one in found}) == 1
    assert contacts(-90, date(2024, 3, 19)).centre is None
    assert contacts(-90, date(2024, 3, 23)).centre is None


def test_air_without_a_polar_special_case_agrees_with_the_sky():
    # At a latitude where nothing is unusual, contacts is the sky's sunset.
    place = Place("x", 38, -9, 95.0)
    assert contacts_at(place, JUNE).sunset == sunset(place, JUNE)
    by_latitude = contacts(38, JUNE, longitude_deg=-9, eye_height_m=95.0)
    assert by_latitude.last_sliver == sunset(place, JUNE).last_sliver


# --- against two other solar positions ----------------------------------------------------------


def pvlib_altitude_deg(place, when):
    """SPA (Reda & Andreas 2004), good to 1 arcsec; topocentric, without refraction."""
    found = pvlib.solarposition.spa_python(
        pd.DatetimeIndex([when]), place.latitude_deg, place.longitude_deg, altitude=2, delta_t=None
    )
    return float(found["elevation"].iloc[0])


def astropy_altitude_deg(place, when):
    """ERFA's built-in ephemeris, offline, pressure 0."""
    ground = EarthLocation(
        lat=place.latitude_deg * units.deg, lon=place.longitude_deg * units.deg, height=2 * units.m
    )
    frame = AltAz(obstime=Time(when), location=ground, pressure=0 * units.hPa)
    return float(get_body("sun", Time(when), ground).transform_to(frame).alt.deg)


OTHERS = pytest.mark.parametrize("altitude_deg", [pvlib_altitude_deg, astropy_altitude_deg])


@OTHERS
@pytest.mark.parametrize("latitude_deg", [-80, -66, -40, 0, 25, 52, 66, 75, 80])
def test_rise_and_set_against_other_solar_positions(altitude_deg, latitude_deg):
    # At our instants of -50' the others' Sun stands there to 2 arcsec: 1 each, and the poles'
    # wandering. At 80 deg 2 arcsec are 0.8 s.
    passage = contacts(latitude_deg, date(2024, 3, 18))
    for when in (passage.almanac, passage.sunrise.almanac):
        assert_allclose(altitude_deg(passage.place, when), -50 / 60, rtol=0, atol=2 / 3600)


@OTHERS
@pytest.mark.parametrize("latitude_deg", [-70, 0, 40, 80])
def test_dusks_against_other_solar_positions(altitude_deg, latitude_deg):
    passage = contacts(latitude_deg, date(2024, 3, 18))
    found = dusks(passage)
    assert passage.middle < found.civil < found.nautical < found.astronomical
    for when, level in ((found.civil, -6), (found.nautical, -12), (found.astronomical, -18)):
        assert_allclose(altitude_deg(passage.place, when), level, rtol=0, atol=2 / 3600)


def test_dusks_of_the_pole_take_weeks():
    # Declination -6, -12 and -18: 6, 23 October and 13 November in any year of this century, to
    # two days (declination tables of nautical almanacs, from memory).
    found = dusks(contacts(90, date(2027, 9, 24)))
    days = [(one.month, one.day) for one in (found.civil, found.nautical, found.astronomical)]
    assert days == [(10, 8), (10, 25), (11, 13)]


@OTHERS
def test_lowest_and_highest_of_a_polar_date(altitude_deg):
    passage = contacts(78, date(2024, 5, 10))
    for stand in (passage.day.lowest, passage.day.highest):
        when, level = stand.when, stand.true_altitude_deg
        assert_allclose(altitude_deg(passage.place, when), level, rtol=0, atol=2 / 3600)
        before, after = (altitude_deg(passage.place, when + s * 2 * HOUR) - level for s in (-1, 1))
        assert before * after > 0  # a turning point, not an edge of the date


# --- what the Sun does on a date ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude_deg", "day", "kind"),
    [
        (38, JUNE, "sets"),
        (66.56, JUNE, "polar day"),
        (66.56, DECEMBER, "sets"),
        (-66.56, DECEMBER, "polar day"),
        (-66.56, JUNE, "sets"),
        (78, JUNE, "polar day"),
        (78, DECEMBER, "polar night"),
        (-78, JUNE, "polar night"),
        (-78, DECEMBER, "polar day"),
        (66.0, JUNE, "dips"),
        (67.2, DECEMBER, "shows"),
        (89, date(2027, 3, 21), "rises and does not set"),
        (90, JUNE, "polar day"),
        (90, DECEMBER, "polar night"),
        (-90, JUNE, "polar night"),
        (-90, DECEMBER, "polar day"),
    ],
)
def test_kinds_of_dates(latitude_deg, day, kind):
    # Midnight Sun by the centre from 90 - 23.44 - 0.60 = 65.96 deg on, by the whole disc from
    # 66.22; no centre at midwinter from 67.16 on, no sliver from 67.43. At 89 deg the Sun stays up
    # from a declination of 0.40 on, a day after the equinox of 20 March, 20:25 UTC.
    assert contacts(latitude_deg, day).kind == kind


@pytest.mark.parametrize(("north", "south"), [(JUNE, DECEMBER), (DECEMBER, JUNE)])
@pytest.mark.parametrize("latitude_deg", [38, 66.56, 78, 89, 90])
def test_hemispheres_mirror_each_other(latitude_deg, north, south):
    one, other = contacts(latitude_deg, north), contacts(-latitude_deg, south)
    assert one.kind == other.kind
    # The solstices' declinations differ by an arcminute with the hour.
    assert_allclose(
        one.day.highest.true_altitude_deg,
        other.day.highest.true_altitude_deg,
        rtol=0,
        atol=0.02,
    )


@pytest.mark.parametrize(
    ("latitude_deg", "day", "last", "following"),
    [
        (90, JUNE, date(2026, 9, 24), date(2027, 9, 24)),
        (-90, JUNE, date(2027, 3, 22), date(2028, 3, 21)),
        (78, DECEMBER, date(2027, 10, 26), date(2028, 2, 16)),
    ],
)
def test_a_date_without_a_sunset_names_the_last_and_the_next(latitude_deg, day, last, following):
    # At 78 deg the noon Sun is at 12 deg + declination: -0.60 for a declination of -12.6.
    passage = contacts(latitude_deg, day)
    assert passage.first_contact is passage.centre is passage.last_sliver is None
    assert passage.length_s is None
    assert (passage.sunset_before.date(), passage.sunset_after.date()) == (last, following)
    for edge in (passage.sunset_before, passage.sunset_after):
        assert f"{edge + timedelta(milliseconds=500):%Y-%m-%d %H:%M:%S}" in passage.reason
        again = contacts(latitude_deg, edge.date()).centre
        assert abs(again - edge) < timedelta(milliseconds=1)


def test_times_of_a_place_are_its_own_and_utc_at_a_pole():
    assert contacts(90, SEPTEMBER).place.timezone.key == "UTC"
    west = contacts(38, JUNE, longitude_deg=-150)
    assert west.place.timezone.key == "Etc/GMT+10"
    assert west.centre.astimezone(west.place.timezone).date() == JUNE
    assert west.centre.date() == JUNE + DAY  # in UTC it is the next morning


def test_a_date_that_the_clocks_skipped():
    # Samoa went over the date line: 30 December 2011 does not exist there (tzdata).
    passage = contacts(-13.8, date(2011, 12, 30), longitude_deg=-171.8)
    assert passage.centre is None
    assert "does not exist" in passage.reason


@settings(max_examples=60, deadline=None)
@given(
    latitude_deg=st.floats(-90, 90),
    day=st.dates(date(1901, 1, 1), date(2052, 1, 1)),
)
@example(latitude_deg=89.99, day=date(2027, 9, 24))
@example(latitude_deg=-89.75, day=date(2024, 3, 19))
@example(latitude_deg=67.16, day=date(2027, 12, 21))
@example(latitude_deg=65.96, day=date(2027, 6, 21))
def test_any_latitude_and_date_has_an_answer(latitude_deg, day):
    passage = contacts(latitude_deg, day)
    known = [t for t in (passage.first_contact, passage.centre, passage.last_sliver) if t]
    assert known == sorted(known)
    assert (passage.kind == "sets") == (passage.centre is not None)
    assert passage.reason or len(known) == 3
    assert passage.day.lowest.true_altitude_deg <= passage.day.highest.true_altitude_deg
    if passage.kind in ("polar day", "polar night"):
        assert not known
    shares = track(
        passage.place, passage.middle - HOUR, passage.middle + HOUR, count=3
    ).shown  # the disc agrees with the word
    wanted = {"polar day": (1, 1), "polar night": (0, 0), "sets": (0.2, 0.8)}
    low, high = wanted.get(passage.kind, (0, 1))
    assert low <= shares[1] <= high


# --- the track ----------------------------------------------------------------------------------


def test_disc_on_the_horizon_is_flattened():
    # Lower limb on a sea horizon at 0 deg, 10 degC, 1010 hPa: height / width 0.842, by palpy 1.8.4
    # `refro` (Hohenkerk & Sinclair 1985); 0.003: the disc is 32.1' here, and 570 nm, not 574.
    air = Atmosphere.standard(temperature_k=283.15, pressure_pa=101000)
    passage = contacts(40, MARCH, air, eye_height_m=0.0)
    path = track(
        passage.place, passage.first_contact, passage.first_contact + timedelta(seconds=1), air, 2
    )
    height = np.ptp(path.limb_altitude_deg[0])
    width = np.ptp(path.limb_bearing_deg[0])
    assert_allclose(height / width, 0.842, rtol=0, atol=0.003)


@pytest.mark.parametrize(
    ("latitude_deg", "day"), [(0, MARCH), (66, DECEMBER), (90, SEPTEMBER + DAY)]
)
def test_track_agrees_with_the_contacts(latitude_deg, day):
    passage = contacts(latitude_deg, day)
    path = track(passage.place, passage.first_contact, passage.last_sliver, count=3)
    assert_allclose(path.shown[[0, 2]], [1, 0], rtol=0, atol=1e-4)
    just_before = passage.centre - timedelta(milliseconds=10)  # at the instant itself it is gone
    centre = track(passage.place, just_before, passage.last_sliver, count=2)
    assert_allclose(centre.shown[0], 0.5, rtol=0, atol=1e-4)
    assert_allclose(centre.apparent_altitude_deg[0], path.horizon_deg, rtol=0, atol=1e-4)


def test_cut_disc_is_flat_on_the_horizon_and_gone_when_it_is_gone():
    passage = contacts(38, JUNE)
    path = track(passage.place, passage.centre, passage.last_sliver + timedelta(minutes=4), count=2)
    lowest = np.nanmin(path.limb_altitude_deg[0])
    assert_allclose(lowest, path.horizon_deg, rtol=0, atol=1e-4)
    assert_allclose(
        np.ptp(path.limb_bearing_deg[0]), 2 * path.semidiameter_deg[0], rtol=1e-3
    )  # half up: the whole width
    assert np.isnan(path.limb_altitude_deg[1]).all()
    assert np.isnan(path.apparent_altitude_deg[1])
    assert path.shown[1] == 0


def test_high_sun_is_refracted_as_a_formula_says():
    # Saemundsson 1986, R = 1.02' cot(h + 10.3 / (h + 5.11)) for 10 degC, 1010 hPa, true altitude;
    # 0.1' above 5 deg.
    air = Atmosphere.standard(temperature_k=283.15, pressure_pa=101000)
    path = track(Place("x", 30, 0, 0.0), at(2027, 6, 21, 8), at(2027, 6, 21, 11), air, 20)
    true = path.true_altitude_deg
    formula = 1.02 / np.tan(np.radians(true + 10.3 / (true + 5.11)))
    assert_allclose(60 * (path.apparent_altitude_deg - true), formula, rtol=0, atol=0.1)


def test_bearing_at_a_pole_is_a_longitude_that_turns_with_the_clock():
    path = track(SOUTH, at(2027, 3, 21), at(2027, 3, 22), count=25)
    assert path.bearing_is == "longitude"
    turn = np.diff(np.unwrap(path.bearing_deg, period=360))
    assert_allclose(turn, -15.0, rtol=0, atol=0.01)  # westwards, an hour a step
    assert track(CAMP, at(2027, 3, 21), at(2027, 3, 22), count=2).bearing_is == "azimuth"


def test_a_place_near_the_pole_sees_what_the_pole_sees():
    # A metre from the pole (1e-5 deg) the altitudes are the same to 1e-5 deg, twice.
    start, end = at(2027, 9, 23), at(2027, 9, 26)
    near, pole = (track(Place("x", lat, 0), start, end) for lat in (89.99999, 90))
    assert_allclose(near.true_altitude_deg, pole.true_altitude_deg, rtol=0, atol=2e-5)
    assert_allclose(near.shown, pole.shown, rtol=0, atol=1e-4)


@pytest.mark.parametrize("span", [timedelta(minutes=2), HOUR, DAY, 7 * DAY, 366 * DAY])
def test_spans_from_two_minutes_to_a_year(span):
    path = track(CAMP, at(2027, 9, 20), at(2027, 9, 20) + span)
    assert path.when.shape == path.shown.shape == (288,)
    assert path.when[0] == at(2027, 9, 20)
    assert path.limb_altitude_deg.shape == path.limb_bearing_deg.shape


# --- the green rim ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("latitude_deg", "day"),
    [(0, MARCH), (40, MARCH), (60, JUNE), (78, date(2027, 10, 10)), (90, date(2027, 9, 24))],
)
def test_rim_time_is_its_width_over_the_speed(latitude_deg, day):
    # Width 520/630 nm on the horizon, 15 degC 1013.25 hPa: 14.8" by palpy `refro`; 3 %: 2 for the
    # dispersion formula, 1 for an eye at 2 m whose horizon is 2.4' lower.
    passage = contacts(latitude_deg, day)
    rim = green_rim(passage.place, passage.middle - HOUR, passage.middle + 30 * HOUR)
    begins, ends = rim.stretches[0]
    assert abs(ends - passage.last_sliver) < (ends - begins)  # 570 nm goes while green is left
    speed = -vertical_speed(passage.place, begins).total_arcsec_per_s
    assert_allclose(rim.lasting_s[0] * speed, 14.8, rtol=0.03)


def test_a_second_or_two_at_middle_latitudes_minutes_at_the_pole():
    # Young, Kattawar & Parviainen 1997, Applied Optics 36, 2689: a second or two; the minutes of
    # the poles are common practice, no source.
    seconds = [
        green_rim(p.place, p.centre, p.centre + 30 * HOUR).longest_s
        for p in (contacts(lat, SEPTEMBER + DAY) for lat in (0, 38, 50, 90))
    ]
    assert 0.9 < seconds[0] < seconds[1] < seconds[2] < 2.5
    assert 600 < seconds[3] < 1800


def test_rim_of_a_skimming_sun_turns_back():
    # 78.6 deg S on an October night: the limb sinks into the band and climbs out again in the one
    # air that lifts it just so; found by asking for the air, then both edges are entered from red.
    place = Place("ice shelf", -78.6, -163.8, 5.0)
    night = (at(1929, 10, 20, 8), at(1929, 10, 20, 14))
    rim = green_rim(place, *night, polar_air(232.0))
    path = track(place, *night, polar_air(232.0), count=2001)
    green, red = rim_horizons_deg(polar_air(232.0), 5.0)
    limb = path.true_altitude_deg + path.semidiameter_deg
    expected_s = np.mean((limb > green) & (limb < red)) * 6 * 3600
    assert_allclose(rim.total_s, expected_s, rtol=0, atol=22)  # two samples
    assert len(rim.stretches) == 1
    assert limb.min() > green


def test_a_stretch_cut_by_the_span_keeps_its_part():
    whole = green_rim(NORTH, at(2027, 9, 24), at(2027, 9, 27))
    ((begins, ends),) = whole.stretches
    middle = begins + (ends - begins) / 2
    early, late = green_rim(NORTH, at(2027, 9, 24), middle), green_rim(NORTH, middle, ends + HOUR)
    assert_allclose(early.total_s + late.total_s, whole.total_s, rtol=0, atol=1e-3)
    assert_allclose(early.total_s, late.total_s, rtol=0, atol=1e-3)
    inside = green_rim(NORTH, middle - timedelta(minutes=1), middle + timedelta(minutes=1))
    assert_allclose(inside.total_s, 120, rtol=0, atol=1e-3)


def test_no_rim_where_the_limb_is_not_on_the_horizon():
    rim = green_rim(NORTH, at(2027, 6, 1), at(2027, 6, 2))
    assert rim.stretches == ()
    assert rim.longest_s == rim.total_s == rim.on_and_off_s == 0
    assert "does not pass the horizon" in rim.reason


def test_a_duct_has_no_rim_and_says_so():
    rim = green_rim(NORTH, at(2027, 9, 24), at(2027, 10, 24), polar_air(243.15, 30.0))
    assert rim.stretches == ()
    assert "a duct" in rim.reason
    with pytest.raises(OutOfRangeError, match=r"a duct, out of which.*Weaken the inversion"):
        rim_horizons_deg(polar_air(243.15, 30.0))


# --- ridges -------------------------------------------------------------------------------------

EVENING = (at(2027, 9, 24), at(2027, 9, 27))


def test_ridges_of_no_height_are_a_level_horizon():
    level = green_rim(NORTH, *EVENING)
    flat = green_rim(NORTH, *EVENING, ridges=Ridges.invented(0.0))
    # A fifth of the crossing at each end.
    assert_allclose(flat.total_s, level.total_s, rtol=0.4)
    assert_allclose(flat.total_s, flat.on_and_off_s, rtol=1e-9)


def test_a_wall_all_round_is_a_higher_horizon():
    # Over a wall of 10' the rim is as wide as refraction differs there, and passes earlier by the
    # true height of the wall over the speed of sinking.
    wall = Ridges(np.array([0.0, 180.0]), np.array([10.0, 10.0]))
    level, walled = green_rim(NORTH, *EVENING), green_rim(NORTH, *EVENING, ridges=wall)
    earlier_s = (level.stretches[0][0] - walled.stretches[0][0]).total_seconds()
    true_arcmin = 10 + 2.1  # refraction falls by 2.1' from -2.4' to 7.6' (Bennett 1982)
    speed = -vertical_speed(NORTH, level.stretches[0][0]).total_arcsec_per_s
    assert_allclose(earlier_s * speed / 60, true_arcmin, rtol=0, atol=0.2)
    assert len(walled.stretches) == 1
    assert walled.total_s < level.total_s


def test_over_ridges_the_last_sliver_goes_and_comes_back():
    level = green_rim(NORTH, *EVENING)
    ragged = green_rim(NORTH, *EVENING, ridges=Ridges.invented(3.0))
    assert len(ragged.stretches) > 3
    assert ragged.on_and_off_s > 2 * level.on_and_off_s
    assert ragged.longest_s < level.longest_s
    ends = [edge for stretch in ragged.stretches for edge in stretch]
    assert ends == sorted(ends)


def test_a_notch_shows_the_sun_that_a_wall_hides():
    # A wall of 30' with one gap down to the level: the limb shows in the gap alone, when the Sun's
    # bearing passes it, once a day.
    gap = Ridges(np.array([0.0, 99.0, 100.0, 101.0]), np.array([30.0, 30.0, 0.0, 30.0]))
    rim = green_rim(NORTH, at(2027, 9, 25), at(2027, 9, 26), ridges=gap)
    for begins, _ in rim.stretches:
        away = (sun(NORTH, begins).subpoint_longitude_deg - 100 + 180) % 360 - 180
        assert abs(away) < 1.5
    assert rim.stretches


def test_a_gap_is_passed_by_the_chord_of_the_disc():
    # Four fifths of the radius sunk, the Sun shows a chord of 2 r sqrt(1 - 0.8^2) = 1.2 r over the
    # level; a gap 4' wide is lit while that chord and its own width roll past at 15.04' a minute.
    # Green leads and green closes, so the first and the last green are so far apart. 5 %: the rim
    # itself is 0.8 % of the radius higher than the red limb, and the walls slope.
    passage = contacts(90, date(2027, 9, 24))
    path = track(NORTH, passage.centre, passage.last_sliver, count=4001)
    sunk = (passage.horizon_true_altitude_deg - path.true_altitude_deg) / path.semidiameter_deg
    at = np.argmin(np.abs(sunk - 0.8))
    middle, half = path.bearing_deg[at], 2 / 60
    edges = middle + np.array([-1.0, -half - 1 / 60, -half, half, half + 1 / 60, 1.0])
    gap = Ridges(edges % 360, np.array([30.0, 30.0, 0.0, 0.0, 30.0, 30.0]))
    span = path.when[at] - timedelta(minutes=3), path.when[at] + timedelta(minutes=3)
    rim = green_rim(NORTH, *span, ridges=gap)
    chord_arcmin = 120 * path.semidiameter_deg[at] * np.sqrt(1 - 0.8**2)
    assert_allclose(rim.on_and_off_s, (chord_arcmin + 4) / 15.04 * 60, rtol=0.05)
    assert len(rim.stretches) >= 2


# --- cold air -----------------------------------------------------------------------------------


def test_polar_air_is_what_was_asked_for():
    air = polar_air(243.15, 15.0, depth_m=400.0)
    temperature, _, _ = air.at([0.0, 400.0])
    assert_allclose(temperature, [243.15, 258.15], rtol=0, atol=1e-6)
    plain = polar_air(288.15)
    standard = Atmosphere.standard()
    assert_allclose(plain.temperature_k, standard.temperature_k, rtol=1e-12)


def test_standard_air_puts_nothing_off():
    assert put_off(CAMP, 2027, Atmosphere.standard()).by == timedelta(0)


def test_cold_and_inversions_put_the_last_sunset_off():
    # Colder air is denser: refraction grows as 1/T and more, so 15 degC to -30 degC gives at least
    # 33' x 45/243 = 6', six hours of declination. Expeditions have seen the Sun days late.
    shifts = [put_off(NORTH, 2027, polar_air(243.15, k)).by for k in (0, 5, 10, 15, 20, 25)]
    assert shifts[0] > 6 * HOUR
    assert shifts == sorted(shifts)
    assert shifts[4] > DAY
    assert shifts[5] > 5 * DAY
    warm = put_off(NORTH, 2027, Atmosphere.standard(temperature_k=300.0)).by
    assert warm < timedelta(0)


@pytest.mark.parametrize(("place", "year"), [(NORTH, 2027), (SOUTH, 2024), (CAMP, 2027)])
def test_descent_ends_with_the_last_sliver_of_the_year(place, year):
    found = descent(place, year)
    after = track(
        place, found.last_sliver + timedelta(seconds=60), found.last_sliver + 20 * DAY, count=4001
    )
    assert np.all(after.shown == 0)
    before = track(
        place,
        found.first_contact - 20 * DAY,
        found.first_contact - timedelta(seconds=60),
        count=4001,
    )
    assert np.all(before.shown == 1)
    just = track(place, found.first_contact + HOUR, found.last_sliver - HOUR, count=400)
    assert just.shown.min() < 1
    assert just.shown.max() > 0


def test_descent_at_the_pole_is_its_one_sunset():
    found, passage = descent(SOUTH, 2024), contacts(-90, date(2024, 3, 21))
    assert abs(found.first_contact - passage.first_contact) < timedelta(milliseconds=1)
    assert abs(found.last_sliver - passage.last_sliver) < timedelta(milliseconds=1)


def test_descent_near_the_circle_comes_from_a_polar_day():
    # 70 deg: polar day to late July, polar night from late November (almanacs, from memory).
    found = descent(Place("x", 70, 0), 2027)
    assert (found.first_contact.month, found.last_sliver.month) == (7, 11)


# --- what is refused ----------------------------------------------------------------------------


@pytest.mark.parametrize("latitude_deg", [np.nan, 90.001, -91, np.inf])
def test_latitudes_there_are_not(latitude_deg):
    with pytest.raises(OutOfRangeError, match=r"latitude_deg is .*allowed is -90 to 90 deg"):
        contacts(latitude_deg, JUNE)


def test_dates_and_airs_of_the_wrong_kind():
    with pytest.raises(InputError, match=r"date is .*give a datetime\.date"):
        contacts(78, at(2027, 6, 21))
    with pytest.raises(OutOfRangeError, match=r"covers 1899 to 2053"):
        contacts(78, date(2100, 6, 21))
    with pytest.raises(InputError, match=r"atmosphere is 'cold'; give an Atmosphere"):
        contacts(78, JUNE, "cold")


def test_spans_there_are_not():
    with pytest.raises(OutOfRangeError, match=r"-1\.00 days apart.*Exchange"):
        track(NORTH, at(2027, 1, 2), at(2027, 1, 1))
    with pytest.raises(OutOfRangeError, match=r"367\.00 days apart.*at most 366 days"):
        track(NORTH, at(2027, 1, 1), at(2028, 1, 3))
    with pytest.raises(OutOfRangeError, match=r"count is 1; allowed is 2 to 20000"):
        track(NORTH, at(2027, 1, 1), at(2027, 1, 2), count=1)
    with pytest.raises(InputError, match=r"naive datetime"):
        track(NORTH, datetime(2027, 1, 1), at(2027, 1, 2))
    with pytest.raises(OutOfRangeError, match=r"61\.00 days apart.*at most 60 days"):
        green_rim(NORTH, at(2027, 1, 1), at(2027, 3, 3))


def test_no_last_sunset_where_the_sun_comes_up_all_winter():
    # The polar night begins at 90 - 23.44 + 0.27 + 0.60 = 67.43 deg in standard air.
    with pytest.raises(OutOfRangeError, match=r"latitude_deg is 38; .*as far as 67\.4. deg"):
        descent(Place("x", 38, 0), 2027)
    with pytest.raises(OutOfRangeError, match=r"year is 1800; allowed is 1900 to 2052"):
        put_off(CAMP, 1800, Atmosphere.standard())


def test_ridges_there_are_not():
    with pytest.raises(InputError, match=r"shaped \(2,\) and \(1,\); give one height"):
        Ridges([0.0, 1.0], [1.0])
    with pytest.raises(InputError, match=r"must rise from 0 to below 360"):
        Ridges([10.0, 10.0], [1.0, 2.0])
    with pytest.raises(OutOfRangeError, match=r"height_arcmin is -1 arcmin; allowed is 0 to 600"):
        Ridges([10.0], [-1.0])
    cliffs = Ridges(np.arange(0, 360, 0.01), 300.0 * (np.arange(36000) % 2))
    with pytest.raises(OutOfRangeError, match=r"steps; allowed are 400000.*Lower or flatten"):
        green_rim(CAMP, at(2027, 9, 20), at(2027, 9, 29), ridges=cliffs)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: polar_air(100.0), r"surface_temperature_k is 100 K; allowed is 193\.15 to 288"),
        (lambda: polar_air(250.0, 40.0), r"inversion_k is 40 K; allowed is 0 to 30"),
        (lambda: polar_air(250.0, 10.0, 5.0), r"depth_m is 5 m; allowed is 10 to 2000"),
    ],
)
def test_cold_air_there_is_not(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()
