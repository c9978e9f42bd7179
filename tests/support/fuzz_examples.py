"""Good arguments for the rooms in which one name means many things, for `fuzz.py`, by callable."""

from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

WHEN, DAY = datetime(2025, 3, 1, 18, tzinfo=UTC), date(2025, 3, 1)


@cache
def _evening():
    from lowsun.phenomena.evening import evening

    return evening(_place(), DAY, _air())


def _place():
    from lowsun.sky import Place

    return Place("the lighthouse", 50.0, -5.0, 95.0)


def _air():
    from lowsun.physics.medium import Air

    return Air()


def _kit():
    from lowsun.fieldwork.camera import Camera
    from lowsun.fieldwork.plan import Kit

    return Kit(Camera(400.0, 8.0, 4.0, (6000, 4000)))


def _ranges():
    from lowsun.fieldwork.plan import Ranges

    return Ranges()


@cache
def _plan():
    from lowsun.fieldwork.plan import plan, spread

    drawn = spread(_place(), DAY, count=2)
    return plan(_place(), DAY, kit=_kit(), spread=drawn)


@cache
def _evenings():
    from lowsun.fieldwork.plan import evenings

    return evenings(_place(), DAY, DAY, 250.0, 300.0)


def _moment():
    from lowsun.phenomena.polar_sunset import track_at
    from lowsun.sky import Place

    camp = Place("the ice camp", 89.0, 0.0)
    return next(iter(track_at(camp, [datetime(2027, 9, 20, 6, tzinfo=UTC)])))


def _low_sky():
    from lowsun.phenomena.low_sky import low_sky

    return low_sky(_air(), -0.4, 0.2, 2.0, 0.5, eye_height_m=95.0)


def _sea():
    from lowsun.phenomena.sea import sea

    return sea(_air(), -0.4, -1.0, 0.5, eye_height_m=95.0, wind_m_per_s=5.0)


def _skyline():
    from lowsun.fieldwork.skyline import Skyline

    return Skyline(np.arange(0.0, 360.0, 5.0), np.full(72, 0.5))


def _land():
    from lowsun.fieldwork.skyline import land_sunset

    return land_sunset(_evening(), _skyline())


def _lit_half():
    from lowsun.phenomena.low_sun import Frame, LitHalf

    return LitHalf(Frame(1.0, 20.0, 20, 20), 2, np.ones((8, 9, 3)))


def _tile():
    from lowsun.fieldwork.skyline import Tile

    return Tile("N50W006", 50.5, -5.5, 0.01, 0.01, np.zeros((101, 101)))


def _picture():
    from lowsun.fieldwork.frames import Picture

    return Picture(np.zeros((40, 60, 3), np.uint8), np.linspace(0.0, 1.0, 256), 255)


def _outside():
    from lowsun.proof import outside_values

    return outside_values()


@cache
def _picture_curve():
    from lowsun.phenomena.low_sun import curve_for_picture

    return curve_for_picture(_air().atmosphere, 95.0)


def _frame():
    from lowsun.phenomena.low_sun import Frame

    return Frame(0.7, 60.0, 64, 64)


@cache
def _disc_picture():
    from lowsun.phenomena.low_sun import picture

    return picture(_picture_curve(), -0.4, frame=_frame())


def _weights(wavelength_nm):
    from lowsun.physics.colour import xyz_weights

    return xyz_weights(wavelength_nm)


def _column():
    from lowsun.phenomena.flash_light import column

    return column(_picture_curve(), -0.7)


