"""Tables kept: in memory, in the user's cache folder, and one that comes with the kit.

Several kernels may share the folder: a table is written under a name of its own and then renamed,
so that a reader finds a whole file or none. A file ends in a digest of its content, and its name
holds one of the air and of the code that made it: whatever does not fit is computed again, and so
is a table that cannot be kept, since that costs a second and nothing else.
"""

import hashlib
import logging
from importlib.resources import files
from io import BytesIO

import numpy as np
import platformdirs

from lowsun.errors import LowsunError
from lowsun.files import content, whole
from lowsun.kept import MB, kept
from lowsun.physics.scattering.air import key, require_sky_air
from lowsun.physics.scattering.code import digest as code_digest
from lowsun.physics.scattering.table import SHAPES, SkyTable, solve

TABLES_ON_DISK = 64  # files of 2 MB; the oldest go
LARGEST_BYTES = 8 << 20  # a larger file is no table: four times what one takes
DIGEST_BYTES = hashlib.sha256().digest_size
SHIPPED = "twilight_default_air.npz"
LOG = logging.getLogger(__name__)


def sky_table(air):
    """The table of an `Air`: remembered, read, or else computed and kept."""
    return _remembered(require_sky_air(air))


def forget():
    """Drop what memory holds; the next table is read or computed."""
    _remembered.cache_clear()


def ship(air, path):
    """Write the table that comes with the kit: `python -m lowsun.physics.scattering`."""
    _write(path, solve(air), name_of(air))


def name_of(air):
    """File name of an air's table: digests of the air and of the code that computes the table."""
    return f"sky-{key(air)}-{code_digest()}.npz"


def folder():
    """Where this user's tables are kept; None for a user without a home."""
    try:
        path = platformdirs.user_cache_path("lowsun") / "twilight"
    except (RuntimeError, KeyError):  # how Python says that nobody knows the home
        return None
    return path if path.is_absolute() else None  # "~", left as it is, would be made right here


@kept(11 * MB)
def _remembered(air):
    name = name_of(air)
    return _shipped(name) or _kept(name) or _solved(air, name)


def _solved(air, name):
    table = solve(air)
    try:
        _keep(table, name)
    except OSError as refused:
        LOG.debug("The sky's table was not kept and will be computed again: %s", refused)
    return table


def _keep(table, name):
    place = folder()
    if place is not None:
        place.mkdir(parents=True, exist_ok=True)
        _write(place / name, table, name)
        _prune(place)


def _shipped(name):
    return _table((files("lowsun.data") / SHIPPED).read_bytes(), name)


def _kept(name):
    """The table in the user's folder, or None where there is none or no good one."""
    place = folder()
    if place is None:
        return None
    try:
        return _table(content(place / name, LARGEST_BYTES), name)
    except LowsunError:
        return None


def _table(held, name):
    """The table in a file's bytes, or None where it is another one, or not as it was written."""
    stored, digest = held[:-DIGEST_BYTES], held[-DIGEST_BYTES:]
    if hashlib.sha256(stored).digest() != digest:
        return None
    with np.load(BytesIO(stored), allow_pickle=False) as parts:
        if str(parts["name"]) != name:
            return None
        arrays = {part: parts[part] for part in SHAPES}
    return SkyTable(**arrays) if _fits(arrays) else None


def _fits(arrays):
    return all(
        arrays[part].shape == shape
        and arrays[part].dtype == np.float32
        and np.isfinite(arrays[part]).all()
        for part, shape in SHAPES.items()
    )


def _write(path, table, name):
    held = BytesIO()
    np.savez_compressed(held, name=name, **table.arrays())
    digest = hashlib.sha256(held.getvalue()).digest()
    with whole(path, overwrite=True) as draft:
        draft.write_bytes(held.getvalue() + digest)


def _prune(place):
    tables = sorted(place.glob("sky-*.npz"), key=lambda path: path.stat().st_mtime)
    for path in tables[:-TABLES_ON_DISK]:
        path.unlink(missing_ok=True)
