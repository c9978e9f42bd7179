"""python -m lowsun start: the notebooks in a folder of your own, nothing of yours overwritten."""

from importlib.resources import files
from pathlib import Path

import lowsun
from lowsun.errors import InputFileError
from lowsun.files import path_of, whole

SHIPPED = Path(str(files("lowsun"))) / "shipped" / "notebooks"  # in a wheel
BESIDE = Path(lowsun.__file__).parents[2] / "notebooks"  # in the repository
NOTEBOOKS = ("*.ipynb", "pt/*.ipynb", *(f"{talk}/*.{kind}" for talk in ("talk", "pt/talk")
                                       for kind in ("ipynb", "toml")))  # fmt: skip
DATA = ("evening_*.toml", "polar_descent.toml", "last_light_segment.toml")  # to change
FIRST = "00-start-here.ipynb"


DESCRIPTION = (
    "Copies the notebooks, the talk, the plans' presets and the film's segment into a folder. What"
    " is there already is left as it is."
)


def add(parser):
    """Add the command's options to its parser."""
    parser.description = DESCRIPTION
    parser.add_argument("folder", type=Path, help="made where it is missing")
    parser.set_defaults(command=start)


def start(options):
    """Copy what is missing, say what was left, and return the exit status."""
    folder = path_of(options.folder)
    left = [name for name, content in sources() if not _copied(folder / name, content)]
    for name in left:
        print(f"{folder / name} was there already and was left as it is.")
    print(f"Next: jupyter lab {folder / FIRST}")
    return 0


def sources():
    """Yield (name in the folder, bytes) of everything that is copied."""
    notebooks = next((each for each in (SHIPPED, BESIDE) if (each / FIRST).is_file()), None)
    if notebooks is None:
        raise InputFileError(
            "The notebooks did not come along with this installation. Install the kit's wheel, or"
            " from its repository: pip install ./lib"
        )
    for pattern in NOTEBOOKS:
        for path in sorted(notebooks.glob(pattern)):
            yield path.relative_to(notebooks).as_posix(), path.read_bytes()
    data = Path(str(files("lowsun.data")))
    for pattern in DATA:
        for path in sorted(data.glob(pattern)):
            yield f"segments/{path.name}", path.read_bytes()


def _copied(path, content):
    """Whether the file stands there now as it was shipped."""
    if path.exists():
        return path.is_file() and path.read_bytes() == content
    path.parent.mkdir(parents=True, exist_ok=True)
    with whole(path) as draft:
        draft.write_bytes(content)
    return True
