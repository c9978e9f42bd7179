"""Capture time, camera and orientation as a file's header tells them."""

from datetime import UTC, datetime, timedelta, timezone

import numpy as np

from lowsun.fieldwork.frames.picture import Shot

MAKE, MODEL, ORIENTATION, CHANGED = 0x010F, 0x0110, 0x0112, 0x0132  # tags of Exif 2.32
EXIF, GPS = 0x8769, 0x8825
TAKEN, TAKEN_OFFSET, TAKEN_FRACTION = 0x9003, 0x9011, 0x9291
FOCAL_LENGTH = 0x920A
GPS_TIME, GPS_DATE = 7, 29
UNKNOWN_CURVE = "tone curve unknown"
NO_TIME = "no capture time in the header"
NO_OFFSET = "camera's clock without its offset from UTC"
NO_TIMES = (NO_TIME, NO_OFFSET)


def shot(exif, utc_offset_h=None):
    """What the Exif tags of a picture tell, as a `Shot`.

    utc_offset_h [h]: what the camera's clock was ahead of UTC, used where the header lacks it.
    """
    camera = " ".join(str(exif.get(tag, "")).strip("\0 ") for tag in (MAKE, MODEL)).strip()
    when, why_not = _time_utc(exif, utc_offset_h)
    lens = f"{camera} {_focal_words(exif)}".strip()
    return Shot(time_utc=when, camera=camera, lens=lens, notes=(why_not,) if why_not else ())


def _focal_words(exif):
    try:
        return f"{float(exif.get_ifd(EXIF)[FOCAL_LENGTH]):.0f} mm"
    except (KeyError, TypeError, ValueError, ZeroDivisionError, OverflowError):
        return ""


def _time_utc(exif, utc_offset_h):
    inner = exif.get_ifd(EXIF)
    clock = _clock(inner.get(TAKEN) or exif.get(CHANGED), inner.get(TAKEN_FRACTION))
    if clock is None:
        return None, NO_TIME
    offset = _offset(inner.get(TAKEN_OFFSET), utc_offset_h)
    if offset is not None:
        return clock.replace(tzinfo=offset).astimezone(UTC), ""
    satellite = _satellite_time(exif.get_ifd(GPS))
    return (satellite, "") if satellite else (None, NO_OFFSET)


def _clock(text, fraction):
    try:
        clock = datetime.strptime(str(text).strip("\0 ")[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
    digits = str(fraction or "").strip("\0 ")
    return clock + timedelta(seconds=float(f"0.{digits}")) if digits.isdecimal() else clock


def _offset(text, utc_offset_h):
    try:
        return datetime.strptime(str(text).strip("\0 "), "%z").tzinfo
    except ValueError:
        return None if utc_offset_h is None else timezone(timedelta(hours=utc_offset_h))


def _satellite_time(gps):
    try:
        day = datetime.strptime(str(gps[GPS_DATE]).strip("\0 "), "%Y:%m:%d").replace(tzinfo=UTC)
        hour, minute, second = (float(part) for part in gps[GPS_TIME])
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return None
    return day + timedelta(hours=hour, minutes=minute, seconds=second)


def upright(codes, orientation):
    """The picture as it was seen, a view of its pixels; Exif orientation 1 to 8."""
    if orientation in (5, 6, 7, 8):
        codes = np.swapaxes(codes, 0, 1)
    if orientation in (3, 4, 7, 8):
        codes = codes[::-1]
    return codes[:, ::-1] if orientation in (2, 3, 6, 7) else codes


def shifted(clock, utc_offset_h):
    """A clock's time as UTC, the clock being `utc_offset_h` hours ahead of it.

    utc_offset_h [h].
    """
    return clock - timedelta(hours=utc_offset_h)
