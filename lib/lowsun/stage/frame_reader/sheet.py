"""The contact sheet of a folder: a picture, and a page that asks the network for nothing."""

from base64 import b64encode
from html import escape
from io import BytesIO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from lowsun.drawing.contact_sheet import contact_sheet
from lowsun.drawing.look import DARK
from lowsun.fieldwork.frames import crops, ranking, record
from lowsun.fieldwork.frames.table import clock_text, printable
from lowsun.files import whole

SHEET, PAGE = "frames.png", "frames.html"
RECORD_HEADS = ("date", "folder", "frames", "with green", "best frame", "least height over width",
                "widest upper rim [px]", "note")  # fmt: skip
MOST_TILES = 24  # on the sheet; the table has them all
_STYLE = """
body { background: #14161a; color: #e8e6e1; font: 17px/1.5 sans-serif; margin: 2rem auto;
  max-width: 75rem; padding: 0 1rem }
ol { display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 2rem;
  list-style: none; padding: 0 }
img { width: 100%; image-rendering: pixelated; display: block }
h2 { font-size: 1.1rem; margin: .5rem 0 0; overflow-wrap: anywhere }
p { margin: .2rem 0 }
.advice { color: #f0c674 }
table { border-collapse: collapse } th, td { padding: .2rem 1rem .2rem 0; text-align: left }
@media print { body { background: #fff; color: #000 } .advice { color: #000 } }
"""


def write(folder, out, found, *, earlier=(), look=DARK):
    """Write `out`/frames.png and frames.html of [(file, `Reading`)]; our own are replaced.

    The frames with the purest and largest green come first. earlier: evenings of a record
    (`record.Line`), shown on the page. Returns how many frames are shown.
    """
    first = [entry for entry in ranking.ranked(found) if entry[1].column_px is not None]
    first = first[:MOST_TILES]
    pictures = crops.upper_limbs(folder, first)
    shown = [entry for entry in first if entry[0] in pictures]
    heading = summary(found)
    with whole(out / SHEET, overwrite=True) as draft:
        _picture(shown, pictures, heading, look, draft)
    with whole(out / PAGE, overwrite=True) as draft:
        draft.write_text(_page(shown, pictures, heading, earlier), encoding="utf-8")
    return len(shown)


def summary(found):
    """What a folder holds, in a sentence."""
    green = sum(bool(reading.green) for _, reading in found)
    unclear = sum(reading.green is None and reading.pieces is not None for _, reading in found)
    without = sum(reading.pieces is None for _, reading in found)
    said = (
        f"{_frames(len(found))}: {green} with green light of the Sun, {unclear} where it cannot be"
        f" told, {without} without a Sun that could be measured."
    )
    return f"{said} {ranking.folder_advice(found)}".rstrip()


def _frames(number):
    return "1 frame" if number == 1 else f"{number} frames"


def _picture(shown, pictures, heading, look, path):
    tiles = []
    for file, reading in shown:
        words = ranking.words(reading)
        tiles.append((printable(file), pictures[file], words.measured, words.advice))
    figure = contact_sheet(tiles, heading, look)
    FigureCanvasAgg(figure)
    with look.applied():
        figure.savefig(path, metadata={"Description": heading, "Software": "lowsun"})


def _page(shown, pictures, heading, earlier):
    entries = "\n".join(_entry(file, reading, pictures[file]) for file, reading in shown)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width"><title>Frames of the Sun</title>'
        f"<style>{_STYLE}</style></head>\n<body><h1>Frames of the Sun</h1>\n"
        f"<p>{escape(heading)} The purest and largest green comes first; each picture is the upper"
        " limb, magnified. All lines stand in frames.csv.</p>\n"
        f"<ol>\n{entries}\n</ol>{_earlier(earlier)}</body></html>\n"
    )


def _earlier(evenings):
    """The record's evenings as a table, the latest first, or nothing."""
    if not evenings:
        return ""
    latest = sorted(evenings, key=lambda line: line.date, reverse=True)
    head = "".join(f'<th scope="col">{words}</th>' for words in RECORD_HEADS)
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(getattr(line, name))}</td>" for name in record.COLUMNS)
        + "</tr>\n"
        for line in latest
    )  # fmt: skip
    return f"<h2>Earlier evenings</h2><table><tr>{head}</tr>\n{rows}</table>"


def _entry(file, reading, picture):
    words, name = ranking.words(reading), escape(printable(file))
    when = f"<p>{clock_text(reading.time_utc)}</p>" if reading.time_utc else ""
    withheld = f"<p>Withheld: {escape(reading.reason)}.</p>" if reading.reason else ""
    advice = f'<p class="advice">{escape(words.advice)}</p>' if words.advice else ""
    return (
        f'<li><img alt="Upper limb of {name}: {escape(words.measured)}"'
        f' src="{_data_address(picture)}"><h2>{name}</h2>{when}'
        f"<p>{escape(words.measured)}.</p>{advice}{withheld}</li>"
    )


def _data_address(picture):
    out = BytesIO()
    Image.fromarray(picture).save(out, "PNG", optimize=True)
    return "data:image/png;base64," + b64encode(out.getvalue()).decode("ascii")
