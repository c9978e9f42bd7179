"""The evening plan, against pvlib, astropy and closed forms."""

from datetime import UTC, date, datetime, timedelta
from math import acos, cos, degrees, radians, sin, sqrt, tan

import numpy as np
import pandas as pd
import pvlib
import pytest
from astropy import units
from astropy.coordinates import AltAz, EarthLocation, get_sun
from astropy.time import Time
from astropy.utils import iers
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import InputError, LowsunError, OutOfRangeError
from lowsun.fieldwork import plan as planning
from lowsun.fieldwork import skyline
from lowsun.fieldwork.camera import Camera
from lowsun.fieldwork.plan import airs
from lowsun.fieldwork.plan import timeline as steps
from lowsun.phenomena.evening import evening
from lowsun.physics.atmosphere import Atmosphere

iers.conf.auto_download = False
iers.conf.auto_max_age = None  # the Earth's turning predicted a year ahead: 0.1 s, 0.0004 deg

CAMERA = Camera(400.0, 5.6, 4.0, (6000, 4000))
KIT = planning.Kit(CAMERA)
LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
SEA_LEVEL = sky.Place("the beach", 52.1, -10.4, 0.0)
EQUINOX = date(2027, 3, 20)


@pytest.fixture(scope="module")
def plan():
    return planning.plan(
        LIGHTHOUSE, EQUINOX, kit=KIT, spread=planning.spread(LIGHTHOUSE, EQUINOX, count=8)
    )


def _pvlib_setting(altitude_deg):
    """When pvlib's airless Sun sinks through an altitude at the lighthouse that evening."""
    when = pd.date_range("2027-03-20 17:00", "2027-03-20 22:00", freq="60s", tz="UTC")
    seen = pvlib.solarposition.spa_python(when, 52.1, -10.4, altitude=95.0)["elevation"]
    after = int(np.argmax(seen.to_numpy() < altitude_deg))
    high, low = seen.iloc[after - 1], seen.iloc[after]
    share = (high - altitude_deg) / (high - low)
    return (when[after - 1] + share * (when[after] - when[after - 1])).to_pydatetime()


@pytest.mark.parametrize("name", steps.DUSKS_DEG)
def test_dusks_fall_when_pvlib_says(plan, name):
    expected = _pvlib_setting(steps.DUSKS_DEG[name])
    # NREL's SPA is good to 0.0003 deg; ten seconds would show.
    assert abs(plan.timeline.step(name).when - expected) < timedelta(seconds=2)


@pytest.mark.filterwarnings("ignore::astropy.utils.exceptions.AstropyWarning")
@pytest.mark.parametrize("name", ["Sun 5 deg up", "first contact", "last sliver", "civil dusk"])
def test_the_sun_of_a_step_stands_where_astropy_sees_it(plan, name):
    step = plan.timeline.step(name)
    stand = EarthLocation(lat=52.1 * units.deg, lon=-10.4 * units.deg, height=95 * units.m)
    when = Time(step.when.replace(tzinfo=None), scale="utc")
    seen = get_sun(when).transform_to(AltAz(obstime=when, location=stand))
    assert_allclose(step.sun_true_altitude_deg, seen.alt.deg, rtol=0, atol=0.003)
    assert_allclose(step.azimuth_deg, seen.az.deg, rtol=0, atol=0.003)


@pytest.mark.parametrize(("name", "above_deg"), steps.UP_DEG.items())
def test_so_many_degrees_up_are_counted_from_the_horizon_as_seen(plan, name, above_deg):
    step = plan.timeline.step(name)
    assert_allclose(step.above_horizon_deg, above_deg, rtol=0, atol=2e-4)


def test_steps_are_named_by_their_own_numbers():
    assert [f"Sun {above:g} deg up" for above in steps.UP_DEG.values()] == list(steps.UP_DEG)
    assert list(steps.UP_DEG.values()) == [5.0, 2.0, 1.0, 0.5]
    # Ends of the twilights, by custom.
    assert list(steps.DUSKS_DEG.values()) == [-6.0, -12.0, -18.0]


