"""What the scene of the polar sunsets says: place and date, the disc, its speed, the air."""

from datetime import timedelta

from lowsun.phenomena.polar_sunset.passage import DAY, DIPS, NIGHT, RISES, SETS, SHOWS

SLOWEST_ARCSEC_PER_S = 0.0005  # what rounds to nothing


def describe(result):
    """The place and the date, what the disc does, how fast, and what the air adds."""
    more = (_speed_words, _ridge_words, _air_words)
    return " ".join([_opening(result), *(word for words in more for word in words(result))])


def _opening(result):
    passage = result.passage
    if result.descent is not None:
        return _descending(result)
    begins = f"{opened(passage.place.name)}, {day_text(passage.date)}: "
    if passage.kind == SETS and passage.length_s is not None:
        return f"{begins}the disc takes {duration(passage.length_s)} to go{_green(result)}."
    return begins + _without(passage)


def _descending(result):
    descent, place = result.descent, result.passage.place
    days = [edge.astimezone(place.timezone).date() for edge in (descent.begins, descent.ends)]
    span = " to ".join(day_text(day) for day in days)
    length = duration((descent.ends - descent.begins).total_seconds())
    return (
        f"{opened(place.name)}: the Sun goes for the winter from {span}, in {length}"
        f"{_green(result)}."
    )


def _green(result):
    rim = result.rim.longest_s
    return f", its last green rim {duration(rim)}" if rim else ""


def _without(passage):
    over = passage.lowest_true_altitude_deg - passage.horizon_true_altitude_deg
    under = passage.horizon_true_altitude_deg - passage.highest_true_altitude_deg
    does = {
        SETS: "the centre goes down, a part of the disc stays.",
        DAY: f"polar day, the centre {over:.1f}° up at its lowest.",
        DIPS: f"the disc dips in part, its centre stays {60 * over:.0f}′ up.",
        NIGHT: f"polar night, the centre {under:.1f}° down at its highest.",
        SHOWS: f"only a part of the disc shows, its centre stays {60 * under:.0f}′ down.",
        RISES: "the Sun comes up and does not set.",
    }[passage.kind]
    if passage.kind == SETS:
        return does
    return f"{does} {_neighbours(passage)}"


def _neighbours(passage):
    before, after = passage.sunset_before, passage.sunset_after
    zone = passage.place.timezone
    words = [
        f"{name} {day_text(when.astimezone(zone).date())}"
        for name, when in (("last sunset", before), ("next", after))
        if when is not None
    ]
    return f"{opened(', '.join(words))}." if words else "No sunset within a year."


def _speed_words(result):
    total, declination = (
        float(part)
        for part in (result.speed.total_arcsec_per_s, result.speed.declination_arcsec_per_s)
    )
    local = (result.now + timedelta(milliseconds=500)).astimezone(result.passage.place.timezone)
    if abs(total) < SLOWEST_ARCSEC_PER_S:
        return [f"At {local:%H:%M:%S} it neither sinks nor climbs."]
    way = "sinks" if total < 0 else "climbs"
    share = 100 * min(1, abs(declination) / max(abs(total), 1e-9))
    part = "all" if share >= 99.5 else "none" if share < 0.5 else f"{share:.0f} %"
    return [f"At {local:%H:%M:%S} it {way} {_speed(abs(total))} a second, {part} by declination."]


def _speed(arcsec_per_s):
    return f"{arcsec_per_s:.1f}″" if arcsec_per_s >= 1 else f"{arcsec_per_s:.3f}″"


def _ridge_words(result):
    ragged = result.ragged
    if ragged is None or not ragged.stretches:
        return []
    count = len(ragged.stretches)
    times = "once" if count == 1 else f"{count} times in {duration(ragged.on_and_off_s)}"
    return [f"Over ridges the green shows {times}."]


def _air_words(result):
    if result.put_off is None:
        return []
    hours = result.put_off.total_seconds() / 3600
    if abs(hours) < 0.05:
        return []
    way = "puts off" if hours > 0 else "brings forward"
    return [f"This air {way} the last sunset by {duration(abs(hours) * 3600)}."]


def duration(seconds):
    """A length of time in two units at most."""
    if seconds < 9.95:
        return f"{seconds:.1f} s"
    if seconds < 99.5:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    if seconds < 600:
        return f"{int(seconds + 0.5) // 60} min {int(seconds + 0.5) % 60} s"
    if minutes < 100:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h {minutes % 60} min"
    hours = round(seconds / 3600)
    return f"{hours // 24} d {hours % 24} h"


def day_text(day):
    return f"{day.day} {day:%b} {day.year}"


def opened(text):
    return text[:1].upper() + text[1:]
