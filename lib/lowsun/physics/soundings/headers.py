"""What the title of a column says: a quantity and its unit, in the spellings of the archives.

The unit may stand in brackets, behind an underscore or a space, or in a line of its own:
`PRES [hPa]`, `pressure_hpa`, `relative humidity_%`, `DWPT` above `C`.
"""

import re
from dataclasses import dataclass

from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.soundings.levels import AscentError
from lowsun.words import say, term

PRESSURE, HEIGHT, TEMPERATURE = term("pressure"), term("height"), term("temperature")
DEWPOINT, HUMIDITY = term("dewpoint"), term("relative humidity")
GEOMETRIC = term("geometric height")
WORDS = {
    PRESSURE: "pressure, air pressure, atmospheric pressure, press, pres, p",
    HEIGHT: "height, geopotential height, geopotential, hght, hgt, gph, h",
    GEOMETRIC: "geometric height",
    TEMPERATURE: "temperature, air temperature, temp, t",
    DEWPOINT: "dewpoint, dew point, dewpoint temperature, dew point temperature, dwpt, td",
    HUMIDITY: "relative humidity, relh, rh",
}
QUANTITIES = {word: quantity for quantity, line in WORDS.items() for word in line.split(", ")}
_CELSIUS, _KELVIN = (1.0, ZERO_CELSIUS_K), (1.0, 0.0)
_DEGREES = {"c": _CELSIUS, "deg c": _CELSIUS, "degc": _CELSIUS, "celsius": _CELSIUS, "k": _KELVIN}
_METRES = {"m": (1.0, 0.0), "gpm": (1.0, 0.0), "km": (1000.0, 0.0)}
UNITS = {  # unit: (factor, offset) with SI value = factor * cell + offset
    PRESSURE: {
        "hpa": (100.0, 0.0),
        "mb": (100.0, 0.0),
        "mbar": (100.0, 0.0),
        "pa": (1.0, 0.0),
        "kpa": (1000.0, 0.0),
    },
    HEIGHT: _METRES,
    GEOMETRIC: _METRES,
    TEMPERATURE: _DEGREES,
    DEWPOINT: _DEGREES,
    HUMIDITY: {
        "%": (0.01, 0.0),
        "percent": (0.01, 0.0),
        "pct": (0.01, 0.0),
        "1": (1.0, 0.0),
        "": (1.0, 0.0),
    },
}
OTHER_UNITS = {"m s", "kt", "kts", "knot", "knots", "deg", "g kg", "degree", "degrees", "s"}
NEEDED = (PRESSURE, TEMPERATURE)
OTHER_HUMIDITY = re.compile(r"hum|dew|mix|vapo", re.ASCII)
MORE_HELP = term(
    "Write quantity and unit as one of pressure_hpa, height_m, temperature_c, dewpoint_c,"
    " relative_humidity_percent, or give the unit in brackets: PRES [hPa]."
)


@dataclass(frozen=True)
class Column:
    """Where a quantity stands, under which title, and how its numbers become SI."""

    at: int
    title: str
    factor: float
    offset: float


def columns(titles, line):
    """The `Column` of each quantity, and the titles that are no quantity of the kit.

    Raises one AscentError that names every title that cannot be understood and all that is missing.
    """
    found, others, slips = {}, [], []
    for at, title in enumerate(titles):
        quantity, unit = understood(title)
        scale = UNITS.get(quantity, {}).get(unit)
        if quantity is None:
            others += [title] if title else []
        elif scale is None:
            slips.append(_without_unit(_short(title), unit))
        elif _same(quantity, found):
            first = found[_same(quantity, found)].title
            slips.append(
                say(
                    "{quantity} is given twice, as {first} and {second}",
                    quantity=say(quantity),
                    first=_short(first),
                    second=_short(title),
                )
            )
        else:
            found[quantity] = Column(at, title, *scale)
    slips += [
        say("there is no {needed} column", needed=say(needed)) for needed in _missing(found, titles)
    ]
    slips += _other_humidity(found, others)
    if slips:
        raise AscentError("; ".join([*slips, *_unread(others)]), say(MORE_HELP), line=line)
    return found, others


def _without_unit(title, unit):
    if not unit:
        return say("{title} has no unit", title=title)
    return say("{title} has the unit {unit}, which is not read", title=title, unit=repr(unit[:20]))


def understood(title):
    """The quantity and the unit of a title; the quantity is None where it is not the kit's."""
    words = _words(title)
    for cut in range(len(words), 0, -1):
        quantity = QUANTITIES.get(" ".join(words[:cut]))
        if quantity:
            return quantity, " ".join(words[cut:])
    return None, ""


def is_unit(cell):
    """Whether a cell under a title is a unit, such as hPa or m/s."""
    text = " ".join(_words(cell))
    return text in OTHER_UNITS or (text != "" and any(text in units for units in UNITS.values()))


def _words(text):
    return re.findall(r"[a-z]+|%|\d+", text.lower().replace("\N{DEGREE SIGN}", " deg "))


def _same(quantity, found):
    heights = {HEIGHT, GEOMETRIC}
    alike = heights if quantity in heights else {quantity}
    return next(iter(alike & set(found)), None)


def _missing(found, titles):
    named = {understood(title)[0] for title in titles}
    return [needed for needed in NEEDED if needed not in found and needed not in named]


def _other_humidity(found, others):
    if {DEWPOINT, HUMIDITY} & set(found):
        return []
    return [
        say("{title} is humidity in a form that is not read", title=_short(title))
        for title in others
        if OTHER_HUMIDITY.search(title.lower())
    ]


def _unread(others):
    titles = ", ".join(_short(title) for title in others[:20])
    return [say("not read: {titles}", titles=titles)] if others else []


def _short(title):
    return repr(title[:40])
