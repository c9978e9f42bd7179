"""A small still that a saved notebook keeps, so that it shows its pictures before it is run."""

import base64
from html import escape
from io import BytesIO

from PIL import Image

WIDTH_PX = 640
QUALITY = 80  # JPEG: some 30 kB a picture

# A page that reopens the notebook has no live stage in its place, only the word that it failed.
_STYLE = (
    ".jp-OutputArea-child:has(.lowsun-poster) + .jp-OutputArea-child:not(:has(.lowsun-stage))"
    " { display: none }"
)


def poster(frame, words, name):
    """A bundle for `display(..., raw=True)`: the still as HTML with its words, and the words."""
    picture = base64.b64encode(_small(frame)).decode("ascii")
    image = (
        f'<img class="lowsun-poster" data-poster="{name}" alt="{escape(words)}"'
        f' src="data:image/jpeg;base64,{picture}">'
    )
    return {"text/html": f"<style>{_STYLE}</style>{image}", "text/plain": words}


def _small(frame):
    file = BytesIO()
    picture = Image.open(BytesIO(frame))
    picture.thumbnail((WIDTH_PX, WIDTH_PX))
    picture.save(file, "jpeg", quality=QUALITY)
    return file.getvalue()
