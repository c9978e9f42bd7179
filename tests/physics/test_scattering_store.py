"""Tables kept: whole or not at all, rebuilt when damaged, never in the way of the picture."""

import logging
import os
import subprocess
import sys
import time
from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import Air, sky_table, store
from lowsun.physics.scattering.table import SHAPES, solve

ATMOSPHERE = Atmosphere.standard()
HAZY = Air(atmosphere=ATMOSPHERE, haze=Haze(0.123))


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """An empty cache folder and an empty memory, and how often a table was solved."""
    monkeypatch.setattr(store, "folder", lambda: tmp_path / "kept")
    store.forget()
    solved = []
    monkeypatch.setattr(store, "solve", lambda air: solved.append(air) or solve(air))
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


@pytest.mark.parametrize("damage", ["cut", "scrambled", "other", "empty"])
def test_a_damaged_file_is_computed_again(shelf, caplog, damage):
    folder, solved = shelf
    good = sky_table(HAZY)
    path = folder / store.name_of(HAZY)
    whole = path.read_bytes()
    middle = len(whole) // 2
    scrambled = whole[:middle] + bytes(64) + whole[middle + 64 :]
    contents = {
        "cut": whole[:middle],
        "scrambled": scrambled,
        "other": b"not a table",
        "empty": b"",
    }
    path.write_bytes(contents[damage])
    store.forget()
    with caplog.at_level(logging.WARNING):
        again = sky_table(HAZY)
    assert "is damaged" in caplog.text
    assert len(solved) == 2
    assert np.array_equal(good.moments, again.moments)
    assert len(path.read_bytes()) == pytest.approx(len(whole), rel=0.01)


def test_a_folder_that_cannot_be_written_costs_time_only(tmp_path, shelf, monkeypatch, caplog):
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("in the way")
    monkeypatch.setattr(store, "folder", lambda: blocked)
    with caplog.at_level(logging.WARNING):
        table = sky_table(HAZY)
    assert "was not kept" in caplog.text
    assert np.isfinite(table.beam).all()
    assert blocked.read_text() == "in the way"


def test_two_kernels_at_once(tmp_path):
    """Both write the same table to the same folder; both read a whole one afterwards."""
    script = (
        "import pathlib, sys; from lowsun.physics.extinction import Haze;"
        "from lowsun.physics.scattering import Air, sky_table, store;"
        "store.folder = lambda: pathlib.Path(sys.argv[1]);"
        "print(float(sky_table(Air(haze=Haze(0.05))).moments.sum()))"
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
