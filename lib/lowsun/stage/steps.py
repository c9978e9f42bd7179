"""The steps of a talk: scenes at their states, cards of plain text, a cue for each."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lowsun import files, scenes
from lowsun.errors import InputFileError, LowsunError
from lowsun.scenes.scene import Scene


@dataclass(frozen=True, kw_only=True)
class Step:
    """What one press of the key shows: a card, or a scene with one of its cues.

    Steps of the same `entry` leave the scene as the presenter has moved it.
    """

    entry: int = 0
    scene: Scene | None = None
    state: Mapping = field(default_factory=dict)
    controls: tuple[str, ...] = ()
    cue: str = ""
    card: str = ""
    text: str = ""


def cues(scene):
    """The steps of a scene played alone: one a cue."""
    return [Step(scene=scene, cue=cue) for cue in scene.cues or ("",)]


def load(path):
    """The title and the steps of a talk, or an InputFileError that names step and line.

    title = "The low Sun"
    [[step]]
    card = "The low Sun"
    text = "What you see is not where it is."
    [[step]]
    scene = "setting_sun"
    state = { seconds = -200 }
    controls = ["seconds", "haze"]
    cues = ["Where is the Sun in truth?"]
    """
    table = files.toml(path)
    entries = table.pop("step", [])
    if set(table) - {"title"} or not isinstance(entries, list):
        raise InputFileError(f"{path} is no talk: it holds a title and [[step]] tables.")
    steps = []
    for number, entry in enumerate(entries):
        try:
            steps += _steps_of(number, dict(entry))
        except (LowsunError, TypeError, ValueError) as refused:
            line = _line_of(path, number)
            raise InputFileError(f"{path}, step {number + 1} (line {line}): {refused}") from refused
    if not any(step.scene for step in steps):
        raise InputFileError(f"{path} is no talk: no [[step]] names a scene.")
    return table.get("title", Path(path).stem), steps


def _steps_of(number, entry):
    if "card" in entry:
        _require_known(entry, {"card", "text", "cue"})
        return [Step(entry=number, **entry)]
    _require_known(entry, {"scene", "state", "controls", "cues"})
    scene = scenes.named(entry.get("scene", ""))
    state = scene.check(entry.get("state", {}))
    controls = tuple(scene.control(name).name for name in entry.get("controls", ()))
    lines = entry.get("cues", scene.cues) or ("",)
    return [
        Step(entry=number, scene=scene, state=state, controls=controls, cue=cue) for cue in lines
    ]


def _require_known(entry, known):
    unknown = set(entry) - known
    if unknown:
        raise InputFileError(
            f"it holds {', '.join(sorted(unknown))}; allowed is: {', '.join(sorted(known))}."
        )


def _line_of(path, number):
    """The line on which a [[step]] begins: what reads TOML keeps no lines."""
    lines = files.content(path).decode("utf-8-sig").splitlines()
    begins = [at for at, line in enumerate(lines, 1) if re.match(r"\s*\[\[\s*step\s*\]\]", line)]
    return begins[number] if number < len(begins) else "?"
