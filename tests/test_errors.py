"""What is asked to be a number is one, or is answered with a sentence."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from astropy import units

from lowsun.errors import (
    InputError,
    LowsunError,
    OutOfRangeError,
    answer_of,
    keep_number,
    quoted,
    require_date,
    require_instant,
    require_number,
    require_range,
    require_raster,
    require_vectors,
    require_whole,
    takes,
)


class Hostile:
    """Raises whatever is asked of it."""

    def __array__(self, *_, **__):
        raise SystemError("no")

    def __repr__(self):
        raise MemoryError


RECURSIVE = []
RECURSIVE.append(RECURSIVE)
NOT_NUMBERS = {
    "nothing": None,
    "text": "5",
    "bytes": b"5",
    "texts": ["5"],
    "boolean": True,
    "numpy's boolean": np.True_,
    "booleans": np.array([True]),
    "a boolean among numbers": [1.0, True],
    "complex": 1 + 2j,
    "numpy's complex": np.complex128(5),
    "complex array": np.array([5 + 0j]),
    "instant": datetime(2025, 3, 1, tzinfo=UTC),
    "duration": timedelta(seconds=5),
    "numpy's instant": np.datetime64(5, "s"),
    "numpy's duration": np.timedelta64(5, "s"),
    "durations": np.array([5], dtype="m8[s]"),
    "masked array": np.ma.array([5.0, 6.0], mask=[True, False]),
    "masked number": np.ma.masked,
    "a masked number among numbers": [5.0, np.ma.masked],
    "array with a unit": [5.0] * units.km,
    "number with a unit": 5.0 * units.km,
    "ragged": [[5.0], [5.0, 6.0]],
    "set": {5.0},
    "mapping": {5.0: 5.0},
    "record": np.zeros(2, dtype=[("a", float)]),
    "recursive": RECURSIVE,
    "hostile": Hostile(),
    "a class": float,
}
NUMBERS = {
    "integer": 5,
    "fraction": Fraction(10, 2),
    "decimal": Decimal(5),
    "small float": np.float16(5),
    "array of no dimension": np.array(5),
}


@pytest.mark.parametrize("check", [require_range, require_number, require_whole])
@pytest.mark.parametrize("value", NOT_NUMBERS.values(), ids=NOT_NUMBERS)
def test_what_is_no_number_is_refused_by_name(check, value):
    with pytest.raises(OutOfRangeError, match=r"^height_m is .*(not a number|numbers alone)"):
        check("height_m", value, -1e9, 1e9)


@pytest.mark.parametrize("value", NUMBERS.values(), ids=NUMBERS)
def test_every_kind_of_number_is_kept_as_a_float(value):
    kept = require_number("height_m", value, 0, 9)
    assert type(kept) is float
    assert kept == 5.0
    assert require_range("height_m", [value, 6], 0, 9).tolist() == [5.0, 6.0]


@pytest.mark.parametrize(
    "value", [10**400, -(10**5000), Fraction(10**400), [1, 10**400]], ids="abcd"
)
def test_numbers_beyond_floats_are_out_of_range(value):
    with pytest.raises(OutOfRangeError, match=r"beyond all floats; allowed is 0 to 9 m\.$"):
        require_range("height_m", value, 0, 9, unit="m")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_what_is_not_finite_is_out_of_range(value):
    with pytest.raises(OutOfRangeError, match="allowed is"):
        require_range("height_m", value, -np.finfo(float).max, np.finfo(float).max)


def test_the_offender_is_told_from_the_end_it_lies_beyond():
    with pytest.raises(OutOfRangeError, match=r"^x is 90\.0000001 deg; allowed is -90 to 90 deg\."):
        require_range("x", [0.0, 90.0000001], -90, 90, unit="deg")


@pytest.mark.parametrize("value", [[5.0], [], np.ones((2, 3))])
def test_an_array_is_not_one_number(value):
    with pytest.raises(
        OutOfRangeError, match=r"height_m holds \d numbers; give one\. Stand still\."
    ):
        require_number("height_m", value, 0, 9, remedy="Stand still.")


def test_a_part_of_one_is_not_whole():
    assert require_whole("count", 5.0, 1, 9) == 5
    with pytest.raises(OutOfRangeError, match=r"count is 2\.7; give a whole number"):
        require_whole("count", 2.7, 1, 9)


def test_a_record_keeps_the_number_that_was_checked():
    @dataclass(frozen=True)
    class Eye:
        height_m: float

        def __post_init__(self):
            keep_number(self, "height_m", 0, 9)

    assert type(Eye(np.array(5)).height_m) is float
    with pytest.raises(LowsunError, match="height_m is 10; allowed"):
        Eye(10)


def test_large_arrays_pass_without_a_copy():
    many = np.linspace(0.0, 1.0, 1_000_000)
    assert require_range("share", many, 0, 1) is many


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("x" * 10_000, r"^'x+\.\.\.x+'$"),
        (10**5000, "^(a int|1000.*)$"),
        (Hostile(), "^<Hostile instance at "),
        ("two\nlines", r"^'two\\nlines'$"),
        (np.zeros((9, 9)), r"^array\("),
    ],
    ids=["long text", "long number", "hostile", "lines", "array"],
)
def test_a_quotation_is_short_and_never_fails(value, told):
    text = quoted(value)
    assert re.match(told, text)
    assert len(text) <= 60


@takes(eye=float, wide=bool, lens=(str, bytes))
def seen(eye, height=None, *, wide=False, lens=None):
    return eye, height, wide, lens


def test_a_parameter_is_of_its_class_however_it_is_given():
    assert seen(1.0) == (1.0, None, False, None)
    assert seen(eye=1.0, wide=True, lens="a") == (1.0, None, True, "a")
    for call in (lambda: seen(1), lambda: seen(eye="x"), lambda: seen(None)):
        with pytest.raises(InputError, match=r"^eye is .*; give a float \(builtins\)\.$"):
            call()
    with pytest.raises(InputError, match=r"wide is 'no'; give True or False"):
        seen(1.0, wide="no")
    with pytest.raises(InputError, match=r"lens is 5; give a str \(builtins\) or a bytes"):
        seen(1.0, lens=5)


def test_colours_keep_their_precision_and_their_last_axis():
    single = np.ones((4, 3), np.float32)
    assert require_vectors("xyz", single, 3) is single
    assert require_vectors("xyz", [1, 2, 3], 3).dtype == float
    for wrong, words in [([1, 2], "shaped"), (5.0, "shaped"), (np.full(3, np.nan), "holds NaN")]:
        with pytest.raises(OutOfRangeError, match=f"xyz .*{words}|xyz is shaped"):
            require_vectors("xyz", wrong, 3)


@pytest.mark.parametrize(
    ("rows", "columns", "words"),
    [
        (0, 10, r"rows is 0; allowed is 1 to 4096"),
        (10, 5000, r"columns is 5000; allowed is 1 to 4096"),
        (4096, 4096, r"16\.8 million pixels; allowed are 8\.3 million. Make the picture"),
        (10.5, 10, r"rows is 10\.5; give a whole number"),
    ],
)
def test_a_raster_has_no_more_pixels_than_a_large_frame(rows, columns, words):
    assert require_raster(2160, 3840) == (2160, 3840)
    with pytest.raises(OutOfRangeError, match=words):
        require_raster(rows, columns)


def test_a_function_of_a_user_answers_or_is_refused():
    assert answer_of("square", lambda number: number**2, "a function", 3.0) == 9.0
    with pytest.raises(InputError, match=r"square is 3; give a function[.]$"):
        answer_of("square", 3, "a function")
    with pytest.raises(InputError, match="It raised ZeroDivisionError") as told:
        answer_of("square", lambda number: 1 / number, "a function", 0)
    assert isinstance(told.value.__cause__, ZeroDivisionError)


def test_what_a_users_function_refuses_by_itself_stays_its_own_error():
    def refusing():
        raise OutOfRangeError("too low")

    with pytest.raises(OutOfRangeError, match="too low"):
        answer_of("refusing", refusing, "a function")


def test_nan_passes_where_it_means_that_there_is_no_number():
    kept = require_range("azimuth_deg", [10.0, np.nan], 0, 360, nan=True)
    assert kept[0] == 10.0
    assert np.isnan(kept[1])
    for value in ([10.0, np.nan, 400.0], [np.inf], "nan", None):
        with pytest.raises(OutOfRangeError, match="azimuth_deg is"):
            require_range("azimuth_deg", value, 0, 360, nan=True)


def test_a_plain_float_is_answered_as_any_other_number():
    for value in (np.nan, np.inf, 5.5, -0.5):
        with pytest.raises(OutOfRangeError, match="share is"):
            require_number("share", value, 0, 1)
    for value in (0.5, np.float64(0.5), np.float32(0.5), Decimal("0.5"), Fraction(1, 2)):
        kept = require_number("share", value, 0, 1)
        assert kept == 0.5
        assert type(kept) is float


@pytest.mark.parametrize(
    ("check", "value", "said"),
    [
        (require_date, datetime(2025, 3, 1), "give a datetime.date"),
        (require_date, "2025-03-01", "day is '2025-03-01'; give a datetime.date"),
        (require_instant, datetime(2025, 3, 1).date(), "give an aware datetime"),
        (require_instant, datetime(2025, 3, 1), "a naive datetime"),
        (require_instant, datetime(1, 1, 1, tzinfo=UTC), "allowed are the years 2 to 9998"),
    ],
)
def test_a_date_is_no_instant_and_an_instant_no_date(check, value, said):
    with pytest.raises(LowsunError, match=said):
        check("day", value)
