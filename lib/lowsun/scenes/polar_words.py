"""What the scene of the polar sunsets says: place and date, the disc, its speed, the air."""

from datetime import timedelta

from lowsun import words
from lowsun.sky import Kind
from lowsun.words import figures, say, says, sun_day, term
from lowsun.words.plain import opened

SLOWEST_ARCSEC_PER_S = 0.0005  # a slower Sun rounds to a standing one
RADIUS_ARCMIN = 16  # the Sun's, to the arc minute
SHORT, HALF_DAY, LONG = timedelta(minutes=10), timedelta(hours=12), timedelta(days=8)
AIR_WORDS = {  # keyed by whether the sunset still has to be named, and whether it comes later
    (True, True): term("puts off the last sunset"),
    (True, False): term("brings the last sunset forward"),
    (False, True): term("puts it off"),
    (False, False): term("brings it forward"),
}
CONTACTS = (term("first contact"), term("centre"), term("last sliver"))
LAST_CONTACTS = (term("the year's first contact"), term("centre, last time"), term("last sliver"))


def describe(result):
    """The place and the date, what the disc does, how fast, and what the air adds."""
    more = (_speed_words, _ridge_words, _air_words)
    return " ".join([_opening(result), *(word for said in more for word in said(result))])


def _opening(result):
    passage = result.passage
    if result.descent is not None:
        return _descending(result)
    begins = f"{opened(passage.place.name)}, {words.day(passage.date)}: "
    if passage.kind == Kind.SETS and passage.length_s is not None:
        return say(
            "{begins}the disc takes {duration} to go{green}.",
            begins=begins,
            duration=words.duration(passage.length_s),
            green=_green(result),
        )
    return begins + _without(passage)


def _descending(result):
    """The year's last sunset as one, from its first contact to its last sliver."""
    descent, place = result.descent, result.passage.place
    edges = descent.first_contact, descent.last_sliver
    days = words.days(*(when.astimezone(place.timezone).date() for when in edges))
    length = words.duration((edges[1] - edges[0]).total_seconds())
    begins = f"{opened(place.name)}, {days}"
    return say(
        "{begins}: the Sun sets for the winter in {length}{green}.",
        begins=begins,
        length=length,
        green=_green(result),
    )


def _green(result):
    rim = result.rim.longest_s
    return say(", its last green rim {duration}", duration=words.duration(rim)) if rim else ""


def _without(passage):
    does = f"{sun_day.in_short(passage.day, passage.kind)}."
    if passage.kind == Kind.SETS:
        return does
    sides = passage.sunset_before, passage.sunset_after
    return f"{does} {sun_day.dates_beside(*sides, passage.place.timezone)}"


def _speed_words(result):
    total, declination = (
        float(part)
        for part in (result.speed.total_arcsec_per_s, result.speed.declination_arcsec_per_s)
    )
    clock = words.clock(result.now, result.passage.place.timezone)
    if abs(total) < SLOWEST_ARCSEC_PER_S:
        return [say("At {clock} it neither sinks nor climbs.", clock=clock)]
    way = say("sinks") if total < 0 else say("climbs")
    share = 100 * min(1, abs(declination) / max(abs(total), 1e-9))
    part = say("all") if share >= 99.5 else say("none") if share < 0.5 else f"{share:.0f} %"
    return [
        say(
            "At {clock} it {way} {speed} a second, {part} by declination.",
            clock=clock,
            way=way,
            speed=_speed(abs(total)),
            part=part,
        )
    ]


def _speed(arcsec_per_s):
    return f"{figures(arcsec_per_s, '.1f' if arcsec_per_s >= 1 else '.3f')}″"


def _ridge_words(result):
    ragged = result.ragged
    count = len(ragged.stretches)
    if not count:
        return []
    lasts = words.duration(ragged.on_and_off_s)
    return [
        says(
            "Over ridges green shows once.",
            "Over ridges green shows {number} times in {duration}.",
            count,
            duration=lasts,
        )
    ]


def _air_words(result):
    if result.put_off is None:
        return []
    hours = result.put_off.total_seconds() / 3600
    if abs(hours) < 0.05:
        return []
    way = say(AIR_WORDS[result.descent is None, hours > 0])
    return [
        say("This air {way} by {duration}.", way=way, duration=words.duration(abs(hours) * 3600))
    ]


def clock(result):
    """The three contacts, each as its name and one or two lines of clock time."""
    names, setting = CONTACTS, result.passage
    if result.descent is not None:
        names, setting = LAST_CONTACTS, result.descent
    instants = (setting.first_contact, setting.centre, setting.last_sliver)
    place = result.passage.place
    return tuple(
        (say(name), *_clock_lines(place, w)) for name, w in zip(names, instants, strict=True)
    )


def _clock_lines(place, when):
    if when is None:
        return (say("none"), "")
    zone, universal = place.timezone, f"{words.day_and_clock(when)} UTC"
    if not when.astimezone(zone).utcoffset():
        return (universal, "")
    return (f"{words.day_and_clock(when, zone)} {words.zone_name(when, zone)}", universal)


def steps(place, span, instants):
    """Clock times of evenly spread instants, as fine as the span asks for, the day where it is new.

    instants: aware datetimes in order.
    """
    zone = place.timezone
    if span.length <= SHORT:
        return tuple(words.clock(when, zone) for when in instants)
    days = [words.local(when, zone, seconds=False).date() for when in instants]
    return tuple(
        _step(words.clock(when, zone, seconds=False), day, day != before, span.length)
        for when, day, before in zip(instants, days, [None, *days[:-1]], strict=True)
    )


def _step(clock, day, new, length):
    date = words.day(day, year=False)
    if length > LONG:
        return date
    told = date if new and length > HALF_DAY else " "
    return f"{clock}\n{told}"  # two lines all, to stand at one height


def note(moment, highest_arcmin):
    """What a portrait cannot show: a Sun that is down, or above its frame."""
    if moment.shown == 0:
        return say("down")
    over = moment.apparent_altitude_deg - moment.horizon_deg
    return say("{over:.0f}° up", over=over) if 60 * over > highest_arcmin + RADIUS_ARCMIN else ""


def where(moment, highest_deg):
    """What a picture of the horizon up to an altitude cannot show."""
    altitude = moment.apparent_altitude_deg
    if moment.shown == 0:
        return say("the Sun is down")
    if altitude - RADIUS_ARCMIN / 60 > highest_deg:
        return say("the Sun stands {altitude:.1f}° up, above this window", altitude=altitude)
    return ""


def limb_note(moment, limb):
    """Why the magnified field shows no limb."""
    if limb is None:
        return (
            say("the Sun is down")
            if moment.shown == 0
            else say("the limb is higher\nthan is magnified")
        )
    return ""


def here_words(rim):
    """The length of the rim beside its mark."""
    return (
        say("● here: {duration}", duration=words.duration(rim.longest_s))
        if rim.longest_s
        else say("here: none")
    )


def ragged_words(rim):
    """The length of the rim over ridges, beside its mark; nothing where none was asked for."""
    return (
        say("■ ridges: {duration} in all", duration=words.duration(rim.total_s))
        if rim.total_s
        else ""
    )
