"""The upper limb of a frame, cut out and magnified for the eye."""

import numpy as np
from PIL import Image

from lowsun.fieldwork.frames import clips, reading
from lowsun.physics.colour import encode_srgb

WIDE_SHARE, HIGH_SHARE = 0.6, 0.3375  # of the disc's width: a window of 16:9
ABOVE = 0.55  # of the window's height that lies above the limb
LEAST_PX = 32  # width of the window


def upper_limbs(folder, found, width_px=480):
    """{file: picture (width x 9/16, width, 3) uint8} of frames in which a Sun was measured.

    found: [(file, `Reading`)]; a frame of a clip is named as in the table. What can no longer be
    read is left out.
    """
    pictures, of_clips = {}, {}
    for file, measured in found:
        if measured.column_px is None:
            continue
        name, _, seconds = file.partition("#t=")
        if seconds:
            of_clips.setdefault(name, {})[seconds] = (file, measured)
        else:
            pictures |= _still(folder / name, file, measured, width_px)
    for name, wanted in of_clips.items():
        pictures |= _from_clip(folder / name, wanted, width_px)
    return pictures


def _still(path, file, measured, width_px):
    try:
        return {file: cut(reading.read(path), measured, width_px)}
    except (reading.InputFileError, OSError):
        return {}


def _from_clip(path, wanted, width_px):
    pictures = {}
    try:
        for seconds, picture in clips.frames(path):
            entry = wanted.get(f"{seconds:.3f}")
            if entry:
                pictures[entry[0]] = cut(picture, entry[1], width_px)
            if len(pictures) == len(wanted):
                break
    except reading.InputFileError:
        pass
    return pictures


def cut(picture, measured, width_px):
    """The window around the upper limb, pixels repeated or averaged to the width wanted.

    width_px [px].
    """
    left, top, wide, high = _window(measured)
    rows = slice(max(0, round(top)), max(1, round(top + high)))
    columns = slice(max(0, round(left)), max(1, round(left + wide)))
    light, row, column = picture.thinned(1, rows, columns)
    shown = np.moveaxis(encode_srgb(np.clip(_balanced(light, picture), 0, 1)), 0, -1)
    seen = Image.fromarray(np.round(255 * shown).astype(np.uint8))
    scale = width_px / wide * picture.period
    size = (max(1, round(column.size * scale)), max(1, round(row.size * scale)))
    magnified = seen.resize(size, Image.Resampling.NEAREST if scale > 1 else Image.Resampling.BOX)
    sheet = Image.new("RGB", (width_px, round(width_px * 9 / 16)))
    corner = (round(-edge * width_px / wide) for edge in (left, top))
    sheet.paste(magnified, tuple(max(0, place) for place in corner))
    return np.asarray(sheet)


def on_crop(measured, right_px, down_px, width_px=480):
    """Places in the cut-out picture (2, N) of points right and down of the limb's top [px]."""
    left, top, wide, _ = _window(measured)
    scale = width_px / wide
    across = (measured.column_px + right_px + 0.5 - left) * scale - 0.5
    return np.stack([across, (measured.top_px + down_px + 0.5 - top) * scale - 0.5])


def _window(measured):
    """Left and top edge, width and height of what is cut out [px]."""
    wide = max(WIDE_SHARE * measured.seen_width_px, LEAST_PX)
    high = wide * HIGH_SHARE / WIDE_SHARE
    return measured.column_px - wide / 2, measured.top_px - ABOVE * high, wide, high


def _balanced(light, picture):
    balance = picture.balance / picture.balance.max()
    return light * balance[:, None, None] if picture.pattern is not None else light
