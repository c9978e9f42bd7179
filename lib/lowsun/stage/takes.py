"""Files under numbered names: what was made before stays."""

from lowsun.files import path_of


def next_take(path, *endings):
    """The path with the first number behind its name that no file has, with any of the endings.

    a.mp4 becomes a-1.mp4, then a-2.mp4.
    """
    path = path_of(path)
    endings = endings or (path.suffix,)
    number = 1
    while any(path.with_name(f"{path.stem}-{number}{ending}").exists() for ending in endings):
        number += 1
    return path.with_name(f"{path.stem}-{number}{path.suffix}")
