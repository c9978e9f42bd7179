"""Tables kept: in memory, in the user's cache folder, and one that comes with the kit.

Several kernels may share the folder: a table is written under a name of its own and then renamed,
so that a reader finds a whole file or none. A file that is damaged is computed again; a folder
that cannot be written costs time and nothing else.
"""

import hashlib
import logging
import zipfile
from functools import cache, lru_cache
from importlib.resources import as_file, files

import numpy as np
import platformdirs

from lowsun.files import whole
from lowsun.physics.scattering import grid, moments, optics
from lowsun.physics.scattering.air import air_of
from lowsun.physics.scattering.table import SHAPES, SkyTable, solve

EDITION = 1  # raise it, and ship anew, when the same air gives another table
TABLES_IN_MEMORY = 16  # of 2 MB
TABLES_ON_DISK = 64  # of 2 MB; the oldest go
SHIPPED = "twilight_default_air.npz"
LOG = logging.getLogger(__name__)


def sky_table(air):
    """The table of an `Air`: remembered, read, or else computed and kept."""
    return _remembered(keyed(air))


def keyed(air):
    """An `Air` or `Atmosphere` as a key of a cache: equal where the content is equal."""
    return Keyed(air_of(air))


def forget():
    """Drop what memory holds; the next table is read or computed."""
    _remembered.cache_clear()


def ship(air, path):
    """Write the table that comes with the kit: `python -m lowsun.physics.scattering`."""
    _write(path, solve(air), name_of(air))


def name_of(air):
    """File name of an air's table: the air and the scheme of computation, digested."""
    return f"sky-{air.key()}-{_scheme()}.npz"


def folder():
    """Where this user's tables are kept."""
    return platformdirs.user_cache_path("lowsun") / "twilight"


class Keyed:
    """An air that is equal to any air of the same content, as a cache needs it."""

    def __init__(self, air):
        self.air, self.name = air, name_of(air)

    def __eq__(self, other):
        return self.name == other.name

    def __hash__(self):
        return hash(self.name)


@lru_cache(TABLES_IN_MEMORY)
def _remembered(keyed):
    return _shipped(keyed.name) or _read(folder() / keyed.name, keyed.name) or _solved(keyed)


def _solved(keyed):
    table = solve(keyed.air)
    try:
        folder().mkdir(parents=True, exist_ok=True)
        _write(folder() / keyed.name, table, keyed.name)
        _prune()
    except OSError as refused:
        LOG.warning("The sky's table was not kept and will be computed again: %s", refused)
    return table


def _shipped(name):
    with as_file(files("lowsun.data") / SHIPPED) as path:
        return _read(path, name)


def _read(path, name):
    """The table in a file, or None where there is none, another one, or a damaged one."""
    try:
        with np.load(path, allow_pickle=False) as stored:
            if str(stored["name"]) != name:
                return None
            return _checked({part: stored[part] for part in SHAPES})
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile, zipfile.error) as damage:
        LOG.warning("%s is damaged (%s); its table is computed again.", path, damage)
        return None


def _checked(arrays):
    for part, shape in SHAPES.items():
        if arrays[part].shape != shape or not np.isfinite(arrays[part]).all():
            raise ValueError(f"{part} is not a whole table")
    return SkyTable(**arrays)


def _write(path, table, name):
    with whole(path, overwrite=True) as draft, draft.open("wb") as file:
        np.savez_compressed(file, name=name, **table.arrays())


def _prune():
    tables = sorted(folder().glob("sky-*.npz"), key=lambda path: path.stat().st_mtime)
    for path in tables[:-TABLES_ON_DISK]:
        path.unlink(missing_ok=True)


@cache
def _scheme():
    """Digest of everything but the air that a table depends on."""
    digest = hashlib.sha256(str(EDITION).encode())
    for nodes in (grid.WAVELENGTH_NM, grid.LEVEL_M, grid.SUN_ABOVE_HORIZON_DEG):
        digest.update(nodes.tobytes())
    for nodes in (grid.ORDER_LEVEL_M, grid.ZENITH_DISTANCE_DEG, moments.DEGREE.astype("<i8")):
        digest.update(nodes.tobytes())
    haze = (optics.HAZE_ALBEDO, optics.HAZE_ASYMMETRY, optics.HAZE_STRAIGHT_ON)
    digest.update(repr(haze).encode())
    return digest.hexdigest()[:8]
