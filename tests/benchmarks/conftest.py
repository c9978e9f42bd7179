"""Shows what the benchmarks measured at the end of the run, and writes it where asked."""

from pathlib import Path

import timing
from lab import browser, open_notebook, server  # noqa: F401


def pytest_addoption(parser):
    parser.addoption("--speed", type=Path, metavar="FILE.md", help="write what was measured there")


def pytest_terminal_summary(terminalreporter, config):
    if not timing.LINES:
        return
    terminalreporter.section("measured speed (medians of this run)")
    for line in timing.lines():
        terminalreporter.write_line(line)
    if page := config.getoption("--speed", None):
        page.write_text(timing.table(), encoding="utf-8")
        terminalreporter.write_line(f"{page} written")