def test_five_degrees_up_is_the_almanacs_refraction_lower():
    # Bennett 1982: 9.88' of refraction at 5 deg apparent (reference tables: 9.8 to 9.9').
    step = planning.plan(SEA_LEVEL, EQUINOX, kit=KIT).timeline.step("Sun 5 deg up")
    assert_allclose(60 * (5.0 - step.sun_true_altitude_deg), 9.8, rtol=0, atol=0.25)


@pytest.mark.parametrize(("day", "declination_deg"), [((6, 21), 23.44), ((12, 21), -23.44)])
def test_sunset_bearing_at_the_solstices(day, declination_deg):
    # cos A = (sin dec - sin lat sin h) / (cos lat cos h), h of the last sliver's centre.
    step = planning.plan(LIGHTHOUSE, date(2027, *day), kit=KIT).timeline.step("last sliver")
    lat, h = radians(52.1), radians(step.sun_true_altitude_deg)
    cosine = (sin(radians(declination_deg)) - sin(lat) * sin(h)) / (cos(lat) * cos(h))
    assert_allclose(step.azimuth_deg, 360 - degrees(acos(cosine)), rtol=0, atol=0.02)


def test_what_the_sun_never_comes_down_to_is_said_and_why():
    hills = skyline.Skyline(np.arange(200.0, 330.0), np.full(130, 2.2))
    missing = planning.plan(LIGHTHOUSE, EQUINOX, kit=KIT, skyline=hills).timeline.missing
    assert missing["Sun 1 deg up"] == "the Sun is behind the land before."
    assert "Sun 5 deg up" not in missing
    fell = sky.Place("the fell", 68.0, 20.0, 10.0)
    missing = planning.plan(fell, date(2027, 6, 21), kit=KIT).timeline.missing
    assert missing["Sun 0.5 deg up"] == "the Sun does not sink so low."
    camp = sky.Place("the ice camp", 89.0, 0.0, 2.0)
    missing = planning.plan(camp, date(2027, 9, 24), kit=KIT).timeline.missing
    assert missing["Sun 5 deg up"] == "the Sun does not stand so high in the hours before."


def test_drift_is_the_closed_form(plan):
    # Down: 15.04"/s sqrt(cos^2 lat - sin^2 dec); along: 15.04"/s sin lat, both on the horizon.
    along, down = plan.drift_deg_per_min
    dec = radians(float(plan.evening.sun(0).declination_deg))
    lat, turn = radians(52.1), 15.041 / 60
    assert_allclose(down, turn * sqrt(cos(lat) ** 2 - sin(dec) ** 2), rtol=0.005)
    assert_allclose(along, turn * sin(lat), rtol=0.005)


def test_steps_come_in_order_and_none_is_named_twice(plan):
    names = [step.name for step in plan.timeline.steps]
    whens = [step.when for step in plan.timeline.steps]
    assert whens == sorted(whens)
    assert len(set(names)) == len(names)
    assert not set(names) & set(plan.timeline.missing)
    assert names[0] == steps.SET_UP
    assert plan.timeline.after(whens[3]).when == whens[4]
    assert plan.timeline.after(whens[-1]) is None


def test_set_up_is_so_long_before_the_first_thing_to_see():
    early = planning.plan(LIGHTHOUSE, EQUINOX, kit=KIT, setup_minutes=45).timeline
    gap = early.step("Sun 5 deg up").when - early.step(steps.SET_UP).when
    assert gap == timedelta(minutes=45)


def test_the_image_heats_ever_less(plan):
    up = [plan.timeline.step(name).heat_share for name in (*steps.UP_DEG, "first contact")]
    assert np.all(np.diff(up) < 0)
    assert 0 < up[-1] < up[0] < 1
    assert np.isnan(plan.timeline.step("civil dusk").heat_share)


def test_the_disc_fits_sooner_with_a_filter_and_is_told_when_never():
    dark = Camera(400.0, 5.6, 4.0, (6000, 4000), filter_density=1.2)
    bare, filtered = (
        planning.plan(LIGHTHOUSE, EQUINOX, kit=planning.Kit(camera)).timeline.step(steps.FITS)
        for camera in (CAMERA, dark)
    )
    assert filtered.when < bare.when
    slow = Camera(400.0, 5.6, 4.0, (6000, 4000), fastest_shutter_s=1 / 15)
    never = planning.plan(LIGHTHOUSE, EQUINOX, kit=planning.Kit(slow)).timeline
    assert "ND" in never.missing[steps.FITS]
    welder = Camera(400.0, 5.6, 4.0, (6000, 4000), filter_density=5.0)
    always = planning.plan(LIGHTHOUSE, EQUINOX, kit=planning.Kit(welder)).timeline
    assert always.missing[steps.FITS] == "it does already at 20°."


