"""The air and the haze of a command line, as several commands ask for them."""

from pathlib import Path

from lowsun.errors import InputError
from lowsun.fieldwork import plan as planning
from lowsun.physics import soundings
from lowsun.physics.extinction import HAZE
from lowsun.stage.arguments import number


def add_ascent(group):
    """--sounding and --ascent."""
    group.add_argument(
        "--sounding", type=Path, help="an ascent in place of temperature, pressure and lapse"
    )
    group.add_argument("--ascent", type=int, default=1, help="which of the file, from 1 on")


def add_haze(group):
    """--visibility and --haze."""
    group.add_argument("--visibility", type=number, help="in km, in place of --haze", metavar="N")
    group.add_argument("--haze", choices=tuple(HAZE), default="clear", help="what dims the Sun")


def haze_of(options):
    """The `Haze` asked for."""
    if options.visibility is None:
        return HAZE[options.haze]
    return planning.haze_of_visibility(options.visibility)


def ascent_of(options):
    """The air of the ascent asked for, or None."""
    if options.sounding is None:
        return None
    found = soundings.read(options.sounding)
    if not 1 <= options.ascent <= len(found):
        raise InputError(
            f"--ascent is {options.ascent}; {options.sounding} holds {len(found)}, counted from 1."
        )
    return found[options.ascent - 1].atmosphere()
