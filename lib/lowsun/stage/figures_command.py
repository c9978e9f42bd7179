"""python -m lowsun figures: pictures of all scenes, with captions."""

from pathlib import Path

from lowsun import scenes
from lowsun.stage.figures import figures


def add(parser):
    """Add the command's options to its parser."""
    parser.add_argument("scene", nargs="*", default=list(scenes.NAMES), help="all, unless named")
    parser.add_argument("--folder", type=Path, default=Path("figures"), help="default: figures")
    parser.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.set_defaults(command=_figures)


def _figures(options):
    chosen = [scenes.named(name) for name in options.scene]
    for name in figures(chosen, options.folder, overwrite=options.overwrite):
        print(options.folder / f"{name}.png")
    return 0
