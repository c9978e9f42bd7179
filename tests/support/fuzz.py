"""Every public callable against a table of bad values: what is answered, what is taken for good.

    python tests/support/fuzz.py            every callable, parameter and value
    python tests/support/fuzz.py --brief    leaves out those that compute long before they refuse
    python tests/support/fuzz.py rays sky.  only the callables with one of these in their names

Each callable is called with good arguments but one. A LowsunError is an answer; another exception,
or a call that takes longer than its time, is not; nor is a result where the value cannot mean
anything there. The process may take 4 GB.
"""

import argparse
import inspect
import os
import resource
import shutil
import signal
import sys
import tempfile
import warnings
from collections import Counter
from contextlib import _GeneratorContextManager
from dataclasses import is_dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from importlib import import_module
from numbers import Real
from pathlib import Path

import numpy as np
from astropy import units

import fuzz_examples
from lowsun.errors import LowsunError

LONGEST_S, LONG_S = 10, 60
MOST_BYTES = 4 << 30
FACES = """
    notebook stage scenes sky files
    stage.evening_plan stage.worksheet
    physics.air physics.atmosphere physics.colour physics.ducts physics.extinction physics.eye
    physics.rays physics.scattering physics.sensors physics.soundings physics.sunlight physics.water
    phenomena.dispersion phenomena.earth_shadow phenomena.evening phenomena.flash_light
    phenomena.green_flash phenomena.instruments phenomena.low_sun phenomena.mirage
    phenomena.polar_sunset phenomena.sky_beside
    fieldwork.camera fieldwork.exposures fieldwork.frame fieldwork.wide
    words fieldwork.plan fieldwork.frames fieldwork.skyline proof scenes.questions
    phenomena.seascape phenomena.sea phenomena.calm_sea phenomena.low_sky phenomena.seen_light
"""
LONG = {  # seconds for every value that is refused late, or accepted for good reason
    "stage.film",
    "stage.evening_plan.write",
    "stage.worksheet.write",
    "phenomena.green_flash.by_eye_height",
    "phenomena.green_flash.forecast",
    "phenomena.green_flash.seen_flashes",
    "phenomena.polar_sunset.sunset_map",
    "phenomena.polar_sunset.put_off",
    "phenomena.polar_sunset.delay",
}
MEANT = {  # by name of callable and parameter: bad values that mean something there, and what
    "phenomena.earth_shadow.side_view(sight_altitudes_deg)": {
        "nan": "a line of sight that there is not",
        "[nan]": "a line of sight that there is not",
    },
    "phenomena.flash_light.as_seen(frame)": {"None": "as of `picture`: about the disc"},
    "phenomena.low_sun.disc_light(frame)": {"None": "as of `picture`: about the disc"},
} | fuzz_examples.MEANT
NOT_CALLED = {  # a context, keys of a cache, and what is only made by the kit
    "files.whole",
    "physics.scattering.Keyed",
    "phenomena.polar_sunset.SunsetMap.load",
    "phenomena.polar_sunset.Span.around",
}


class TooLongError(BaseException):
    """A call that was stopped; no exception, so that nothing on the way takes it for one."""


class Hostile:
    """Raises whatever is asked of it."""

    def __array__(self, *_, **__):
        raise SystemError("no")

    def __repr__(self):
        raise SystemError("no")

    def __getattr__(self, name):
        raise RuntimeError(name)


