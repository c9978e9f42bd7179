"""Files that are no ascent, or a spoilt one: refused with the line and the column, never half-read.

Every message says what arrived, what is allowed and what to do.
"""

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import lowsun
from lowsun.errors import InputFileError
from lowsun.physics import soundings

REAL = Path(lowsun.__file__).parent / "data" / "soundings"
CSV = (REAL / "marine-duct.csv").read_bytes()
ARCHIVE = (REAL / "arctic-coast-igra2.txt").read_bytes()
HEAD = "pressure_hpa,height_m,temperature_c\n"
GOOD = HEAD + "1000,100,15\n950,534,12\n900,991,9\n"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "ascent.csv: the file is empty. Allowed are text files"),
        ("\n \n", "the file is empty"),
        ("# only words\n", "line 1: this is no ascent in a format the kit reads"),
        (b"\x89PNG\r\n\x1a\n\0\0", "line 1: the file is not plain text.*Save it as UTF-8"),
        (b"PK\x03\x04\0\0\n", "line 1: the file is not plain text"),
        (GOOD.encode("utf-16"), "line 1: the file is not plain text"),
        ("<html><body>Not found</body></html>", "line 1: this is no ascent"),
        ('{"pressure": 1000}', "line 1: this is no ascent"),
        (GOOD.replace("pressure_hpa", "pressure"), "line 1: 'pressure' has no unit. Write"),
        (
            GOOD.replace("temperature_c", "temperature_f"),
            "line 1: 'temperature_f' has the unit 'f', which is not",
        ),
        (
            GOOD.replace("height_m", "height_ft"),
            "'height_ft' has the unit 'ft'.*height_m",
        ),
        (GOOD.replace("temperature_c", "heat"), "there is no temperature column; not read: 'heat'"),
        (
            GOOD.replace("pressure_hpa", "PRES").replace("height_m", "HGHT [ft]"),
            r"'PRES' has no unit; 'HGHT \[ft\]' has the unit 'ft', which is not read\. Write",
        ),
        (
            "pressure_hpa,temperature_c,mixing ratio_g/kg\n1000,15,9\n900,9,5\n",
            "'mixing ratio_g/kg' is humidity in a form that is not read",
        ),
        (GOOD + '850,1457,"6\n', "line 5: the cells cannot be told apart .*quotation mark"),
        (GOOD + "850,1457,6" + "," * 300, "line 5: 303 cells stand in one line; allowed are 200"),
        (GOOD + "850,1457," + "1" * 30_000, "line 5, column temperature_c: '1{40}' is not a numbe"),
        (b"GRIB\0\0\x01\x02 and more", "line 1: this is GRIB, .*grib_get"),
        (b"CDF\x01 and more", "line 1: this is NetCDF, a binary format. Write its variables"),
        (b"\x89HDF\r\n\x1a\n", "line 1: this is NetCDF or HDF5"),
        (b"IUSX01 KWBC\r\r\nBUFR\0\0 7777", "line 1: this is BUFR, .*bufr_dump"),
        (GOOD.replace("height_m", "temperature_k"), "temperature is given twice"),
        (HEAD, "there is no level below the header"),
        (GOOD + "850,1457\n", "line 5: 2 cells where the header has 3 columns"),
        (GOOD + "850,1457,six\n", "line 5, column temperature_c: 'six' is not a number"),
        (GOOD + "850,1457,1_0\n", "line 5, column temperature_c: '1_0' is not a number"),
        (GOOD + "850,1457,inf\n", "line 5, column temperature_c: 'inf' is not a number"),
        (GOOD + "0,1457,6\n", "line 5, column pressure_hpa: 0 cannot be; allowed is 0.01 to 1100"),
        (GOOD + "850,99999,6\n", "line 5, column height_m: 99999 cannot be"),
        (GOOD + "850,1457,99\n", "column temperature_c: 99 cannot be; allowed is -123.15 to 66.85"),
        (GOOD + "850,900,6\n", "line 5, column height: the height falls from 991 to 900 m.*sort"),
        (GOOD + "910,1457,6\n", "line 5, column pressure: the pressure rises from 900 to 910 hPa"),
        (GOOD + "900,991,19\n", "line 5, column temperature: 19.0 degC contradicts 9.0 degC on li"),
        (HEAD + "1000,100,15\n", "1 of 1 levels .*Two levels or more are needed"),
        (HEAD + "1000,100,15\n999,108,15\n", "the ascent spans 8.0 m. Two levels 30 m apart"),
        (HEAD + "1000,100,\n950,534,\n", "column temperature: 0 of 2 levels .*temperatures"),
        (HEAD + ",100,15\n,534,12\n", "column pressure: no level above the sea has a pressure"),
        (HEAD + "1000,-400,15\n950,40,12\n", "fewer than two levels lie above the sea"),
        (HEAD + "300,9000,-40\n250,10300,-50\n", "lowest level with a temperature is at 9000 m"),
        (HEAD + "1000,328,15\n850,4780,6\n", "line 3, column height, pressure: the layer from"),
        (HEAD + "10,100,15\n9,850,6\n", "10 hPa at 100 m makes 10 hPa at the sea. Check the unit"),
        ("\n".join(["#"] * 200_002), "the file has 200002 lines; allowed is 200000"),
    ],
)
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


RECORDS = ARCHIVE.decode().splitlines(keepends=True)


def archive(*changes):
    """The first ascent alone, with (line, column from 1, text) changes."""
    lines = RECORDS[:159]
    for line, column, text in changes:
        old = lines[line - 1]
        lines[line - 1] = old[: column - 1] + text + old[column - 1 + len(text) :]
    return "".join(lines)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("".join(RECORDS[:100]), r"line 1, column NUMLEV \(33-36\): the header promises 158 lev"),
        ("".join(RECORDS[:200]), "line 160, .*promises 157 levels and 40 follow"),
        (RECORDS[0], "promises 158 levels and 0 follow"),
        (archive() + RECORDS[5], "line 160: a header record of 71 characters beginning with # is"),
        (archive((1, 33, " abc")), r"line 1, column NUMLEV \(33-36\): ' abc' is not a whole num"),
        (archive((1, 19, "13")), r"column YEAR MONTH DAY \(14-23\): '2010 13 01' is no date"),
        (archive((1, 25, "24")), r"column HOUR \(25-26\): hour is 24. Allowed is 00 to 23"),
        (archive((1, 56, " 912889")), r"column LAT \(56-62\): 91.2889 degrees cannot be"),
        (archive((1, 64, " 1912889")), r"column LON \(64-71\): 191.289 degrees cannot be"),
        (archive((9, 23, "  7O ")), r"line 9, column TEMP \(23-27\): '  7O ' is not a whole"),
        (archive((9, 23, "  999")), r"line 9, column TEMP \(23-27\): 999 cannot be; allowed is"),
        (archive((9, 10, "990000")), r"line 9, column PRESS \(10-15\): 990000 cannot be; allow"),
        (archive((9, 29, " -500")), r"line 9, column RH \(29-33\): -500 cannot be; allowed is 0"),
        (archive((9, 16, "7")), "line 9, column 16: '7' stands where one of .* is due"),
        (archive((9, 3, "7")), "line 9, column 3: '7' stands where one of"),
        (archive((9, 1, "x")), r"line 9, column LVLTYP1 \(1\): .* is no data record"),
        (archive((9, 17, " 1000")), "line 9, column height: the height falls from 2105 to 1000"),
    ],
)
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
