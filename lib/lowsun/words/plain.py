"""How a sentence begins."""


def opened(text):
    """The text with a capital letter, to open a sentence; the rest stays as it is."""
    return text[:1].upper() + text[1:]
