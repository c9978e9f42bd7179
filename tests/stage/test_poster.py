"""The still that a saved notebook keeps: a small picture that says in words what it shows."""

import base64
import re
from html.parser import HTMLParser
from io import BytesIO

from PIL import Image

from lowsun.stage.poster import WIDTH_PX, poster


class Images(HTMLParser):
    """The attributes of every image of a page."""

    def __init__(self, page):
        super().__init__()
        self.found = []
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        if tag == "img":
            self.found.append(dict(attributes))


def test_the_still_is_small_and_told_by_its_words():
    file, words = BytesIO(), 'The rim is 17″ wide & "green" <above>.'
    Image.new("RGB", (1280, 720), (200, 40, 0)).save(file, "jpeg")
    bundle = poster(file.getvalue(), words, "rims")
    (image,) = Images(bundle["text/html"]).found
    assert image["alt"] == bundle["text/plain"] == words
    assert image["data-poster"] == "rims"
    picture = re.fullmatch(r"data:image/jpeg;base64,(.+)", image["src"])[1]
    small = Image.open(BytesIO(base64.b64decode(picture)))
    assert small.size == (WIDTH_PX, WIDTH_PX * 9 // 16)
    assert small.getpixel((10, 10))[0] > 150 > small.getpixel((10, 10))[1]
