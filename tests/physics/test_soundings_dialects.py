"""The same real ascent as archives and spreadsheets write it, and heights that were left out.

Outside values: the heights of the ascents were worked out by the weather service that published
them; the hypsometric equation is held to the US Standard Atmosphere 1976 (NOAA-S/T 76-1562).
"""

import re
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

import lowsun
from lowsun.physics import soundings

REAL = Path(lowsun.__file__).parent / "data" / "soundings"
PLAIN = (REAL / "marine-duct.csv").read_text(encoding="utf-8")
ROWS = [line.split(",") for line in PLAIN.splitlines()[3:]]
HEAD = "pressure_hpa,height_m,temperature_c,dewpoint_c"


def only(text, name="ascent.csv"):
    (sounding,) = soundings.parse(text, name)
    return sounding


AS_PUBLISHED = only(PLAIN)


def table(head, *, between=",", comma=False, rows=ROWS):
    cells = [[cell.replace(".", ",") if comma else cell for cell in row] for row in rows]
    return "\n".join([head, *(between.join(row) for row in cells)]) + "\n"


def listing():
    """The fixed-width list of the archives: seven letters a column, blanks where there is none."""
    rule = "-" * 77
    head = "   PRES   HGHT   TEMP   DWPT   RELH   MIXR   DRCT   SKNT   THTA   THTE   THTV"
    units = "    hPa     m      C      C      %    g/kg    deg   knot     K      K      K "
    rows = [f"{float(p):7.1f}{h:>7}{float(t):7.1f}{float(d):7.1f}" for p, h, t, d in ROWS]
    around = "<H2>72293 NKX San Diego Observations at 00Z 04 Jul 2016</H2>\n<PRE>"
    return "\n".join([around, rule, head, units, rule, *rows, "</PRE><H3>Station information", ""])


DIALECTS = {
    "brackets": table("PRES [hPa],HGHT [m],TEMP [C],DWPT [C]"),
    "round brackets": table("Pressure (hPa),Geopotential Height (gpm),Air Temperature (K),Td (K)"),
    "spaces and underscores": table("pressure_hPa,geopotential height_m,temperature_C,dew point_C"),
    "degrees": table("p [mbar],gph [m],t [\N{DEGREE SIGN}C],dew point temperature [deg C]"),
    "a line of units": table("PRES,HGHT,TEMP,DWPT\nhPa,m,C,C"),
    "quoted": table('"pressure_hpa","height_m","temperature_c","dewpoint_c"'),
    "semicolons": table(HEAD.replace(",", ";"), between=";"),
    "semicolons and decimal commas": table(HEAD.replace(",", ";"), between=";", comma=True),
    "tabs": table(HEAD.replace(",", "\t"), between="\t"),
    "a list of an archive": listing(),
    "Windows": "\ufeff" + table(HEAD).replace("\n", "\r\n"),
}


@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_dialect_gives_the_ascent_that_was_published(dialect):
    text = DIALECTS[dialect]
    if "(K)" in text:
        rows = [
            [p, h, f"{float(t) + 273.15:.2f}", f"{float(d) + 273.15:.2f}"] for p, h, t, d in ROWS
        ]
        text = table(text.splitlines()[0], rows=rows)
    read = only(text)
    for column in ("pressure_pa", "geopotential_m", "temperature_k", "relative_humidity"):
        there, here = getattr(AS_PUBLISHED, column), getattr(read, column)
        assert_allclose(here, there, rtol=1e-9, atol=0)
    assert repr(read.report.ducts) == repr(AS_PUBLISHED.report.ducts)


@pytest.mark.parametrize(
    ("title", "number"),
    [
        ("relative humidity_%", "50"),
        ("RELH [%]", "50"),
        ("RELH (%)", "50"),
        ("relative_humidity_percent", "50"),
        ("RH pct", "50"),
        ("relative_humidity", "0.5"),
        ("relative humidity [1]", "0.5"),
    ],
)
def test_humidity_is_read_in_per_cent_or_as_a_share(title, number):
    rows = f"1000,100,15,{number}\n900,991,9,{number}\n"
    read = only(f"pressure_hpa,height_m,temperature_c,{title}\n{rows}")
    assert_allclose(read.relative_humidity, 0.5, rtol=1e-12)


def test_a_list_names_its_station_and_time():
    read = only(listing(), "list.txt")
    assert read.title == "station 72293, 2016-07-04 00 UTC"
    assert "Columns not used: RELH" not in read.report.sentence()
    assert "MIXR [g/kg]" in read.report.sentence()


def test_two_lists_are_two_ascents():
    assert len(soundings.parse(listing() + listing(), "lists.txt")) == 2


def test_a_list_without_its_line_of_units_is_refused():
    text = re.sub(r"(?m)^    hPa.*\n", "", listing())
    with pytest.raises(lowsun.errors.InputFileError, match="11 titles stand above 1 units"):
        soundings.parse(text, "list.txt")