def _eye():
    from lowsun.phenomena.instruments import NakedEye

    return NakedEye()


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
PLAN = {
    "fieldwork.plan.Framing": {"altitude_deg": 0.0},
    "fieldwork.plan.Kit": {},
    "fieldwork.plan.air_at": {
        "temperature_c": 15.0,
        "pressure_hpa": 1013.0,
        "lapse_k_per_km": 6.5,
        "sea_excess_k": 1.0,
    },
    "fieldwork.plan.candidates": {"air": _air},
    "fieldwork.plan.evenings": {"first_day": DAY, "last_day": DAY, "high_deg": 300.0},
    "fieldwork.plan.framing_of_horizon": {"horizon_deg": 0.0},
    "fieldwork.plan.haze_of_visibility": {"visibility_km": 30.0},
    "fieldwork.plan.plan": {"kit": _kit, "aim_azimuth_deg": 270.0},
    "fieldwork.plan.spread": {"count": 1, "progress": False},
    "fieldwork.plan.worth": {"tonight": _evening, "ranges": _ranges, "count": 1},
}
SKYLINE = {
    "fieldwork.skyline.Skyline": {
        "azimuth_deg": np.array([250.0, 260.0]),
        "altitude_deg": np.array([0.5, 0.6]),
    },
    "fieldwork.skyline.around": {
        "tiles": lambda: (_tile(),),
        "last_deg": 1.0,
        "first_deg": 0.0,
        "reach_m": 1000.0,
        "sea_beyond": False,
    },
    "fieldwork.skyline.behind": {"evening": _evening, "land": _land},
    "fieldwork.skyline.land_sunset": {"evening": _evening, "skyline": _skyline},
    "fieldwork.skyline.parse": {"content": b"250,0.5\n260,0.6\n", "name": "hills"},
    "fieldwork.skyline.read": {"path": lambda: Path("skyline.csv")},
    "fieldwork.skyline.read_tile": {"path": lambda: Path("N50W006.hgt")},
}
PIXELS = {"row": np.array([1, 2]), "column": np.array([3, 4])}
FRAMES = {
    "fieldwork.frames.Picture.light": PIXELS,
    "fieldwork.frames.Picture.burnt": PIXELS,
    "fieldwork.frames.Picture.patches": PIXELS,
    "fieldwork.frames.Picture.thinned": {
        "stride": 2,
        "rows": slice(0, 20),
        "columns": slice(0, 20),
        "stride_across": 2,
    },
    "fieldwork.frames.Picture.brightest": {"stride": 2},
    "phenomena.low_sun.LitHalf.whole": {"values": np.ones((8, 9))},
    "fieldwork.frames.measure": {"picture": _picture},
    "fieldwork.frames.read": {"path": lambda: Path("pictures/dark.png"), "utc_offset_h": 1.0},
    "fieldwork.frames.readings": {"path": lambda: Path("pictures/dark.png"), "utc_offset_h": 1.0},
    "fieldwork.frames.read_folder": {
        "folder": lambda: Path("pictures"),
        "out": lambda: Path("pictures-out"),
        "processes": 1,
        "utc_offset_h": 1.0,
    },
    "files.made_folder": {"path": lambda: Path("made")},
}
PROOF = {
    "proof.compared": {"value": lambda: _outside()[0]},
    "proof.comparisons": {"measures": lambda: [_outside()[0].measure]},
    "scenes.questions.about": {"scene_name": "rims"},
    "scenes.questions.question": {"name": "narrower"},
}
LOW_SUN = {
    "air": _air,
    "sun_true_altitude_deg": -0.4,
    "wind_m_per_s": 5.0,
    "horizon_deg": -0.3,
    "responses": lambda: _weights,
}
SEA = LOW_SUN | {"altitude_deg": np.array([-1.0, -0.6]), "azimuth_deg": np.array([0.0, 0.5])}
PHENOMENA = {
    "phenomena.seascape.seascape": LOW_SUN | {"curve": _picture_curve, "frame": _frame},
    "phenomena.seascape.stands_out": {"picture": _disc_picture},
    "phenomena.seascape.as_seen": {"light": lambda: _disc_picture().lit, "exposure_stops": 1.0},
    "phenomena.sea.sea": LOW_SUN | {"low_deg": -1.0, "wide_deg": 0.5},
    "phenomena.calm_sea.mirrored_sky": SEA,
    "phenomena.calm_sea.mirrored_disc": SEA | {"frame": _frame},
    "phenomena.low_sky.lighting_air": {"air": _air},
    "phenomena.low_sky.low_sky": LOW_SUN
    | {"sun_apparent_altitude_deg": 0.2, "high_deg": 2.0, "wide_deg": 0.5},
    "phenomena.seen_light.seen_light": {"column": _column, "instrument": _eye},
}
SHEETS = {
    "stage.worksheet.write": {
        "folder": lambda: Path("sheets"),
        "overwrite": True,
        "state": lambda: None,
        "stamp": WHEN,
    },
    "stage.evening_plan.write": {
        "plan": lambda: _plan(),
        "folder": lambda: Path("plan"),
        "overwrite": True,
    },
    "stage.evening_plan.write_evenings": {
        "found": lambda: _evenings(),
        "span": lambda: (DAY, DAY),
        "folder": lambda: Path("evenings"),
        "overwrite": True,
    },
    "phenomena.polar_sunset.in_its_sky": {"moment": lambda: _moment()},
}
METHODS = {
    "fieldwork.plan.Framing.pixel": {"azimuth_deg": 270.0, "altitude_deg": 0.0},
    "fieldwork.plan.Framing.direction": {"column": 5.0, "row": 5.0},
    "fieldwork.plan.Framing.inside": {"column": 5.0, "row": 5.0},
    "fieldwork.plan.Kit.battery_minutes_at": {"temperature_c": 5.0},
    "fieldwork.plan.Plan.trail_px": {"exposure_s": 0.1},
    "fieldwork.plan.Plan.travel_px": {"name": "first contact", "until": "last sliver"},
    "fieldwork.plan.Ranges.at": {"share": 0.5},
    "fieldwork.plan.Spread.durations_s": {"percent": 50.0},
    "fieldwork.plan.Timeline.after": {"when": WHEN},
    "fieldwork.plan.Timeline.step": {"name": "last sliver"},
    "fieldwork.skyline.Skyline.altitude_at": {"azimuth_deg": 270.0},
    "fieldwork.skyline.Tile.height_at": {"latitude_deg": 50.0, "longitude_deg": -5.0},
    "fieldwork.skyline.Tile.covers": {"latitude_deg": 50.0, "longitude_deg": -5.0},
    "phenomena.low_sky.LowSky.seen": {"altitude_deg": [0.5], "azimuth_deg": [0.2]},
    "phenomena.low_sky.LowSky.spectrum": {"altitude_deg": [0.5], "azimuth_deg": [0.2]},
    "phenomena.sea.Sea.seen": {"altitude_deg": [-0.5], "azimuth_deg": [0.2]},
}
INSTANCES = {
    "fieldwork.frames.Picture": _picture,
    "fieldwork.plan.Framing": lambda: _plan().framing,
    "fieldwork.plan.Kit": _kit,
    "fieldwork.plan.Plan": lambda: _plan(),
    "fieldwork.plan.Ranges": _ranges,
    "fieldwork.plan.Spread": lambda: _plan().spread,
    "fieldwork.plan.Timeline": lambda: _plan().timeline,
    "fieldwork.skyline.Skyline": _skyline,
    "fieldwork.skyline.Tile": _tile,
    "phenomena.low_sky.LowSky": lambda: _low_sky(),
    "phenomena.low_sun.LitHalf": _lit_half,
    "phenomena.sea.Sea": lambda: _sea(),
}
MEANT = {
    "stage.evening_plan.write(items)": {"[text]": "a list of one sentence"},
    "words.bearing(bearing_deg)": {"nan": "at a pole no bearing exists"},
} | {
    f"fieldwork.{name}": {"nan": "at a pole no bearing exists", "[nan]": "as above"}
    for name in (
        "skyline.Skyline.altitude_at(azimuth_deg)",
        "plan.Framing.pixel(azimuth_deg)",
        "plan.Framing.pixel(altitude_deg)",
        "plan.Framing.direction(column)",
        "plan.Framing.direction(row)",
        "plan.Framing.inside(column)",
        "plan.Framing.inside(row)",
    )
}
NOT_TRIED = {  # by callable, parameter and value
    # What would read, or write into, the whole of a machine:
    ("fieldwork.frames.read_folder", "folder", "folder"),
    ("fieldwork.frames.read_folder", "out", "folder"),
    ("stage.worksheet.write", "folder", "folder"),
    ("stage.evening_plan.write", "folder", "folder"),
    ("stage.evening_plan.write_evenings", "folder", "folder"),
    # What a user's own function raises stops the reading, and is the user's:
    ("fieldwork.frames.read_folder", "tell", "class"),
    ("fieldwork.frames.read_folder", "tell", "function"),
}
SPECIAL = WORDS | PLAN | SKYLINE | FRAMES | PROOF | PHENOMENA | SHEETS | METHODS


def write_files():
    """What the examples name, into the folder of the run."""
    Path("skyline.csv").write_bytes(SKYLINE["fieldwork.skyline.parse"]["content"])
    Path("N50W006.hgt").write_bytes(bytes(2 * 1201 * 1201))
    Path("pictures").mkdir()
    Image.fromarray(np.zeros((40, 60, 3), np.uint8)).save("pictures/dark.png")
