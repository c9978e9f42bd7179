"""The pictures of all scenes with captions and alternative texts, written to one folder."""

from lowsun.drawing.look import DARK, PRINT
from lowsun.errors import OutputFileError
from lowsun.files import whole
from lowsun.stage.still import still

INDEX = "README.md"
WIDTH_PX = 1600
_HEAD = """\
# Figures

Every picture is computed by the scene of its name at the state it begins with, by
`python -m lowsun figures`: with a dark surround for screens, and black on white for paper. Each
sentence is the picture's alternative text too, inside the files.
"""


def figures(scenes, folder, *, overwrite=False):
    """Yield the name of each scene once its files and, at the end, the index stand in `folder`."""
    if not folder.is_dir():
        raise OutputFileError(f"There is no folder {folder}. Make it, or name another.")
    entries = [_HEAD]
    for scene in scenes:
        for name, look in ((scene.name, DARK), (f"{scene.name}-print", PRINT)):
            path = folder / f"{name}.png"
            sentence = still(scene, {}, path, look=look, width_px=WIDTH_PX, overwrite=overwrite)
        entries.append(_entry(scene, sentence))
        yield scene.name
    with whole(folder / INDEX, overwrite=overwrite) as draft:
        draft.write_text("\n".join(entries), encoding="utf-8")


def _entry(scene, sentence):
    alternative = sentence.replace("[", "(").replace("]", ")")
    return (
        f"## {scene.title}\n\n{scene.question}\n\n![{alternative}]({scene.name}.png)\n\n"
        f"{sentence} For paper: [{scene.name}-print.png]({scene.name}-print.png).\n"
    )
