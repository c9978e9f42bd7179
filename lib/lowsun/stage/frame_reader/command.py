"""`python -m lowsun frames`: a folder of frames in, a table and a contact sheet out."""

import sys
from pathlib import Path

from tqdm import tqdm

from lowsun.errors import require_range
from lowsun.fieldwork import frames
from lowsun.fieldwork.frames import record
from lowsun.stage.frame_reader import sheet

DESCRIPTION = (
    "Measure the Sun in every still, raw file and clip of a folder: is there green, is it burnt"
    " out, how flat is the disc, how far does green's limb stand above red's. Originals are only"
    " read. Stop it at any moment; the same command goes on where it stopped."
)


def add(commands):
    """The command's options, added to the parser of all commands."""
    parser = commands.add_parser("frames", help="what the camera caught", description=DESCRIPTION)
    parser.add_argument("frames", type=Path, metavar="FOLDER", help="stills, raw files, clips")
    parser.add_argument(
        "--folder", type=Path, default=Path("frames"), help="to write into; default: frames"
    )
    parser.add_argument("--processes", type=int, help="at once; default: one for each core")
    parser.add_argument(
        "--clock-ahead-h",
        type=float,
        metavar="HOURS",
        help="the camera's clock minus UTC, where files do not say: 1 for Central Europe in winter",
    )
    parser.add_argument(
        "--record",
        type=Path,
        metavar="CSV",
        help="your record of evenings: this one is added, earlier ones are shown beside it",
    )
    parser.set_defaults(command=run)


def run(options):
    """Read the folder; 0, or 1 where it was stopped."""
    _check(options)
    bar = tqdm(total=None, unit="file", disable=None, file=sys.stderr)
    try:
        found = frames.read_folder(
            options.frames,
            options.folder,
            processes=options.processes,
            utc_offset_h=options.clock_ahead_h,
            tell=lambda progress: _show(bar, progress),
        )
    except KeyboardInterrupt:
        bar.close()
        print(f"Stopped after {bar.n} files. The same command goes on from here.", file=sys.stderr)
        return 1
    bar.close()
    earlier = _earlier(options, found)
    sheet.write(options.frames, options.folder, found, earlier=earlier)
    print(sheet.summary(found))
    for name in ("frames.csv", sheet.PAGE, sheet.SHEET):
        print(options.folder / name)
    return 0


def _earlier(options, found):
    """The evenings recorded before this one, which is added."""
    if options.record is None:
        return []
    return record.add(options.record, record.line_of(options.frames, found))


def _check(options):
    if options.record is not None:
        record.lines(options.record)  # a wrong record is told before the work, not after it
    if options.processes is not None:
        require_range("--processes", options.processes, 1, 256)
    if options.clock_ahead_h is not None:
        require_range("--clock-ahead-h", options.clock_ahead_h, -14, 14, unit="h")


def _show(bar, progress):
    bar.total = progress.total
    bar.update(progress.done - bar.n)
