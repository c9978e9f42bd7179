"""Tiles of ground heights: SRTM .hgt by numpy, GeoTIFF of heights by Pillow."""

import re
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from PIL import Image, UnidentifiedImageError

from lowsun.errors import InputFileError, require_range
from lowsun.files import content, path_of

HGT_SIDES = {2 * side * side: side for side in (1201, 3601)}  # of 3" and of 1", by the file's size
HGT_VOID = -32768
PIXEL_SCALE, TIE_POINT, GEO_KEYS, NO_DATA = 33550, 33922, 34735, 42113  # tags of OGC GeoTIFF 1.1
MODEL_TYPE, RASTER_TYPE = 1024, 1025  # its keys
GEOGRAPHIC, PIXEL_IS_POINT = 2, 2  # their values
LOWEST_M, HIGHEST_M = -500.0, 9000.0  # of the ground; anything else is no height


@dataclass(frozen=True, eq=False)
class Tile:
    """Heights of the ground (R, C) [m], rows from north to south, NaN where they are not known.

    north_deg, west_deg: latitude and longitude of the first height; step_lat_deg, step_lon_deg:
    between neighbours, both positive.
    """

    name: str
    north_deg: float
    west_deg: float
    step_lat_deg: float
    step_lon_deg: float
    height_m: np.ndarray

    def height_at(self, latitude_deg, longitude_deg):
        """Height of the ground [m] by straight lines between four neighbours; NaN off the tile.

        latitude_deg, longitude_deg [deg]: as in `covers`.
        """
        lat, lon = _place(latitude_deg, longitude_deg)
        row = (self.north_deg - lat) / self.step_lat_deg
        column = (lon - self.west_deg) / self.step_lon_deg
        rows, columns = self.height_m.shape
        inside = (row >= 0) & (row <= rows - 1) & (column >= 0) & (column <= columns - 1)
        r = np.clip(row, 0, rows - 1).astype(int).clip(0, rows - 2)
        c = np.clip(column, 0, columns - 1).astype(int).clip(0, columns - 2)
        down, right = row - r, column - c
        upper = self.height_m[r, c] * (1 - right) + self.height_m[r, c + 1] * right
        lower = self.height_m[r + 1, c] * (1 - right) + self.height_m[r + 1, c + 1] * right
        return np.where(inside, upper * (1 - down) + lower * down, np.nan)

    def covers(self, latitude_deg, longitude_deg):
        """Whether places lie on the tile.

        latitude_deg [deg] -90 to 90, longitude_deg [deg] -180 to 180. Raises OutOfRangeError
        outside.
        """
        rows, columns = self.height_m.shape
        south = self.north_deg - (rows - 1) * self.step_lat_deg
        east = self.west_deg + (columns - 1) * self.step_lon_deg
        lat, lon = _place(latitude_deg, longitude_deg)
        return (lat <= self.north_deg) & (lat >= south) & (lon >= self.west_deg) & (lon <= east)


def _place(latitude_deg, longitude_deg):
    return (
        require_range("latitude_deg", latitude_deg, -90, 90, unit="deg"),
        require_range("longitude_deg", longitude_deg, -180, 180, unit="deg"),
    )


def read_tile(path):
    """The `Tile` in an SRTM `.hgt` file or a GeoTIFF of heights in degrees."""
    path = path_of(path)
    return _hgt(path) if path.suffix.lower() == ".hgt" else _geotiff(path)


def _hgt(path):
    """Big-endian heights [m]; the name says the south-west corner: N52W011.hgt."""
    held = content(path)
    side = HGT_SIDES.get(len(held))
    if side is None:
        raise InputFileError(
            f"{path} holds {len(held)} bytes; an SRTM tile has {' or '.join(map(str, HGT_SIDES))}."
            " Fetch it again."
        )
    corner = re.fullmatch(r"([NS])(\d{2})([EW])(\d{3})", path.stem.upper())
    if corner is None:
        raise InputFileError(
            f"{path.name} does not say where it lies; an SRTM tile is named by its south-west"
            " corner, such as N52W011.hgt."
        )
    south = int(corner[2]) * (1 if corner[1] == "N" else -1)
    west = int(corner[4]) * (1 if corner[3] == "E" else -1)
    height = np.frombuffer(held, dtype=">i2").reshape(side, side).astype(float)
    height[height == HGT_VOID] = np.nan
    step = 1 / (side - 1)
    return Tile(path.name, south + 1.0, float(west), step, step, height)


def _geotiff(path):
    try:
        image = Image.open(BytesIO(content(path)))
        height = np.asarray(image, dtype=float)
    except (UnidentifiedImageError, OSError, ValueError) as refused:
        raise InputFileError(f"{path} is no TIFF that can be read: {refused}.") from refused
    tags = getattr(image, "tag_v2", {})
    if PIXEL_SCALE not in tags or TIE_POINT not in tags or height.ndim != 2:
        raise InputFileError(
            f"{path} does not say where it lies, or holds no single layer of heights. Give a"
            " GeoTIFF in degrees of latitude and longitude."
        )
    keys = _geo_keys(tags.get(GEO_KEYS, ()))
    if keys.get(MODEL_TYPE, GEOGRAPHIC) != GEOGRAPHIC:
        raise InputFileError(
            f"{path} is drawn on a map's grid. Give a GeoTIFF in degrees of latitude and longitude."
        )
    step_lon, step_lat = (float(one) for one in tags[PIXEL_SCALE][:2])
    column, row, _, west, north = (float(one) for one in tags[TIE_POINT][:5])
    half = 0.0 if keys.get(RASTER_TYPE) == PIXEL_IS_POINT else 0.5  # else its corner is tied
    height[_unknown(height, tags)] = np.nan
    return Tile(
        path.name,
        north + (row - half) * step_lat,
        west - (column - half) * step_lon,
        step_lat,
        step_lon,
        height,
    )


def _geo_keys(directory):
    """Short values of the GeoKeyDirectory: four numbers a key, after a heading of four."""
    entries = [directory[k : k + 4] for k in range(4, len(directory) - 3, 4)]
    return {key: value for key, where, _, value in entries if where == 0}


def _unknown(height, tags):
    unknown = (height < LOWEST_M) | (height > HIGHEST_M)
    if NO_DATA in tags:
        word = str(tags[NO_DATA]).strip("\0 ")
        unknown |= height == float(word) if word.lower() != "nan" else np.isnan(height)
    return unknown
