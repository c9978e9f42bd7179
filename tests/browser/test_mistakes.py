"""Natural slips in a notebook's cell: each is answered on the page by a sentence, or understood."""

import nbformat
import pytest

from lab import MOVE_S
from lowsun import errors
from lowsun.errors import LowsunError
from lowsun.scenes import controls

pytestmark = pytest.mark.browser
ERRORS = [
    each for room in (errors, controls) for each in vars(room).values() if isinstance(each, type)
]
BEGINS = """from datetime import date, datetime
from pathlib import Path
from lowsun.notebook import live, scene
from lowsun import sky
from lowsun.phenomena.evening import evening
from lowsun.physics import soundings
from lowsun.physics.extinction import Haze
cliff = sky.Place("the lighthouse", 52.1, -10.4, eye_height_m=95)
head = "pressure_hpa,height_m,temperature_c\\n"
rows = ["1000,100,10", "900,1000,4", "800,2000,0"]"""
SLIPS = {  # what is typed, and what the page says
    "evening(cliff, date(2027, 3, 20), None)": "air is None; give an Air",
    'sky.sunset("Lisbon", date(2027, 3, 20))': "place is 'Lisbon'; give a Place(",
    "sky.sunset(cliff, datetime(2027, 3, 20))": "give a datetime.date, for instance",
    "sky.sun(cliff, date(2027, 3, 20))": "give an aware datetime, for instance",
    "sky.sun(cliff, datetime(2027, 3, 20))": "a naive datetime: it does not say in which time zone",
    'scene("setting_sun").sentence(day="2027-03-20")': "give a day: date(2027, 3, 20) in Python",
    'scene("polar_sunset").sentence(share="50 %")': "which is not a number",
    'scene("polar_sunset").sentence(share=5000)': "allowed is 0 to 100",
    'Haze("5 %")': "depth_550 is '5 %', which is not a number",
    "Haze(5)": "depth_550 is 5; allowed is 0 to 2",
    'soundings.parse((head + "\\n".join(rows[::-1])).encode(), "mine")': "Heights must rise",
    'scene("rims").save({}, "mine.toml", overwrite="no")': "overwrite is 'no'; give True or False",
    'live("sunset")': "There is no scene 'sunset'; choose one of",
    'live("rims").set(haze="fog")': "haze",
    'live("rims").set(hase=0)': "Scene rims has no control hase; it has",
    'live("rims").move(hase=0)': "Scene rims has no control hase; it has",
}
READ = "[<Sounding a: 3 levels>]"
MEANT = {  # what is typed, and what it prints
    'stage = live("rims"); print(stage.scene.name)': "rims",
    'rims = scene("rims"); print(rims.sentence(haze="clear") == rims.sentence(haze=0.05))': "True",
    'print(soundings.parse((head + "\\n".join(rows)).replace(",", ";").encode(), "a"))': READ,
    'print(soundings.parse((head + "\\n".join(rows)).replace(",", "\\t").encode(), "a"))': READ,
}


def cells():
    """The cells of a notebook that goes on after a slip."""
    goes_on = {"tags": ["raises-exception"]}
    codes = (BEGINS, *SLIPS, *MEANT)
    return [nbformat.v4.new_code_cell(code, metadata=goes_on) for code in codes]


def test_a_slip_is_answered_by_a_sentence_and_what_is_meant_is_understood(open_notebook):
    notebook = open_notebook(cells(), "slips.ipynb")
    notebook.run()
    assert len(notebook.cells) == 1 + len(SLIPS) + len(MEANT)
    for number, code in enumerate((*SLIPS, *MEANT), start=1):
        said = shown(notebook, number)
        if code in MEANT:
            assert said == MEANT[code], code
            continue
        kind, _, sentence = said.splitlines()[-1].partition(": ")
        assert SLIPS[code] in sentence, (code, said[-300:])
        assert is_an_answer(kind), (code, kind)


def shown(notebook, number):
    """The words under a cell, once it is scrolled into sight: Lab leaves out what is not."""
    notebook.page.evaluate(_INTO_SIGHT, number)
    words = notebook.page.wait_for_function(_WORDS_UNDER, arg=number, timeout=MOVE_S * 1000)
    return words.json_value()


def is_an_answer(kind):
    """Is that the name of one of the kit's own errors?"""
    return any(issubclass(error, LowsunError) for error in ERRORS if error.__name__ == kind)


_INTO_SIGHT = """(number) => {
  const panel = window.jupyterapp.shell.currentWidget.content;
  panel.activeCellIndex = number;
  return panel.scrollToItem(number, 'smart');
}"""
_WORDS_UNDER = """(number) => {
  const cell = window.jupyterapp.shell.currentWidget.content.widgets[number];
  return [...cell.node.querySelectorAll('.jp-OutputArea-output')]
    .map((each) => each.innerText).join('\\n').trim();
}"""
