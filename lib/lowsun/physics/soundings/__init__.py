"""Real air: radiosonde ascents read from a file and made fit for rays.

Read are plain CSV (columns by name, the unit in the name) and the fixed-width records of the
Integrated Global Radiosonde Archive, version 2; which of the two is found from the content.

What is done to an ascent, in this order, and counted in its report:

- Heights are geopotential, as weather services give them, unless the column is named
  `geometric_height_m`. They become geometric by h = r H / (r - H) with r = 6356.766 km (US
  Standard Atmosphere 1976), the same for every latitude: gravity at the equator or a pole moves
  a level by up to 0.27 % of its height, 3 m at 1 km. A missing height follows from the pressure
  by the thickness equation.
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
- Below the lowest level, down to the sea, temperature goes on at 6.5 K/km. Above the highest it
  goes on with the gradients of the US Standard Atmosphere 1976 up to 86 km, no colder than 190 K
  in the troposphere; what offset is left fades out between 20 km, or the highest level, and
  47 km.
- Pressure is hydrostatic, from the lowest measured pressure up and down.
"""

from dataclasses import dataclass
from pathlib import Path

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.soundings.cleaning import clean
from lowsun.physics.soundings.findings import Duct, Inversion, Report
from lowsun.physics.soundings.igra import looks_igra, read_igra
from lowsun.physics.soundings.levels import Levels, refusal
from lowsun.physics.soundings.plain import looks_plain, read_plain

__all__ = ["Duct", "Inversion", "Report", "Sounding", "parse", "read"]

MOST_LINES = 200_000
EITHER_FORMAT = (
    "Allowed are a CSV file with columns such as pressure_hpa,height_m,temperature_c and IGRA"
    " version 2 records."
)


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

    path: a CSV or IGRA version 2 file. Raises InputFileError naming the line and the column when
    anything in it cannot be used.
    """
    try:
        content = Path(path).read_bytes()
    except OSError as refused:
        raise refusal(path, f"the file cannot be read ({refused})", "Check its name.") from refused
    return parse(content, Path(path).name)


def parse(content, name):
    """All ascents in the text or bytes of a file, as a list of Sounding; `name` is for messages."""
    lines = _lines(content, name)
    for fits, reader in ((looks_igra, read_igra), (looks_plain, read_plain)):
        if fits(lines):
            return [_sounding(levels, name) for levels in reader(lines, name)]
    raise refusal(name, "this is no ascent in a format the kit reads", EITHER_FORMAT, line=1)


def _sounding(levels, name):
    atmosphere, report = clean(levels, name)
    return Sounding(**vars(levels), name=str(name), report=report, air=atmosphere)


def _lines(content, name):
    text = content if isinstance(content, str) else _decoded(content, name)
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise refusal(name, "the file is empty", EITHER_FORMAT)
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        if "\0" in line:
            raise refusal(name, "the file is not plain text", EITHER_FORMAT, line=number)
    if len(lines) > MOST_LINES:
        raise refusal(
            name,
            f"the file has {len(lines)} lines; allowed is {MOST_LINES}",
            "Cut out the ascents you want.",
        )
    return lines


def _decoded(content, name):
    try:
        return bytes(content).decode("utf-8")
    except UnicodeDecodeError as refused:
        line = bytes(content).count(b"\n", 0, refused.start) + 1
        raise refusal(
            name,
            f"the file is not plain text (byte {refused.start} is no UTF-8)",
            f"Save it as UTF-8 text. {EITHER_FORMAT}",
            line=line,
        ) from refused
