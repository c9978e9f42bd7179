"""Shows what the benchmarks measured at the end of the run."""

import timing
from lab import browser, open_notebook, server  # noqa: F401


def pytest_terminal_summary(terminalreporter):
    if timing.LINES:
        terminalreporter.section("measured speed (medians of this run)")
        for line in timing.LINES:
            terminalreporter.write_line(line)
