"""The skyline round a place, from the heights of the ground: curvature and refraction included."""

import numpy as np

from lowsun.errors import InputError, OutOfRangeError, require_kind, require_number, takes
from lowsun.fieldwork.skyline.outline import Skyline
from lowsun.fieldwork.skyline.tiles import Tile
from lowsun.physics.layers import EARTH_RADIUS_M
from lowsun.sky.place import require_place

REFRACTION = 0.13  # curvature of a level ray over the Earth's; surveyors' mean by day, from memory
NEAREST_M = 50.0  # nearer ground is under one's feet
FARTHER = 1.004  # from one distance to the next
STEP_DEG = 0.1


@takes(tiles=(list, tuple), sea_beyond=bool)
def around(
    place,
    tiles,
    *,
    first_deg=0.0,
    last_deg=360.0,
    reach_m=80_000.0,
    sea_beyond=False,
    refraction=REFRACTION,
):
    """The `Skyline` seen from a `sky.Place` over tiles of ground heights.

    tan a = (h - e - d^2 (1 - k) / 2R) / d, the greatest along each bearing; e the eye's height over
    the sea, k `refraction`, R the Earth's radius.
    tiles: `Tile`s; first_deg, last_deg [deg] -360 to 360: bearings, clockwise; reach_m [m] 1000
    to 300 000: how far to look; refraction -1 to 1. sea_beyond: where the tiles end there is sea;
    otherwise that is an error, as is any height not known on the way.
    Good to the tiles' own heights: 10 m at 10 km are 0.06 deg. Leaves out trees and houses.
    """
    require_place(place)
    first_deg = require_number("first_deg", first_deg, -360, 360, unit="deg")
    last_deg = require_number("last_deg", last_deg, -360, 360, unit="deg")
    span = require_number("last_deg - first_deg", (last_deg - first_deg) % 360 or 360.0, 0.5, 360)
    reach = require_number("reach_m", reach_m, 1000, 300_000, unit="m")
    refraction = require_number("refraction", refraction, -1, 1)
    _require_over_ground(place, tiles)
    count = round(span / STEP_DEG)
    azimuth = first_deg + span * np.arange(count + (span < 360)) / count
    distance = np.geomspace(NEAREST_M, reach, int(np.log(reach / NEAREST_M) / np.log(FARTHER)) + 2)
    altitude = [
        _highest_deg(place, tiles, one, distance, sea_beyond, refraction) for one in azimuth
    ]
    return Skyline(azimuth % 360, np.array(altitude), f"the land round {place.name}")


def _highest_deg(place, tiles, azimuth_deg, distance_m, sea_beyond, refraction):
    latitude, longitude = _walked(place, azimuth_deg, distance_m)
    height = _heights(tiles, latitude, longitude, azimuth_deg, distance_m, sea_beyond)
    drop = distance_m**2 * (1 - refraction) / (2 * EARTH_RADIUS_M)
    rise = (height - place.eye_height_m - drop) / distance_m
    return float(np.degrees(np.arctan(rise.max())))


def _walked(place, azimuth_deg, distance_m):
    """Places at distances along a bearing, on a sphere [deg]."""
    lat, azimuth = np.radians(place.latitude_deg), np.radians(azimuth_deg)
    arc = distance_m / EARTH_RADIUS_M
    sine = np.sin(lat) * np.cos(arc) + np.cos(lat) * np.sin(arc) * np.cos(azimuth)
    east = np.arctan2(np.sin(azimuth) * np.sin(arc) * np.cos(lat), np.cos(arc) - np.sin(lat) * sine)
    longitude = place.longitude_deg + np.degrees(east)
    return np.degrees(np.arcsin(sine)), (longitude + 180) % 360 - 180


def _heights(tiles, latitude, longitude, azimuth_deg, distance_m, sea_beyond):
    height, covered = np.full(latitude.shape, np.nan), np.zeros(latitude.shape, bool)
    for tile in tiles:
        here = tile.covers(latitude, longitude) & ~covered
        height[here] = tile.height_at(latitude[here], longitude[here])
        covered |= here
    if sea_beyond:
        height[~covered] = 0.0
    unknown = np.flatnonzero(np.isnan(height))
    if unknown.size:
        where = f"{distance_m[unknown[0]] / 1000:.1f} km away at bearing {azimuth_deg % 360:.1f}"
        if covered[unknown[0]]:
            raise OutOfRangeError(
                f"The ground's height is not known {where}: the tile has a gap there. Fill it from"
                " another source."
            )
        raise OutOfRangeError(
            f"The tiles end {where}. Give the next one too, look less far, or say that there is"
            " sea beyond."
        )
    return height


def _require_over_ground(place, tiles):
    if not tiles:
        raise InputError("tiles is empty; give one or more of read_tile(...).")
    for tile in tiles:
        require_kind("tiles", tile, Tile, "one or more of read_tile(...)")
    here = [tile for tile in tiles if tile.covers(place.latitude_deg, place.longitude_deg)]
    if not here:
        raise OutOfRangeError(
            f"{place.name} lies on none of the tiles {', '.join(tile.name for tile in tiles)}."
        )
    ground = float(here[0].height_at(place.latitude_deg, place.longitude_deg))
    if ground > place.eye_height_m:
        raise OutOfRangeError(
            f"The ground at {place.name} is {ground:.0f} m high, the eye {place.eye_height_m:g} m."
            " Give the eye's height over the sea, ground included."
        )
