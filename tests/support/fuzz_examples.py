"""Good arguments for the rooms in which one name means many things, for `fuzz.py`, by callable."""

from datetime import UTC, date, datetime

WHEN, DAY = datetime(2025, 3, 1, 18, tzinfo=UTC), date(2025, 3, 1)
CLOCK = {"when": WHEN, "zone": UTC, "seconds": True}
WORDS = {
    "words.bearing": {"bearing_deg": 270.0, "digits": 1},
    "words.bearing_tick": {"bearing_deg": 270.0},
    "words.clock": CLOCK | {"beside": DAY},
    "words.compass_point": {"bearing_deg": 270.0},
    "words.countdown": {"seconds": 65.0},
    "words.day_and_clock": CLOCK,
    "words.day": {"year": True},
    "words.days": {"first": DAY, "last": date(2025, 3, 2)},
    "words.duration": {"seconds": 65.0},
    "words.figures": {"number": 2.5, "spec": ".1f"},
    "words.instant": CLOCK,
    "words.local": CLOCK,
    "words.say": {"message": "sunset"},
    "words.says": {"one": "one", "several": "{number}", "number": 2},
    "words.speak": {"code": "en"},
    "words.speaking": {"code": "en"},
    "words.term": {"message": "sunset"},
    "words.zone_in_full": CLOCK,
    "words.zone_name": CLOCK,
}
MEANT = {
    "words.bearing(bearing_deg)": {"nan": "at a pole no bearing exists"},
}
SPECIAL = WORDS
