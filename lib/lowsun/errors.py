"""Errors that say what arrived, what is allowed and what to do."""

import numpy as np


class LowsunError(Exception):
    """Anything the kit refuses, with a sentence a learner can act on."""


class OutOfRangeError(LowsunError, ValueError):
    """A number outside the range in which the formula holds."""


class InputError(LowsunError, ValueError):
    """The wrong kind of thing, answered with the kind that is wanted."""


class InputFileError(LowsunError, ValueError):
    """A file the kit cannot read, naming the line and the column."""


class OutputFileError(LowsunError, OSError):
    """A file the kit will not or cannot write."""


def require_range(name, value, low, high, *, unit="", remedy=""):
    """The value as a float array, or an OutOfRangeError naming the first offender.

    Parameters: any array-like; `low` and `high` are inclusive; NaN and infinity are refused.
    """
    try:
        numbers = np.asarray(value, dtype=float)
    except (TypeError, ValueError) as refused:
        raise OutOfRangeError(
            f"{name} is {value!r}, which is not a number. {remedy}".rstrip()
        ) from refused
    outside = ~((numbers >= low) & (numbers <= high))
    if outside.any():
        offender = numbers[outside].flat[0]
        raise OutOfRangeError(
            f"{name} is {offender:g}{_unit(unit)}; allowed is {low:g} to {high:g}{_unit(unit)}."
            f" {remedy}".rstrip()
        )
    return numbers


def _unit(unit):
    return f" {unit}" if unit else ""
