"""A path through a scene as a film: H.264, encoded here, its colours converted and said so."""

from tqdm import tqdm

from lowsun.drawing.look import DARK, fineness, require_width
from lowsun.errors import OutOfRangeError, OutputFileError, require_kind, require_whole
from lowsun.files import require_writable, whole
from lowsun.stage.canvas import Canvas
from lowsun.stage.segment import FRAMES_PER_SECOND, Segment
from lowsun.words import say

ENDINGS = (".mp4", ".mkv")


def film(
    segment,
    path,
    *,
    frames_per_second=30,
    width_px=1920,
    look=DARK,
    overwrite=False,
    progress=True,
):
    """Film a segment to `path` (.mp4 or .mkv), 16:9; returns the number of frames.

    H.264, 4:2:0, in the colours of BT.709 at limited range, and tagged as such. An existing file is
    refused unless `overwrite`; a failure on the way leaves nothing behind.
    """
    # Here, because the encoder is 17 MB that a kernel with a live picture can do without.
    from lowsun.stage.encoder import encoder

    path = require_film(path, overwrite)
    rate = require_whole("frames_per_second", frames_per_second, *FRAMES_PER_SECOND)
    width_px = _even_width(width_px)
    frames = require_kind("segment", segment, Segment, "a Segment").frames(rate)
    states = tqdm(
        segment.each_state(rate),
        say(segment.scene.title),
        frames,
        unit=say("frame"),
        disable=not progress,
    )
    with (
        whole(path, overwrite=overwrite) as draft,
        encoder(draft, segment.scene, rate, width_px) as write,
    ):
        for pixels in _frames(segment.scene, states, look, width_px):
            write(pixels)
    return frames


def require_film(path, overwrite):
    """The path of a film that may be written, or an OutputFileError."""
    path = require_writable(path, overwrite=overwrite)
    if path.suffix not in ENDINGS:
        raise OutputFileError(
            f"{path} ends in {path.suffix or 'nothing'!r}; a film ends in {' or '.join(ENDINGS)}."
        )
    return path


def _even_width(width_px):
    width_px = require_width(width_px)
    if width_px % 32:
        below = width_px // 32 * 32
        raise OutOfRangeError(
            f"width_px is {width_px}; a 16:9 film with even sides has a multiple of 32. Use {below}"
            f" or {below + 32}."
        )
    return width_px


def _frames(scene, states, look, width_px):
    """Yield the pixels of every frame; a state that rests is computed once."""
    canvas = Canvas(scene, look, width_px)
    last, pixels = None, None
    for state in states:
        if state != last:
            result = scene.computed(state, fineness(width_px))
            pixels = canvas.draw(result, scene.describe(result)).copy()
            last = state
        yield pixels
