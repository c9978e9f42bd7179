"""A folder of frames, worked through by one process or many, stopped and taken up again."""

import json
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from itertools import islice
from multiprocessing import get_context
from os import cpu_count
from os import path as os_path
from threading import local
from time import monotonic

from lowsun.errors import (
    InputFileError,
    quoted,
    require_executor,
    require_kind,
    require_whole,
)
from lowsun.fieldwork.frames import clips, green, infrared, lens_colour, measuring, reading, table
from lowsun.files import made_folder, path_of

TABLE = "frames.csv"
PROGRESS = "frames-progress.jsonl"
METHOD = 9  # raised when the measuring changes, so that what was kept is measured anew
FEW_FILES = 3  # so few are sooner read than a second process begins
IN_FLIGHT = 4  # files handed to each process in advance
TABLE_EVERY_S = 20.0
FOLLOWED_S = 0.5  # after which a clip's green sliver is no longer looked for where it was
CRASHED = "damaged: the decoder broke down over it"

_kept_by_thread = local()


@dataclass(frozen=True)
class Progress:
    """How far a folder is worked through: files done, files in all, seconds left or None."""

    done: int
    total: int
    left_s: float | None


def read_folder(folder, out, *, executor=None, processes=None, utc_offset_h=None, tell=None):
    """Measure every file of a folder into `out`/frames.csv; returns [(file, Reading)], sorted.

    Files already measured, and unchanged since, are not measured again. Originals are only read.
    executor: any of `concurrent.futures`, such as Dask's; by default `processes` of this machine,
    one for each core. utc_offset_h [h]: of the camera's clock, where headers lack it.
    tell: called with a `Progress` after each file. Stopped by an exception of `tell`, or by the
    user, the table holds what was measured.
    utc_offset_h -14 to 14; processes 1 to 256.
    Raises InputFileError where there is no folder, or no file in it.
    """
    processes = _count(processes)
    require_executor(executor)
    reading.require_offset(utc_offset_h)
    require_kind("tell", tell, Callable | None, "a function that takes a Progress, or None")
    folder = path_of(folder)
    if not os_path.isdir(folder):
        raise InputFileError(f"There is no folder {quoted(str(folder))}. Check its name.")
    out = made_folder(out)
    table.check(out / TABLE)
    files = _files(folder, out)
    if not files:
        raise InputFileError(f"There is no file in {folder}. Name the folder of the frames.")
    with _Kept(out / PROGRESS, set(files.values())) as kept:
        done = {name: kept.taken(key) for name, key in files.items() if key in kept}
        work = partial(readings, utc_offset_h=utc_offset_h)
        todo = [name for name in files if name not in done]
        try:
            _work_through(folder, todo, files, done, kept, out, work, executor, processes, tell)
        finally:
            found = _sorted(done)
            table.write(out / TABLE, found)
    return found


def _count(processes):
    return (
        (cpu_count() or 1) if processes is None else require_whole("processes", processes, 1, 256)
    )


def readings(path, utc_offset_h=None):
    """[(suffix of the name, `Reading`)]: one of a still, one of each frame kept of a clip.

    A clip's frames are named by media fragments, `#t=12.300` for 12.3 s (W3C Media Fragments 1.0).
    Whatever goes wrong becomes a reading with its reason.
    """
    path = path_of(path)
    reading.require_offset(utc_offset_h)
    if path.suffix.lower() in clips.SUFFIXES:
        return _clip(path)
    try:
        # The picture ends here: a `Reading` holds plain numbers and nothing of its pixels.
        return [("", measuring.measure(reading.read(path, utc_offset_h, _shelf())))]
    except Exception as refused:  # one file must not end the folder
        return [("", measuring.Reading(reasons=(_words(refused),)))]


def _shelf():
    """This thread's own, so that no other reads into it meanwhile."""
    if not hasattr(_kept_by_thread, "shelf"):
        _kept_by_thread.shelf = reading.Shelf()
    return _kept_by_thread.shelf


def _clip(path):
    found, sliver, at = [], None, 0.0
    try:
        for seconds, picture in clips.frames(path):
            one = measuring.measure(picture)
            if sliver and not one.green and seconds - at < FOLLOWED_S:
                one = measuring.followed(picture, one, sliver)
            if one.kind == green.SLIVER:
                sliver, at = one, seconds
            found.append((f"#t={seconds:.3f}", one))
    except Exception as refused:
        found.append(("", measuring.Reading(reasons=(_words(refused),))))
    return found


def _words(refused):
    if isinstance(refused, InputFileError):
        return str(refused)
    return f"could not be read ({type(refused).__name__}: {' '.join(str(refused).split())[:100]})"


def _files(folder, out):
    """The files within the folder, or an InputFileError that names what cannot be looked into."""
    try:
        return _files_within(folder, out)
    except OSError as refused:
        raise InputFileError(
            f"{refused.filename or folder} cannot be looked into ({refused.strerror}). Give a"
            " folder that holds the frames and nothing else."
        ) from refused


