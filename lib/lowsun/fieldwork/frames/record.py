"""A record of one's own evenings: a small CSV that its owner may edit, one line an evening."""

import csv
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from lowsun.errors import InputFileError
from lowsun.fieldwork.frames import ranking
from lowsun.fieldwork.frames.table import printable
from lowsun.files import content, path_of, whole

COLUMNS = ("date", "folder", "frames", "with_green", "best_frame", "flattest", "widest_rim_px",
           "note")  # fmt: skip


@dataclass(frozen=True)
class Line:
    """An evening in the record, all as text: UTC date of the first frame, what it held, a note.

    flattest: least height divided by width; widest_rim_px: greatest displacement at the upper limb
    [px].
    """

    date: str = ""
    folder: str = ""
    frames: str = ""
    with_green: str = ""
    best_frame: str = ""
    flattest: str = ""
    widest_rim_px: str = ""
    note: str = ""


def line_of(folder, found):
    """The `Line` of a folder's readings [(file, `Reading`)]."""
    times = [reading.time_utc for _, reading in found if reading.time_utc]
    ratios = [reading.axis_ratio for _, reading in found if reading.axis_ratio is not None]
    rims = [
        reading.upper_green_over_red_px
        for _, reading in found
        if reading.upper_green_over_red_px is not None
    ]
    green = [file for file, reading in ranking.ranked(found) if reading.green]
    return Line(
        date=f"{min(times):%Y-%m-%d}" if times else "",
        folder=printable(Path(folder).resolve().name),
        frames=str(len(found)),
        with_green=str(len(green)),
        best_frame=printable(green[0]) if green else "",
        flattest=f"{min(ratios):.4f}" if ratios else "",
        widest_rim_px=f"{max(rims):.2f}" if rims else "",
    )


def lines(path):
    """The evenings of a record, in its order; none where there is no file yet.

    Raises InputFileError for a file that is no record.
    """
    path = path_of(path)
    if not path.exists():
        return []
    try:
        table = csv.DictReader(StringIO(content(path).decode("utf-8-sig"), newline=""))
        if tuple(table.fieldnames or ()) != COLUMNS:
            raise InputFileError(
                f"{path} is not a record of evenings: its first line must be"
                f" {','.join(COLUMNS)}. Name another file, or mend that line."
            )
        return [Line(**{name: row[name] or "" for name in COLUMNS}) for row in table]
    except (OSError, UnicodeDecodeError, csv.Error) as refused:
        raise InputFileError(f"{path} cannot be read as CSV: {refused}.") from refused


def add(path, line):
    """Add an evening to a record, once; what stands there stays as it is, notes included.

    Returns the evenings that stood there before, without this one.
    """
    path = Path(path)
    before = lines(path)
    same = [old for old in before if (old.date, old.folder) == (line.date, line.folder)]
    if not same:
        kept = path.read_text(encoding="utf-8-sig") if path.exists() else ",".join(COLUMNS) + "\n"
        with whole(path, overwrite=True) as draft:
            draft.write_text(_with_end(kept) + _as_text(line), encoding="utf-8")
    return [old for old in before if old not in same]


def _with_end(text):
    return text if text.endswith("\n") else text + "\n"


def _as_text(line):
    cells = [getattr(line, name) for name in COLUMNS]
    return ",".join(_quoted(cell) for cell in cells) + "\n"


def _quoted(cell):
    needs = any(mark in cell for mark in ',"\r\n')
    return '"' + cell.replace('"', '""') + '"' if needs else cell
