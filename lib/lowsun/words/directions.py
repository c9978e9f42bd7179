"""Bearings, latitudes and longitudes in words; degrees all."""

from math import isnan

from lowsun.errors import require_kind, require_number, require_whole
from lowsun.words.speech import figures, say, term

POINTS = (
    term("N"), term("NNE"), term("NE"), term("ENE"), term("E"), term("ESE"), term("SE"),
    term("SSE"), term("S"), term("SSW"), term("SW"), term("WSW"), term("W"), term("WNW"),
    term("NW"), term("NNW"),
)  # fmt: skip
POINT_DEG = 360 / len(POINTS)
MOST_DEG = 1e6  # of turns: a float tells a millionth of a degree there
NAMED_LATITUDES = {
    90: term("the North Pole"), 0: term("the equator"), -90: term("the South Pole")
}  # fmt: skip


def compass_point(bearing_deg):
    """The nearest of the sixteen compass points of a bearing [deg]: 270 -> `W`."""
    turned = _turned("bearing_deg", bearing_deg)
    return say(POINTS[round(turned / POINT_DEG) % len(POINTS)])


def bearing(bearing_deg, digits=0, *, point=True):
    """A bearing [deg] as `270.1° W`, with so many digits, with its compass point or without.

    From 0° to below 360°: what rounds to 360° is 0°. Empty for NaN: at a pole no bearing exists.
    digits: 0 to 9.
    """
    require_kind("point", point, bool, "True or False")
    digits = require_whole("digits", digits, 0, 9)
    if isinstance(bearing_deg, float) and isnan(bearing_deg):
        return ""
    turned = _turned("bearing_deg", bearing_deg)
    degrees = f"{figures(round(turned, digits) % 360, f'.{digits}f')}°"
    return f"{degrees} {compass_point(turned)}" if point else degrees


def bearing_tick(bearing_deg):
    """A bearing [deg] at a scale: `265°`, with its point where it is just one of them: `270° W`."""
    degrees = round(_turned("bearing_deg", bearing_deg), 6) % 360
    point = f" {compass_point(degrees)}" if degrees % POINT_DEG == 0 else ""
    return f"{figures(degrees, 'g')}°{point}"


def latitude(latitude_deg):
    """A latitude [deg, north positive, -90 to 90]: `78.6° S`, `the equator`, `the North Pole`."""
    degrees = _latitude(latitude_deg)
    named = NAMED_LATITUDES.get(degrees)
    return say(named) if named else f"{figures(abs(degrees), '.6g')}° {_side(degrees, 'N', 'S')}"


def longitude(longitude_deg):
    """A longitude [deg, east positive, any turn of it]: `10.4° W`, and neither at 0° and 180°."""
    east = round(_turned("longitude_deg", longitude_deg, 180), 6) % 360 - 180
    side = "" if east % 180 == 0 else f" {_side(east, 'E', 'W')}"
    return f"{figures(abs(east), 'g')}°{side}"


def coordinates(latitude_deg, longitude_deg):
    """A place to 11 m: `51.5000° N, 10.4000° W`; latitude -90 to 90 deg, longitude -180 to 180."""
    latitude_deg = _latitude(latitude_deg)
    longitude_deg = require_number("longitude_deg", longitude_deg, -180, 180, unit="deg")
    return say(
        "{latitude:.4f}° {north}, {longitude:.4f}° {east}",
        latitude=abs(latitude_deg), north=_side(latitude_deg, "N", "S"),
        longitude=abs(longitude_deg), east=_side(longitude_deg, "E", "W"),
    )  # fmt: skip


def _latitude(latitude_deg):
    return require_number("latitude_deg", latitude_deg, -90, 90, unit="deg")


def _turned(name, angle_deg, ahead_deg=0):
    """An angle [deg] of whatever turn, and so much ahead of it, from 0 to below 360."""
    return (require_number(name, angle_deg, -MOST_DEG, MOST_DEG, unit="deg") + ahead_deg) % 360


def _side(degrees, positive, negative):
    return say(positive if degrees >= 0 else negative)
