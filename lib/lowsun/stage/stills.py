"""A scene as a still: PNG or SVG, with its sentence as alternative text inside the file."""

from xml.sax.saxutils import escape

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG

from lowsun.drawing.look import DARK, Look, fineness
from lowsun.errors import OutputFileError, require_kind
from lowsun.files import require_writable, whole
from lowsun.scenes.scene import Scene
from lowsun.words import say

_CANVAS = {".png": FigureCanvasAgg, ".svg": FigureCanvasSVG}


def still(scene, state, path, *, look=DARK, width_px=1920, overwrite=False):
    """Render one state of a scene to `path` (.png or .svg) and return its sentence.

    The sentence is the file's alternative text too: a text chunk `Description` in PNG, `title` and
    `desc` in SVG. The same state gives the same bytes. An existing file is refused unless
    `overwrite`; a failure leaves nothing behind.
    """
    path = require_writable(path, overwrite=overwrite)
    canvas = _canvas_for(path)
    require_kind("scene", scene, Scene, "a scene, such as lowsun.scenes.named('rims')")
    require_kind("look", look, Look, "one of lowsun.drawing.look.LOOKS")
    result = scene.computed(scene.check(state), fineness(width_px))
    sentence = scene.describe(result)
    figure = look.figure(width_px)
    with look.applied(), whole(path, overwrite=overwrite) as draft:
        picture = scene.picture(canvas(figure).figure, look)
        picture.show(result, sentence)
        for raster in picture.rasters:
            raster.as_image()
        _SAVE[path.suffix](figure, draft, say(scene.title), sentence)
    return sentence


def _canvas_for(path):
    if path.suffix not in _CANVAS:
        raise OutputFileError(
            f"{path} ends in {path.suffix or 'nothing'!r}; a still ends in .png or .svg."
        )
    return _CANVAS[path.suffix]


def _save_png(figure, path, title, sentence):
    figure.savefig(path, metadata={"Title": title, "Description": sentence, "Software": "lowsun"})


def _save_svg(figure, path, title, sentence):
    figure.savefig(
        path, metadata={"Title": title, "Description": sentence, "Creator": "lowsun", "Date": None}
    )
    described = _with_description(path.read_text(encoding="utf-8"), sentence)
    path.write_text(described, encoding="utf-8")


def _with_description(svg, sentence):
    """Matplotlib writes the title and no description."""
    svg = svg.replace("<svg ", '<svg role="img" ', 1)
    return svg.replace("</title>", f"</title>\n <desc>{escape(sentence)}</desc>", 1)


_SAVE = {".png": _save_png, ".svg": _save_svg}