def bad_values():
    """The table of bad values, by name."""
    recursive = []
    recursive.append(recursive)
    return {
        "None": None,
        "True": True,
        "text": "5",
        "no text": "",
        "long text": "x" * 5000,
        "NUL": "a\0b",
        "bytes": b"5",
        "nan": np.nan,
        "inf": np.inf,
        "-inf": -np.inf,
        "1e300": 1e300,
        "-1e300": -1e300,
        "10**400": 10**400,
        "10**5000": 10**5000,
        "0": 0,
        "-1": -1,
        "2.5": 2.5,
        "1j": 1j,
        "object": object(),
        "hostile": Hostile(),
        "class": float,
        "function": len,
        "set": {5.0},
        "mapping": {"a": 1},
        "[]": [],
        "[nan]": [np.nan],
        "[text]": ["x"],
        "[None]": [None],
        "[1, 2]": [1.0, 2.0],
        "ragged": [[1.0], [1.0, 2.0]],
        "recursive": recursive,
        "masked array": np.ma.array([5.0, 6.0], mask=[True, False]),
        "masked": np.ma.masked,
        "booleans": np.array([True, False]),
        "texts": np.array(["x", "y"]),
        "complex array": np.array([5 + 1j]),
        "objects": np.array([object()]),
        "records": np.zeros(2, dtype=[("a", float)]),
        "4 dimensions": np.ones((2, 2, 2, 2)),
        "empty array": np.empty((0, 3)),
        "aware": datetime(2025, 3, 1, 18, tzinfo=UTC),
        "naive": datetime(2025, 3, 1, 18),
        "date": date(2025, 3, 1),
        "year 9999": date(9999, 12, 31),
        "timedelta": timedelta(seconds=5),
        "datetime64": np.datetime64("2025-03-01"),
        "timedelta64": np.timedelta64(5, "s"),
        "with unit": 5.0 * units.km,
        "/dev/zero": Path("/dev/zero"),
        "folder": Path("/"),
    }


def can_mean(value, example, optional):
    """Whether a value is of a kind that the parameter may take, whatever its number."""
    if value is None:
        return optional
    if isinstance(example, bool | np.bool_):
        return isinstance(value, bool)
    if isinstance(example, np.ndarray) and example.dtype == bool:
        return isinstance(value, np.ndarray) and value.dtype == bool
    if isinstance(example, Real | np.ndarray | list | tuple):
        return _numbers(value) or (
            isinstance(example, list | tuple) and isinstance(value, list) and not value
        )
    if isinstance(example, Path | bytes):
        return isinstance(value, str | bytes | Path)
    if isinstance(example, datetime):
        return isinstance(value, datetime) or (type(value) in (list, np.ndarray) and _empty(value))
    return isinstance(value, type(example)) and not isinstance(value, datetime)


def _empty(value):
    return value.size == 0 if isinstance(value, np.ndarray) else len(value) == 0


def _numbers(value):
    if isinstance(value, bool) or type(value) not in (int, float, list, np.ndarray):
        return False
    try:
        return bool(np.isfinite(np.asarray(value, dtype=float)).all()) and not (
            isinstance(value, np.ndarray) and value.dtype.kind not in "iuf"
        )
    except (TypeError, ValueError, OverflowError, RecursionError):
        return False


# ---- good arguments


@cache
def good(name):
    """A good value for a parameter of that name; None where it keeps its default."""
    value = GOOD.get(name)
    return value() if callable(value) else value


def _of(module, *names):
    """Follow names from a module of the kit, calling nothing."""
    found = import_module(f"lowsun.{module}")
    for name in names:
        found = getattr(found, name)
    return found


def _place():
    return _of("sky", "Place")("the lighthouse", 50.0, -5.0, 95.0)


def _camp():
    return _of("sky", "Place")("the ice camp", 89.0, 0.0)


def _curve():
    return _of("phenomena.mirage", "curve_near_horizon")(good("atmosphere"), 95.0, 570.0, 2.0)


def _picture_curve():
    return _of("phenomena.low_sun", "curve_for_picture")(good("atmosphere"), 95.0)


def _passage():
    return _of("phenomena.polar_sunset", "descent")(_camp(), 2027)


def _contacts():
    return _of("phenomena.polar_sunset", "contacts")(78.0, date(2027, 3, 1))


def _column():
    return _of("phenomena.flash_light", "column")(_picture_curve(), -0.7)


