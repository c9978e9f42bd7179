"""Tables kept: whole or not at all, rebuilt when damaged, never in the way of the picture."""

import ast
import inspect
import logging
import os
import random
import subprocess
import sys
import time
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air, code, sky_table, store
from lowsun.physics.scattering.table import SHAPES, SkyTable, solve

ATMOSPHERE = Atmosphere.standard()
HAZY = Air(atmosphere=ATMOSPHERE, haze=Haze(0.123))


@cache
def made(air):
    """The table of an air, solved once for all tests of how it is kept."""
    return solve(air)


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """An empty cache folder and an empty memory, and how often a table was solved."""
    monkeypatch.setattr(store, "folder", lambda: tmp_path / "kept")
    store.forget()
    solved = []
    monkeypatch.setattr(store, "solve", lambda air: solved.append(air) or made(air))
    yield tmp_path / "kept", solved
    store.forget()


def test_solved_once_for_equal_airs(shelf):
    folder, solved = shelf
    first = sky_table(HAZY)
    again = sky_table(Air(atmosphere=Atmosphere.standard(), haze=Haze(0.123)))
    store.forget()
    read = sky_table(HAZY)
    assert first is again
    assert len(solved) == 1
    for part in SHAPES:
        assert np.array_equal(getattr(first, part), getattr(read, part))
    assert [path.name for path in folder.iterdir()] == [store.name_of(HAZY)]


def test_every_part_of_the_air_names_its_table():
    airs = [
        HAZY,
        Air(atmosphere=ATMOSPHERE, haze=Haze(0.124)),
        Air(atmosphere=ATMOSPHERE, haze=Haze(0.123, 0.4)),
        Air(atmosphere=ATMOSPHERE, haze=Haze(0.123), ozone_du=310.0),
        Air(atmosphere=ATMOSPHERE, haze=Haze(0.123), sea_albedo=0.1),
        Air(atmosphere=ATMOSPHERE, haze=Haze(0.123), refraction=False),
        Air(atmosphere=Atmosphere.standard(290.0), haze=Haze(0.123)),
    ]
    assert len({store.name_of(air) for air in airs}) == len(airs)


def damaged(whole, draw):
    """A copy of a file with a few bytes changed, a piece cut off, or a piece left out."""
    place = draw.randrange(len(whole))
    return draw.choice(
        [
            whole[:place] + bytes([whole[place] ^ (1 << draw.randrange(8))]) + whole[place + 1 :],
            whole[:place],
            whole[:place] + whole[place + draw.randrange(1, 99) :],
            whole[:place] + bytes(64) + whole[place:],
        ]
    )


def test_no_damage_is_read_as_a_table(shelf, caplog):
    folder, _solved = shelf
    sky_table(HAZY)
    name = store.name_of(HAZY)
    whole, draw = (folder / name).read_bytes(), random.Random(5)
    for content in [b"", b"PK", *(damaged(whole, draw) for _ in range(400))]:
        assert store._table(content, name) is None
    assert store._table(whole, name) is not None
    assert caplog.text == ""


def test_a_damaged_file_is_silently_made_anew(shelf, caplog):
    folder, solved = shelf
    good = sky_table(HAZY)
    path = folder / store.name_of(HAZY)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    store.forget()
    with caplog.at_level(logging.INFO):
        again = sky_table(HAZY)
    assert caplog.text == ""
    assert len(solved) == 2
    assert np.array_equal(good.moments, again.moments)
    assert path.read_bytes() == whole


@pytest.mark.parametrize(
    "change",
    [
        lambda arrays: arrays | {"beam": arrays["beam"].astype(float)},
        lambda arrays: arrays | {"beam": arrays["beam"][:-1]},
        lambda arrays: arrays | {"beam": arrays["beam"] * np.float32(np.nan)},
    ],
)
def test_another_kind_of_array_is_no_table(tmp_path, change):
    arrays = made(HAZY).arrays()
    for content, good in ((arrays, True), (change(arrays), False)):
        store._write(tmp_path / "a.npz", SkyTable(**content), "a")
        assert (store._table((tmp_path / "a.npz").read_bytes(), "a") is not None) is good


