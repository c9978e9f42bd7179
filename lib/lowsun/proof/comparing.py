"""Ours beside theirs."""

from dataclasses import dataclass

from lowsun.errors import InputError, LowsunError, quoted, require_kind, takes
from lowsun.proof.measures import MEASURES
from lowsun.proof.outside import Outside, outside_values


@dataclass(frozen=True)
class Comparison:
    """One outside value and the kit's own, computed now.

    ours: NaN where the kit gave none; used: the share of what is allowed that the difference takes.
    """

    outside: Outside
    ours: float

    @property
    def measure(self):
        """The `Measure` compared."""
        return MEASURES[self.outside.measure]

    @property
    def used(self):
        """Share of the allowed difference; more than 1 has failed, infinity where none came."""
        used = self.outside.allowed.used(self.ours, self.outside.middle)
        return used if used == used else float("inf")

    @property
    def holds(self):
        """Whether ours lies within what is allowed."""
        return self.used <= 1.0


@takes(value=Outside)
def compared(value):
    """A `Comparison` of one `Outside` value."""
    return Comparison(value, _ours(value))


def comparisons(measures=None):
    """All `Comparison`s, or those of the measures named, the one that uses most allowance first.

    measures: names, a list or tuple of them, or one. Raises InputError naming those there are.
    """
    wanted = [measures] if isinstance(measures, str) else measures
    wanted = tuple(MEASURES) if wanted is None else wanted
    for name in require_kind("measures", wanted, list | tuple | set, "a list of names"):
        _require_measure(name)
    rows = [compared(value) for value in outside_values() if value.measure in wanted]
    return sorted(rows, key=lambda row: -row.used)


def _ours(value):
    try:
        return float(MEASURES[value.measure].compute(**value.given))
    except LowsunError:
        return float("nan")


def _require_measure(name):
    if not isinstance(name, str) or name not in MEASURES:
        raise InputError(
            f"{quoted(name)} is no quantity compared; there are: {', '.join(MEASURES)}."
        )
