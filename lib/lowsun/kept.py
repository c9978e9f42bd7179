"""Results kept for the next time they are asked for, as many as fit into a number of bytes.

The longest unused go first. Counted is what a result holds with what it was asked with, since a
key keeps its air or its evening alive too. What grows after it was kept is not counted again.
"""

from functools import wraps
from gc import get_referents
from sys import getsizeof
from threading import Lock
from types import FunctionType, ModuleType

import numpy as np
from cachetools import LRUCache, cached

KB, MB = 1_000, 1_000_000
_SHARED = (type, ModuleType)  # no result's own


def kept(most_bytes):
    """A decorator that keeps a function's results within `most_bytes`, for several threads.

    Arguments are hashable. A result larger than that is returned and not kept; errors never are.
    Two threads that ask for the same at once may both compute it, and both get an answer. As of
    `functools.lru_cache`, there are `cache_clear()` and `cache_info()`, whose sizes are bytes.
    """

    def keeping(function):
        @cached(LRUCache(most_bytes, getsizeof=size_bytes), lock=Lock(), info=True)
        def answer_and_question(*asked, **by_name):
            return function(*asked, **by_name), asked, by_name

        @wraps(function)
        def answer(*asked, **by_name):
            return answer_and_question(*asked, **by_name)[0]

        answer.cache_clear = answer_and_question.cache_clear
        answer.cache_info = answer_and_question.cache_info
        return answer

    return keeping


def size_bytes(thing):
    """Bytes in memory of a thing with all that it holds, each object and each buffer once.

    Classes, modules and what a function finds in its module are nobody's own and not counted.
    What a library holds outside Python's sight is counted as far as it tells.
    """
    seen, total, waiting = set(), 0, [thing]
    while waiting:
        one = waiting.pop()
        if id(one) in seen or isinstance(one, _SHARED):
            continue
        seen.add(id(one))
        total += getsizeof(one)
        waiting.extend(_held(one))
    return total


def _held(one):
    if isinstance(one, np.ndarray):
        return one.tolist() if one.dtype.hasobject else [one.base]  # a view's data are its base's
    if isinstance(one, memoryview):
        return [one.obj]
    if isinstance(one, FunctionType):
        return [] if hasattr(one, "cache_info") else one.__closure__ or ()
    return get_referents(one)
