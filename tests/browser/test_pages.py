"""A notebook as a page without code, through Voila with the kit's template, in a real browser."""

from pathlib import Path

import pytest

from lab import FIRST_RUN_S, served

pytestmark = pytest.mark.browser
ROOT = Path(__file__).parents[2]
NOTEBOOK = ROOT / "notebooks" / "01-dispersion.ipynb"
SAYS_MORE = "words => document.querySelector('img.lowsun-picture').alt !== words"


def test_a_page_without_code_plays_and_asks_nothing_of_the_network(browser, tmp_path):
    asked, troubles = [], []
    with served(NOTEBOOK, tmp_path) as address:
        page = browser.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.goto(address, timeout=FIRST_RUN_S * 1000)
        picture = page.locator("img.lowsun-picture")
        picture.wait_for(timeout=FIRST_RUN_S * 1000)
        said = picture.get_attribute("alt")
        handle = page.get_by_role("slider", name="short wavelength [nm]")
        handle.focus()
        handle.press("End")
        page.wait_for_function(SAYS_MORE, arg=said, timeout=30_000)
        words = page.locator("body").inner_text()
        assert "Run All" not in words
        assert "from lowsun" not in words
        assert page.get_by_text("For the presenter", exact=True).is_visible()
        assert not page.get_by_text("Ask which limb will be green").is_visible()
        page.close()
    elsewhere = [url for url in asked if not url.startswith((address, "data:", "blob:"))]
    assert elsewhere == []
    assert len(asked) > 20
    assert troubles == []
