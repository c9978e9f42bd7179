"""What a player keeps of a scene: its picture, its state, the state as code, marks of a segment."""

from datetime import date
from pathlib import Path
from time import monotonic

import tomli_w

from lowsun import files
from lowsun.stage.segment import LONGEST_S
from lowsun.stage.stills import still
from lowsun.stage.takes import next_take
from lowsun.words import say

LEAST_S = 0.5  # of a move between two marks, or a film would not show it


def picture(scene, state, look):
    """Save the picture of a state as PNG and SVG, under the next number; returns what to say."""
    path = next_take(Path(say("{name}.png", name=scene.name)), ".png", ".svg")
    for each in (path, path.with_suffix(".svg")):
        still(scene, state, each, look=look)
    return say("Saved beside this notebook: {name} and {stem}.svg.", name=path.name, stem=path.stem)


def state_file(scene, state):
    """Save a state under the next number; returns what to say."""
    path = next_take(Path(f"{scene.name}-state.toml"))
    scene.save(state, path)
    return say(
        'Saved beside this notebook: {name}. scene("{scene}").load reads it.',
        name=path.name,
        scene=scene.name,
    )


def code(scene, state):
    """The line that brings the scene to a state; a file is named, not copied."""
    moved = {name: value for name, value in state.items() if value != scene.defaults()[name]}
    values = ", ".join(f"{name}={_literal(value)}" for name, value in moved.items())
    return f'stage = live(scene("{scene.name}")); stage.set({values}); stage'


def _literal(value):
    if isinstance(value, date):
        return f"date({value.year}, {value.month}, {value.day})"
    return repr(value.name) if hasattr(value, "content") else repr(value)


class Marks:
    """The states marked while a stage is played, kept as a segment file that grows.

    Each mark is a move from the one before, in the time that passed between them.
    """

    def __init__(self):
        self._path = None
        self._shots = []
        self._last = None
        self._number = 0

    def add(self, scene, state):
        """Add a mark and write the file; returns what to say."""
        now = monotonic()
        plain = {control.name: control.plain(state[control.name]) for control in scene.controls}
        if self._last is None or self._last[0] is not scene:
            self._begin(scene, plain)
        else:
            self._move(plain, now)
        self._last = scene, plain, now
        document = {"title": say("Marked by hand"), "cards": False, "shot": self._shots}
        with files.whole(self._path, overwrite=True) as draft:
            draft.write_text(tomli_w.dumps(document), encoding="utf-8")
        return say(
            "Mark {number} in {name}: python -m lowsun film makes it a film.",
            number=self._number,
            name=self._path.name,
        )

    def _begin(self, scene, plain):
        self._path = self._path or next_take(Path("segment.toml"))
        self._number += 1
        start = {name: value for name, value in plain.items() if value != ""}
        self._shots.append(
            {"scene": scene.name, "mark": f"mark {self._number}", "start": start, "move": []}
        )

    def _move(self, plain, now):
        _, before, then = self._last
        values = {name: value for name, value in plain.items() if value != before[name]}
        self._number += 1
        seconds = round(min(max(now - then, LEAST_S), LONGEST_S), 1)
        move = {"values": values, "seconds": seconds, "rest_s": 0.0}
        self._shots[-1]["move"].append(move | {"mark": f"mark {self._number}"})
