"""The pictures of all scenes with captions and alternative texts, written to one folder."""

from pathlib import Path

from lowsun.drawing.look import DARK, PRINT
from lowsun.errors import OutputFileError
from lowsun.files import content, require_writable, whole
from lowsun.scenes import every
from lowsun.stage.stills import still

INDEX = "README.md"
WIDTH_PX = 1600
_HEAD = """\
# Figures

Every picture is computed by the scene of its name at the state it begins with, by
`python -m lowsun figures`: with a dark surround for screens, and black on white for paper. Each
sentence is the picture's alternative text too, inside the files.
"""


def figures(scenes, folder, *, overwrite=False):
    """Yield the name of each scene once its files and, at the end, the index stand in `folder`.

    An index that the kit wrote keeps its other entries; another README.md is refused before the
    first picture is made, and so is a picture that is there already unless `overwrite`.
    """
    folder, scenes = Path(folder), list(dict.fromkeys(scenes))
    entries = _entries(folder / INDEX)
    for scene in scenes:
        for path, _ in _pictures(scene, folder):
            require_writable(path, overwrite=overwrite)
    for scene in scenes:
        for path, look in _pictures(scene, folder):
            sentence = still(scene, {}, path, look=look, width_px=WIDTH_PX, overwrite=overwrite)
        entries[scene.title] = _entry(scene, sentence)
        yield scene.name
    _write_index(folder / INDEX, entries)


def _pictures(scene, folder):
    yield folder / f"{scene.name}.png", DARK
    yield folder / f"{scene.name}-print.png", PRINT


def _entries(index):
    """What the index says of each picture so far, by title; none but the kit's own is touched."""
    require_writable(index, overwrite=True)
    if not index.exists():
        return {}
    head, *entries = content(index).decode("utf-8", errors="replace").split("\n## ")
    if not _HEAD.startswith(head.rstrip()) or not head.strip():
        raise OutputFileError(
            f"{index} is not the kit's index of figures and was left as it is. Name another folder."
        )
    return {entry.partition("\n")[0]: f"## {entry.rstrip()}\n" for entry in entries}


def _write_index(index, entries):
    order = [scene.title for scene in every() if scene.title in entries]
    titles = dict.fromkeys([*order, *entries])
    with whole(index, overwrite=True) as draft:
        text = "\n".join([_HEAD, *(entries[title] for title in titles)])
        draft.write_text(text, encoding="utf-8")


def _entry(scene, sentence):
    alternative = sentence.replace("[", "(").replace("]", ")")
    return (
        f"## {scene.title}\n\n{scene.question}\n\n![{alternative}]({scene.name}.png)\n\n"
        f"{sentence} For paper: [{scene.name}-print.png]({scene.name}-print.png).\n"
    )
