"""A sequence as a film: parts rendered here or by an executor, kept, joined without a seam.

What is finished is kept beside the film until it stands: a run that was stopped goes on from there.
"""

import hashlib
import heapq
import pickle
import shutil
from concurrent.futures import as_completed
from fractions import Fraction
from functools import cache
from io import BytesIO
from itertools import islice
from pathlib import Path

import av
from PIL import Image
from tqdm import tqdm

import lowsun
from lowsun.errors import InputFileError, OutputFileError
from lowsun.files import require_writable, whole
from lowsun.stage import captions, sound
from lowsun.stage.encoder import written
from lowsun.stage.page import Page
from lowsun.words import say, speaking, spoken

PART_FRAMES = 150
_BITS_PER_PIXEL = 0.15  # of each frame, at most, for what scenes show: measured, twice the mean
_BESIDE = (".vtt", ".png", ".txt")


def montage(sequence, path, size, rate, look, *, overwrite=False, progress=True, executor=None):
    """Film a sequence to `path`, with captions (.vtt), a poster (.png) and a description (.txt).

    Returns the number of frames. Parts of 150 frames are rendered one after the other, or by a
    `concurrent.futures` executor, Dask's included.
    """
    for each in (path, *(path.with_suffix(ending) for ending in _BESIDE)):
        require_writable(each, overwrite=overwrite)
    frames = sequence.frames(rate)
    _require_sound(sequence)
    _require_room(path.parent, frames, size)
    folder = path.with_name(f".{path.stem}-parts")
    folder.mkdir(exist_ok=True)
    jobs = [_Job(part, size, rate, look) for part in _parts(sequence.each_frame(rate))]
    _render(jobs, folder, executor, progress, frames)
    with whole(path, overwrite=overwrite) as draft:
        _join([folder / job.name for job in jobs], draft, sequence, rate)
    _write_beside(sequence, path, size, rate, look, overwrite)
    _remove([folder / job.name for job in jobs], folder)
    return frames


class _Job:
    """A part: its frames, how they are drawn, and a name that changes with either."""

    def __init__(self, frames, size, rate, look):
        self.asked = (frames, size, rate, look, spoken())
        digest = hashlib.sha256(pickle.dumps((self.asked, edition())))
        self.name = f"{digest.hexdigest()[:24]}.mp4"


