"""Real air: radiosonde ascents read from a file and made fit for rays.

Read are lines of cells under titles (`headers`: the spellings of the archives, the unit in the
title or below it), the fixed-width lists of the archives (`listing`) and the records of the
Integrated Global Radiosonde Archive, version 2 (`igra`); which it is is found from the content.

What is done to an ascent, in this order, and counted in its report:

- Heights are geopotential, as weather services give them, unless the column is named
  `geometric_height_m`. They become geometric by h = r H / (r - H) with r = 6356.766 km (US
  Standard Atmosphere 1976), the same for every latitude: gravity at the equator or a pole moves
  a level by up to 0.27 % of its height, 3 m at 1 km. A missing height follows from the pressure
  by the hypsometric equation with virtual temperatures; without any height, they count from the
  station's where a comment gives it ("32.85 N, 117.12 W, 137 m"), else from 1013.25 hPa at 0 m.
- Rows without temperature, or with neither pressure nor height, are left out. Rows of the same
  height, or of the same pressure and less than 30 m apart, become one level with their mean.
- Levels nearer than 30 m are merged, since 0.1 K of rounding over a few metres is a false
  gradient. The base and top of an inversion stay before other levels; the temperature of a level
  that stays is read off the straight line through all levels within 15 m.
- A lapse steeper than the dry adiabatic (9.8 K/km) by more than 0.1 K a layer is mixed away with
  the mean temperature kept, except in the unbroken steep lapse that begins at the lowest level,
  over warm ground, up to 500 m deep.
- Humidity, from relative humidity or else from the dewpoint, is over water with the same
  saturation pressure as in `lowsun.physics.air`. It is linear across gaps, constant below the
  lowest known value and zero above the highest. A humidity above saturation is set aside.
- Below the lowest level, down to the sea, temperature goes on at 6.5 K/km, or as asked. Above the
  highest it goes on with the gradients of the US Standard Atmosphere 1976 up to 86 km, no colder
  than 190 K in the troposphere; what offset is left fades out between 20 km, or the highest level,
  and 47 km.
- Pressure is hydrostatic, from the lowest measured pressure up and down.
"""

from dataclasses import dataclass

from lowsun import files
from lowsun.errors import require_kind, require_number
from lowsun.physics.atmosphere import LAPSE_RANGE_K_PER_M, Atmosphere
from lowsun.physics.soundings.cleaning import clean
from lowsun.physics.soundings.extension import LAPSE_BELOW_K_PER_M
from lowsun.physics.soundings.findings import Duct, Inversion, Report
from lowsun.physics.soundings.igra import looks_igra, read_igra
from lowsun.physics.soundings.levels import AscentError, Levels
from lowsun.physics.soundings.listing import looks_listing, read_listing
from lowsun.physics.soundings.plain import looks_plain, read_plain
from lowsun.words import say, term

__all__ = ["Duct", "Inversion", "Report", "Sounding", "parse", "read"]

MOST_LINES = 200_000
READABLE = term(
    "Allowed are text files: columns such as pressure_hpa,height_m,temperature_c, the archives'"
    " fixed-width lists, and IGRA version 2 records."
)
FORMATS = ((looks_igra, read_igra), (looks_listing, read_listing), (looks_plain, read_plain))
BINARY = {  # beginning: what it is, and how to get text out of it
    b"GRIB": (
        term("GRIB, the fields of a forecast model"),
        term("Write one column of it with `grib_get`"),
    ),
    b"CDF": (
        term("NetCDF"),
        term("Write its variables as CSV, with xarray's `to_dataframe().to_csv`"),
    ),
    b"\x89HDF": (
        term("NetCDF or HDF5"),
        term("Write its variables as CSV, with xarray's `to_dataframe`"),
    ),
    b"BUFR": (
        term("BUFR"),
        term("Write its levels as CSV: `bufr_dump -p` of ecCodes lists them"),
    ),
}


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Sounding(Levels):
    """One ascent: its levels as they stand in the file, and the air made of them.

    Beside the levels' own arrays and metadata: `name` of the file, `height_m` [m, geometric],
    `report` of what was done and found, and `atmosphere()`.
    """

    name: str
    report: Report
    air: Atmosphere

    def __repr__(self):
        return f"<Sounding {self.title}: {self.line.size} levels>"

    def atmosphere(self):
        """The air of this ascent from the sea to 86 km; the same object each time."""
        return self.air

    @property
    def title(self):
        """Station and time, for a label."""
        station = f"station {self.station}" if self.station else self.name
        hour = "" if self.hour_utc is None else f" {self.hour_utc:02d} UTC"
        return f"{station}, {self.date}{hour}" if self.date else station


def read(path):
    """All ascents in a file, as a list of Sounding.

    path: a file of up to 5 MB in one of the formats above. Raises InputFileError naming the line
    and the column when anything in it cannot be used.
    """
    return parse(files.content(path), files.path_of(path).name)


def parse(content, name, lapse_below_k_per_m=LAPSE_BELOW_K_PER_M):
    """All ascents in the text or bytes of a file, as a list of Sounding; `name` is for messages.

    lapse_below_k_per_m [K/m] -0.005 to 0.04: how temperature falls with height in the air that is
    made up between the sea and the lowest level of an ascent.
    """
    require_kind("content", content, str | bytes | memoryview, "the text or the bytes of a file")
    require_kind("name", name, str, "the file's name as text")
    lapse = require_number("lapse_below_k_per_m", lapse_below_k_per_m, *LAPSE_RANGE_K_PER_M)
    try:
        return [_sounding(levels, name, lapse) for levels in _levels(content)]
    except AscentError as refused:
        raise refused.of(name) from refused


def _levels(content):
    lines = _lines(content)
    for fits, reader in FORMATS:
        if fits(lines):
            return reader(lines)
    raise AscentError(say("this is no ascent in a format the kit reads"), say(READABLE), line=1)


def _sounding(levels, name, lapse_below_k_per_m):
    atmosphere, report = clean(levels, lapse_below_k_per_m)
    return Sounding(**vars(levels), name=name, report=report, air=atmosphere)


def _lines(content):
    text = content if isinstance(content, str) else _decoded(bytes(content))
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise AscentError(say("the file is empty"), say(READABLE))
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        if "\0" in line:
            raise AscentError(say("the file is not plain text"), say(READABLE), line=number)
    if len(lines) > MOST_LINES:
        raise AscentError(
            say("the file has {lines} lines; allowed is {most}", lines=len(lines), most=MOST_LINES),
            say("Cut out the ascents you want."),
        )
    return lines


def _decoded(content):
    _refuse_binary(content)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as refused:
        line = content.count(b"\n", 0, refused.start) + 1
        raise AscentError(
            say("the file is not plain text (byte {byte} is no UTF-8)", byte=refused.start),
            say("Save it as UTF-8 text. {readable}", readable=say(READABLE)),
            line=line,
        ) from refused


def _refuse_binary(content):
    start = content[:200].lstrip()  # weather services put lines of address before BUFR
    for mark, (what, remedy) in BINARY.items():
        if start.startswith(mark) or (mark == b"BUFR" and mark in start and b"7777" in content):
            raise AscentError(
                say("this is {what}, a binary format", what=say(what)),
                say("{remedy}; or ask the archive for text.", remedy=say(remedy)),
                line=1,
            )