def _files_within(folder, out):
    """Names within the folder, sorted, each with what tells whether its file has changed."""
    own = out.resolve()
    files = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in name.parts)
        if hidden or not path.is_file() or _is_own(path, own, folder):
            continue
        state = path.stat()
        files[name.as_posix()] = f"{name.as_posix()}|{state.st_size}|{state.st_mtime_ns}|{METHOD}"
    return files


def _is_own(path, own, folder):
    """Was it written by the reader: in the output folder, or among the frames by our names?"""
    if own == folder.resolve():
        return path.parent.resolve() == own and path.name.startswith("frames")
    return own in path.resolve().parents


def _sorted(done):
    """The readings in the order of their files, with what only all of them together can tell."""
    found = [(f"{name}{suffix}", one) for name in sorted(done) for suffix, one in done[name]]
    return infrared.settled(lens_colour.without(found))


def _work_through(folder, todo, files, done, kept, out, work, executor, processes, tell):
    began, written, before = monotonic(), monotonic(), len(done)
    with _results(folder, todo, work, executor, processes) as results:
        for name, found in results:
            kept.add(files[name], found)
            done[name] = found
            if tell:
                tell(_progress(began, before, len(done), len(files)))
            if monotonic() - written > TABLE_EVERY_S:
                table.write(out / TABLE, _sorted(done))
                written = monotonic()


def _progress(began, before, done, total):
    pace = (monotonic() - began) / max(done - before, 1)
    return Progress(done, total, pace * (total - done))


@contextmanager
def _results(folder, todo, work, executor, processes):
    """An iterator of (name, readings), in the order in which they come."""
    if executor is not None:
        yield _handed_out(executor, folder, todo, work, IN_FLIGHT * processes)
    elif processes == 1 or len(todo) <= FEW_FILES:
        yield ((name, work(folder / name)) for name in todo)
    else:
        yield _by_processes(folder, todo, work, processes)


def _handed_out(executor, folder, todo, work, in_flight):
    waiting = iter(todo)
    pending = {executor.submit(work, folder / name): name for name in islice(waiting, in_flight)}
    try:
        while pending:
            for future in wait(pending, return_when=FIRST_COMPLETED).done:
                name = pending.pop(future)
                for following in islice(waiting, 1):
                    pending[executor.submit(work, folder / following)] = following
                yield name, future.result()
    finally:
        for future in pending:
            future.cancel()


def _by_processes(folder, todo, work, processes):
    """As `_handed_out`, with a new start where a decoder takes its process down with it."""
    left = dict.fromkeys(todo)
    alone = False
    while left:
        batch = [next(iter(left))] if alone else list(left)
        try:
            with _pool(1 if alone else processes) as pool:
                for name, found in _handed_out(pool, folder, batch, work, IN_FLIGHT * processes):
                    del left[name]
                    yield name, found
        except BrokenProcessPool:
            if alone:
                del left[batch[0]]
                yield batch[0], [("", measuring.Reading(reasons=(CRASHED,)))]
            alone = True


def _pool(processes):
    return ProcessPoolExecutor(processes, mp_context=get_context("spawn"))


class _Kept:
    """What was measured, a line of JSON a file, so that a kill loses one line at most.

    keys: of the files as they are now; lines of any other are passed over.
    """

    def __init__(self, path, keys):
        self.path = path
        self._readings = dict(_lines(path, keys))

    def __enter__(self):
        before = self.path.read_bytes() if self.path.is_file() else b""
        self._out = self.path.open("a", encoding="utf-8", newline="\n")
        if before and not before.endswith(b"\n"):
            self._out.write("\n")
        return self

    def __exit__(self, *raised):
        self._out.close()

    def __contains__(self, key):
        """Was the file measured as it is now?"""
        return key in self._readings

    def taken(self, key):
        """The readings of a file, which are handed over and held here no longer."""
        return self._readings.pop(key)

    def add(self, key, found):
        """Keep a file's readings at once."""
        values = [[suffix, table.kept(each)] for suffix, each in found]
        self._out.write(json.dumps({"file": key, "readings": values}) + "\n")
        self._out.flush()


def _lines(path, keys):
    """Wanted keys and readings of the whole lines; a torn or foreign one is passed over.

    Line by line: of ten thousand files all at once are 20 MB that are never given back.
    """
    if not path.is_file():
        return
    with path.open(encoding="utf-8", errors="replace") as lines:
        for text in lines:
            try:
                values = json.loads(text)
                if values["file"] in keys:
                    found = [(suffix, table.restored(each)) for suffix, each in values["readings"]]
                    yield values["file"], found
            except (ValueError, KeyError, TypeError, InputFileError):
                continue
