"""The exposure ladder: against sunny 16, ISO 12232 and the camera's own raw values."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork import exposures
from lowsun.fieldwork.camera import DIAL_S, Camera, shutter_words
from lowsun.phenomena import flash_light
from lowsun.phenomena.evening import evening
from lowsun.physics import colour, sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, Haze
from lowsun.sky import Place

AIR = Atmosphere.standard().with_haze(1500.0)
CLIFF = evening(Place("the lighthouse", 52.1, -10.4, 95.0), date(2027, 3, 20), AIR)
LENS = Camera(focal_length_mm=400, f_number=5.6, pixel_um=4.0, frame_px=(6000, 4000))
FILTERED = replace(LENS, filter_density=3.0)
CLEAR = HAZE["very clear"]
SUBJECTS = exposures.subjects(CLIFF.through(CLEAR))
LADDER = exposures.ladder(LENS, SUBJECTS)


def test_sunlit_scene_is_sunny_16():
    # Common practice, no source: f/16 at 1/ISO s; f/5.6 gathers 8 times the light.
    assert exposures.sunlit_exposure_s(replace(LENS, f_number=16.0)) == pytest.approx(1 / 100)
    assert shutter_words(LADDER.sunlit_s) == "1/820 s"
    assert exposures.sunlit_exposure_s(FILTERED) == pytest.approx(1000 * LADDER.sunlit_s)


def test_sunny_16_meets_the_meter():
    # Common practice, no source: a sunlit scene is about 3200 cd/m2. ISO 2720: t = K N^2 / (L S).
    metered_s = 12.5 * 16.0**2 / (3200.0 * LENS.iso)
    stop = replace(LENS, f_number=16.0)
    assert exposures.sunlit_exposure_s(stop) == pytest.approx(metered_s, rel=0.05)


def test_noon_sun_is_far_over_a_sunlit_scene():
    # Handbook: 1.6e9 cd/m2 at noon. EV 33.58 against EV 14.64 of 3200 cd/m2: 19 stops between the
    # meter's exposures; saturation lies 3.3 stops over the meter's grey.
    noon = exposures.setting(LENS, 1.6e9, headroom_stops=0.0)
    stops = np.log2(LADDER.sunlit_s / noon.longest_s)
    assert stops == pytest.approx(33.58 - 14.64 - 3.27, abs=0.1)
    assert noon.limit == "fastest"
    assert noon.density_needed == pytest.approx(np.log10(1 / 8000 / noon.longest_s))


def test_ladder_descends_with_the_sun():
    longest = [rung.disc.longest_s for rung in LADDER.rungs]
    assert np.all(np.diff(longest) > 0)
    assert [rung.seconds for rung in LADDER.rungs] == list(exposures.RUNGS_S)
    limb = [subject.upper_limb_arcmin for subject in SUBJECTS]
    assert np.all(np.diff(limb) < 0)
    assert limb[-1] == pytest.approx(0, abs=0.1)


def test_horizon_sun_is_of_the_handbooks_order():
    # Handbook order of magnitude: 6e5 cd/m2 on the horizon, a factor 3.
    minute = LADDER.rungs[exposures.RUNGS_S.index(-60.0)]
    sun = CLIFF.sun(-60.0)
    light = flash_light.column(CLIFF.curve.through(CLEAR), sun.true_altitude_deg)
    luminance = colour.luminance(light.radiance, light.wavelength_nm).max()
    assert 2e5 < luminance < 1.8e6
    assert minute.disc.luminance > luminance  # a red light burns out the red channel first


def test_rim_takes_longer_than_the_disc():
    for rung in LADDER.rungs[:-1]:
        assert rung.rim.longest_s > 1.3 * rung.disc.longest_s
    last = LADDER.rungs[-1]  # nothing but the rim is left
    assert last.rim.longest_s == pytest.approx(last.disc.longest_s)


@pytest.mark.parametrize("index", [3, 6, 9])
def test_exposures_stay_the_headroom_below_saturation(index):
    ladder = exposures.ladder(FILTERED, SUBJECTS, headroom_stops=1.0)
    for subject in (ladder.rungs[index].disc, ladder.rungs[index].rim):
        share = FILTERED.saturation_share(subject.luminance, subject.shutter_s)
        assert 0.5 * 2 ** (-1 / 3) * 0.9 < share <= 0.5 * (1 + 1e-6)
        assert subject.shutter_s in DIAL_S


def test_sheet_says_where_the_camera_ends():
    bare, filtered = LADDER.rungs[0], exposures.ladder(FILTERED, SUBJECTS).rungs[0]
    assert bare.disc.limit == "fastest"
    assert bare.disc.shutter_s is None
    assert LADDER.density_needed == bare.disc.density_needed > 2
    assert filtered.disc.limit == ""
    with_it = replace(LENS, filter_density=bare.disc.density_needed)
    assert exposures.setting(with_it, bare.disc.luminance).shutter_s == with_it.fastest_shutter_s
    dark = replace(LENS, filter_density=10.0, slowest_shutter_s=1.0)
    assert exposures.ladder(dark, SUBJECTS).rungs[-1].disc.limit == "slowest"


def test_nothing_to_expose_is_no_setting():
    empty = exposures.setting(LENS, 0.0)
    assert not empty.exists
    assert empty.shutter_s is None
    assert empty.limit == ""
    gone = exposures.ladder(LENS, exposures.subjects(CLIFF.through(CLEAR), seconds=(60.0,))).rungs[
        0
    ]
    assert not gone.disc.exists
    assert not gone.rim.exists
    assert np.isnan(gone.trail_px)


def test_haze_lengthens_exposures():
    hazier = exposures.ladder(LENS, exposures.subjects(CLIFF.through(HAZE["sea air"])))
    for clear, hazy in zip(LADDER.rungs, hazier.rungs, strict=True):
        assert hazy.disc.longest_s > clear.disc.longest_s


def test_removed_infrared_cut_asks_for_shorter_exposures():
    # Common practice, no source: a camera without its filter sees a low Sun redder and brighter.
    bare = exposures.ladder(
        LENS, exposures.subjects(CLIFF.through(CLEAR), sensors.INFRARED_CUT_REMOVED)
    )
    for stock, open_ in zip(LADDER.rungs, bare.rungs, strict=True):
        if stock.seconds > -3:
            continue  # of the green flash both see the same
        assert open_.disc.longest_s < stock.disc.longest_s


def test_trail_of_a_fixed_camera():
    # 15.04"/s near the equinox, over 4 um on 400 mm: 2.063" a pixel.
    last = exposures.ladder(FILTERED, SUBJECTS).rungs[-1]
    assert last.trail_px == pytest.approx(15.04 / 2.0627 * last.rim.shutter_s, rel=1e-3)


@pytest.mark.parametrize(
    ("exposure_s", "words"),
    [(1 / 8000, "1/8000 s"), (1 / 1250, "1/1250 s"), (1 / 813, "1/810 s"), (0.4, "0.4 s")],
)
def test_words_of_the_dial(exposure_s, words):
    assert shutter_words(exposure_s) == words


def test_dial_goes_in_thirds_of_a_stop():
    # Nominal times: 1/3 stop within the rounding that dials are printed with.
    stops = np.diff(np.log2(sorted(DIAL_S)))
    assert np.all((stops > 0.15) & (stops < 0.5))
    assert np.sum(stops) / stops.size == pytest.approx(1 / 3, abs=0.01)


def test_faster_than_any_dial_the_camera_itself_decides():
    swift = replace(LENS, fastest_shutter_s=1 / 100_000)
    assert exposures.setting(swift, 1.7e6).shutter_s == 1 / 100_000


@pytest.mark.parametrize(
    ("call", "complaint"),
    [
        (lambda: replace(LENS, f_number=0), r"f_number is 0; allowed is 0.5 to 128"),
        (lambda: replace(LENS, pixel_um=-4), r"pixel_um is -4 um; allowed is 0.5 to 50"),
        (lambda: replace(LENS, bits=0), r"bits is 0; allowed is 8 to 16"),
        (lambda: replace(LENS, fastest_shutter_s=60.0), r"longer than slowest_shutter_s, 30 s"),
        (lambda: exposures.subjects(CLIFF.through(Haze(-1))), r"depth_550 is -1; allowed is 0"),
        (
            lambda: exposures.ladder(LENS, SUBJECTS, headroom_stops=-1),
            r"headroom_stops is -1 stops",
        ),
        (lambda: exposures.subjects(CLIFF, seconds=(-9000,)), r"allowed is -90 to 20 deg"),
        (lambda: exposures.setting(LENS, np.nan), r"luminance is nan cd/m2"),
    ],
)
def test_outside_the_range_is_refused(call, complaint):
    with pytest.raises(OutOfRangeError, match=complaint):
        call()


def test_evening_without_a_sunset_has_no_ladder():
    summer = evening(Place("the ice camp", 89.0, 0.0, 2.0), date(2027, 6, 21), AIR, high_deg=30.0)
    with pytest.raises(OutOfRangeError, match=r"No ladder leads to a last sliver here: "):
        exposures.subjects(summer)
