"""Speed as medians and ratios of one run: shown, never asserted."""

import os
import platform
import statistics
from time import perf_counter

LINES = []  # what was measured, and its figures by name


def median_ms(call, repeats=9):
    """Median time of a call [ms], after one that warms it up."""
    call()
    times = []
    for _ in range(repeats):
        begins = perf_counter()
        call()
        times.append(perf_counter() - begins)
    return 1e3 * statistics.median(times)


def report(what, **figures):
    """Keep a line for the end of the run: what was measured and its figures."""
    LINES.append((what, figures))


def growth(what, unit, cost_ms):
    """Report how a cost grows: {size: ms}, each beside the smallest, per unit of size."""
    least, *_ = cost_ms
    for size, taken in cost_ms.items():
        report(
            f"{what}, {size:,} {unit}",
            ms=taken,
            times_the_size=size / least,
            times_the_time=taken / cost_ms[least],
        )


def lines():
    """All that was measured, a line of text each."""
    return [f"{what}: {', '.join(_figures(figures))}" for what, figures in LINES]


def table():
    """All that was measured as a page in Markdown, with the machine it was measured on."""
    rows = [f"| {what} | {' · '.join(_figures(figures))} |" for what, figures in LINES]
    machine = f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    head = f"Medians of one run on {machine}{load}.\n"
    return "\n".join(["# How fast", "", head, "| what | measured |", "| --- | --- |", *rows, ""])


def _figures(figures):
    return [f"{name.replace('_', ' ')} {value:.3g}" for name, value in figures.items()]
