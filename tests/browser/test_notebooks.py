"""Every notebook in a real browser: it runs, every control moves its picture, nothing is amiss.

The toy's controls go to all their ends. Those of a scene are computed and drawn as a stage does it
in tests/scenes/test_every_scene.py, and its knobs end where they do in tests/stage/test_knobs.py.
"""

import itertools
import re
from pathlib import Path

import pytest

from lab import TOY

pytestmark = pytest.mark.browser
NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
PLAYED = re.compile(r'live\(scene\(\\"(\w+)\\"\)\)')  # as it stands in a notebook's file
TOY_STAGE = (*TOY, "stage.live(toy_scene.scene)")


@pytest.mark.parametrize(
    "source", [TOY_STAGE, *NOTEBOOKS], ids=["toy", *(n.stem for n in NOTEBOOKS)]
)
def test_a_notebook_runs_and_every_control_moves_its_picture(open_notebook, source):
    notebook = open_notebook(source, "toy.ipynb")
    notebook.run()
    assert notebook.cell_errors == []
    assert notebook.stages
    notebook.answer()
    for name, stage in zip(played(source), notebook.stages, strict=True):
        assert stage.alert == ""
        if source == swept_in(name):
            sweep(stage, to_all_ends=source == TOY_STAGE)
    assert notebook.troubles == []


def played(source):
    """The names of the scenes that a notebook plays, in their order."""
    return PLAYED.findall(source.read_text(encoding="utf-8")) if source in NOTEBOOKS else ["toy"]


def swept_in(name):
    """The first notebook that plays a scene: once through its controls is enough."""
    return next((each for each in NOTEBOOKS if name in played(each)), TOY_STAGE)


def sweep(stage, *, to_all_ends):
    """Every control from the start, to its ends or until the picture changes, and no alert."""
    stage.unfold()
    start = stage.picture()
    for control, moves in itertools.groupby(stage.moves(), key=lambda move: move[0]):
        changed = False
        for _, move in moves:
            move()
            assert stage.alert == "", control
            assert stage.picture_in_sight, control
            changed |= stage.picture() != start
            if changed and not to_all_ends:
                break
        assert changed, f"{control} changes nothing"
        stage.back_to_start()
        assert stage.alert == ""
