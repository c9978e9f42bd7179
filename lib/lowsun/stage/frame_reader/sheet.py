"""The contact sheet of a folder: a picture, and a page that asks the network for nothing."""

from base64 import b64encode
from html import escape
from io import BytesIO

from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from lowsun.drawing.contact_sheet import OUTLINES, Tile, contact_sheet
from lowsun.drawing.frame_series import frame_series
from lowsun.drawing.look import DARK
from lowsun.fieldwork.frames import crops, ranking, record
from lowsun.fieldwork.frames.table import clock_text, printable
from lowsun.files import whole
from lowsun.stage.frame_reader import frame_words, model_words, reasons
from lowsun.words import say, spoken, term
from lowsun.words.speech import in_figures

SHEET, PAGE, SERIES = "frames.png", "frames.html", "frames-series.png"
RECORD_HEADS = (
    term("date"), term("folder"), term("frames read"), term("with green"), term("best frame"),
    term("least height over width"), term("widest upper rim [px]"), term("note"),
)  # fmt: skip
IN_FIGURES = ("flattest", "widest_rim_px")  # columns of the record with a decimal sign
SERIES_WORDS = term(
    "Height over width and the rims of all frames against the Sun's altitude, with the traced"
    " air's lines through them."
)
OVER_WORDS = term(
    "Over the right half of each frame the model's limb, its top laid on the frame's: dashed in"
    " red light, dotted in green."
)
ORDER_WORDS = term(
    "The purest and largest green comes first; each picture is the upper limb, magnified. All"
    " lines stand in frames.csv."
)
MOST_TILES = 24  # on the sheet; the table has them all
_STYLE = """
body { background: #14161a; color: #e8e6e1; font: 17px/1.5 sans-serif; margin: 2rem auto;
  max-width: 75rem; padding: 0 1rem }
ol { display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 2rem;
  list-style: none; padding: 0 }
img { width: 100%; image-rendering: pixelated; display: block }
.series { image-rendering: auto; max-width: 64rem }
div { position: relative } svg { position: absolute; inset: 0; width: 100% }
h2 { font-size: 1.1rem; margin: .5rem 0 0; overflow-wrap: anywhere }
p { margin: .2rem 0 }
.advice { color: #f0c674 }
table { border-collapse: collapse } th, td { padding: .2rem 1rem .2rem 0; text-align: left }
@media print { body { background: #fff; color: #000 } .advice { color: #000 } }
"""


def write(folder, out, found, *, earlier=(), evening=None, look=DARK):
    """Write `out`/frames.png and frames.html of [(file, `Reading`)]; our own are replaced.

    The frames with the purest and largest green come first. earlier: evenings of a record
    (`record.Line`), shown on the page. evening: `beside.Evening`, whose limbs are drawn over the
    frames and whose series is written to frames-series.png too. Returns how many frames are shown.
    """
    first = [entry for entry in ranking.ranked(found) if entry[1].column_px is not None]
    first = first[:MOST_TILES]
    pictures = crops.upper_limbs(folder, first)
    shown = [entry for entry in first if entry[0] in pictures]
    tiles = _tiles(shown, pictures, evening)
    heading = frame_words.summary(found)
    if evening:
        heading = f"{heading} {model_words.of_evening(evening)}"
    with whole(out / SHEET, overwrite=True) as draft:
        _picture(tiles, heading, look, draft)
    series = _series(evening, look)
    if series:
        with whole(out / SERIES, overwrite=True) as draft:
            draft.write_bytes(series)
    with whole(out / PAGE, overwrite=True) as draft:
        draft.write_text(_page(shown, tiles, heading, series, earlier), encoding="utf-8")
    return len(shown)


def _tiles(shown, pictures, evening):
    beside = {frame.file: frame for frame in evening.frames} if evening else {}
    tiles = []
    for file, reading in shown:
        told = frame_words.words(reading)
        tiles.append(
            Tile(
                name=printable(file),
                picture=pictures[file],
                measured=told.measured,
                advice=told.advice,
                model=model_words.of_frame(beside[file]) if evening else "",
                outlines=_outlines(evening, beside[file]) if evening else {},
            )
        )
    return tiles


def _outlines(evening, frame):
    """The model's limb in red and in green light in a frame's picture, its top on the frame's."""
    outline = evening.outline_px(frame)
    if outline is None:
        return {}
    right, down = outline
    places = {"red": crops.on_crop(frame.reading, right, down)}
    if frame.model_px[0] is not None:
        places["green"] = crops.on_crop(frame.reading, right, down - frame.model_px[0])
    return places