def _portrait_frame():
    return _of("phenomena.low_sun", "Frame")(1.0, 20.0, 64, 64)


SUN_SET = -0.5
GOOD = {
    "about_deg": -0.5,
    "adapted_to": 1000.0,
    "air": lambda: _of("physics.scattering", "Air")(),
    "air_height_m": 10_000.0,
    "altitude_deg": 10.0,
    "apart_arcsec": 2.0,
    "apparent_altitude_deg": 0.5,
    "arcsec": 20.0,
    "arcsec_per_px": 20.0,
    "area_sr": 1e-7,
    "atmosphere": lambda: _of("physics.atmosphere", "Atmosphere").standard(),
    "azimuth_deg": 180.0,
    "background_cd_per_m2": 1000.0,
    "base_m": 40.0,
    "bearing_deg": np.array([0.0, 90.0]),
    "bodies": lambda: _of("sky", "geocentric")("sun", datetime(2025, 3, 1, 18, tzinfo=UTC)),
    "body": "sun",
    "brightest_cd_per_m2": 1000.0,
    "camera": lambda: _of("fieldwork.camera", "Camera")(400.0, 8.0, 4.0, (600, 400)),
    "columns": 64,
    "content": lambda: b"pressure_hpa,height_m,temperature_c\n1000,100,10\n900,1000,4\n",
    "cos_incidence": 0.5,
    "count": 24,
    "curve": _picture_curve,
    "date": date(2025, 3, 1),
    "day": date(2025, 3, 1),
    "day_number": 5,
    "density": 3.0,
    "depth_550": 0.1,
    "depth_m": 100.0,
    "days": 2,
    "eased": True,
    "elevation_deg": 10.0,
    "encoded": np.array([0.2, 0.3, 0.4]),
    "end": datetime(2025, 3, 2, 12, tzinfo=UTC),
    "evening": lambda: _of("phenomena.evening", "evening")(
        good("place"), date(2025, 3, 1), good("atmosphere")
    ),
    "excess_k": 1.0,
    "exponent": 1.0,
    "exposure_s": 0.01,
    "eye_height_m": 95.0,
    "f_number": 8.0,
    "facing_deg": 180.0,
    "flash": None,
    "focal_length_mm": 400.0,
    "found": _contacts,
    "frame": _portrait_frame,
    "frame_px": (600, 400),
    "frames_per_second": 25,
    "geopotential_m": 1000.0,
    "grazing_arcmin": [1.0],
    "green": _curve,
    "haze": lambda: _of("physics.extinction", "Haze")(0.1),
    "height_arcmin": np.array([10.0, 5.0]),
    "height_m": 1000.0,
    "high_arcmin": 60.0,
    "high_deg": 2.0,
    "index": 1.34,
    "inversion_k": 2.0,
    "kinks_m": np.array([0.0, 1000.0, 80_000.0]),
    "latitude_deg": 50.0,
    "later": True,
    "light": None,
    "limb": "upper",
    "linear": np.array([0.2, 0.3, 0.4]),
    "long_nm": 650.0,
    "longitude_deg": -5.0,
    "look": lambda: _of("drawing.look", "DARK"),
    "low_deg": 0.0,
    "luminance": 3000.0,
    "moon": lambda: _of("sky", "moon")(good("place"), good("when")),
    "moment": lambda: good("track"),
    "mu": 0.5,
    "name": "a name",
    "notch_arcsec": 1.0,
    "ozone_du": 300.0,
    "passage": _passage,
    "part": 0.5,
    "path": lambda: Path("ascent.csv"),
    "phase_deg": 45.0,
    "pixel_um": 4.0,
    "place": _place,
    "pressure_pa": 101_325.0,
    "radiance": np.ones(3),
    "raw": np.array([0.2, 0.3, 0.4]),
    "red": _curve,
    "refractivity": lambda: lambda height_m: 0.0003 * np.exp(-height_m / 8000.0),
    "relative_humidity": 0.5,
    "responses": lambda: np.ones((24, 3)),
    "rgb": np.array([0.2, 0.3, 0.4]),
    "rise": 0.1,
    "rising": True,
    "row_deg": np.array([0.5, 0.4]),
    "rows": 64,
    "saturation": 1.0,
    "scene": lambda: _of("scenes", "named")("rims"),
    "seconds": 2.0,
    "segment": lambda: _of("stage", "Segment")(scene=good("scene"), rest_s=0.1),
    "seen": _column,
    "setting": _contacts,
    "share": 0.5,
    "short_nm": 500.0,
    "sight_altitudes_deg": np.array([1.0, 5.0]),
    "sighting": lambda: _of("sky", "sun")(good("place"), datetime(2025, 3, 1, 18, tzinfo=UTC)),
    "slope_variance": 0.01,
    "sky_cd_per_m2": 200.0,
    "speed_arcsec_per_s": 10.0,
    "start": datetime(2025, 3, 1, 12, tzinfo=UTC),
    "state": lambda: {},
    "stops": 3.0,
    "strength_k": 2.0,
    "subjects": lambda: _of("fieldwork.exposures", "subjects")(good("evening"), seconds=(-60.0,)),
    "deg": 0.1,
    "height_arcsec": 120.0,
    "foot_arcsec": 10.0,
    "lapse_below_k_per_m": 0.0065,
    "most_bytes": 1000,
    "sun_diameter_arcmin": 32.0,
    "sun_depression_deg": 3.0,
    "sun_true_altitude_deg": SUN_SET,
    "surface_pressure_pa": 101_325.0,
    "surface_temperature_k": 250.0,
    "temperature_k": 280.0,
    "timezone": UTC,
    "track": lambda: _of("phenomena.polar_sunset", "track_at")(
        _camp(), [datetime(2027, 9, 20, hour, tzinfo=UTC) for hour in (6, 12)]
    ),
    "true_altitude_deg": 0.0,
    "tt_s": 8e8,
    "turbidity": 0.1,
    "turn": lambda: _of("phenomena.mirage", "turns")(_curve())[0],
    "values": lambda: {},
    "variance": 0.01,
    "vertical_speed_arcsec_per_s": 10.0,
    "wavelength_nm": 550.0,
    "when": datetime(2025, 3, 1, 18, tzinfo=UTC),
    "white_luminance": 1000.0,
    "wide_deg": 30.0,
    "wind_m_per_s": 5.0,
    "xy": np.array([0.3, 0.4]),
    "xyz": np.array([0.2, 0.3, 0.4]),
    "year": 2027,
}
SPECIAL = {  # where the same name means another thing
    "physics.extinction.Haze.named": {"name": "clear"},
    "scenes.named": {"name": "rims"},
    "notebook.scene": {"name": "rims"},
    "physics.atmosphere.Atmosphere": {
        "height_m": np.array([0.0, 1e4, 9e4]),
        "temperature_k": np.array([280.0, 220.0, 200.0]),
        "pressure_pa": np.array([1e5, 3e4, 1.0]),
        "relative_humidity": np.zeros(3),
    },
    "physics.atmosphere.Atmosphere.from_profile": {
        "height_m": np.array([0.0, 1e4, 9e4]),
        "temperature_k": np.array([280.0, 220.0, 200.0]),
        "relative_humidity": 0.0,
    },
    "physics.scattering.sky_xyz_grid": {
        "altitude_deg": np.array([1.0, 10.0]),
        "azimuth_deg": np.array([0.0, 180.0]),
    },
    "physics.sensors.Sensor.develop_planes": {"share": np.full((3, 2), 0.5)},
    "physics.colour.xyz_from_spectrum": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.colour.luminance": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.colour.trapezoid_width_nm": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.colour.xyz_weights": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.sensors.Sensor.raw": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.sensors.Sensor.weights": {"wavelength_nm": np.array([500.0, 550.0, 600.0])},
    "physics.rays.transfer_curve": {
        "apparent_altitude_deg": np.array([0.0, 0.5]),
        "wavelength_nm": np.array([550.0]),
    },
    "phenomena.flash_light.surviving_share": {"band_nm": (500.0, 540.0)},
    "phenomena.flash_light.spans": {
        "seconds": np.array([1.0, 2.0]),
        "flashing": np.array([True, False]),
    },
    "phenomena.green_flash.by_eye_height": {"low_m": 20.0, "high_m": 30.0, "count": 2},
    "phenomena.earth_shadow.mountain_shadow": {"eye_height_m": 3000.0},
    "phenomena.polar_sunset.nearest_passage": {"limb": 0},
    "sky.nearest_passage": {"limb": 0},
    "sky.moon_phase": {"sun": lambda: good("sighting")},
    "stage.ask": {
        "stage": lambda: _of("stage", "live")(good("scene"), width_px=320),
        "name": "narrower",
    },
    "notebook.ask": {
        "stage": lambda: _of("stage", "live")(good("scene"), width_px=320),
        "name": "narrower",
    },
    "notebook.sketch": {"name": "bent_ray"},
    "notebook.speak": {"code": "en"},
    "notebook.talk": {"path": lambda: Path("talk.toml"), "width_px": 320},
    "stage.talk": {"path": lambda: Path("talk.toml"), "width_px": 320},
    "phenomena.green_flash.main_of": {
        "seen": lambda: _of("phenomena.green_flash", "seen_flashes")(good("atmosphere"), 95.0)
    },
    "phenomena.low_sun.disc_light": {"responses": lambda: _of("physics.colour", "xyz_weights")},
    "physics.colour.weights_of": {
        "responses": lambda: _of("physics.colour", "xyz_weights"),
        "wavelength_nm": np.array([500.0, 550.0, 600.0]),
    },
    "phenomena.polar_sunset.track": {"count": 8},
    "phenomena.polar_sunset.delay": {"place": _camp},
    "phenomena.polar_sunset.put_off": {"place": _camp},
    "phenomena.polar_sunset.descent": {"place": _camp},
    "phenomena.polar_sunset.whole_descent": {"place": _camp},
    "phenomena.polar_sunset.sunset_map": {
        "latitude_deg": [70.0],
        "days": 1,
        "workers": 1,
        "progress": False,
    },
    "phenomena.polar_sunset.SunsetMap.save": {"path": lambda: Path("map.npz")},
    "files.toml": {"path": lambda: Path("segment.toml")},
    "stage.Segment": {"start": dict, "moves": ()},
    "stage.Segment.load": {"path": lambda: Path("segment.toml")},
    "stage.film": {"path": lambda: Path("film.mp4"), "progress": False, "width_px": 320},
    "stage.still": {"path": lambda: Path("still.png"), "width_px": 320},
    "phenomena.low_sun.Frame.sized": {"fineness": 1.5},
    "phenomena.low_sun.Frame.around": {"rows": 40, "columns": 40, "height_arcmin": 40.0},
    "phenomena.low_sun.curve_for_picture": {"wavelength_nm": np.linspace(400.0, 700.0, 16)},
    "physics.rays.TransferCurve.read_at": {"values": lambda: _picture_curve().true_altitude_deg},
    "phenomena.polar_sunset.portrait": {"moment": lambda: next(iter(good("track")))},
    "phenomena.polar_sunset.limb_portrait": {"moment": lambda: next(iter(good("track")))},
    "phenomena.polar_sunset.portraits": {"track": lambda: good("track")},
    "files.require_writable": {"path": lambda: Path("new.csv")},
    "physics.rays.TransferCurve.at": {"wavelength_nm": np.array([520.0, 630.0])},
    "fieldwork.exposures.setting_of_disc": {"light": _column},
    "phenomena.mirage.images": {"curve": _curve},
    "phenomena.mirage.unseen_strips": {"curve": _curve},
    "phenomena.mirage.outline": {"curve": _curve},
    "phenomena.mirage.turns": {"curve": _curve},
    "phenomena.mirage.height_below_deg": {"curve": _curve},
    "phenomena.mirage.events_setting": {"curve": _curve},
    "phenomena.mirage.events_rising": {"curve": _curve},
    "phenomena.polar_sunset.Ridges.invented": {"height_arcmin": 9.0},
    "phenomena.polar_sunset.dusks": {"passage": _contacts},
    "phenomena.polar_sunset.rim_span": {"passage": _contacts},
    "physics.rays.TransferCurve.spread": {"wavelength_nm": np.array([500.0, 600.0])},
    "fieldwork.exposures.subjects": {"seconds": (-60.0,)},
    "fieldwork.camera.Camera.blur_arcsec": {"seeing_arcsec": 2.0},
    "stage.live": {"width_px": 320},
    "notebook.live": {"width_px": 320},
} | fuzz_examples.SPECIAL
INSTANCES = {
    "stage.Segment": lambda: good("segment"),
    "stage.Move": lambda: _of("stage", "Move")(values={}, seconds=1.0),
    "physics.atmosphere.Atmosphere": lambda: good("atmosphere"),
    "physics.extinction.Haze": lambda: good("haze"),
    "physics.scattering.Air": lambda: good("air"),
    "physics.rays.TransferCurve": lambda: _of("phenomena.low_sun", "curve_for_picture")(
        good("atmosphere"), 95.0, 2.0, np.array([520.0, 630.0])
    ),
    "physics.sensors.Sensor": lambda: _of("physics.sensors", "Sensor")("a camera", True),
    "phenomena.instruments.NakedEye": lambda: _of("phenomena.instruments", "NakedEye")(),
    "phenomena.instruments.Binoculars": lambda: _of("phenomena.instruments", "Binoculars")(),
    "phenomena.instruments.Camera": lambda: _of("phenomena.instruments", "Camera")(),
    "phenomena.low_sun.Frame": lambda: good("frame"),
    "phenomena.evening.Evening": lambda: good("evening"),
    "phenomena.polar_sunset.Ridges": lambda: _of("phenomena.polar_sunset", "Ridges").invented(9.0),
    "fieldwork.camera.Camera": lambda: good("camera"),
} | fuzz_examples.INSTANCES


