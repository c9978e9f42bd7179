"""What stands before the sky: a level sea, a measured skyline, or one made from elevations."""

from lowsun.fieldwork.skyline.contacts import Gone, LandSunset, behind, land_sunset
from lowsun.fieldwork.skyline.outline import Skyline, parse, read
from lowsun.fieldwork.skyline.terrain import around
from lowsun.fieldwork.skyline.tiles import Tile, read_tile

__all__ = [
    "Gone",
    "LandSunset",
    "Skyline",
    "Tile",
    "around",
    "behind",
    "land_sunset",
    "parse",
    "read",
    "read_tile",
]