# --- the frame --------------------------------------------------------------------------------


def test_pixels_are_those_of_the_tangent():
    framing = planning.Framing(CAMERA, 270.0, 0.0)
    column, row = framing.pixel([270.0, 271.0, 269.0], [0.0, 0.0, 1.0])
    side = 400.0 / 0.004 * tan(radians(1.0))
    assert_allclose(column, [3000, 3000 + side, 3000 - side], rtol=1e-12)
    assert_allclose(row[:2], 2000)
    assert_allclose(row[2], 2000 - side / cos(radians(1.0)), rtol=1e-12)
    assert np.isnan(framing.pixel(90.0, 0.0)[0])


def test_a_tilted_camera_sees_its_own_axis_in_the_middle_and_the_zenith_up():
    framing = planning.Framing(CAMERA, 10.0, 40.0)
    assert_allclose(framing.pixel(10.0, 40.0), (3000, 2000))
    column, row = framing.pixel(10.0, 41.0)
    assert_allclose(row, 2000 - 400.0 / 0.004 * tan(radians(1.0)), rtol=1e-9)
    assert_allclose(column, 3000)


def test_the_last_sliver_stands_in_the_middle_over_a_horizon_a_third_up(plan):
    horizon = plan.evening.horizon_apparent_altitude_deg
    sliver = plan.timeline.step("last sliver")
    column, row = plan.framing.pixel(sliver.azimuth_deg, horizon)
    assert_allclose((column, row), (3000, 4000 * 2 / 3), atol=0.5)
    assert_allclose(sliver.column, 3000, atol=0.5)
    # The centre is then a semidiameter below, 16' of 206265 / 100 000 arcsec pixels, less what
    # refraction flattens (0.84, reference tables).
    assert_allclose(sliver.row - row, 16.05 * 60 / 2.0626 * 0.97, rtol=0.05)


def test_travel_over_the_frame_is_drift_times_time(plan):
    first, last = (plan.timeline.step(name).when for name in ("first contact", "last sliver"))
    minutes = (last - first) / timedelta(minutes=1)
    right, _ = plan.travel_px("first contact")
    assert_allclose(right, 3600 * plan.drift_deg_per_min[0] * minutes / 2.0626, rtol=0.01)
    assert np.isnan(plan.travel_px("no such step")[0])


def test_trail_in_an_exposure(plan):
    # 15.04"/s for 1/4 s over 2.063" pixels at declination 0.
    assert_allclose(plan.trail_px(0.25), 15.041 * 0.25 / 2.06265, rtol=1e-3)
    mounted = planning.plan(LIGHTHOUSE, EQUINOX, kit=planning.Kit(CAMERA, support="mount"))
    assert mounted.trail_px(0.25) == 0


def test_walking_west_is_the_turning_of_the_earth_and_climbing_sees_farther(plan):
    moves = {move.name: move for move in plan.moves}
    # 1 km of 111.2 cos 52.1 km a degree, 240 s a degree.
    assert_allclose(moves["west"].later_s, 240 / (111.2 * cos(radians(52.1))), rtol=0.01)
    assert moves["east"].later_s == pytest.approx(-moves["west"].later_s, rel=1e-3)
    # 1.76' sqrt(m) of dip (Nautical Almanac), twice the lengthened path's bending at most.
    dip = 60 * 1.76 * (sqrt(105) - sqrt(95)) / (60 * plan.drift_deg_per_min[1])
    assert 1.0 < moves["climb"].later_s / dip < 1.5


# --- no sunset, other clocks, bad input -------------------------------------------------------


def test_midsummer_at_66_north_says_what_there_is_instead():
    place = sky.Place("the fell", 66.0, 20.0, 10.0)
    made = planning.plan(place, date(2027, 6, 21), kit=KIT, spread=None)
    lowest = made.timeline.step(steps.LOWEST)
    # Lowest at the lower culmination that the evening leads to, pvlib's to the half minute.
    when = pd.date_range("2027-06-21 12:00", "2027-06-22 12:00", freq="30s", tz="UTC")
    seen = pvlib.solarposition.spa_python(when, 66.0, 20.0, altitude=10.0)["elevation"]
    assert abs(lowest.when - seen.idxmin().to_pydatetime()) < timedelta(minutes=2)
    assert "dips only a part" in made.timeline.missing["last sliver"]
    assert made.ladder is None
    assert made.moves == ()


