"""The tests in an order for two processes, of which one waits for browsers and the other computes.

`--dist worksteal` hands each of them half of the list; one that has finished takes the later half
of what the other has left.
"""


def in_two_halves(items):
    """Browsers begin one half and notebooks the other; the rest keep their order.

    Two browsers at once would leave the processors idle. A notebook's cell needs the kernel in
    which the cells before it ran, and from the beginning of a half nothing is taken.
    """
    browsers = [item for item in items if "browser" in item.keywords]
    notebooks = [item for item in items if item.path.suffix == ".ipynb"]
    apart = {*browsers, *notebooks}
    others = [item for item in items if item not in apart]
    room = max(0, len(items) // 2 - len(browsers))
    return [*browsers, *others[:room], *notebooks, *others[room:]]
