"""python -m lowsun compare: the kit's numbers beside those of others, computed now."""

from pathlib import Path

from lowsun.files import whole
from lowsun.proof import comparisons
from lowsun.proof.measures import MEASURES
from lowsun.proof.telling import kinds, markdown, plain, summary, worst_of_each

WORST_FIRST = "The one that takes most of what is allowed comes first."


DESCRIPTION = (
    "Computes every quantity that others publish and sets ours beside theirs."
    f" {WORST_FIRST} The exit status is 1 where one lies outside what is allowed."
)


def add(parser):
    """Add the command's options to its parser."""
    parser.description = DESCRIPTION
    parser.epilog = f"Quantities: {', '.join(MEASURES)}."
    parser.add_argument("quantity", nargs="*", help="all, unless named")
    parser.add_argument(
        "--every", action="store_true", help="every value, not one of each quantity and source"
    )
    parser.add_argument("--markdown", type=Path, metavar="FILE", help="write the table there too")
    parser.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.set_defaults(command=compare)


def compare(options):
    """Print the comparisons, write them where asked, and return the exit status."""
    rows = comparisons(options.quantity or None)
    shown = rows if options.every else worst_of_each(rows)
    print(plain(shown) + summary(rows))
    if options.markdown:
        with whole(options.markdown, overwrite=options.overwrite) as draft:
            draft.write_text(page(rows, shown), encoding="utf-8")
        print(options.markdown)
    return 0 if all(row.holds for row in rows) else 1


def page(rows, shown):
    """The table as a page in Markdown, with what kinds of sources there are."""
    told = "\n".join(f"- {kind}" for kind in kinds(rows))
    head = f"# What others say\n\n{summary(rows)} {WORST_FIRST}"
    return f"{head}\n\n{markdown(shown)}\nSources:\n\n{told}\n"