def _series(evening, look):
    """The PNG of the series, or nothing where no frame stands beside the model."""
    if evening is None or not evening.compared:
        return b""
    words = model_words.of_setting(evening.setting)
    figure, out = frame_series(evening, words, look), BytesIO()
    FigureCanvasAgg(figure)
    said = model_words.of_evening(evening)
    with look.applied():
        figure.savefig(out, metadata={"Description": said, "Software": "lowsun"})
    return out.getvalue()


def _picture(tiles, heading, look, path):
    figure = contact_sheet(tiles, heading, look)
    FigureCanvasAgg(figure)
    with look.applied():
        figure.savefig(path, metadata={"Description": heading, "Software": "lowsun"})


def _page(shown, tiles, heading, series, earlier):
    entries = "\n".join(
        _entry(reading, tile) for (_, reading), tile in zip(shown, tiles, strict=True)
    )
    title = escape(say("Frames of the Sun"))
    return (
        f'<!DOCTYPE html>\n<html lang="{spoken()}"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><title>{title}</title>'
        f"<style>{_STYLE}</style></head>\n<body><h1>{title}</h1>\n"
        f"<p>{escape(heading)} {escape(say(ORDER_WORDS))}</p>\n"
        f"{_series_entry(series)}<ol>\n{entries}\n</ol>{_earlier(earlier)}</body></html>\n"
    )


def _series_entry(series):
    if not series:
        return ""
    address = "data:image/png;base64," + b64encode(series).decode("ascii")
    told = escape(say(SERIES_WORDS))
    return (
        f'<p><img class="series" alt="{told}" src="{address}"></p>\n'
        f"<p>{told} {escape(say(OVER_WORDS))} {escape(say(model_words.WHY))}</p>\n"
    )


def _earlier(evenings):
    """The record's evenings as a table, the latest first, or nothing."""
    if not evenings:
        return ""
    latest = sorted(evenings, key=lambda line: line.date, reverse=True)
    head = "".join(f'<th scope="col">{escape(say(words))}</th>' for words in RECORD_HEADS)
    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(_cell(line, name))}</td>" for name in record.COLUMNS)
        + "</tr>\n"
        for line in latest
    )  # fmt: skip
    title = escape(say("Earlier evenings"))
    return f"<h2>{title}</h2><table><tr>{head}</tr>\n{rows}</table>"


def _cell(line, name):
    text = getattr(line, name)
    return in_figures(text) if name in IN_FIGURES else text


def _entry(reading, tile):
    when = f"<p>{clock_text(reading.time_utc)}</p>" if reading.time_utc else ""
    advice = f'<p class="advice">{escape(tile.advice)}</p>' if tile.advice else ""
    model = f"<p>{escape(tile.model)}</p>" if tile.model else ""
    seen = say("Upper limb of {name}: {measured}", name=tile.name, measured=tile.measured)
    return (
        f'<li><div><img alt="{escape(seen)}"'
        f' src="{_data_address(tile.picture)}">{_overlay(tile)}</div>'
        f"<h2>{escape(tile.name)}</h2>{when}"
        f"<p>{escape(tile.measured)}.</p>{model}{advice}{_withheld(reading)}</li>"
    )


def _withheld(reading):
    if not reading.reasons:
        return ""
    said = say("Withheld: {reason}.", reason=reasons.all_said(reading))
    return f"<p>{escape(said)}</p>"


def _overlay(tile):
    """The model's limbs over the picture, as lines that stay sharp at any size."""
    if not tile.outlines:
        return ""
    rows, columns = tile.picture.shape[:2]
    lines = "".join(_line(*OUTLINES[name], place) for name, place in tile.outlines.items())
    return f'<svg viewBox="-0.5 -0.5 {columns} {rows}" aria-hidden="true">{lines}</svg>'


def _line(dash, colour, place):
    points = " ".join(f"{across:.1f},{down:.1f}" for across, down in place.T)
    gaps = {"--": "6 4", ":": "1.5 3"}[dash]
    return (
        f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="1.5"'
        f' stroke-dasharray="{gaps}"/>'
    )


def _data_address(picture):
    out = BytesIO()
    Image.fromarray(picture).save(out, "PNG", optimize=True)
    return "data:image/png;base64," + b64encode(out.getvalue()).decode("ascii")
