"""Docstrings of numeric functions name units, and say that they refuse where they do."""

import ast
import re
from pathlib import Path

import pytest

import lowsun

LIB = Path(lowsun.__file__).parent
ROOMS = ("physics", "sky", "phenomena", "fieldwork")
UNITS = (
    "deg|arcmin|arcsec|m|km|mm|um|nm|k|c|pa|hpa|s|h|lx|px|stops|density|cd_per_m2|m_per_s"
    "|arcsec_per_s|w_per_m2|du|m2|sr|k_per_km|k_per_m|arcsec_per_px"
)
A_QUANTITY = re.compile(rf"_({UNITS})$")
A_UNIT = re.compile(r"\[[^\]]{1,40}\]")
REFUSES = re.compile(r"\brequire_(number|range|whole|vectors|raster|kind)\(|\braise ")
SAYS_SO = re.compile(r"\bRaise|\b[Rr]efuse|[Vv]alid\b|Error|\d to -?\d|above 0|or more")


def public_functions():
    """(where, node) of every public function, and of public methods of public classes."""
    for path in sorted(file for room in ROOMS for file in (LIB / room).rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            inside = node.body if isinstance(node, ast.ClassDef) else [node]
            for function in inside:
                if not isinstance(function, ast.FunctionDef):
                    continue
                if not (node.name.startswith("_") or function.name.startswith("_")):
                    yield f"{path.relative_to(LIB)} {function.name}", function


def names_of(function):
    given = [one.arg for one in function.args.args + function.args.kwonlyargs]
    return [function.name, *given]


FUNCTIONS = dict(public_functions())
NUMERIC = {w: f for w, f in FUNCTIONS.items() if any(map(A_QUANTITY.search, names_of(f)))}
REFUSING = {w: f for w, f in FUNCTIONS.items() if f.args.args and REFUSES.search(ast.unparse(f))}


def without_a_unit(functions):
    return [w for w, f in functions.items() if not A_UNIT.search(ast.get_docstring(f) or "[nm]")]


def silent(functions):
    return [w for w, f in functions.items() if not SAYS_SO.search(ast.get_docstring(f) or "Error")]


def test_quantities_have_their_unit_in_words():
    assert len(NUMERIC) > 200
    assert without_a_unit(NUMERIC) == []


def test_what_refuses_says_so():
    assert len(REFUSING) > 120
    assert silent(REFUSING) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('def f(height_m):\n    """How high."""\n', True),
        ('def f(height_m):\n    """How high [m]."""\n', False),
    ],
)
def test_a_missing_unit_is_seen(source, found):
    assert bool(without_a_unit({"f": ast.parse(source).body[0]})) is found


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('def f(x):\n    """Half of it."""\n    require_number("x", x, 0, 1)\n', True),
        ('def f(x):\n    """Half of it, 0 to 1."""\n    require_number("x", x, 0, 1)\n', False),
    ],
)
def test_a_silent_refusal_is_seen(source, found):
    assert bool(silent({"f": ast.parse(source).body[0]})) is found
