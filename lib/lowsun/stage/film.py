"""A path through a scene as a film: H.264, encoded here, its colours converted and said so."""

from pathlib import Path

from tqdm import tqdm

from lowsun.drawing.look import DARK, fineness
from lowsun.errors import OutOfRangeError, OutputFileError, require_range
from lowsun.files import whole
from lowsun.stage.canvas import Canvas

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

    path = Path(path)
    _require_film(path, frames_per_second, width_px)
    states = segment.states(frames_per_second)
    scene = segment.scene
    with (
        whole(path, overwrite=overwrite) as draft,
        encoder(draft, scene, frames_per_second, width_px) as write,
    ):
        for pixels in _frames(scene, states, look, width_px, progress):
            write(pixels)
    return len(states)


def _require_film(path, frames_per_second, width_px):
    if path.suffix not in ENDINGS:
        raise OutputFileError(
            f"{path} ends in {path.suffix or 'nothing'!r}; a film ends in {' or '.join(ENDINGS)}."
        )
    for name, value, low, high in [
        ("frames_per_second", frames_per_second, 1, 120),
        ("width_px", width_px, 320, 3840),
    ]:
        require_range(name, value, low, high)
        if value != int(value):
            raise OutOfRangeError(f"{name} is {value}; use a whole number.")
    if width_px % 32:
        below = width_px // 32 * 32
        raise OutOfRangeError(
            f"width_px is {width_px}; a 16:9 film with even sides has a multiple of 32. Use {below}"
            f" or {below + 32}."
        )


def _frames(scene, states, look, width_px, progress):
    """Yield the pixels of every frame; a state that rests is computed once."""
    canvas = Canvas(scene, look, width_px)
    last, pixels = None, None
    for state in tqdm(states, desc=scene.title, unit="frame", disable=not progress):
        if state != last:
            result = scene.computed(state, fineness(width_px))
            pixels = canvas.draw(result, scene.describe(result)).copy()
            last = state
        yield pixels
