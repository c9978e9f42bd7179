"""The command line: start, figures, film, plan, frames, compare, worksheet, check."""

import argparse
import sys
from pathlib import Path

from lowsun import scenes
from lowsun.errors import LowsunError
from lowsun.stage import compare_command, film_command, start_command
from lowsun.stage.check import check
from lowsun.stage.evening_plan import command as plan_command
from lowsun.stage.figures import figures
from lowsun.stage.frame_reader import command as frames_command
from lowsun.stage.worksheet import command as worksheet_command


def main(arguments=None):
    """Run one command; the exit status is 0, or 1 where it was refused or found something wrong."""
    try:
        options = _parser().parse_args(arguments)
        return options.command(options)
    except LowsunError as refused:
        return _told(refused)
    except KeyboardInterrupt:
        return _told("Stopped. What was being written was removed.")
    except MemoryError:
        return _told("There is not enough memory for this. Ask for a smaller picture.")
    except OSError as refused:
        return _told(f"The system refused: {refused.strerror or refused}.")


def _told(what):
    print(what, file=sys.stderr)
    return 1


def _parser():
    parser = argparse.ArgumentParser(prog="python -m lowsun", description="Optics of the low Sun.")
    commands = parser.add_subparsers(required=True, metavar="command")
    for add in (
        start_command.add,
        _add_figures,
        film_command.add,
        plan_command.add,
        frames_command.add,
        compare_command.add,
        worksheet_command.add,
        _add_check,
    ):
        add(commands)
    return parser


def _add_figures(commands):
    parser = commands.add_parser("figures", help="pictures of all scenes, with captions")
    parser.add_argument("scene", nargs="*", default=list(scenes.NAMES), help="all, unless named")
    parser.add_argument("--folder", type=Path, default=Path("figures"), help="default: figures")
    parser.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.set_defaults(command=_figures)


def _figures(options):
    chosen = [scenes.named(name) for name in options.scene]
    for name in figures(chosen, options.folder, overwrite=options.overwrite):
        print(options.folder / f"{name}.png")
    return 0


def _add_check(commands):
    parser = commands.add_parser("check", help="does everything stand ready on this machine?")
    parser.set_defaults(command=_check)


def _check(options):
    findings = list(check())
    for what, finding, good in findings:
        print(f"{'good' if good else 'FAILED'}  {what}: {finding}")
    return 0 if all(good for _, _, good in findings) else 1


if __name__ == "__main__":
    sys.exit(main())