# ---- what is called


def callables():
    """Yield (name, callable) for every public callable that takes what a user gives."""
    for face in FACES.split():
        try:
            module = import_module(f"lowsun.{face}")
        except ModuleNotFoundError:
            continue
        for name in _public(module):
            found = getattr(module, name)
            if inspect.isclass(found):
                yield from _of_class(f"{face}.{name}", found)
            elif callable(found):
                yield f"{face}.{name}", found


def _public(module):
    own = (
        name
        for name, value in vars(module).items()
        if not name.startswith("_") and getattr(value, "__module__", "") == module.__name__
    )
    return getattr(module, "__all__", None) or list(own)


def _of_class(name, found):
    """A class that checks what it is made of, and the methods of what users hold."""
    if is_dataclass(found) and "__post_init__" in vars(found):
        yield name, found
    for method, value in vars(found).items():
        if method.startswith("_"):
            continue
        if isinstance(value, classmethod | staticmethod):
            yield f"{name}.{method}", getattr(found, method)
        elif inspect.isfunction(value) and name in INSTANCES:
            yield f"{name}.{method}", getattr(INSTANCES[name](), method)


def arguments(name, parameters):
    """Good arguments by name, or None where one is not known."""
    special = SPECIAL.get(name, {})
    chosen = {}
    for key, parameter in parameters.items():
        value = special[key] if key in special else good(key)
        if callable(value) and key in special:
            value = value()
        if value is not None:
            chosen[key] = value
        elif parameter.default is parameter.empty:
            return None
    return chosen


