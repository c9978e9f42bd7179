"""H.264 in the colours of BT.709, encoded in a thread of its own."""

from collections import deque
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import av
from av.video.reformatter import (
    ColorPrimaries,
    ColorRange,
    Colorspace,
    ColorTrc,
    Interpolation,
)

# x264: no loss to be seen on flat skies, nor farther from what was drawn than "veryfast" at 17, in
# three fifths of its time; the file is two thirds larger.
QUALITY = {"crf": "19", "preset": "superfast"}
WAITING_FRAMES = 4  # drawn, not yet encoded


@contextmanager
def encoder(path, scene, frames_per_second, width_px):
    """Yields write(pixels): frames are encoded in a thread of their own while the next is drawn."""
    try:
        with _opened(path, scene, frames_per_second, width_px) as write:
            yield write
    except av.FFmpegError as refused:
        raise OSError(refused.errno, refused.strerror) from refused


@contextmanager
def written(file, frames_per_second, size):
    """As `encoder`, into a file object: one part of a film, without words of its own."""
    with av.open(file, "w", format="mp4") as container:
        stream = _stream(container, frames_per_second, size)
        with _writing(container, stream) as write:
            yield write


@contextmanager
def _opened(path, scene, frames_per_second, width_px):
    with av.open(path, "w", options={"movflags": "+faststart"}) as container:
        container.metadata.update(title=scene.title, comment=scene.question)
        stream = _stream(container, frames_per_second, (width_px, width_px * 9 // 16))
        with _writing(container, stream) as write:
            yield write


@contextmanager
def _writing(container, stream):
    with ThreadPoolExecutor(max_workers=1) as thread:
        waiting = deque()

        def write(pixels):
            waiting.append(thread.submit(_encode, container, stream, pixels))
            if len(waiting) > WAITING_FRAMES:
                waiting.popleft().result()

        yield write
        for frame in waiting:
            frame.result()
    container.mux(stream.encode(None))


def _stream(container, frames_per_second, size):
    stream = container.add_stream("libx264", rate=int(frames_per_second), options=QUALITY)
    stream.width, stream.height = size
    stream.pix_fmt = "yuv420p"
    codec = stream.codec_context
    codec.color_primaries = ColorPrimaries.BT709
    codec.color_trc = ColorTrc.BT709
    codec.colorspace = Colorspace.ITU709
    codec.color_range = ColorRange.MPEG
    return stream


def _encode(container, stream, pixels):
    frame = av.VideoFrame.from_ndarray(pixels, format="rgba").reformat(
        format="yuv420p",
        dst_colorspace=Colorspace.ITU709,
        src_color_range=ColorRange.JPEG,
        dst_color_range=ColorRange.MPEG,
        interpolation=Interpolation.AREA,  # a colour is the mean of its four pixels
    )
    container.mux(stream.encode(frame))
