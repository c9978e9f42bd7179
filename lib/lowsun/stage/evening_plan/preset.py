"""A plan's options kept in a TOML file, and the list to tick with them."""

from pathlib import Path

import tomli_w

from lowsun import files
from lowsun.errors import InputFileError, LowsunError
from lowsun.scenes import readiness

READINESS = "readiness"
FILES = ("skyline", "tile", "sounding")
LEFT_OUT = (
    "command",
    "preset",
    "save_preset",
    "folder",
    "overwrite",
    "evenings",
)  # of one run, not of a kit


def loaded(path):
    """(command line arguments, list to tick) of a preset, or an InputFileError.

    `eye_height = 95.0` stands for `--eye-height 95.0`; a list for several values; a file is looked
    for beside the preset.
    """
    kept = dict(files.toml(path))
    try:
        items = readiness.require_items(kept.pop(READINESS, list(readiness.ITEMS)))
    except LowsunError as refused:
        raise InputFileError(f"{path}: {refused}") from refused
    arguments = []
    for name, value in kept.items():
        arguments += _arguments(path, name, _beside(path, name, value))
    return arguments, items


def _beside(path, name, value):
    """Files that a preset names lie beside it, unless their paths are whole."""
    if name not in FILES:
        return value
    folder = Path(path).parent
    return [_in(folder, one) for one in value] if isinstance(value, list) else _in(folder, value)


def _in(folder, name):
    return str(folder / name) if isinstance(name, str) else name


def _arguments(path, name, value):
    option = f"--{name.replace('_', '-')}"
    if isinstance(value, bool):
        return [option] if value else []
    values = value if isinstance(value, list) else [value]
    if any(isinstance(one, (dict, list, bool)) for one in values):
        raise InputFileError(f"{path}: {name} is {value!r}; give a number, text or a list.")
    # Joined by "=" where there is one, so that a negative number is not taken for an option.
    return [f"{option}={values[0]}"] if len(values) == 1 else [option, *map(str, values)]


def saved(options, items, path, *, overwrite=False):
    """Write the options and the list as a preset, whole or not at all."""
    kept = {name: _plain(value) for name, value in vars(options).items() if name not in LEFT_OUT}
    kept = {name: value for name, value in kept.items() if value is not None}
    kept[READINESS] = list(items)
    with files.whole(path, overwrite=overwrite) as draft:
        draft.write_text(tomli_w.dumps(kept, multiline_strings=False), encoding="utf-8")


def _plain(value):
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return str(value.resolve()) if isinstance(value, Path) else value
