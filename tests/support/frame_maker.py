"""Frames of suns whose truth is known, made from geometry alone: nothing of the kit is used.

A sun is two half-ellipses with limb darkening, its channels shifted against each other; then blur,
noise, and a file: PNG, JPEG, TIFF of 8 or 16 bits, or a mosaic. Decoys are drawn beside it.
"""

from dataclasses import dataclass, field

import numpy as np
import tifffile
from PIL import Image
from scipy.ndimage import fourier_shift, gaussian_filter

FINE = 3  # samples across a pixel


@dataclass(frozen=True)
class Truth:
    """A frame as it is meant: lengths in px, light in shares of what is full, up is positive.

    centre: column and row; red, green, blue: light of the disc's middle; green_up, blue_up: how
    far those channels stand above red; lens: sizes of green and blue against red about the
    middle of the frame, less 1; sea_row: row of the horizon at the Sun's column; roll_deg: positive
    where its right end is higher; fades: light of the top over that of the bottom; flash:
    (width, height, gap) of a green piece above.
    """

    size: tuple = (480, 360)
    centre: tuple = (240.3, 170.6)
    width: float = 160.0
    upper: float = 62.0
    lower: float = 58.0
    light: tuple = (0.7, 0.35, 0.08)
    sky: tuple = (0.05, 0.03, 0.015)
    green_up: float = 0.8
    blue_up: float = 1.4
    lower_green_up: float | None = None
    blur: float = 1.2
    darkening: tuple = (0.45, 0.6, 0.75)
    noise: float = 0.004
    lens: tuple = (0.0, 0.0)
    sea_row: float | None = None
    roll_deg: float = 0.0
    flash: tuple | None = None
    flash_light: tuple = (0.02, 0.3, 0.12)
    gain: float = 1.0
    fades: float = 1.0
    seed: int = 0
    extra: tuple = field(default=())

    @property
    def axis_ratio(self):
        return (self.upper + self.lower) / self.width


def light(truth):
    """Linear light before clipping, (rows, columns, 3)."""
    planes = [_channel(truth, channel) for channel in range(3)]
    picture = np.stack(planes, axis=-1)
    for draw in truth.extra:
        picture = draw(picture, truth)
    random = np.random.default_rng(truth.seed)
    picture = picture * truth.gain
    spread = truth.noise * np.sqrt(np.maximum(picture, 0.0) + 0.02)
    return picture + spread * random.standard_normal(picture.shape)


def _channel(truth, channel):
    columns, rows = truth.size
    x = (np.arange(columns * FINE) + 0.5) / FINE - 0.5
    y = ((np.arange(rows * FINE) + 0.5) / FINE - 0.5)[:, None]
    plane = _disc(truth, channel, x, y) + truth.sky[channel]
    if truth.flash:
        plane = plane + _flash(truth, channel, x, y)
    plane = _over_sea(truth, channel, plane, x, y)
    blurred = gaussian_filter(plane, truth.blur * FINE)
    return blurred.reshape(rows, FINE, columns, FINE).mean(axis=(1, 3))


def _disc(truth, channel, x, y):
    up = (0.0, truth.green_up, truth.blue_up)[channel]
    low_up = up if truth.lower_green_up is None else (0.0, truth.lower_green_up, 0.0)[channel]
    zoomed = 1 + (0.0, *truth.lens)[channel]
    middle = (truth.size[0] / 2 - 0.5, truth.size[1] / 2 - 0.5)
    x = middle[0] + (x - middle[0]) / zoomed - truth.centre[0]
    y = middle[1] + (y - middle[1]) / zoomed - truth.centre[1]
    above = y < -(up + low_up) / 2
    height = np.where(above, (y + up) / truth.upper, (y + low_up) / truth.lower)
    rho2 = (x / (truth.width / 2)) ** 2 + height**2
    mu = np.sqrt(np.clip(1 - rho2, 0, 1))
    shade = 1 - truth.darkening[channel] * (1 - mu)
    shade = shade * truth.fades ** (-y / (truth.upper + truth.lower))
    return np.where(rho2 < 1, truth.light[channel] * shade, 0.0)


def _flash(truth, channel, x, y):
    wide, high, gap = truth.flash
    top = truth.centre[1] - truth.upper - gap - high / 2
    inside = ((x - truth.centre[0]) / (wide / 2)) ** 2 + ((y - top) / (high / 2)) ** 2 < 1
    return inside * truth.flash_light[channel]


def _over_sea(truth, channel, plane, x, y):
    if truth.sea_row is None:
        return plane
    slope = -np.tan(np.radians(truth.roll_deg))
    sea = y > truth.sea_row + slope * (x - truth.centre[0])
    return np.where(sea, 0.3 * truth.sky[channel], plane)


def srgb(linear):
    linear = np.clip(linear, 0, 1)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def eight_bits(linear):
    return np.round(srgb(linear) * 255).astype(np.uint8)


def write(path, truth, *, quality=92, subsampling=0, exif=None, tone=None):
    """The frame as a file; its suffix tells the kind: .png .jpg .tif (16 bits) .dng (mosaic)."""
    linear = light(truth)
    if tone is not None:
        linear = tone(np.clip(linear, 0, 1))
    if path.suffix == ".dng":
        write_dng(path, linear)
    elif path.suffix == ".tif":
        write_tiff(path, np.round(srgb(linear) * 65535).astype(np.uint16))
    else:
        options = {"quality": quality, "subsampling": subsampling} if path.suffix == ".jpg" else {}
        if exif is not None:
            options["exif"] = exif
        Image.fromarray(eight_bits(linear)).save(path, **options)
    return path


def write_tiff(path, codes):

    tifffile.imwrite(path, codes, photometric="rgb")


BLACK, WHITE = 512, 16383  # of the mosaic's codes


def write_dng(path, linear, neutral=(0.5, 1.0, 0.65)):
    """A mosaic RGGB as uncompressed DNG 1.4; `linear` is in the camera's own channels."""

    codes = np.clip(np.round(BLACK + linear * (WHITE - BLACK)), 0, WHITE).astype(np.uint16)
    mosaic = codes[..., 1].copy()
    mosaic[0::2, 0::2] = codes[0::2, 0::2, 0]
    mosaic[1::2, 1::2] = codes[1::2, 1::2, 2]
    matrix = [v for n in (1.0, -0.3, -0.1, -0.4, 1.2, 0.2, -0.1, 0.2, 0.6)
              for v in (int(n * 10000), 10000)]  # fmt: skip
    balance = [v for n in neutral for v in (int(n * 10000), 10000)]
    tags = [
        (50706, "B", 4, (1, 4, 0, 0), True),
        (50707, "B", 4, (1, 1, 0, 0), True),
        (50708, "s", 0, "Invented camera", True),
        (33421, "H", 2, (2, 2), True),
        (33422, "B", 4, (0, 1, 1, 2), True),
        (50714, "H", 1, BLACK, True),
        (50717, "H", 1, WHITE, True),
        (50721, "2i", 9, matrix, True),
        (50728, "2I", 3, balance, True),
        (50778, "H", 1, 21, True),
    ]
    tifffile.imwrite(
        path, mosaic, photometric=32803, extratags=tags, metadata=None, software="none"
    )


def shifted(channel, down, right=0.0):
    """A channel moved by a part of a pixel in the Fourier domain, its edges repeated."""

    padded = np.pad(channel, 32, mode="symmetric")
    moved = np.fft.ifft2(fourier_shift(np.fft.fft2(padded), (down, right))).real
    return moved[32:-32, 32:-32]