@pytest.mark.parametrize(
    ("edit", "counts"),
    [
        (("x = 1\n", "x = 2\n"), True),
        (("def f():\n    a()\n    b()\n", "def f():\n    a()\nb()\n"), True),
        (("x = 1\n", "# one\n\nx = 1  # two\n"), False),
        (('"""One."""\nx = 1\n', '"""Two."""\nx = 1\n'), False),
        (('def f():\n    """One."""\n    a()\n', 'def f():\n    """Two."""\n    a()\n'), False),
        (('x = "one"\n', 'x = "two"\n'), True),
        (("x = [1, 2]\n", "x = [\n    1,\n    2]\n"), False),
    ],
)
def test_an_edit_counts_where_it_changes_what_is_computed(edit, counts):
    one, other = (code.statements(source) for source in edit)
    assert (one != other) is counts


NO_NUMBER = ("lowsun.errors", "lowsun.data", "lowsun.words", "lowsun.kept")


def test_the_code_counted_is_all_that_a_table_is_made_by():
    """What the makers import is a maker too, or a constant that counts, or makes no number."""
    names = {module.__name__ for module in code.MAKERS}
    for module in code.MAKERS:
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.ImportFrom) and node.module.startswith("lowsun"):
                for one in node.names:
                    made = {node.module, f"{node.module}.{one.name}"} & names
                    known = node.module in NO_NUMBER
                    assert (
                        made
                        or known
                        or (one.name, getattr(module, one.name)) in (code._constants(module))
                    ), f"{module.__name__} takes {one.name} from {node.module}"


def test_another_constant_asks_for_another_table(monkeypatch):
    code.digest.cache_clear()
    before = code.digest()
    monkeypatch.setattr(code.optics, "HAZE_STRAIGHT_ON", 0.5)
    code.digest.cache_clear()
    assert code.digest() != before
    monkeypatch.undo()
    code.digest.cache_clear()
    assert code.digest() == before


def test_a_folder_that_cannot_be_written_costs_time_only(tmp_path, shelf, monkeypatch, caplog):
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("in the way")
    monkeypatch.setattr(store, "folder", lambda: blocked)
    assert np.isfinite(sky_table(HAZY).beam).all()
    assert caplog.text == ""
    assert blocked.read_text() == "in the way"


@pytest.mark.parametrize("home", [RuntimeError, KeyError, "~/.cache/lowsun"])
def test_a_user_without_a_home_gets_a_table(monkeypatch, tmp_path, home):
    def nowhere(_):
        if isinstance(home, str):
            return Path(home)
        raise home("no home")

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(store.platformdirs, "user_cache_path", nowhere)
    monkeypatch.setattr(store, "solve", made)
    store.forget()
    assert store.folder() is None
    assert np.isfinite(sky_table(HAZY).beam).all()
    assert list(tmp_path.iterdir()) == []
    store.forget()


def test_two_kernels_at_once(tmp_path):
    """Both write the same table to the same folder; both read a whole one afterwards."""
    script = (
        "import hashlib, pathlib, sys; from lowsun.physics.extinction import Haze;"
        "from lowsun.physics.scattering import Air, sky_table, store;"
        "store.folder = lambda: pathlib.Path(sys.argv[1]);"
        "moments = sky_table(Air(haze=Haze(0.051))).moments;"
        "print(hashlib.sha256(moments.tobytes()).hexdigest())"
    )
    command = [sys.executable, "-c", script, str(tmp_path)]
    kernels = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    answers = {kernel.communicate(timeout=120)[0] for kernel in kernels}
    assert len(answers) == 1
    assert [kernel.returncode for kernel in kernels] == [0, 0]
    assert len(list(tmp_path.iterdir())) == 1
    assert subprocess.check_output(command, text=True) in answers


def test_oldest_tables_go(shelf, monkeypatch):
    folder, _ = shelf
    monkeypatch.setattr(store, "TABLES_ON_DISK", 3)
    folder.mkdir()
    for age in range(5):
        old = folder / f"sky-{age}.npz"
        old.write_bytes(b"old")
        then = time.time() - 1000.0 - age
        os.utime(old, (then, then))
    sky_table(HAZY)
    kept = {path.name for path in folder.iterdir()}
    assert kept == {"sky-0.npz", "sky-1.npz", store.name_of(HAZY)}


def test_default_air_comes_with_the_kit_and_is_what_would_be_solved(shelf):
    folder, solved = shelf
    shipped = sky_table(Air())
    assert not solved
    assert not folder.exists()
    fresh = solve(Air())
    for part in SHAPES:
        # 1e-3: processors round sums of millions of terms in different ways.
        assert_allclose(getattr(shipped, part), getattr(fresh, part), rtol=1e-3, atol=1e-9)
    size = (files("lowsun.data") / store.SHIPPED).stat().st_size
    assert size < 2_000_000