def test_the_polar_night_has_a_highest_stand():
    place = sky.Place("the ice camp", 89.0, 0.0, 2.0)
    made = planning.plan(place, date(2027, 12, 21), kit=KIT)
    highest = made.timeline.step(steps.HIGHEST)
    assert_allclose(highest.sun_true_altitude_deg, -22.44, rtol=0, atol=0.02)
    assert "Polar night" in made.timeline.missing["first contact"]


def test_clocks_put_forward_in_the_evening_are_told():
    # Lebanon puts its clocks forward at local midnight, the last Sunday of March.
    beirut_shore = sky.Place("a shore", 33.9, 35.45, 10.0)
    kept = planning.plan(beirut_shore, date(2027, 3, 20), kit=KIT)
    assert not kept.zone_changes
    # Godthab changed on a Saturday evening, 2022-03-26 at 22:00 local time (IANA tz database).
    fjord = sky.Place("a fjord", 64.18, -51.7, 10.0)
    assert planning.plan(fjord, date(2022, 3, 26), kit=KIT).zone_changes


def test_a_lens_that_the_sun_overfills_is_refused_with_the_longest_that_holds_it():
    giant = planning.Kit(Camera(4000.0, 11.0, 4.0, (6000, 4000)), smallest_f_number=32)
    with pytest.raises(OutOfRangeError, match=r"Take a focal length below 17\d\d mm"):
        planning.plan(LIGHTHOUSE, EQUINOX, kit=giant)


def test_a_kit_that_contradicts_itself_is_refused():
    with pytest.raises(OutOfRangeError, match="smallest_f_number is 4, wider than"):
        planning.Kit(CAMERA, smallest_f_number=4)
    with pytest.raises(InputError, match="support is 'hand'"):
        planning.Kit(CAMERA, support="hand")
    with pytest.raises(OutOfRangeError, match="card_gb is 0 GB"):
        planning.Kit(CAMERA, card_gb=0)


def test_card_and_battery():
    kit = planning.Kit(CAMERA, card_gb=64, frame_mb=32, battery_minutes=120)
    assert kit.frames_held == 2000
    assert [kit.battery_minutes_at(t) for t in (25, 20, 0, -20, -40)] == [120, 120, 90, 60, 60]


# --- the spread -------------------------------------------------------------------------------


def test_the_recurrence_is_weyls_and_the_plastic_numbers():
    golden = (1 + sqrt(5)) / 2
    assert_allclose(airs.evenly(3, 1)[:, 0], (0.5 + np.arange(3) / golden) % 1, atol=1e-12)
    plastic = 1.32471795724474602596  # root of g^3 = g + 1
    assert_allclose(airs.evenly(2, 2)[1], (0.5 + np.array([plastic**-1, plastic**-2])) % 1)


def test_points_fill_the_cube_more_evenly_than_chance():
    from scipy.stats import qmc

    ours = qmc.discrepancy(airs.evenly(200, 4))
    chance = np.median(
        [qmc.discrepancy(np.random.default_rng(k).random((200, 4))) for k in range(9)]
    )
    assert ours < 0.5 * chance


def test_an_air_that_is_known_has_no_spread():
    known = planning.Ranges((15, 15), (1013.25, 1013.25), (6.5, 6.5), (0, 0))
    told = planning.spread(LIGHTHOUSE, EQUINOX, known, 3)
    exact = sky.sunset(LIGHTHOUSE, EQUINOX, Atmosphere.standard()).last_sliver
    assert told.earliest == told.latest
    assert abs(told.earliest - exact) < timedelta(milliseconds=50)
    assert told.flash_share == 1.0


