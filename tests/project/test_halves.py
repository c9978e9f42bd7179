"""How two processes share the tests: one waits for browsers while the other computes."""

from pathlib import Path
from typing import NamedTuple

import pytest

from halves import in_two_halves


class Item(NamedTuple):
    name: str
    path: Path = Path("test_a.py")
    keywords: tuple = ()


def named(some, count, **known):
    return [Item(f"{some} {number}", **known) for number in range(count)]


BROWSERS = named("browser", 3, keywords=("slow", "browser"))
CELLS = named("cell", 4, path=Path("notebooks/a.ipynb"), keywords=("slow",))


@pytest.mark.parametrize("count", [0, 1, 2, 20, 21])
def test_browsers_begin_one_half_and_notebooks_the_other(count):
    others = named("other", count)
    items = [*others, *CELLS, *BROWSERS]
    ordered = in_two_halves(items)
    assert sorted(ordered) == sorted(items)
    assert ordered[:3] == BROWSERS
    assert [item for item in ordered if item in others] == others
    half = len(items) // 2  # what the first of two processes gets
    assert half <= ordered.index(CELLS[0])
    assert ordered[half:][:4] == CELLS


def test_without_browsers_or_notebooks_nothing_moves():
    items = named("other", 9)
    assert in_two_halves(items) == items


def test_more_browsers_than_half_come_first_all_the_same():
    items = [*named("other", 2), *BROWSERS]
    assert in_two_halves(items) == [*BROWSERS, *items[:2]]
