"""All files of a plan in one folder: all of them, or none."""

from contextlib import ExitStack
from io import BytesIO

from lowsun.drawing.evenings import EveningsPicture
from lowsun.drawing.look import PRINT
from lowsun.errors import (
    InputError,
    OutputFileError,
    quoted,
    require_date,
    require_kind,
    takes,
)
from lowsun.fieldwork.plan import Evenings, Plan
from lowsun.files import path_of, whole
from lowsun.scenes import evenings_words, plan_words, readiness, which_evenings
from lowsun.stage.evening_plan import code
from lowsun.stage.evening_plan.calendar import calendar
from lowsun.stage.evening_plan.sheet import sheet
from lowsun.stage.paper import require_paper


@takes(plan=Plan, overwrite=bool)
def write(plan, folder, items=readiness.ITEMS, *, paper="a4", overwrite=False):
    """Write the plan into a folder, made if its parent is there, and return the paths.

    `evening-<date>` with `.pdf`, one sheet; `.ics`, a calendar with alarms; `.txt`, 80 columns;
    `.png`, the timeline as a code for telephones. items: the list to tick; paper: "a4", "letter".
    Nothing is written where
    a file of one of these names is there already and `overwrite` is false. Raises InputError for
    what is none of these.
    """
    items = readiness.require_items(items)
    require_paper(paper)
    folder = path_of(folder)
    contents = {
        "txt": plan_words.text(plan, items).encode("utf-8"),
        "ics": calendar(plan),
        "pdf": sheet(plan, items, paper),
        "png": code.png(plan),
    }
    return all_or_none(folder, f"evening-{plan.date}.", contents, overwrite)


@takes(found=Evenings, overwrite=bool)
def write_evenings(found, span, folder, *, overwrite=False):
    """Write several evenings into a folder, as `write` does: a table `.txt`, a picture `.png`.

    found: `fieldwork.plan.Evenings`; span: its first and last date. Raises InputError.
    """
    require_kind("span", span, list | tuple, "the first and the last date")
    if len(span) != 2:
        raise InputError(f"span is {quoted(span)}; give the first and the last date.")
    for day in span:
        require_date("span", day)
    folder = path_of(folder)
    result = which_evenings.result(found, *span)
    picture, written = EveningsPicture(figure := PRINT.figure(1600), PRINT), BytesIO()
    with PRINT.applied():
        picture.show(result, which_evenings.describe(result))
        figure.savefig(written, format="png")
    contents = {"txt": evenings_words.text(found).encode("utf-8"), "png": written.getvalue()}
    return all_or_none(folder, f"evenings-{span[0]}-{span[1]}.", contents, overwrite)


def all_or_none(folder, stem, contents, overwrite):
    """Write files, bytes by what follows the stem in their names, and return their paths."""
    folder = _made(path_of(folder))
    paths = {end: folder / f"{stem}{end}" for end in contents}
    with ExitStack() as drafting:
        # All are drafted before the first is given its name.
        drafts = {
            end: drafting.enter_context(whole(path, overwrite=overwrite))
            for end, path in paths.items()
        }
        for end, content in contents.items():
            drafts[end].write_bytes(content)
    return list(paths.values())


def _made(folder):
    try:
        folder.mkdir(exist_ok=True)
    except FileNotFoundError as refused:
        raise OutputFileError(f"There is no folder {folder.parent}. Make it first.") from refused
    except OSError as refused:
        raise OutputFileError(
            f"The folder {folder} cannot be made ({refused.strerror}). Name another."
        ) from refused
    return folder
