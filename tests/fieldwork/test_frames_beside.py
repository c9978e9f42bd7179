"""A folder's readings beside the model: in their own air they agree, in another they differ."""

import csv
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib.resources import files

import numpy as np
import pytest

from lowsun.errors import InputFileError
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import beside, header
from lowsun.fieldwork.frames.measuring import Reading
from lowsun.physics import sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE
from lowsun.physics.medium import Air
from lowsun.sky import Place

PLACE = Place("the lighthouse", 52.1, -10.4, eye_height_m=95)
OWN_AIR = Atmosphere.standard(temperature_k=271.15, pressure_pa=103000.0)  # make_evening.py
OTHER_AIR = Atmosphere.standard()
NAMES = ("evening-1.jpg", "evening-4.jpg", "evening-7.jpg")
WHEN = datetime(2027, 3, 20, 18, 42, 57, tzinfo=UTC)
SEEN = Reading(time_utc=WHEN, pieces=1, column_px=1.0, axis_ratio=0.9, arcsec_per_px=2.5,
               is_developed=True)  # fmt: skip


@pytest.fixture(scope="module")
def found():
    folder = files("lowsun.data") / "evening"
    return [(name, frames.readings(folder / name)[0][1]) for name in NAMES]


def evening(found, air=OWN_AIR, place=PLACE, **setting):
    setting = beside.Setting(place, Air(air, HAZE["very clear"]), **setting)
    return beside.evening(found, setting)


def test_frames_agree_with_the_air_they_were_made_in(found):
    for frame in evening(found).compared:
        upper, lower = frame.model_px
        assert frame.reading.axis_ratio == pytest.approx(frame.wanted.axis_ratio, abs=0.002)
        assert abs(frame.reading.upper_green_over_red_px - upper) < 2 * frame.reading.upper_sigma_px
        assert abs(frame.reading.lower_green_over_red_px - lower) < 0.25


def test_colder_heavier_air_than_given_shows_as_flatter_discs_and_wider_rims(found):
    frames_beside = evening(found, OTHER_AIR).compared
    assert len(frames_beside) == len(NAMES)
    for frame in frames_beside:
        assert frame.reading.axis_ratio < frame.wanted.axis_ratio
        assert frame.reading.upper_green_over_red_px > frame.model_px[0]


def test_lines_run_through_what_each_frame_is_expected_to_show(found):
    whole = evening(found)
    assert set(whole.lines) == {True}
    ratio, upper, _ = whole.lines[True]
    for frame in whole.compared:
        at = frame.sun_true_deg
        # Straight lines between 40 altitudes; the disc is 0.3 % wider than at the mean distance.
        line = np.interp(at, whole.line_altitudes_deg, ratio)
        assert line == pytest.approx(frame.wanted.axis_ratio, abs=0.002)
        line = np.interp(at, whole.line_altitudes_deg, upper)
        assert line == pytest.approx(frame.wanted.upper_arcsec, rel=0.03)


def test_outline_is_as_high_and_as_half_wide_as_the_model_says(found):
    whole = evening(found)
    frame = whole.compared[1]
    right, down = whole.outline_px(frame)
    wide = 2 * right.max()
    assert wide == pytest.approx(60 * frame.sun_diameter_arcmin / frame.reading.arcsec_per_px, 1e-3)
    assert np.ptp(down) / wide == pytest.approx(frame.wanted.axis_ratio, abs=0.002)
    assert down.min() == 0
    assert right.min() >= 0


def test_frames_of_one_moment_share_the_models_work(monkeypatch):
    asked = []

    def counted(curve, altitude_deg, weights, **disc):
        asked.append(altitude_deg)
        return expected(curve, altitude_deg, weights, **disc)

    expected = beside.expected
    monkeypatch.setattr(beside, "expected", counted)
    burst = [(str(n), replace(SEEN, time_utc=WHEN + timedelta(seconds=n / 20))) for n in range(20)]
    whole = evening(burst)
    assert len(whole.compared) == 20
    assert 3 <= len(asked) <= 4  # the Sun sinks 0.0025 degrees a second


def test_raw_files_stand_beside_the_cameras_own_channels():
    raw, developed = (
        evening([("a", replace(SEEN, is_developed=each))]).compared[0] for each in (False, True)
    )
    assert developed.wanted.upper_arcsec > 1.2 * raw.wanted.upper_arcsec


