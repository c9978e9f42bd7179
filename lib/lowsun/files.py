"""Files read with an answer when they cannot be, and written whole or not at all.

Read are regular files of a sensible size, never a device or a pipe. What is written goes to a
draft beside it first. A draft is held by a lock while it is written: one that nobody holds was
left by a run that was killed, and the next run that writes to the folder removes it.
"""

import os
import stat
import tomllib
from contextlib import contextmanager, suppress
from pathlib import Path
from uuid import uuid4

from lowsun.errors import (
    InputError,
    InputFileError,
    LowsunError,
    OutputFileError,
    quoted,
    require_whole,
)
from lowsun.words import say, term

try:
    import fcntl
except ImportError:  # Windows, where drafts that were left stay
    fcntl = None

LARGEST_BYTES = 5_000_000  # an ascent at every second has 1 MB
LARGEST_TOML_BYTES = 1_000_000
MOST_DOTS = 200  # a line of TOML with more dots is refused
DRAFT = ".lowsun-draft-"
_REFUSALS = (  # of the operating system, as the C library words them
    term("No space left on device"), term("Permission denied"), term("Read-only file system"),
    term("No such file or directory"), term("Is a directory"), term("Not a directory"),
    term("File name too long"), term("File too large"), term("Disk quota exceeded"),
    term("Input/output error"), term("Operation not permitted"),
)  # fmt: skip
_NO_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)  # not for a pipe's writer


def content(path, most_bytes=LARGEST_BYTES):
    """The bytes of a regular file of up to `most_bytes`, or an InputFileError."""
    path = path_of(path)
    require_whole("most_bytes", most_bytes, 1, 2**40)
    try:
        with open(path, "rb", opener=_opened) as file:
            _require_regular(file, path, most_bytes)
            found = file.read(most_bytes + 1)
    except OSError as refused:
        raise InputFileError(
            say(
                "{path} cannot be read ({reason}). Check the name and the folder.",
                path=_shown(path),
                reason=_reason(refused),
            )
        ) from refused
    _require_size(len(found), path, most_bytes)
    return found


def toml(path, most_bytes=LARGEST_TOML_BYTES):
    """What a TOML file holds, as a dict, or an InputFileError that names the place of the slip."""
    text = content(path, most_bytes)
    try:
        _require_flat(text)
        return tomllib.loads(text.decode("utf-8-sig"))
    except RecursionError as refused:
        raise InputFileError(
            say("{path} nests its tables too deeply. Correct it there.", path=_shown(path))
        ) from refused
    except ValueError as refused:  # TOML's and Unicode's own, and numbers of too many digits
        reason = str(refused)[:200]
        raise InputFileError(
            say("{path} is not TOML: {reason}. Correct it there.", path=_shown(path), reason=reason)
        ) from refused


def _require_flat(text):
    """A name of thousands of parts takes a reader of TOML minutes."""
    if max(line.count(b".") for line in text.split(b"\n")) > MOST_DOTS:
        raise RecursionError


def path_of(path):
    """A Path of a text or path, or an InputError."""
    text = str(path) if isinstance(path, str | Path) else ""
    if not text or "\0" in text:
        raise InputError(f"path is {quoted(path)}; give the name of a file.")
    return Path(path)


def made_folder(path):
    """The folder of that name, made where there is none, or an OutputFileError: why not."""
    path = path_of(path)
    with _told(path):
        path.mkdir(parents=True, exist_ok=True)
    return path


@contextmanager
def whole(path, *, overwrite=False):
    """A temporary path beside `path`, renamed to it when the block ends well, else removed.

    Where a file of that name is already there, it is replaced if `overwrite`: through a link, the
    file it leads to. If not, of several that write at once one wins. Raises OutputFileError with
    what the operating system refuses, while the block writes too.
    """
    named = path_of(path)
    require_writable(named, overwrite=overwrite)
    with _told(named):
        final = named.resolve() if overwrite else named.absolute()
        with _draft_beside(final) as draft:
            yield draft
            require_writable(named, overwrite=overwrite)
            _settle(draft, final, overwrite)


def require_writable(path, *, overwrite=False):
    """The path, or an OutputFileError that says why no file of that name can be written there."""
    path = path_of(path)
    if not isinstance(overwrite, bool):
        raise InputError(f"overwrite is {quoted(overwrite)}; give True or False.")
    with _told(path):
        if not path.parent.is_dir():
            raise OutputFileError(
                say(
                    "There is no folder {folder}. Make it, or name another.",
                    folder=str(path.parent),
                )
            )
        if path.is_dir():
            raise OutputFileError(
                say("{path} is a folder. Give the name of a file in it.", path=str(path))
            )
        if os.path.lexists(path) and not overwrite:
            raise _already_there(path)
        if path.exists() and not path.is_file():
            raise OutputFileError(
                say("{path} is no regular file. Choose another name.", path=str(path))
            )
    return path


def _already_there(path):
    return OutputFileError(
        say(
            "{path} is already there and was left as it is. Choose another name, or allow"
            " overwriting.",
            path=str(path),
        )
    )


@contextmanager
def _told(path):
    """What the operating system refuses, as a sentence about the file that was wanted."""
    try:
        yield
    except LowsunError:
        raise
    except OSError as refused:
        raise OutputFileError(
            say(
                "{path} cannot be written ({reason}). Choose another name or folder, or make room.",
                path=_shown(path),
                reason=_reason(refused),
            )
        ) from refused


@contextmanager
def _draft_beside(path):
    _remove_left_drafts(path.parent)
    draft = path.with_name(f"{DRAFT}{uuid4().hex}{path.suffix}")
    held = draft.open("xb") if fcntl else None
    try:
        if held:
            _hold(held)
        yield draft
    finally:
        if held:
            held.close()
        draft.unlink(missing_ok=True)


def _remove_left_drafts(folder):
    for left in folder.glob(f"{DRAFT}*") if fcntl else ():
        with suppress(OSError), left.open("rb") as file:
            if _hold(file):
                left.unlink()


def _hold(file):
    """Whether the lock is ours; some file systems have none."""
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _settle(draft, final, overwrite):
    if overwrite:
        draft.replace(final)
        return
    try:
        os.link(draft, final)  # unlike a rename, it never takes the place of another file
    except FileExistsError:
        raise _already_there(final) from None
    except OSError:  # a file system without links
        require_writable(final)
        draft.replace(final)


def _opened(path, flags):
    return os.open(path, flags | _NO_WAITING)


def _require_regular(file, path, most_bytes):
    found = os.fstat(file.fileno())
    if not stat.S_ISREG(found.st_mode):
        raise InputFileError(
            say("{path} is no regular file. Give the name of one.", path=_shown(path))
        )
    _require_size(found.st_size, path, most_bytes)


def _require_size(size, path, most_bytes):
    if size > most_bytes:
        raise InputFileError(
            say(
                "{path} has {size:.1f} MB or more; allowed is {most:g} MB. Give a smaller file, or"
                " cut out the part you want.",
                path=_shown(path),
                size=size / 1e6,
                most=most_bytes / 1e6,
            )
        )


def _reason(refused):
    return say(refused.strerror) if refused.strerror else str(refused)[:100]


def _shown(path):
    """A name as it is told: its end, where it is long."""
    text = str(path)
    return text if len(text) <= 200 else f"...{text[-100:]}"
