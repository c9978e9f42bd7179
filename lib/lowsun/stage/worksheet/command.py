"""python -m lowsun worksheet: what a scene asks, on paper, and the answers for the teacher."""

import argparse
from pathlib import Path

from lowsun import scenes
from lowsun.scenes.lesson import with_questions
from lowsun.stage.paper import PAPERS
from lowsun.stage.worksheet.folder import write

EXAMPLES = """\
For every scene two files: SCENE-students.pdf, one page with the scene's picture, its questions and
room for a guess; SCENE-teacher.pdf, one page with a lesson of 45 minutes, and the answers computed
for the same settings.

  python -m lowsun worksheet rims
  python -m lowsun worksheet rims last_light --folder lesson --paper letter
  python -m lowsun worksheet setting_sun --state setting_sun-state-1.toml

The last takes your own evening: the file that the button "save state" under the scene writes.
Nothing that is there already is overwritten unasked.
"""


def add(parser):
    """Add the command's options to its parser."""
    parser.description = "The questions about a scene on paper, with the answers on a second sheet."
    parser.epilog = EXAMPLES
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("scene", nargs="+", metavar="SCENE", help=", ".join(with_questions()))
    parser.add_argument("--folder", type=Path, default=Path("worksheets"),
                        help="where to; default: worksheets")  # fmt: skip
    parser.add_argument("--paper", choices=PAPERS, default="a4", help="default: a4")
    parser.add_argument("--state", type=Path, help="a saved state of the scene, for one scene")
    parser.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.set_defaults(command=_worksheet)


def _worksheet(options):
    chosen = [scenes.named(name) for name in dict.fromkeys(options.scene)]
    for scene in chosen:
        state = scene.load(options.state) if options.state else None
        for path in write(
            scene, options.folder, state, paper=options.paper, overwrite=options.overwrite
        ):
            print(path)
    return 0
