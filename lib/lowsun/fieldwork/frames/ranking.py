"""Which frames come first."""


def ranked(found):
    """[(file, `Reading`)] with the purest and largest green first, frames without a Sun last."""
    return sorted(found, key=lambda entry: (*_rank(entry[1]), entry[0]))


def _rank(reading):
    if reading.green:
        return 0, -reading.green_peak * reading.green_px
    if reading.pieces is None:
        return 3, 0.0
    return (1 if reading.green is None else 2), 0.0