def outcome(function, values, longest_s=LONGEST_S):
    """How a call ends: answered, accepted, too long, or the name of what escaped."""
    try:
        return _ended(function, values, longest_s)
    except TooLongError:  # while the clock was being stopped
        return "too long"


def _ended(function, values, longest_s):
    signal.setitimer(signal.ITIMER_REAL, longest_s)
    try:
        found = _called(function, values)
        if inspect.isgenerator(found):
            next(found, None)
        elif isinstance(found, _GeneratorContextManager):
            with found:
                pass
    except LowsunError:
        return "answered"
    except TooLongError:
        return "too long"
    except Exception as escaped:
        return type(escaped).__name__
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    return "accepted"


def _called(function, values):
    """The function's answer; some of its arguments may go by place alone."""
    parameters = inspect.signature(function).parameters.values()
    first = [p.name for p in parameters if p.kind == p.POSITIONAL_ONLY and p.name in values]
    named = {key: value for key, value in values.items() if key not in first}
    return function(*(values[key] for key in first), **named)


def tried(name, function):
    """Yield (parameter, value's name, outcome, whether the value can mean something there)."""
    parameters = {
        key: parameter
        for key, parameter in inspect.signature(function).parameters.items()
        if parameter.kind not in (parameter.VAR_KEYWORD, parameter.VAR_POSITIONAL)
    }
    try:
        chosen = arguments(name, parameters)
    except Exception:  # good arguments of this edition may be none of an older one
        chosen = None
    if chosen is None:
        yield "", "", "no example", True
        return
    if parameters and outcome(function, chosen) != "accepted":
        yield "", "", "example: " + outcome(function, chosen), True
        return
    longest_s = LONG_S if name in LONG else LONGEST_S
    for key, parameter in parameters.items():
        example = chosen.get(
            key, None if parameter.default is parameter.empty else parameter.default
        )
        for label, value in bad_values().items():
            if (name, key, label) in fuzz_examples.NOT_TRIED:
                continue
            said = outcome(function, chosen | {key: value}, longest_s)
            meant = can_mean(value, example, parameter.default is None)
            yield key, label, said, meant or label in MEANT.get(f"{name}({key})", ())


