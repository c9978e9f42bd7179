"""What can be compared: named quantities, each a function of numbers and names alone."""

from collections.abc import Callable
from dataclasses import dataclass

MEASURES = {}


@dataclass(frozen=True)
class Measure:
    """One quantity of the kit that outside values can be held against.

    label: what it is, in plain words; unit, "" for a pure number; compute(**given) -> number.
    """

    name: str
    label: str
    unit: str
    compute: Callable


def measure(label, unit=""):
    """Put a function among the measures, under its own name."""

    def kept(function):
        MEASURES[function.__name__] = Measure(function.__name__, label, unit, function)
        return function

    return kept
