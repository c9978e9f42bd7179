"""Both sheets of a scene in one folder: both of them, or none."""

from lowsun.errors import require_instant, require_kind, takes
from lowsun.files import path_of
from lowsun.scenes.lesson import lesson
from lowsun.scenes.scene import Scene
from lowsun.stage.evening_plan.folder import all_or_none
from lowsun.stage.paper import require_paper
from lowsun.stage.worksheet import sheets


@takes(overwrite=bool)
def write(scene, folder, state=None, *, paper="a4", overwrite=False, stamp=None):
    """Write both sheets about a scene into a folder, made if its parent is there; the paths.

    `<scene>-students.pdf` asks, `<scene>-teacher.pdf` answers for the same state: the scene's
    defaults with `state` changed. paper: "a4" or "letter"; stamp: the aware instant noted in the
    files. Nothing is written where a file of one of these names is there already and `overwrite` is
    false, and where the scene has no questions. Raises InputError for what is none of these.
    """
    require_kind("scene", scene, Scene, "a scene, such as lowsun.scenes.named('rims')")
    require_paper(paper)
    folder = path_of(folder)
    if stamp is not None:
        require_instant("stamp", stamp)
    steps, state = lesson(scene), scene.check({} if state is None else state)
    contents = {
        "students.pdf": sheets.students(scene, state, paper, stamp),
        "teacher.pdf": sheets.teacher(scene, state, steps, paper, stamp),
    }
    return all_or_none(folder, f"{scene.name}-", contents, overwrite)
