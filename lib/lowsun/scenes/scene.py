"""What a scene is: a question, its controls, a pure computation, a picture and words.

A scene knows nothing of who plays it. The same description is played live, filmed along a path of
states, printed as a still, and swept by the tests.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import tomli_w

from lowsun import files
from lowsun.errors import InputFileError, quoted, require_kind
from lowsun.scenes.controls import Control, SceneError, StateError
from lowsun.words import term

LARGEST_STATE_BYTES = 8_000_000  # room for an ascent of the largest size within it, as base64


@dataclass(frozen=True, kw_only=True)
class Scene:
    """A question with its controls, the computation that answers it, its picture and its words.

    compute(state) -> result   pure; `state` is a complete mapping of control names to values
    picture(figure, look)      builds a `lowsun.drawing.picture.Picture`, once
    describe(result) -> str    one or two plain sentences with the numbers that matter, rounded
    draft(state) -> result     a faster, rougher compute, shown while a control moves (optional)
    at(state, when) -> result  as compute, at an aware instant: so a stage can follow the clock
                               (optional)
    sized                      whether both take a fineness besides: the pixels shown for one of the
                               1280 across for which pictures are laid out. Colour pictures are
                               then computed in the pixels that show them
    doing                      what a viewer reads while the computation takes long
    cues                       short lines for the person speaking
    seldom                     the names of controls that a page folds away until asked for
    """

    name: str
    title: str
    question: str
    controls: tuple[Control, ...]
    compute: Callable[[Mapping], Any]
    picture: Callable[[Any, Any], Any]
    describe: Callable[[Any], str]
    cues: tuple[str, ...] = ()
    seldom: tuple[str, ...] = ()
    draft: Callable[[Mapping], Any] | None = None
    at: Callable[[Mapping, datetime], Any] | None = None
    sized: bool = False
    doing: str = term("Computing")

    def __post_init__(self):
        names = [control.name for control in self.controls]
        twice = {name for name in names if names.count(name) > 1}
        if twice:
            raise SceneError(f"Scene {self.name} has two controls named {', '.join(twice)}.")
        unknown = set(self.seldom) - set(names)
        if unknown:
            raise SceneError(f"Scene {self.name} folds away {', '.join(unknown)}: no such control.")

    def control(self, name):
        """The control of that name, or a StateError naming those there are."""
        for control in self.controls:
            if isinstance(name, str) and control.name == name:
                return control
        known = ", ".join(control.name for control in self.controls)
        raise StateError(f"Scene {self.name} has no control {_plain(name)}; it has: {known}.")

    def defaults(self):
        """The state the scene begins with."""
        return {control.name: control.default for control in self.controls}

    def check(self, state):
        """The complete state, every value checked; what is not named keeps its default."""
        if not isinstance(state, Mapping):
            raise StateError(
                f"The state is {quoted(state)}; give the names and values of controls."
            )
        given = {name: self.control(name).check(value) for name, value in state.items()}
        return self.defaults() | given

    def beside(self, state, folder):
        """The state with the files it names looked for in that folder, where a file named them."""
        state = require_kind("The state", state, Mapping, "the names and values of controls")
        return {name: self.control(name).beside(value, folder) for name, value in state.items()}

    def result(self, **values):
        """What the scene computes for the defaults with these values changed."""
        return self.compute(self.check(values))

    def computed(self, state, fineness, *, draft=False):
        """What a complete state gives for a picture of that fineness; a draft of it if wanted."""
        compute = self.draft if draft and self.draft is not None else self.compute
        return compute(state, fineness) if self.sized else compute(state)

    def sentence(self, **values):
        """What the scene says for the defaults with these values changed."""
        return self.describe(self.result(**values))

    def between(self, start, end, share):
        """The state a share (0..1) of the way between two complete states."""
        return {c.name: c.between(start[c.name], end[c.name], share) for c in self.controls}

    def sweep(self):
        """Yield (control, state) with one control after the other at each of its ends."""
        for control in self.controls:
            for value in control.ends:
                yield control, self.defaults() | {control.name: value}

    def save(self, state, path, *, overwrite=False):
        """Write a state as TOML: whole or not at all, and over nothing unless told to."""
        checked = self.check(state)
        plain = {control.name: control.plain(checked[control.name]) for control in self.controls}
        document = {"scene": self.name, "state": plain}
        with files.whole(path, overwrite=overwrite) as draft:
            draft.write_text(tomli_w.dumps(document), encoding="utf-8")

    def load(self, path):
        """The state saved at that path, checked."""
        document = files.toml(path, LARGEST_STATE_BYTES)
        if document.get("scene") != self.name:
            raise StateError(
                f"{path} holds a state of scene {quoted(document.get('scene'))}, not of"
                f" {self.name!r}. Open it in its own scene."
            )
        return self.check(self.beside(_state_table(document, path), files.path_of(path).parent))


def _plain(name):
    return name if isinstance(name, str) and len(name) < 40 else quoted(name)


def _state_table(document, path):
    table = document.get("state")
    if not isinstance(table, dict):
        raise InputFileError(f"{path} has no [state] table. Save the state again.")
    return table
