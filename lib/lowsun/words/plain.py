"""How many of what, and how a sentence begins."""


def count(number, one, several=""):
    """So many things: `1 stop`, `2.5 stops`, `0 dates`; several: the plural, by default with an s.

    A whole number is written without a point, and none with an exponent.
    """
    figures = f"{number:f}".rstrip("0").rstrip(".")
    return f"{figures} {one if number == 1 else several or f'{one}s'}"


def opened(text):
    """The text with a capital letter, to open a sentence; the rest stays as it is."""
    return text[:1].upper() + text[1:]