def test_a_sensor_without_its_cut_is_traced_into_the_infrared():
    modified = evening([("a", SEEN)], sensor=sensors.INFRARED_CUT_REMOVED)
    assert modified.curve.wavelength_nm[-1] > 800
    usual = evening([("a", SEEN)]).compared[0]
    # The green dye lets infrared through, which air bends less than red: its limb is no green one.
    assert modified.compared[0].wanted.upper_arcsec < 0 < usual.wanted.upper_arcsec


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"time_utc": None}, "without a time there is no altitude"),
        ({"pieces": None}, "no Sun that was measured"),
        ({"time_utc": WHEN + timedelta(hours=3)}, "below the horizontal: is the clock right"),
        ({"time_utc": WHEN - timedelta(hours=5)}, "° high, above 20°"),
        ({"time_utc": WHEN + timedelta(minutes=20)}, "this air hides the Sun"),
        ({"time_utc": WHEN.replace(year=2150)}, "2150"),
    ],
)
def test_what_cannot_be_compared_says_why_and_the_rest_goes_on(changed, reason):
    odd = replace(SEEN, **changed)
    whole = evening([("odd", odd), ("good", SEEN)])
    assert reason in whole.frames[0].reason
    assert whole.frames[0].wanted is None
    assert [frame.file for frame in whole.compared] == ["good"]


def test_no_usable_frame_is_no_error():
    whole = evening([("odd", replace(SEEN, time_utc=None))])
    assert whole.compared == []
    assert whole.lines == {}


def test_without_a_scale_the_shape_is_compared_and_no_pixel_claimed():
    whole = evening([("a", replace(SEEN, arcsec_per_px=None))])
    frame = whole.compared[0]
    assert frame.wanted.axis_ratio is not None
    assert frame.model_px == (None, None)
    assert whole.outline_px(frame) is None


def test_table_holds_a_line_for_each_frame(tmp_path, found):
    whole = evening([*found, ("odd.jpg", replace(SEEN, time_utc=None))])
    beside.write_table(tmp_path / "t.csv", whole.frames)
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert [row["file"] for row in rows] == [*NAMES, "odd.jpg"]
    assert float(rows[1]["model_axis_ratio"]) == pytest.approx(
        whole.frames[1].wanted.axis_ratio, abs=1e-4
    )
    assert float(rows[1]["model_upper_px"]) == pytest.approx(whole.frames[1].model_px[0], abs=1e-3)
    assert rows[3]["model_axis_ratio"] == ""
    assert rows[3]["reason"]


def test_own_capture_times_replace_the_headers(tmp_path):
    path = tmp_path / "times.csv"
    path.write_text(
        "file,time_utc\na.jpg,2027-03-20T18:42:57\nclip.mp4,2027-03-20T19:00:00+01:00\n",
        encoding="utf-8-sig",
    )
    without = Reading(pieces=1, reasons=(header.NO_TIME, "tone curve unknown"))
    read = [("a.jpg", without), ("b.jpg", without), ("clip.mp4#t=12.300", without)]
    named = dict(beside.timed(read, beside.capture_times(path)))
    assert named["a.jpg"].time_utc == WHEN
    assert named["a.jpg"].reasons == ("tone curve unknown",)
    assert named["b.jpg"] == without
    assert named["clip.mp4#t=12.300"].time_utc == datetime(
        2027, 3, 20, 18, 0, 12, 300_000, tzinfo=UTC
    )


def test_a_new_date_gives_the_scale_of_that_dates_sun(tmp_path):
    # The Sun is 3.4 % larger in January than in July: the Earth's orbit, e = 0.0167.
    path = tmp_path / "times.csv"
    path.write_text("file,time_utc\na,2027-01-03T16:00:00Z\n", encoding="utf-8")
    july = replace(SEEN, time_utc=datetime(2027, 7, 5, tzinfo=UTC))
    ((_, january),) = beside.timed([("a", july)], beside.capture_times(path))
    assert january.arcsec_per_px / july.arcsec_per_px == pytest.approx(1.0167 / 0.9833, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("name,time\n", "first line must be file,time_utc"),
        ("", "first line must be file,time_utc"),
        ("file,time_utc\na.jpg,tonight\n", "line 2: 'a.jpg,tonight'"),
        ("file,time_utc\na.jpg\n", "line 2"),
    ],
)
def test_times_that_cannot_be_read_are_refused(tmp_path, text, match):
    path = tmp_path / "times.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputFileError, match=match):
        beside.capture_times(path)
