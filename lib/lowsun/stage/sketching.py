"""A sketch in a notebook's page, with its words as alternative text."""

import base64
from html import escape
from io import BytesIO

from IPython.display import HTML
from matplotlib.backends.backend_agg import FigureCanvasAgg

from lowsun.drawing.look import PRINT
from lowsun.drawing.sketch import draw
from lowsun.scenes import sketches


def sketch(name):
    """The sketch of that name: a notebook cell's last line shows it."""
    wanted = sketches.sketch(name)
    picture = base64.b64encode(png(wanted)).decode("ascii")
    return HTML(
        f'<img class="lowsun-sketch" alt="{escape(wanted.words)}"'
        f' src="data:image/png;base64,{picture}">'
    )


def png(sketch):
    """The bytes of a sketch's picture."""
    figure, file = draw(sketch), BytesIO()
    FigureCanvasAgg(figure)
    with PRINT.applied():
        figure.savefig(file, format="png")
    return file.getvalue()
