"""The command line: start, figures, film, plan, frames, compare, worksheet, check."""

import argparse
import sys
from importlib import import_module

from lowsun.errors import LowsunError

COMMANDS = {  # the module of each, imported when it is asked for, and what it does
    "start": ("start_command", "copy the notebooks into a folder of your own"),
    "figures": ("figures_command", "pictures of all scenes, with captions"),
    "film": ("film_command", "a path through scenes as a film"),
    "plan": ("evening_plan.command", "the plan of an evening: text and calendar"),
    "frames": ("frame_reader.command", "what the camera caught"),
    "compare": ("compare_command", "the kit's numbers beside those of others"),
    "worksheet": ("worksheet.command", "questions on paper, and their answers"),
    "check": ("check", "does everything stand ready on this machine?"),
}


class _Command(argparse.ArgumentParser):
    """The parser of one command, which gets its options when it is asked for.

    All commands together import everything the kit has: seconds, and 150 MB in every process.
    """

    def __init__(self, *, module="", **options):
        super().__init__(**options)
        self._module = module

    def parse_known_args(self, *given, **named):
        if self._module:
            module, self._module = self._module, ""
            import_module(f"lowsun.stage.{module}").add(self)
            return self.parse_known_args(*given, **named)
        self._refuse_dashes_for_values(given[0] if given else None)
        return super().parse_known_args(*given, **named)

    def _refuse_dashes_for_values(self, arguments):
        """`--folder=--`: argparse drops the two dashes, and gives a list of nothing for a text."""
        for each in arguments or ():
            option, _, value = each.partition("=")
            if option.startswith("-") and value == "--":
                self.error(f"argument {option}: expected a value, not two dashes")


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
        at = f": {refused.filename}" if refused.strerror and refused.filename else ""
        return _told(f"The system refused: {refused.strerror or refused}{at}.")


def _told(what):
    print(what, file=sys.stderr)
    return 1


def _parser():
    parser = argparse.ArgumentParser(prog="python -m lowsun", description="Optics of the low Sun.")
    commands = parser.add_subparsers(required=True, metavar="command", parser_class=_Command)
    for name, (module, what) in COMMANDS.items():
        commands.add_parser(name, help=what, module=module)
    return parser


if __name__ == "__main__":
    sys.exit(main())
