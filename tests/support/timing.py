"""Speed as medians and ratios of one run: shown, never asserted."""

import statistics
from time import perf_counter

LINES = []


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
    LINES.append(f"{what}: " + ", ".join(f"{name} {value:.3g}" for name, value in figures.items()))