def test_a_comma_within_quotation_marks_is_no_end_of_a_cell():
    rows = '1000,100,15,"calm, clear"\n900,991,9,"calm, clear"\n'
    read = only(f"pressure_hpa,height_m,temperature_c,sky\n{rows}")
    assert_allclose(read.temperature_k, [288.15, 282.15])
    assert "Columns not used: sky" in read.report.sentence()


# ---- heights that follow from the pressures

STANDARD = {  # US Standard Atmosphere 1976, table I: geopotential m: (hPa, K)
    0: (1013.25, 288.150),
    1000: (898.746, 281.650),
    2000: (794.952, 275.150),
    3000: (701.085, 268.650),
    5000: (540.199, 255.650),
    8000: (355.998, 236.150),
    10000: (264.362, 223.150),
}


def test_heights_of_the_standard_atmosphere_follow_from_its_pressures():
    rows = "".join(f"{hpa},{kelvin}\n" for hpa, kelvin in STANDARD.values())
    read = only(f"pressure_hpa,temperature_k\n{rows}")
    air = read.atmosphere()
    # The mean of two temperatures 3 km apart is not the layer's mean of 1/T: 1 m at 10 km.
    for height, (hpa, _) in STANDARD.items():
        there = air.at(height * 6356766.0 / (6356766.0 - height))[1]
        assert_allclose(there, 100.0 * hpa, rtol=3e-4)
    assert "with 1013.25 hPa at the sea" in read.report.sentence()
    assert "7 with the height from the pressure" in read.report.sentence()


@pytest.mark.parametrize("name", sorted(path.name for path in REAL.glob("*.csv")))
def test_heights_that_were_left_out_are_those_the_service_published(name):
    text = (REAL / name).read_text(encoding="utf-8")
    published = only(text)
    without = re.sub(r"(?m)^(pressure_hpa|[\d.]+),[^,]*,", r"\1,", text)
    read = only(without)
    assert "from the station's 137 m" in read.report.sentence()
    geopotential = soundings.cleaning.with_heights(soundings.cleaning.usable(read), read.station_m)[
        0
    ].geopotential_m
    # Higher up there are levels that the archive put on a straight line in the logarithm of the
    # pressure between others 2 km apart: 18 m too low.
    told = published.geopotential_m[published.geopotential_m < 3700.0]
    # Pressures to whole hPa, of which half is 4 m near the ground.
    assert_allclose(geopotential[: told.size], told, rtol=0, atol=4.0)


def test_vapour_raises_heights():
    """Saturated air at 300 K and 1000 hPa: virtual temperature 304.1 K (e = 35.4 hPa, AMS)."""
    rows = "1000,{0}26.85,{1}\n900,{0}26.85,{1}\n"
    dry, damp = (
        soundings.cleaning.with_heights(
            soundings.cleaning.usable(
                only("pressure_hpa,temperature_c,relative_humidity\n" + rows.format("", share))
            )
        )[0].geopotential_m
        for share in ("0", "1")
    )
    # The upper level holds a tenth more vapour for its pressure: 304.3 K on the mean.
    assert_allclose(np.diff(damp) / np.diff(dry), 304.3 / 300.0, rtol=5e-4)


# A moist ascent: hPa, degrees C, share of saturation; and its height over the first line by another
# library: MetPy 1.7.1, thickness_hydrostatic(p, t, mixing_ratio=
# mixing_ratio_from_relative_humidity(p, t, rh)), the same without the mixing ratio. Trapezoids of
# virtual temperature over ln p there, straight lines here.
MOIST = """\
1000,26,.80\n975,24.5,.80\n950,23,.78\n925,21,.75\n900,19.5,.72\n875,18,.66\n850,16,.60
800,13,.58\n750,9.5,.54\n700,5,.50\n650,1,.45\n600,-3,.40\n550,-6.5,.35\n500,-10,.30
"""
METPY_M = {"moist": (1410.21, 5692.74), "dry": (1399.45, 5672.66)}  # at 850 and at 500 hPa


@pytest.mark.parametrize("how", METPY_M)
def test_heights_are_those_of_another_librarys_hypsometric_equation(how):
    rows = MOIST if how == "moist" else re.sub(r",\.\d+", ",0", MOIST)
    read = only(f"pressure_hpa,temperature_c,relative_humidity\n{rows}")
    profile = soundings.cleaning.with_heights(soundings.cleaning.usable(read), read.station_m)[0]
    rises = profile.geopotential_m - profile.geopotential_m[0]
    assert_allclose(rises[[6, 13]], METPY_M[how], rtol=0, atol=0.5)


def test_dry_air_is_said():
    assert "taken as dry" in only("pressure_hpa,temperature_c\n1000,15\n900,9\n").report.sentence()
    empty = "pressure_hpa,temperature_c,dewpoint_c\n1000,15,\n900,9,\n"
    assert "taken as dry" in only(empty).report.sentence()