@cache
def edition():
    """A digest of the kit's own code: parts drawn by another edition of it are not joined."""
    digest = hashlib.sha256()
    for path in sorted(Path(lowsun.__file__).parent.rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def rendered(frames, size, rate, look, language):
    """The bytes of one part, encoded on its own; runs in any process, in that language."""
    page, file = Page(size, look), BytesIO()
    with speaking(language), written(file, rate, size) as write:
        for frame in frames:
            write(page.pixels(frame))
    return file.getvalue()


def _parts(frames):
    while part := list(islice(frames, PART_FRAMES)):
        yield part


def _render(jobs, folder, executor, progress, frames):
    missing = [job for job in {job.name: job for job in jobs}.values()
               if not (folder / job.name).exists()]  # fmt: skip
    done = frames - sum(len(job.asked[0]) for job in missing)
    with tqdm(total=frames, initial=done, unit=say("frame"), disable=not progress) as bar:
        for job, content in _results(missing, executor):
            with whole(folder / job.name, overwrite=True) as draft:
                draft.write_bytes(content)
            bar.update(len(job.asked[0]))


def _results(jobs, executor):
    if executor is None:
        for job in jobs:
            yield job, rendered(*job.asked)
        return
    running = {executor.submit(rendered, *job.asked): job for job in jobs}
    for finished in as_completed(running):
        yield running[finished], finished.result()


def _require_sound(sequence):
    if sequence.sound is None:
        return
    lasts = sound.length_s(sequence.sound)
    if lasts > sequence.length_s + 0.5:
        raise InputFileError(
            f"The sound {sequence.sound} lasts {lasts:.1f} s, the film {sequence.length_s:.1f} s."
            ' Let it set the pace (pace = "sound"), or let a shot rest longer.'
        )


def _require_room(folder, frames, size):
    """Refuse before anything is rendered what the disk cannot hold, parts and film."""
    needed = 2 * frames * size[0] * size[1] * _BITS_PER_PIXEL / 8
    free = shutil.disk_usage(folder).free
    if needed > free:
        raise OutputFileError(
            f"{frames} frames of {size[0]} x {size[1]} may take {needed / 1e6:.0f} MB, and {folder}"
            f" has room for {free / 1e6:.0f} MB. Make room, or ask for a smaller film."
        )


def _join(parts, draft, sequence, rate):
    options = {"movflags": "+faststart"} if draft.suffix == ".mp4" else {}
    with av.open(parts[0]) as first, av.open(draft, "w", options=options) as film:
        film.metadata.update(title=sequence.title, comment="; ".join(sequence.sources))
        film.set_chapters(_chapters(sequence))
        picture = film.add_stream_from_template(first.streams.video[0])
        laid = [] if sequence.sound is None else sound.add_to(film, sequence.sound)
        text = []
        if sequence.captions:
            timed_text = draft.suffix == ".mp4"
            kind = "mov_text" if timed_text else "subrip"
            track = film.add_mux_stream(kind, time_base=captions.TIME_BASE)
            text = captions.packets(sequence, track, timed_text=timed_text)
        for packet in heapq.merge(_moved(parts, picture, rate), laid, text, key=_time):
            film.mux(packet)


def _moved(parts, picture, rate):
    """The packets of all parts, each part's behind those before it."""
    begins = 0
    for part in parts:
        with av.open(part) as file:
            stream = file.streams.video[0]
            step = Fraction(1, rate) / stream.time_base
            for packet in file.demux(stream):
                if packet.dts is None:
                    continue
                packet.pts += round(begins * step)
                packet.dts += round(begins * step)
                packet.stream = picture
                yield packet
            begins += stream.frames


def _time(packet):
    return float(packet.dts * packet.time_base)


def _chapters(sequence):
    begins = [round(1000 * seconds) for seconds in sequence.beginnings_s]
    ends = [*begins[1:], round(1000 * sequence.length_s)]
    return [
        {
            "id": number, "start": start, "end": end, "time_base": Fraction(1, 1000),
            "metadata": {"title": shot.title},
        }
        for number, (shot, start, end) in enumerate(zip(sequence.shots, begins, ends, strict=True))
    ]  # fmt: skip


def _write_beside(sequence, path, size, rate, look, overwrite):
    poster = Image.fromarray(Page(size, look).pixels(_poster(sequence, rate))[..., :3])
    written_by = {
        ".vtt": lambda draft: draft.write_text(captions.webvtt(sequence), encoding="utf-8"),
        ".txt": lambda draft: draft.write_text(description(sequence), encoding="utf-8"),
        ".png": poster.save,
    }
    for ending, write in written_by.items():
        with whole(path.with_suffix(ending), overwrite=overwrite) as draft:
            write(draft)


def _poster(sequence, rate):
    """The last frame of the first scene; the first card where there is none."""
    shots = [shot for shot in sequence.shots if shot.path is not None] or sequence.shots
    *_, last = shots[0].each_frame(rate)
    return last


def description(sequence):
    """Title, chapters with their times, captions and sources, as plain text."""
    chapters = [
        f"{int(begins) // 60}:{int(begins) % 60:02d} {shot.title}"
        for shot, begins in zip(sequence.shots, sequence.beginnings_s, strict=True)
    ]
    words = [caption.text.strip() for caption in sequence.captions]
    return "\n".join([sequence.title, "", *chapters, "", *words, "", *sequence.sources, ""])


def _remove(parts, folder):
    for part in set(parts):
        part.unlink(missing_ok=True)
    if not any(folder.iterdir()):
        folder.rmdir()
