"""The live page as people see it: a picture of the first notebook in a browser, for the README.

python tests/support/picture_of_page.py [figures/live-page.png]
"""

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from lab import CHROMIUM, QUIET, Notebook, Server

ROOT = Path(__file__).parents[2]
FIRST = ROOT / "notebooks" / "00-start-here.ipynb"
WIDTH, HEIGHT = 1280, 760


def picture(path):
    """Run the first notebook in a server of its own and write what the window shows."""
    with tempfile.TemporaryDirectory() as home:
        server = Server(Path(home))
        try:
            shutil.copy(FIRST, server.notebooks)
            with sync_playwright() as play:
                _written(play, server.url(FIRST.name), path)
        finally:
            server.stop()


def _written(play, url, path):
    browser = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
    page = browser.new_page(
        viewport={"width": WIDTH, "height": HEIGHT}, color_scheme="dark", locale="en-GB"
    )
    notebook = Notebook(page, url)
    notebook.run()
    for _ in range(3):  # cells above grow as they are drawn, and push the scene down
        page.evaluate(_TO_THE_TOP)
        notebook.rest(1000)
    page.screenshot(path=path)
    browser.close()


_TO_THE_TOP = "document.querySelector('.lowsun-stage').scrollIntoView({block: 'start'})"

if __name__ == "__main__":
    wanted = Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "figures" / "live-page.png")
    picture(wanted)
    print(wanted)
