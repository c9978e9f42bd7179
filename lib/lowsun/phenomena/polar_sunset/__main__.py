"""`python -m lowsun.phenomena.polar_sunset`: the map of a year, as it ships with the kit."""

import argparse
from datetime import date
from pathlib import Path

from lowsun.phenomena.polar_sunset.sweep import SHIPPED, sunset_map


def main(words=None):
    """Compute the map and write it; an existing file stays unless --overwrite is given."""
    parser = argparse.ArgumentParser(
        prog="python -m lowsun.phenomena.polar_sunset", description=main.__doc__
    )
    parser.add_argument(
        "path", nargs="?", type=Path, default=Path(SHIPPED), help="the .npz to write"
    )
    parser.add_argument("--year", type=int, default=2027)
    parser.add_argument("--days", type=int, default=365, help="from 1 January on")
    parser.add_argument("--workers", type=int, default=2, help="processes")
    parser.add_argument("--overwrite", action="store_true")
    asked = parser.parse_args(words)
    found = sunset_map(date(asked.year, 1, 1), asked.days, workers=asked.workers)
    found.save(asked.path, overwrite=asked.overwrite)


if __name__ == "__main__":
    main()
