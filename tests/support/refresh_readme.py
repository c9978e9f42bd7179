"""Write the README's table of outside values again from the rows that are compared.

python tests/support/refresh_readme.py
"""

import re
from pathlib import Path

from lowsun.files import whole
from lowsun.proof import comparisons
from lowsun.proof.telling import summary, told

README = Path(__file__).parents[2] / "README.md"
SHOWN = 12  # quantities, those that lie closest to their limits
BETWEEN = re.compile(r"(<!-- compared: .*? -->\n).*?(<!-- /compared -->)", re.DOTALL)


def compared():
    """The summary of all comparisons and the table of the least certain."""
    rows = comparisons()
    head, rule, *lines = told(rows).splitlines()
    least = "\n".join([head, rule, *lines[:SHOWN]])
    return (
        f"{summary(rows)} `python -m lowsun compare --every` computes them all again, in half a"
        f" minute. Of {len(lines)} quantities, these lie closest to what is allowed:\n\n{least}\n"
    )


def refreshed(text):
    """The README's text with the table as it is computed now."""
    return BETWEEN.sub(lambda found: f"{found[1]}\n{compared()}\n{found[2]}", text)


if __name__ == "__main__":
    text = refreshed(README.read_text(encoding="utf-8"))
    with whole(README, overwrite=True) as draft:
        draft.write_text(text, encoding="utf-8")
    print(README)
