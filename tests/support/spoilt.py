"""Files that a player may bring and the kit refuses, each with what is said of it in English."""

from pathlib import Path

import lowsun

REAL = Path(lowsun.__file__).parent / "data" / "soundings"
ARCHIVE = (REAL / "arctic-coast-igra2.txt").read_bytes()
RECORDS = ARCHIVE.decode().splitlines(keepends=True)
HEAD = "pressure_hpa,height_m,temperature_c\n"
GOOD = HEAD + "1000,100,15\n950,534,12\n900,991,9\n"


def archive(*changes):
    """The first ascent alone, with (line, column from 1, text) changes."""
    lines = RECORDS[:159]
    for line, column, text in changes:
        old = lines[line - 1]
        lines[line - 1] = old[: column - 1] + text + old[column - 1 + len(text) :]
    return "".join(lines)


TEXTS = [
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
    (GOOD + '850,1457,"6\n', "line 5: the cells cannot be told apart. Close every quotation mark"),
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
]
ARCHIVES = [
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
]
SKYLINES = [
    ("270,1\n271,\n272,2", "line 2: '271' is no bearing and height"),
    ("270,1\n271,nan\n", "line 2"),
    ("270,1\n271,north\n", "line 2"),
    ("-45,1\n-44,2\n", "line 1: the bearing is -45. .*count from south"),
    ("270,1\n", "holds 1 line of"),
    ("200,1\n230,1\n260,1\n", "has a gap of 30 deg after the bearing 200"),
    ("270,1\n270,2\n", "270 stands twice"),
    ("270,1\n271,95\n", "line 2: the height is 95 deg; allowed is -10 to 80 deg"),
]