def test_denser_air_delays_the_last_sliver():
    def last(**one):
        exact = {"temperature_c": (15, 15), "pressure_hpa": (1013, 1013)}
        exact |= {"lapse_k_per_km": (6.5, 6.5), "sea_excess_k": (0, 0)} | one
        return planning.spread(LIGHTHOUSE, EQUINOX, planning.Ranges(**exact), 1).latest

    assert last(temperature_c=(0, 0)) > last() > last(temperature_c=(30, 30))
    assert last(pressure_hpa=(1040, 1040)) > last()
    assert last(lapse_k_per_km=(0, 0)) > last()


def test_any_executor_takes_the_airs_and_ranges_are_checked():
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(2) as pool:
        lent = planning.spread(LIGHTHOUSE, EQUINOX, count=5, executor=pool)
        assert pool.submit(int, "7").result() == 7  # left open
    alone = planning.spread(LIGHTHOUSE, EQUINOX, count=5)
    assert list(lent.last_sliver) == list(alone.last_sliver)
    with pytest.raises(OutOfRangeError, match="low not above high"):
        planning.Ranges(temperature_c=(20, 10))
    with pytest.raises(OutOfRangeError, match="sea_excess_k is 40 K"):
        planning.Ranges(sea_excess_k=(0, 40))


def test_without_a_sunset_the_spread_is_empty_of_instants():
    place = sky.Place("the ice camp", 89.0, 0.0, 2.0)
    told = planning.spread(place, date(2027, 6, 21), count=3)
    assert told.earliest is None
    assert told.latest is None
    assert told.flash_share == 0.0
    assert np.isnan(told.durations_s(50))


def test_the_lowest_stand_is_counted_from_the_visible_horizon():
    # In the night that the evening leads to, not in the one the date began with.
    # At 66 N the true altitude passes zero while the disc is still up: not that is the turning.
    place = sky.Place("the fell", 66.0, 20.0, 10.0)
    tonight = evening(place, date(2027, 6, 21), Atmosphere.standard())
    assert abs(tonight.zero - datetime(2027, 6, 21, 22, 41, 51, tzinfo=UTC)) < timedelta(minutes=1)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: planning.plan(LIGHTHOUSE, EQUINOX, kit=CAMERA), "give a Kit"),
        (lambda: planning.plan(LIGHTHOUSE, EQUINOX, 5, kit=KIT), "air is 5; give an Air"),
        (lambda: planning.plan(LIGHTHOUSE, EQUINOX, kit=KIT, setup_minutes=[5]), "give one"),
        (lambda: planning.spread(LIGHTHOUSE, EQUINOX, (10, 20)), "give a Ranges"),
        (lambda: planning.spread(LIGHTHOUSE, datetime(2027, 3, 20)), "give a datetime.date"),
        (lambda: planning.spread(LIGHTHOUSE, EQUINOX, count=2.5), "give a whole number"),
        (lambda: planning.spread(LIGHTHOUSE, EQUINOX, haze=0.1), "give a Haze"),
        (lambda: planning.air_at(400.0, 1013, 6.5, 0), "temperature_c is 400 degC"),
        (lambda: planning.worth(LIGHTHOUSE, planning.Ranges()), "give an Evening"),
    ],
)
def test_what_is_no_kit_air_range_or_day_is_named(call, said):
    with pytest.raises(LowsunError, match=said):
        call()


def test_ranges_keep_plain_numbers():
    assert planning.Ranges(temperature_c=np.array([1, 2])).temperature_c == (1.0, 2.0)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda plan: plan.trail_px("1"), "exposure_s is '1', which is not a number"),
        (lambda plan: plan.travel_px(5), "name is 5; give the name of a step"),
        (lambda plan: plan.timeline.after(datetime(2027, 3, 20)), "a naive datetime"),
        (lambda plan: plan.framing.pixel("west", 0), "azimuth_deg is 'west'"),
        (lambda plan: plan.framing.direction(None, 0), "column is None"),
        (lambda plan: plan.framing.inside(1, 1, -5), "margin_px is -5 px"),
        (
            lambda plan: plan.kit.battery_minutes_at([5.0]),
            "temperature_c holds 1 numbers",
        ),
        (lambda plan: planning.Ranges().at(2), "share is 2; allowed is 0 to 1"),
        (lambda plan: planning.Ranges().at([0.1, 0.2]), "give one, or 4"),
    ],
)
def test_what_a_plan_is_asked_wrongly_is_named(plan, call, said):
    with pytest.raises(LowsunError, match=said):
        call(plan)
