"""Files read with an answer when they cannot be, and written whole or not at all."""

import tomllib
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

from lowsun.errors import InputFileError, OutputFileError


def content(path):
    """The bytes of a file, or an InputFileError."""
    try:
        return Path(path).read_bytes()
    except OSError as refused:
        raise InputFileError(
            f"{path} cannot be read ({refused.strerror}). Check the name and the folder."
        ) from refused


def toml(path):
    """What a TOML file holds, as a dict, or an InputFileError that names the place of the slip."""
    try:
        return tomllib.loads(content(path).decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as refused:
        raise InputFileError(f"{path} is not TOML: {refused}. Correct it there.") from refused


@contextmanager
def whole(path, *, overwrite=False):
    """A temporary path beside `path`, renamed to it when the block ends well, else removed.

    Raises OutputFileError where the folder is missing, or where a file of that name is already
    there and `overwrite` is false.
    """
    path = Path(path)
    _require_writable(path, overwrite)
    draft = path.with_name(f".{path.stem}-{uuid4().hex[:8]}{path.suffix}")
    try:
        yield draft
        _require_writable(path, overwrite)
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


def _require_writable(path, overwrite):
    if not path.parent.is_dir():
        raise OutputFileError(f"There is no folder {path.parent}. Make it, or name another.")
    if path.is_dir():
        raise OutputFileError(f"{path} is a folder. Give the name of a file in it.")
    if path.exists() and not overwrite:
        raise OutputFileError(
            f"{path} is already there and was left as it is. Choose another name, or allow"
            " overwriting."
        )
