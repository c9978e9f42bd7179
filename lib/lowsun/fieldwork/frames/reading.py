"""One file into a `Picture`: JPEG, PNG and TIFF of 8 and 16 bits, camera raw."""

import warnings
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import rawpy
import simplejpeg
import tifffile
from PIL import Image, UnidentifiedImageError
from PIL.JpegImagePlugin import get_sampling

from lowsun.errors import InputFileError, require_number, takes
from lowsun.fieldwork.frames import header
from lowsun.fieldwork.frames.picture import Picture
from lowsun.fieldwork.frames.profile import linearising, srgb_curve
from lowsun.files import path_of

MOST_PIXELS = 160e6  # above the largest cameras; a file that claims more is refused unread
MOST_KEPT = 140e6  # bytes of one picture that are kept for the next: 46 megapixels
LOSSY_FULL = 254  # a burnt-out patch comes back from JPEG within one code of 255
PLATEAU = 0.002  # share of the pixels that sit on the very greatest code: a sensor's end
RAW = {".3fr", ".ari", ".arw", ".bay", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".fff",
       ".iiq", ".k25", ".kdc", ".mef", ".mos", ".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf",
       ".raw", ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f"}  # fmt: skip
JPEGS = ("JPEG", "MPO")  # of several pictures in one file, as telephones write them, too
NOT_A_PICTURE = "not a picture or clip that can be read"
GREY = "grey: it has no colours to compare"
PRINT_COLOURS = "colours of print (CMYK), not of light"
ANIMATED = "animated: its first picture was measured"
PALETTE = "a palette of few colours"
EIGHT_BITS = "16 bits read as 8"
PROFILE = "colour profile not understood, read as sRGB"


class Shelf:
    """Memory for the codes of one JPEG after another: new pages cost a quarter of its decoding.

    What is read into it stands until the next reading into it. Keep one for a thread, and give it
    only where a picture is done with before the next is read.
    """

    def __init__(self):
        self._codes = np.empty(0, dtype=np.uint8)

    def room(self, columns, rows):
        """Memory for a picture of this size, or None where it would be too much to keep."""
        size = 3 * columns * rows
        if size > MOST_KEPT:
            return None
        if self._codes.size < size:
            self._codes = np.empty(size, dtype=np.uint8)
        return self._codes


@takes(shelf=Shelf)
def read(path, utc_offset_h=None, shelf=None):
    """The `Picture` that a still holds, upright; InputFileError says why there is none.

    utc_offset_h [h] -14 to 14: what the camera's clock was ahead of UTC, where the header does not
    say.
    shelf: a `Shelf`, where the picture is done with before the next is read into it.
    """
    path = path_of(path)
    require_offset(utc_offset_h)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _read(path, utc_offset_h, shelf)
    except InputFileError:
        raise
    except MemoryError as refused:
        raise InputFileError(f"{path.name} needs more memory than there is.") from refused
    except Exception as refused:  # decoders of damaged files raise whatever they stumble on
        raise InputFileError(f"damaged or cut short: {_brief(refused)}") from refused


def require_offset(utc_offset_h):
    """Refuse what no clock is ahead of UTC [h], -14 to 14 or None, by an OutOfRangeError."""
    if utc_offset_h is not None:
        require_number("utc_offset_h", utc_offset_h, -14, 14, unit="h")


def _brief(refused):
    words = " ".join(str(refused).split()) or type(refused).__name__
    return words[:100]


def _read(path, utc_offset_h, shelf):
    if path.stat().st_size == 0:
        raise InputFileError("empty file")
    if path.suffix.lower() in RAW:
        return _raw(path, utc_offset_h)
    try:
        opened = Image.open(path)
    except UnidentifiedImageError:
        raise InputFileError(NOT_A_PICTURE) from None
    except Image.DecompressionBombError:
        raise InputFileError("too many pixels") from None
    with opened as image:
        _require_size(*image.size)
        return _developed(path, image, header.shot(image.getexif(), utc_offset_h), shelf)


def _require_size(columns, rows):
    if columns * rows > MOST_PIXELS:
        raise InputFileError(f"too many pixels: {columns} x {rows}")


def _developed(path, image, shot, shelf):
    # A decoder may consume the header's fields: read them first.
    icc, exif, kind, mode = image.info.get("icc_profile"), image.getexif(), image.format, image.mode
    orientation = exif.get(header.ORIENTATION, 1)
    codes, notes = _codes(path, image, kind, mode, shelf)
    levels = 65536 if codes.dtype == np.uint16 else 256
    linear = linearising(icc if codes.ndim == 3 else None, levels)
    curve, matrix = linear or (srgb_curve(levels), None)
    if not linear:
        notes = (*notes, PROFILE)
    if shot.camera and codes.dtype == np.uint8:
        notes = (*notes, header.UNKNOWN_CURVE)
    halved = _halved(image, kind)
    lossy = kind in (*JPEGS, "WEBP")
    return Picture(
        codes=header.upright(codes, orientation),
        curve=curve,
        full_code=LOSSY_FULL if lossy else _full_code(codes, levels),
        matrix=matrix,
        is_lossy=lossy,
        colour_step=_colour_step(image, kind),
        halves_rows=halved[1] if orientation in (5, 6, 7, 8) else halved[0],
        shot=replace(shot, notes=(*shot.notes, *notes)),
    )


def _halved(image, kind):
    """Are the colours of its rows, of its columns, kept in half?"""
    if kind == "WEBP":
        return True, True
    sampling = get_sampling(image) if kind in JPEGS else 0
    return sampling == 2, sampling in (1, 2)


def _colour_step(image, kind):
    """The step in which a JPEG keeps the means of its colours over a block, 0 for other files."""
    tables = getattr(image, "quantization", None) if kind in JPEGS else None
    return int(tables[max(tables)][0]) if tables else 0


def _full_code(codes, levels):
    """The greatest code, or where a 16-bit file's sensor ended below it."""
    if levels == 256:
        return levels - 1
    sample = codes[:: max(1, codes.shape[0] // 500), :: max(1, codes.shape[1] // 500)]
    top = int(sample.max())
    return top if top > levels // 4 and np.mean(sample == top) > PLATEAU / 3 else levels - 1


def _codes(path, image, kind, mode, shelf):
    """Codes (R, C, 3) or (R, C), unsigned of 8 or 16 bits, with notes."""
    notes = (ANIMATED,) if getattr(image, "n_frames", 1) > 1 and kind != "MPO" else ()
    if kind == "TIFF" and _has_sixteen_bits(path):
        return _sixteen_bit_tiff(path, image, notes)
    if kind in ("JPEG", "MPO") and mode == "RGB":
        return _jpeg(path, image, shelf), notes
    if mode in ("1", "L", "LA") or mode.startswith("I") or mode == "F":
        return _grey(image, mode), (*notes, GREY)
    if mode == "CMYK":
        notes = (*notes, PRINT_COLOURS)
    if mode in ("P", "PA"):
        notes = (*notes, PALETTE)
    return _opaque(image), notes


def _jpeg(path, image, shelf):
    """The faster decoder; where it stumbles, Pillow tells whether the file is damaged."""
    room = shelf.room(*image.size) if shelf else None
    try:
        return simplejpeg.decode_jpeg(path.read_bytes(), strict=True, buffer=room)
    except ValueError:
        return np.asarray(image)


def _opaque(image):
    """Red, green and blue over black, so that what is transparent gives no light."""
    if image.mode in ("RGBA", "PA", "LA") or "transparency" in image.info:
        image = image.convert("RGBA")
        return np.asarray(Image.alpha_composite(Image.new("RGBA", image.size, "black"), image))[
            ..., :3
        ]
    return np.asarray(image.convert("RGB"))


def _grey(image, mode):
    if mode in ("1", "LA"):
        return np.asarray(image.convert("L"))
    values = np.asarray(image)
    if values.dtype.kind == "f":
        top = float(np.nanmax(values)) or 1.0
        return np.clip(np.nan_to_num(values) / top * 65535, 0, 65535).astype(np.uint16)
    return values if values.dtype == np.uint8 else np.clip(values, 0, 65535).astype(np.uint16)


def _has_sixteen_bits(path):
    with tifffile.TiffFile(path) as tiff:
        return tiff.pages[0].dtype == np.uint16


def _sixteen_bit_tiff(path, image, notes):
    """Pillow would cut it to 8 bits; a packing that needs another library is left to Pillow."""
    try:
        codes = tifffile.imread(path, key=0)
    except ValueError as refused:
        if "imagecodecs" not in str(refused):
            raise
        return _opaque(image), (*notes, EIGHT_BITS)
    if codes.ndim == 3 and codes.shape[0] in (3, 4) and codes.shape[2] not in (3, 4):
        codes = np.moveaxis(codes, 0, -1)
    if codes.ndim == 2:
        return codes, (*notes, GREY)
    return codes[..., :3] if codes.shape[2] > 2 else codes[..., 0], notes


def _raw(path, utc_offset_h):
    with rawpy.imread(str(path)) as raw:
        if raw.raw_image is None or raw.raw_image.ndim != 2 or raw.raw_pattern is None:
            raise InputFileError("raw without a colour mosaic")
        sizes = raw.sizes
        _require_size(sizes.raw_width, sizes.raw_height)
        period = _period(raw.raw_colors_visible)
        channel = np.where(raw.raw_colors_visible == 3, 1, raw.raw_colors_visible)
        if set(np.unique(channel[:period, :period])) != {0, 1, 2}:
            raise InputFileError("raw without a mosaic of red, green and blue")
        codes = raw.raw_image_visible.copy()
        black = float(np.mean(raw.black_level_per_channel))
        white = _white_level(raw)
        balance = _balance(raw.camera_whitebalance, raw.daylight_whitebalance)
        flip = {0: 1, 3: 3, 5: 8, 6: 6}.get(sizes.flip, 1)
        seconds = getattr(raw.other, "timestamp", None)
    curve = ((np.arange(65536) - black) / max(white - black, 1.0)).astype(np.float32)
    upright = header.upright(codes, flip)
    return Picture(
        codes=upright,
        curve=curve,
        full_code=_full_raw_code(upright, white),
        pattern=np.ascontiguousarray(header.upright(channel, flip)[:period, :period]),
        balance=balance,
        is_developed=False,
        shot=_raw_shot(path, seconds, utc_offset_h),
    )


def _full_raw_code(codes, white):
    return int(white) - max(1, int(white * 0.002))


def _period(colors):
    """2 for the usual mosaic, 6 where it does not repeat after 2."""
    return 2 if np.array_equal(colors[:2, :2], colors[2:4, 2:4]) else 6


def _white_level(raw):
    """The lowest of what the file says, so that no channel's end is missed."""
    each = raw.camera_white_level_per_channel
    return float(min(each)) if each and min(each) > 0 else float(raw.white_level)


def _balance(*offered):
    for factors in offered:
        three = np.array(factors[:3], dtype=float)
        if np.all(np.isfinite(three)) and np.all(three > 0):
            return three / three[1]
    return np.ones(3)


def _raw_shot(path, seconds, utc_offset_h):
    """Time from the file's Exif tags where Pillow can open it as TIFF, else from LibRaw."""
    try:
        with Image.open(path) as image:
            shot = header.shot(image.getexif(), utc_offset_h)
    except (OSError, ValueError, SyntaxError):
        shot = header.Shot(notes=(header.NO_TIME,))
    if shot.time_utc is None and seconds and utc_offset_h is not None:
        clock = datetime.fromtimestamp(_as_stamp(seconds), UTC)
        when = header.shifted(clock, utc_offset_h)
        return header.Shot(time_utc=when, camera=shot.camera, lens=shot.lens)
    return shot


def _as_stamp(seconds):
    return seconds.timestamp() if hasattr(seconds, "timestamp") else float(seconds)
