"""Bearings, latitudes and longitudes in words; degrees all."""

from math import isfinite

from lowsun.errors import require_number

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
          "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")  # fmt: skip
POINT_DEG = 360 / len(POINTS)


def compass_point(bearing_deg):
    """The nearest of the sixteen compass points of a bearing [deg]: 270 -> `W`."""
    return POINTS[round(bearing_deg % 360 / POINT_DEG) % len(POINTS)]


def bearing(bearing_deg, digits=0, *, point=True):
    """A bearing [deg] as `270.1° W`, with so many digits, with its compass point or without.

    From 0° to below 360°: what rounds to 360° is 0°. Empty for NaN: at a pole no bearing exists.
    """
    if not isfinite(bearing_deg):
        return ""
    degrees = f"{round(float(bearing_deg) % 360, digits) % 360:.{digits}f}°"
    return f"{degrees} {compass_point(bearing_deg)}" if point else degrees


def bearing_tick(bearing_deg):
    """A bearing [deg] at a scale: `265°`, with its point where it is just one of them: `270° W`."""
    degrees = round(bearing_deg % 360, 6) % 360
    point = f" {compass_point(degrees)}" if degrees % POINT_DEG == 0 else ""
    return f"{degrees:g}°{point}"


def latitude(latitude_deg):
    """A latitude [deg, north positive, -90 to 90]: `78.6° S`, `the equator`, `the North Pole`."""
    degrees = require_number("latitude_deg", latitude_deg, -90, 90, unit="deg")
    side = "North" if degrees > 0 else "South"
    if abs(degrees) == 90:
        return f"the {side} Pole"
    return "the equator" if degrees == 0 else f"{abs(degrees):.6g}° {side[0]}"


def longitude(longitude_deg):
    """A longitude [deg, east positive, any turn of it]: `10.4° W`, and neither at 0° and 180°."""
    east = round((longitude_deg + 180) % 360, 6) % 360 - 180
    return f"{abs(east):g}°" + ("" if east % 180 == 0 else " E" if east > 0 else " W")


def coordinates(latitude_deg, longitude_deg):
    """A place to 11 m: `51.5000° N, 10.4000° W`."""
    north = f"{abs(latitude_deg):.4f}° {'N' if latitude_deg >= 0 else 'S'}"
    return f"{north}, {abs(longitude_deg):.4f}° {'E' if longitude_deg >= 0 else 'W'}"
