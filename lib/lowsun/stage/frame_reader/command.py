"""`python -m lowsun frames`: its options. What reads and draws is imported when it is run."""

from pathlib import Path

from lowsun.stage import air_options
from lowsun.stage.arguments import number

DESCRIPTION = (
    "Measure the Sun in every still, raw file and clip of a folder: is there green, is it burnt"
    " out, how flat is the disc, how far does green's limb stand above red's. Originals are only"
    " read. Stop it at any moment; the same command goes on where it stopped."
)
MODEL = (
    "With a place, each measurement stands beside what this kit's model expects for that instant,"
    " air, haze and camera: on the sheet, in a picture of the evening, and in frames-model.csv."
    " Each frame needs its time."
)
AIR = (
    ("eye-height", 2.0, "of the eye above the sea, in metres"),
    ("temperature", 15.0, "of the air at the sea, in degC"),
    ("pressure", 1013.25, "at the sea, in hPa"),
    ("lapse", 6.5, "fall of temperature upwards, in K/km"),
    ("sea-excess", 0.0, "sea warmer than the air, in K"),
)


def add(parser):
    """Add the command's options to its parser."""
    parser.description = DESCRIPTION
    parser.add_argument("frames", type=Path, metavar="FOLDER", help="stills, raw files, clips")
    parser.add_argument(
        "--folder", type=Path, default=Path("frames"), help="to write into; default: frames"
    )
    parser.add_argument("--processes", type=int, help="at once; default: one for each core")
    parser.add_argument(
        "--clock-ahead-h",
        type=number,
        metavar="HOURS",
        help="the camera's clock minus UTC, where files do not say: 1 for Central Europe in winter",
    )
    parser.add_argument(
        "--record",
        type=Path,
        metavar="CSV",
        help="your record of evenings: this one is added, earlier ones are shown beside it",
    )
    _add_model(parser.add_argument_group("beside the model", MODEL))
    parser.set_defaults(command=run)


def _add_model(group):
    for name, what in (("latitude", "degrees, north positive"),
                       ("longitude", "degrees, east positive")):  # fmt: skip
        group.add_argument(f"--{name}", type=number, metavar="N", help=what)
    for name, default, what in AIR:
        group.add_argument(
            f"--{name}",
            type=number,
            default=default,
            metavar="N",
            help=f"{what}; default {default:g}",
        )
    air_options.add_ascent(group)
    air_options.add_haze(group)
    group.add_argument(
        "--times", type=Path, metavar="CSV",
        help="file,time_utc: when frames or clips began, where headers lack it or were wrong",
    )  # fmt: skip
    camera = group.add_mutually_exclusive_group()
    camera.add_argument(
        "--camera-curves", type=Path, metavar="CSV",
        help="wavelength_nm,red,green,blue of your camera; without it illustrative curves",
    )  # fmt: skip
    camera.add_argument(
        "--infrared-modified", action="store_true", help="its infrared-cut filter was removed"
    )


def run(options):
    """Read the folder; 0, or 1 where it was stopped."""
    # Frames, sky and drawings: two seconds and 100 MB that the help does without.
    from lowsun.stage.frame_reader import run_command

    return run_command.run(options)
