"""Files that are no ascent, or a spoilt one: refused with the line and the column, never half-read.

Every message says what arrived, what is allowed and what to do.
"""

import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lowsun.errors import InputFileError
from lowsun.physics import soundings
from spoilt import ARCHIVE, ARCHIVES, HEAD, REAL, RECORDS, TEXTS, archive

CSV = (REAL / "marine-duct.csv").read_bytes()


@pytest.mark.parametrize(("content", "message"), TEXTS)
def test_spoilt_text_is_refused(content, message):
    with pytest.raises(InputFileError, match=re.compile(message, re.DOTALL)):
        soundings.parse(content, "ascent.csv")


def test_pascals_under_hectopascals_are_refused():
    with pytest.raises(InputFileError, match="line 4, column pressure_hpa: 100100 cannot be"):
        soundings.parse(re.sub(rb"(?m)^(\d+),137", rb"\g<1>00,137", CSV), "ascent.csv")


def test_kelvins_under_celsius_dewpoints_are_refused():
    rows = "1000,100,15,280\n950,534,12,279\n"
    with pytest.raises(InputFileError, match=r"2 of 2 humidities are above saturation.*unit"):
        soundings.parse("pressure_hpa,height_m,temperature_c,dewpoint_c\n" + rows, "ascent.csv")


def test_negative_humidity_is_refused():
    head = "pressure_hpa,height_m,temperature_c,relative_humidity\n"
    with pytest.raises(InputFileError, match=r"relative_humidity: -0.5 cannot be; allowed is 0 or"):
        soundings.parse(head + "1000,100,15,-0.5\n950,534,12,0.5\n", "ascent.csv")


@pytest.mark.parametrize(("content", "message"), ARCHIVES)
def test_spoilt_records_are_refused(content, message):
    with pytest.raises(InputFileError, match=message):
        soundings.parse(content, "ascent.txt")


def test_archive_without_temperatures_is_refused():
    blanked = re.sub(r"(?m)^(\d.{21})(.{5})", r"\1-9999", archive())
    with pytest.raises(InputFileError, match="line 2, column temperature: 0 of 158 levels"):
        soundings.parse(blanked, "winds.txt")


def test_ascent_of_winds_beside_another_is_left_out_and_said():
    winds = re.sub(r"(?m)^(\d.{21})(.{5})", r"\1-9999", archive())
    (sounding,) = soundings.parse(archive() + winds, "two.txt")
    assert "1 ascents without any temperature left out" in sounding.report.sentence()


def test_removed_values_count_as_missing():
    whole = soundings.parse(archive(), "a.txt")[0].report.missing
    removed = soundings.parse(archive((9, 23, "-8888")), "a.txt")[0].report.missing
    assert removed == whole + 1


def test_missing_hour_and_place_are_none():
    (sounding,) = soundings.parse(archive((1, 25, "99"), (1, 56, "-988888 -9988888")), "a.txt")
    assert sounding.hour_utc is None
    assert sounding.title == "station USM00070026, 2010-06-01"


def test_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputFileError, match=r"nothing.csv cannot be read .*Check the name"):
        soundings.read(tmp_path / "nothing.csv")


def test_folder_is_refused(tmp_path):
    with pytest.raises(InputFileError, match="cannot be read"):
        soundings.read(tmp_path)


def test_fifty_thousand_lines_are_read():
    heights = np.linspace(0.0, 10_000.0, 50_000)
    pressures = 1013.25 * (1 - 0.0065 * heights / 288.15) ** 5.25588
    rows = [
        f"{p:.3f},{h:.2f},{15 - 0.0065 * h:.2f}" for p, h in zip(pressures, heights, strict=True)
    ]
    (sounding,) = soundings.parse(HEAD + "\n".join(rows), "long.csv")
    assert sounding.report.levels_read == 50_000
    assert sounding.atmosphere().height_m.size < 500


def reads_or_refuses(content):
    """Only an InputFileError, or air that is whole."""
    try:
        read, said = soundings.parse(content, "fuzzed"), "fuzzed."
    except InputFileError as refused:
        read, said = [], str(refused)
    assert said.startswith("fuzzed")
    assert said.endswith((".", ")"))
    assert read or said != "fuzzed."
    for sounding in read:
        atmosphere = sounding.atmosphere()
        assert np.all(np.isfinite(atmosphere.temperature_k))
        assert np.all(np.diff(atmosphere.height_m) > 0)
        assert np.all(np.diff(atmosphere.pressure_pa) < 0)
        assert sounding.report.sentence()


@given(st.binary(max_size=400))
def test_any_bytes(content):
    reads_or_refuses(content)


@given(st.text(max_size=300))
def test_any_text_below_a_good_header(text):
    reads_or_refuses(HEAD + text)


@given(st.text(max_size=300))
def test_any_text_below_an_archive_header(text):
    reads_or_refuses(RECORDS[0] + text)


@st.composite
def spoilt(draw, content):
    """A real file with bytes overwritten, removed or repeated."""
    spoiled = bytearray(content)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(spoiled) - 1))
        length = draw(st.integers(0, 60))
        put = draw(
            st.one_of(
                st.binary(max_size=6),
                st.text(alphabet="0123456789,.-# \nAB", max_size=12).map(str.encode),
                st.just(bytes(spoiled[at : at + length])).map(lambda part: part * 2),
            )
        )
        spoiled[at : at + draw(st.sampled_from([len(put), length, 0]))] = put
    return bytes(spoiled)


few = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@few
@given(spoilt(CSV))
def test_any_spoilt_csv(content):
    reads_or_refuses(content)


@few
@given(spoilt(ARCHIVE))
def test_any_spoilt_archive(content):
    reads_or_refuses(content)


cells = st.one_of(
    st.floats(-1e4, 1e5).map(lambda x: f"{x:.4g}"), st.sampled_from(["", "-9999", "NaN", "0"])
)
rows = st.lists(st.tuples(cells, cells, cells, cells).map(",".join), max_size=8)


@given(rows, st.sampled_from(["dewpoint_c", "relative_humidity_percent", "relative_humidity"]))
def test_any_numbers(lines, humidity):
    head = f"pressure_hpa,height_m,temperature_c,{humidity}"
    reads_or_refuses("\n".join([head, *lines]))


@st.composite
def plausible_rows(draw):
    """Heights that rise, pressures in balance, wild temperatures and humidities."""
    steps = draw(st.lists(st.floats(5.0, 3000.0), min_size=2, max_size=12))
    heights = np.round(draw(st.floats(-100, 4000)) + np.cumsum(steps), 1)
    temperatures = [draw(st.floats(-60.0, 30.0)) for _ in steps]
    humidities = [draw(st.one_of(st.just(""), st.floats(0.0, 104.0))) for _ in steps]
    pressures = 1013.25 * np.exp(-heights / draw(st.floats(7000.0, 8500.0)))
    return [
        f"{p:.2f},{h},{t:.2f},{u}"
        for p, h, t, u in zip(pressures, heights, temperatures, humidities, strict=True)
    ]


@settings(deadline=None)
@given(plausible_rows())
def test_any_plausible_ascent(lines):
    head = "pressure_hpa,height_m,temperature_c,relative_humidity_percent"
    reads_or_refuses("\n".join([head, *lines]))
