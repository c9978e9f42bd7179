"""Errors that say what arrived, what is allowed and what to do."""

import reprlib
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from functools import wraps
from inspect import signature
from numbers import Real

import numpy as np

QUOTED_LETTERS = 60
LARGEST = float(np.finfo(float).max)
MOST_PX = 3840 * 2160  # a raster's pixels: some computations hold 170 bytes for each


class LowsunError(Exception):
    """Anything the kit refuses, with a sentence a learner can act on."""


class OutOfRangeError(LowsunError, ValueError):
    """What is no number inside the range in which the formula holds."""


class InputError(LowsunError, ValueError):
    """The wrong kind of thing, answered with the kind that is wanted."""


class InputFileError(LowsunError, ValueError):
    """A file the kit cannot read, naming the line and the column."""


class OutputFileError(LowsunError, OSError):
    """A file the kit will not or cannot write."""


def require_range(name, value, low, high, *, unit="", remedy="", nan=False):
    """The value as a float array, of any shape, with every number from low to high.

    value: a real number, an array or nested lists of them. Raises OutOfRangeError naming the first
    number that is outside, NaN and infinity among them, or what is no real number: text, booleans,
    complex numbers, dates and durations, masked arrays, arrays with units.
    nan: NaN passes, where it means that there is no such number, as no bearing at a pole.
    """
    numbers = _floats(name, value, low, high, unit, remedy)
    outside = ~((numbers >= low) & (numbers <= high))
    if nan:
        outside &= ~np.isnan(numbers)
    if outside.any():
        arrived = apart(numbers[outside].flat[0], low, high) + _unit(unit)
        raise OutOfRangeError(f"{name} is {arrived}; {_allowed(low, high, unit)} {remedy}".rstrip())
    return numbers


def require_values(name, value, low, high, *, unit="", remedy=""):
    """As `require_range`, where there must be a number at least: an empty array is refused."""
    numbers = require_range(name, value, low, high, unit=unit, remedy=remedy)
    if not numbers.size:
        raise OutOfRangeError(f"{name} is empty; give one number or more. {remedy}".rstrip())
    return numbers


def require_row(name, value, low, high, *, unit="", remedy=""):
    """As `require_values`, numbers in a row: an array of one dimension."""
    numbers = require_values(name, value, low, high, unit=unit, remedy=remedy)
    if numbers.ndim != 1:
        raise OutOfRangeError(
            f"{name} is shaped {numbers.shape}; give numbers in a row. {remedy}".rstrip()
        )
    return numbers


def require_vectors(name, value, size):
    """Finite numbers (..., size) as an array of floats, single precision kept, or an error."""
    plain = type(value) is np.ndarray and value.dtype.kind == "f"
    numbers = value if plain else require_range(name, value, -LARGEST, LARGEST)
    if numbers.ndim == 0 or numbers.shape[-1] != size:
        raise OutOfRangeError(
            f"{name} is shaped {numbers.shape}; give {size} numbers along its last axis."
        )
    if not np.isfinite(numbers).all():
        raise OutOfRangeError(f"{name} holds NaN or infinity; give numbers.")
    return numbers


def require_number(name, value, low, high, *, unit="", remedy=""):
    """The value as one float from low to high, or an error as `require_range` raises it.

    An array is refused, even of one number.
    """
    if isinstance(value, float) and low <= value <= high:  # most numbers: no array need be made
        return float(value)
    number = require_range(name, value, low, high, unit=unit, remedy=remedy)
    if number.ndim:
        raise OutOfRangeError(f"{name} holds {number.size} numbers; give one. {remedy}".rstrip())
    return float(number)


def require_whole(name, value, low, high, *, unit="", remedy=""):
    """The value as one int from low to high, or an error as `require_number` raises it."""
    number = require_number(name, value, low, high, unit=unit, remedy=remedy)
    if not number.is_integer():
        raise OutOfRangeError(f"{name} is {number}; give a whole number. {remedy}".rstrip())
    return int(number)


def require_kind(name, value, kind, wanted):
    """The value, or an InputError that says what is wanted where it is of another class."""
    if not isinstance(value, kind):
        raise InputError(f"{name} is {quoted(value)}; give {wanted}.")
    return value


def require_date(name, value):
    """The date itself, or an InputError: a datetime is none, for it has no day without its zone."""
    if isinstance(value, datetime) or not isinstance(value, date):
        raise InputError(
            f"{name} is {quoted(value)}; give a datetime.date, for instance date(2025, 3, 1)."
        )
    return value


def require_instant(name, value):
    """The aware datetime itself, of the years 2 to 9998, which every zone can show, or an error."""
    if not isinstance(value, datetime):
        raise InputError(
            f"{name} is {quoted(value)}; give an aware datetime, for instance "
            "datetime(2025, 3, 1, 18, 30, tzinfo=place.timezone)."
        )
    if value.utcoffset() is None:
        raise InputError(
            f"{name} is {value.isoformat()}, a naive datetime: it does not say in which time zone. "
            "Add tzinfo=place.timezone, or tzinfo=datetime.UTC."
        )
    if not 2 <= value.year <= 9998:
        raise OutOfRangeError(f"{name} is {value.isoformat()}; allowed are the years 2 to 9998.")
    return value