def ready():
    """Limit memory, take alarms, and go to a new folder, which is returned."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.signal(signal.SIGALRM, _stop)
    warnings.simplefilter("ignore")
    folder = tempfile.mkdtemp()
    os.chdir(folder)
    return folder


def main(arguments=None):
    """Print what escaped and the counts; the exit status says whether anything did."""
    parser = argparse.ArgumentParser()
    parser.add_argument("parts", nargs="*", default=[""])
    parser.add_argument("--brief", action="store_true")
    options = parser.parse_args(arguments)
    counts, skipped = Counter(), NOT_CALLED | (LONG if options.brief else set())
    folder = ready()
    Path("ascent.csv").write_bytes(good("content"))
    Path("segment.toml").write_text('scene = "rims"\n')
    fuzz_examples.write_files()
    Path("talk.toml").write_text('title = "A talk"\n[[step]]\nscene = "rims"\n')
    for name, function in callables():
        if any(part in name for part in options.parts) and name not in skipped:
            counts.update(_told(name, function))
    shutil.rmtree(folder)
    print(", ".join(f"{count} {what}" for what, count in sorted(counts.items())))
    return 0 if not counts["untyped"] + counts["as if good"] + counts["untried"] else 1


def _told(name, function):
    for key, label, said, meant in tried(name, function):
        if not key:
            print(f"{name}: {said}")
            yield "untried"
            continue
        yield "tried"
        if said == "accepted" and not meant:
            print(f"{name}({key}={label}) accepted")
            yield "as if good"
        elif said not in ("answered", "accepted"):
            print(f"{name}({key}={label}) {said}")
            yield "untyped"


def _stop(*_):
    raise TooLongError


if __name__ == "__main__":
    sys.exit(main())
