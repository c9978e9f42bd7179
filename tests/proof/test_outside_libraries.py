"""Values that the table has from other libraries: those libraries still give them."""

from pathlib import Path

import pytest

import outside_libraries
from lowsun.proof import outside_values

LIBRARY = [value for value in outside_values() if value.source.kind == "library"]
pytestmark = [
    pytest.mark.filterwarnings("ignore::astropy.utils.exceptions.AstropyWarning"),
    pytest.mark.filterwarnings("ignore::erfa.core.ErfaWarning"),
]


@pytest.mark.parametrize("value", LIBRARY, ids=lambda value: f"{value.measure}-{value.given}")
def test_the_library_gives_what_the_table_says(value):
    digits, _, power = value.printed.partition("e")
    last = 10.0 ** (int(power or 0) - len(digits.partition(".")[2]))
    again = outside_libraries.of(value.measure, value.given)
    # Half of the last figure written; libraries may change by as much again between versions.
    assert again == pytest.approx(value.middle, abs=1.01 * last)


def test_nothing_of_the_kit_computes_them():
    source = Path(outside_libraries.__file__).read_text(encoding="utf-8")
    assert "import lowsun" not in source
    assert "from lowsun" not in source
