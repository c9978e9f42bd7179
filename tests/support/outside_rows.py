"""The rows of the table of outside values, for the tests of the rooms whose numbers they hold."""

from lowsun.proof import Comparison, compared, outside_values, telling
from lowsun.proof.measures import MEASURES

VALUES = outside_values()


def name_of(value):
    """A short name for the test of a row."""
    return f"{value.measure}-{value.source.name}-{'-'.join(map(str, value.given.values()))}"


def rows_of(*modules):
    """The rows whose measures are computed in these modules of `lowsun.proof.measures`."""
    names = {module.__name__ for module in modules}
    return [value for value in VALUES if MEASURES[value.measure].compute.__module__ in names]


def require_held(value):
    """Ours lies within what is allowed, and three allowances off it would not."""
    row = compared(value)
    assert row.holds, " ".join(telling.cells(row))
    size = abs(value.middle) if value.allowed.kind == "share" else 1.0
    moved = (
        row.ours * value.allowed.amount**3
        if value.allowed.kind == "factor"
        else row.ours + 3.0 * value.allowed.amount * size
    )
    assert not Comparison(value, moved).holds