def require_executor(executor):
    """The executor itself, of any kind, or None; an InputError for what takes no tasks."""
    if executor is not None and not callable(getattr(type(executor), "submit", None)):
        raise InputError(
            f"executor is {quoted(executor)}; give a concurrent.futures executor, such as"
            " ThreadPoolExecutor(2), or None."
        )
    return executor


def require_raster(rows, columns):
    """Rows and columns as ints, or an OutOfRangeError; a raster has as many pixels as a 4K frame.

    A number of rows or columns is 1 to 4096.
    """
    rows = require_whole("rows", rows, 1, 4096)
    columns = require_whole("columns", columns, 1, 4096)
    if rows * columns > MOST_PX:
        raise OutOfRangeError(
            f"rows and columns are {rows} and {columns}, {rows * columns / 1e6:.1f} million pixels;"
            f" allowed are {MOST_PX / 1e6:.1f} million. Make the picture coarser or narrower."
        )
    return rows, columns


def answer_of(name, function, wanted, *given, **named):
    """What a user's function answers, or an InputError that says what is wanted in its place.

    A function of something else may raise anything; what it raised is the error's cause.
    """

    def said():  # when there is something to say: writing a function that holds arrays takes long
        return f"{name} is {quoted(function)}; give {wanted}."

    if not callable(function):
        raise InputError(said())
    try:
        return function(*given, **named)
    except (LowsunError, MemoryError):
        raise
    except Exception as refused:
        raise InputError(f"{said()} It raised {type(refused).__name__}.") from refused


def keep_number(record, field, low, high, *, unit="", remedy="", check=require_number):
    """Check a field of a frozen record, and let the record keep what the check returns."""
    kept = check(field, getattr(record, field), low, high, unit=unit, remedy=remedy)
    object.__setattr__(record, field, kept)


def quoted(value):
    """What arrived, as Python writes it, cut to what fits into a sentence; never an error."""
    try:
        text = " ".join(_SHORT.repr(value).split())
    except Exception:  # a class may write itself as it likes, or fail to
        text = f"a {type(value).__name__}"
    return text if len(text) <= QUOTED_LETTERS else f"{text[: QUOTED_LETTERS - 3]}..."


_SHORT = reprlib.Repr()
_SHORT.maxstring = _SHORT.maxother = _SHORT.maxlong = QUOTED_LETTERS


def _floats(name, value, low, high, unit, remedy):
    try:
        if _real(value):
            return np.asarray(value, dtype=float)
    except OverflowError as refused:
        raise OutOfRangeError(
            f"{name} is beyond all floats; {_allowed(low, high, unit)} {remedy}".rstrip()
        ) from refused
    except Exception as refused:  # what is not a number may raise anything when asked for one
        raise _not_a_number(name, value, remedy) from refused
    raise _not_a_number(name, value, remedy)


def _real(value):
    """Whether a value holds real numbers alone, however nested."""
    if isinstance(value, np.ndarray):
        # Other classes of array mean more than their numbers: masks, units.
        return type(value) in (np.ndarray, np.memmap) and _real_items(value)
    if isinstance(value, np.generic):
        return _real_items(value)
    if isinstance(value, Sequence) and not isinstance(value, str | bytes | bytearray):
        return all(map(_real, value))
    if hasattr(value, "__array__"):
        return _real(np.asarray(value))
    return isinstance(value, Real | Decimal) and not isinstance(value, bool)


def _real_items(array):
    if array.dtype == object:
        return all(map(_real, array.flat))
    return array.dtype.kind in "iuf"


def _not_a_number(name, value, remedy):
    many = isinstance(value, np.ndarray | Sequence) and not isinstance(value, str | bytes)
    what = "where plain real numbers alone are wanted" if many else "which is not a number"
    return OutOfRangeError(f"{name} is {quoted(value)}, {what}. {remedy}".rstrip())


def _allowed(low, high, unit):
    return f"allowed is {low:g} to {high:g}{_unit(unit)}."


def apart(number, low, high):
    """A number as text, with as many digits as tell it from the ends it lies beyond."""
    short = f"{number:g}"
    return repr(float(number)) if short in (f"{low:g}", f"{high:g}") else short


def _unit(unit):
    return f" {unit}" if unit else ""


def takes(**kinds):
    """Refuse arguments of another class before a function begins: `@takes(place=Place)`.

    A parameter whose default is None may be None. Text is the name of one where the class
    finds its own by name, with `named`.
    """

    def checked(function):
        parameters = list(signature(function).parameters.values())
        places = [
            (at, p.name, kinds[p.name], p.default is None)
            for at, p in enumerate(parameters)
            if p.name in kinds
        ]

        @wraps(function)
        def call(*given, **named):
            given = list(given)
            for at, name, kind, optional in places:
                values, key = (given, at) if at < len(given) else (named, name)
                value = named.get(name, _DEFAULT) if values is named else given[at]
                if isinstance(value, str) and hasattr(kind, "named"):
                    values[key] = kind.named(value)
                elif value is not _DEFAULT and not (optional and value is None):
                    require_kind(name, value, kind, _wanted(kind))
            return function(*given, **named)

        return call

    return checked


_DEFAULT = object()


def _wanted(kind):
    if kind is bool:
        return "True or False"
    kinds = kind if isinstance(kind, tuple) else (kind,)
    return " or ".join(
        f"a{'n' * (one.__name__[0] in 'AEIOU')} {one.__name__} ({one.__module__})" for one in kinds
    )
