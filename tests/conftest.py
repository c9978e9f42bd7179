"""The fast half of the tests, and the order: fast ones first, then slow ones, browsers last.

Where two processes share the tests, `support/halves.py` has browsers in one half and notebooks in
the other.

Slow are benchmarks, browsers, notebooks, and the files and functions named in data/slow_tests.txt.
Property tests draw the same examples every time, so that a red run tells of the change and not of
chance; `--hypothesis-profile=search` draws others.

`python -m pytest --time-tests` writes the functions again for the tests it runs; a file is named by
hand where all of it is slow.
"""

import os
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import settings

from halves import in_two_halves

LISTED = Path(__file__).parent / "data" / "slow_tests.txt"
SLOW_FOLDERS = {"benchmarks", "browser", "notebooks"}
SLOW_S = 0.3  # of the processor's time, which a busy machine does not lengthen
TAKEN_S = Counter()

settings.register_profile("search", derandomize=False, max_examples=1000)
settings.register_profile("same", derandomize=True)
settings.load_profile("same")


def function_of(item):
    """The test's file and function, without its parameters."""
    return item.nodeid.partition("[")[0]


def is_slow(item, listed):
    """Whether a test belongs to the slow half."""
    file = item.nodeid.partition("::")[0]
    return bool(SLOW_FOLDERS & set(item.path.parts)) or bool({file, function_of(item)} & listed)


def pytest_addoption(parser):
    parser.addoption("--time-tests", action="store_true", help="write the list of slow tests again")


def pytest_collection_modifyitems(config, items):
    listed = set(LISTED.read_text(encoding="utf-8").split("\n"))
    for item in items:
        if is_slow(item, listed):
            item.add_marker("slow")
    items.sort(key=lambda item: [mark in item.keywords for mark in ("slow", "browser")])
    if hasattr(config, "workerinput"):
        items[:] = in_two_halves(items)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_protocol(item):
    began = _processor_s()
    yield
    TAKEN_S[function_of(item)] += _processor_s() - began


def pytest_sessionfinish(session):
    if not session.config.getoption("--time-tests", False):
        return
    kept = set(LISTED.read_text(encoding="utf-8").split("\n")) - set(TAKEN_S) - {""}
    slow = {name for name, taken in TAKEN_S.items() if taken > SLOW_S}
    own = {name for name in slow if not SLOW_FOLDERS & set(Path(name).parts)}
    LISTED.write_text("\n".join(sorted(kept | own)) + "\n", encoding="utf-8")


def _processor_s():
    """This process's time and that of the processes it has waited for [s]."""
    return sum(os.times()[:4])
