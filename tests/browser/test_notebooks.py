"""Every notebook in a real browser: it runs, every control reaches both ends, nothing is amiss."""

import itertools
from pathlib import Path

import pytest

from lab import TOY

pytestmark = pytest.mark.browser
NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))
TOY_STAGE = (*TOY, "stage.live(toy_scene.scene)")


@pytest.mark.parametrize(
    "source", [TOY_STAGE, *NOTEBOOKS], ids=["toy", *(n.stem for n in NOTEBOOKS)]
)
def test_a_notebook_runs_and_every_control_reaches_its_ends(open_notebook, source):
    notebook = open_notebook(source, "toy.ipynb")
    notebook.run()
    assert notebook.cell_errors == []
    assert notebook.stages
    notebook.answer()
    for stage in notebook.stages:
        sweep(stage)
    assert notebook.troubles == []


def sweep(stage):
    """Every end of every control, each from the start: a picture that changes, and no alert."""
    assert stage.alert == ""
    stage.unfold()
    start = stage.picture()
    for control, moves in itertools.groupby(stage.moves(), key=lambda move: move[0]):
        seen = {start}
        for _, move in moves:
            move()
            assert stage.alert == "", control
            assert stage.picture_in_sight, control
            seen.add(stage.picture())
        assert len(seen) > 1, f"{control} changes nothing"
        stage.back_to_start()
        assert stage.alert == ""
