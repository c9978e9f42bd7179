"""Results kept within a number of bytes."""

import sys
from collections import namedtuple
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from sys import getsizeof
from threading import Barrier, Thread
from types import FunctionType

import numpy as np
import pytest

import lowsun
from lowsun.kept import KB, MB, kept, size_bytes
from lowsun.words import say, speaking
from lowsun.words.speech import holds_words

NUMBERS = np.arange(12_500.0)  # 100 kB


@dataclass(frozen=True, eq=False)
class Plain:
    numbers: np.ndarray


@dataclass(frozen=True, eq=False, slots=True)
class Slotted:
    numbers: np.ndarray


Pair = namedtuple("Pair", "first second")


def _in_a_function(numbers):
    return lambda: numbers


@pytest.mark.parametrize(
    "wrapped",
    [
        Plain,
        Slotted,
        _in_a_function,
        lambda a: a[::-1],
        lambda a: a.reshape(-1, 5)[:, 2],  # a view keeps all of its base
        lambda a: (a, a, a[3:], [a.T]),
        lambda a: {"one": a, "two": {"three": a[:7]}},
        lambda a: Pair(Plain(a), Slotted(a[1:])),
        lambda a: partial(max, a),
        lambda a: np.array([a, None], dtype=object),
        lambda a: {("key", "of", "words"): a}.items(),
    ],
)
def test_each_buffer_counts_once_wherever_it_lies(wrapped):
    assert size_bytes(wrapped(NUMBERS)) == pytest.approx(NUMBERS.nbytes, abs=1500)


def test_bytes_under_an_array_count():
    assert size_bytes(np.frombuffer(bytes(50_000))) == pytest.approx(50_000, abs=500)
    assert size_bytes(memoryview(bytes(50_000))) == pytest.approx(50_000, abs=500)


def test_text_and_what_lies_in_tuples_count():
    assert size_bytes("a" * 9000) == getsizeof("a" * 9000)
    several = tuple(str(number) * 50 for number in range(100))
    assert size_bytes(several) == getsizeof(several) + sum(map(getsizeof, several))


def test_what_holds_itself_is_counted_once():
    round_about = [NUMBERS]
    round_about.append(round_about)
    assert size_bytes(round_about) == pytest.approx(NUMBERS.nbytes, abs=500)


def test_classes_and_modules_are_nobodys_own():
    assert size_bytes([Plain, np, pytest]) < 200


def _counting(most_bytes, shape):
    asked = []

    @kept(most_bytes)
    def zeros(number):
        asked.append(number)
        return Plain(np.zeros(shape))

    return zeros, asked


def test_what_was_unused_for_longest_goes_first():
    zeros, asked = _counting(1 * MB, 50_000)  # two fit, three do not
    zeros(1), zeros(2), zeros(1), zeros(3)
    assert asked == [1, 2, 3]
    zeros(1)
    assert asked == [1, 2, 3]
    zeros(2)
    assert asked == [1, 2, 3, 2]


def test_no_more_bytes_are_kept_than_allowed():
    zeros, _ = _counting(1 * MB, 12_500)
    for number in range(30):
        zeros(number)
        assert zeros.cache_info().currsize <= 1 * MB
    assert zeros.cache_info().currsize > 0.88 * MB
    assert zeros.cache_info().maxsize == 1 * MB


def test_what_is_larger_than_allowed_is_returned_and_not_kept():
    zeros, asked = _counting(10 * KB, 12_500)
    assert zeros(1).numbers.size == zeros(1).numbers.size == 12_500
    assert asked == [1, 1]
    assert zeros.cache_info().currsize == 0


def test_a_key_counts_with_its_result():
    by_name = kept(10 * KB)(len)
    assert by_name("a" * 9000) == 9000
    assert 9000 < by_name.cache_info().currsize < 10 * KB
    by_name("b" * 9000)
    assert by_name.cache_info().currsize < 10 * KB


def test_an_answer_is_the_one_that_was_kept():
    zeros, asked = _counting(1 * MB, 10)
    assert zeros(1) is zeros(1)
    zeros.cache_clear()
    zeros(1)
    assert asked == [1, 1]
    assert zeros.cache_info()[:2] == (0, 1)


def test_an_error_is_not_kept():
    asked = []

    @kept(1 * MB)
    def refuse(number):
        asked.append(number)
        raise ValueError("not this one")

    for _ in range(2):
        with pytest.raises(ValueError, match="not this one"):
            refuse(1)
    assert asked == [1, 1]


def test_several_threads_get_the_right_answers():
    doubled = kept(40 * KB)(lambda number: np.full(1000, 2.0 * number))  # four fit
    start, wrong = Barrier(4), []

    def ask(offset):
        start.wait()
        for turn in range(2000):
            number = (turn + offset) % 7
            if doubled(number)[0] != 2.0 * number:
                wrong.append(number)

    threads = [Thread(target=ask, args=(offset,)) for offset in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
    info = doubled.cache_info()
    assert info.hits + info.misses == 8000
    assert info.currsize <= 40 * KB


def test_words_of_another_language_do_not_stick():
    @holds_words
    @kept(1 * MB)
    def number_of(count):
        return say("above {highest:g} km the sky's light is left out", highest=count)

    english = number_of(3)
    with speaking("pt"):
        portuguese = number_of(3)
    assert portuguese != english
    assert number_of(3) == english


def _all_kept():
    """Every function of the kit that keeps its results so, once."""
    for module in walk_packages(lowsun.__path__, "lowsun."):
        if "__main__" not in module.name:
            import_module(module.name)
    rooms = [module for name, module in sorted(sys.modules.items()) if name.startswith("lowsun.")]
    found = [
        value for room in rooms for value in vars(room).values() if hasattr(value, "cache_info")
    ]
    return {id(each): each for each in found if isinstance(each, FunctionType)}.values()


def test_the_handbook_says_what_all_may_hold_together():
    allowed = sum(each.cache_info().maxsize for each in _all_kept())
    handbook = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert f"All budgets together are {allowed / MB:.0f} MB" in handbook
