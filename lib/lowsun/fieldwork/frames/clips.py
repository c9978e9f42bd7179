"""The frames of a clip, each with its time after the clip's beginning."""

from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import av
import numpy as np

from lowsun.errors import InputFileError
from lowsun.fieldwork.frames import header
from lowsun.fieldwork.frames.picture import Picture, Shot
from lowsun.fieldwork.frames.profile import srgb_curve

SUFFIXES = {".mp4", ".mov", ".m4v", ".mkv", ".avi", ".mts", ".m2ts", ".webm", ".mpg", ".mxf"}
KEPT_PER_S = 10.0  # frames a second that are measured: the end of a flash to a tenth of a second
HIGH_DEFINITION_ROWS = 720  # from which an untagged clip has the colours of BT.709; common practice
BT601, BT709 = 5, 1  # of libswscale
FULL = 253  # codes after the way from limited range to 255 and back from a lossy coding


def frames(path):
    """Yield (seconds, `Picture`) of a clip, at most KEPT_PER_S a second.

    seconds = pts x time base, from the first frame. InputFileError where it cannot be read, or
    cannot be read further: what came before stays good.
    """
    with _opened(path) as container:
        stream = container.streams.video[0]
        stream.thread_type = "AUTO"
        began = _began(container, stream)
        yield from _kept(container.decode(stream), began)


@contextmanager
def _opened(path):
    try:
        with av.open(str(path)) as container:
            if not container.streams.video:
                raise InputFileError("a clip without pictures")
            yield container
    except (av.FFmpegError, OSError, EOFError) as refused:
        raise InputFileError(f"damaged or cut short: {refused.strerror or refused}") from refused


def _kept(decoded, began):
    first = following = None
    for frame in decoded:
        if frame.pts is None or frame.time_base is None:
            continue
        at = float(frame.pts * frame.time_base)
        first = at if first is None else first
        following = first if following is None else following
        if at >= following - 1e-6:
            following = max(following + 1 / KEPT_PER_S, at)
            yield at - first, _picture(frame, began, at - first)
    if first is None:
        raise InputFileError("a clip without a picture that can be read")


def _picture(frame, began, seconds):
    tagged = int(frame.colorspace)
    guess = BT709 if frame.height >= HIGH_DEFINITION_ROWS else BT601
    space = tagged if tagged in (BT601, BT709) else guess
    codes = frame.reformat(format="rgb24", src_colorspace=space).to_ndarray()
    turns = round((getattr(frame, "rotation", 0) or 0) / 90) % 4
    when = began + timedelta(seconds=seconds) if began else None
    notes = (header.UNKNOWN_CURVE,) if began else (header.NO_TIME, header.UNKNOWN_CURVE)
    return Picture(
        codes=np.rot90(codes, turns),
        curve=srgb_curve(256),
        full_code=FULL,
        is_lossy=True,
        shot=Shot(time_utc=when, notes=notes),
    )


def _began(container, stream):
    """Time at which the clip began, or None; ISO 8601 in UTC, as MP4 and Matroska keep it."""
    text = container.metadata.get("creation_time") or stream.metadata.get("creation_time")
    try:
        when = datetime.fromisoformat(text)
    except (TypeError, ValueError):
        return None
    return when if when.tzinfo else when.replace(tzinfo=UTC)
