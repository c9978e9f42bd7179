"""The steps of a talk: scenes at their states, cards of plain text, a cue for each."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lowsun import files, scenes
from lowsun.errors import InputFileError
from lowsun.scenes.scene import Scene
from lowsun.stage.lines import require_known, told_at
from lowsun.words import say


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
    return [Step(scene=scene, cue=say(cue)) for cue in scene.cues or ("",)]


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
        with told_at(path, "step", number):
            steps += _steps_of(number, dict(entry))
    if not any(step.scene for step in steps):
        raise InputFileError(f"{path} is no talk: no [[step]] names a scene.")
    return table.get("title", Path(path).stem), steps


def _steps_of(number, entry):
    if "card" in entry:
        require_known(entry, {"card", "text", "cue"})
        return [Step(entry=number, **entry)]
    require_known(entry, {"scene", "state", "controls", "cues"})
    scene = scenes.named(entry.get("scene", ""))
    state = scene.check(entry.get("state", {}))
    controls = tuple(scene.control(name).name for name in entry.get("controls", ()))
    lines = entry.get("cues", tuple(map(say, scene.cues))) or ("",)
    return [
        Step(entry=number, scene=scene, state=state, controls=controls, cue=cue) for cue in lines
    ]
