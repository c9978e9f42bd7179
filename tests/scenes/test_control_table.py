"""What every control of every scene does: its label, and which number moves which way.

A row: the caption beside the control; values in rising order, or a choice before and after; a
number of the result; whether it goes up, down, or becomes a value. Two controls with exchanged
labels, a control wired to another quantity, or one whose sign is turned round fail here. The signs
are those of the phenomenon, each with its reason where it is not in the name.
"""

from dataclasses import dataclass, field
from datetime import date
from importlib.resources import files

import numpy as np
import pytest

from lowsun import scenes
from lowsun.scenes import named
from lowsun.scenes.controls import UserFile

MARCH, JUNE, DECEMBER = date(2027, 3, 20), date(2027, 6, 21), date(2027, 12, 21)
UP, DOWN = 1, -1


@dataclass(frozen=True)
class Does:
    """One row: see the module's docstring. at: other controls, where the first state shows it."""

    caption: str
    values: tuple
    number: object
    way: int
    at: dict = field(default_factory=dict)


# --- numbers of a result ------------------------------------------------------------------------


def light(result):
    """Luminance of the brightest pixel [cd/m2]."""
    return result.picture.luminance_cd_per_m2.max()


def redness(rgb):
    """Red over blue of a picture's lit pixels."""
    lit = rgb.reshape(-1, 3).astype(float)
    lit = lit[lit.sum(axis=1) > 60]
    return lit[:, 0].mean() / lit[:, 2].mean()


def last_s(result):
    """The last sliver, in seconds of the world's clock."""
    return result.evening.sunset.last_sliver.timestamp()


def time_of_day_s(result):
    """The last sliver by the clock of the day, UTC [s]."""
    when = result.evening.sunset.last_sliver
    return when.hour * 3600 + when.minute * 60 + when.second


def sunset_bearing(result):
    return result.evening.sunset.last_sliver_azimuth_deg


def shown(result):
    """Mean level of the picture on the screen."""
    return result.picture.rgb.mean()


def below_the_sun(result):
    """Of the sea's light some way down, how much lies off the glitter's middle."""
    row = result.picture.luminance_cd_per_m2[-60]
    return row[0] / row[row.size // 2]


def rim_light(result):
    return result.disc.luminance_cd_per_m2.max()


def span_s(result):
    begin, end = result.flash_span
    return end - begin


def first_disc_s(result):
    return result.ladder.rungs[3].disc.longest_s


def altitude_of_layer(result):
    """Height at which temperature rises fastest [m]."""
    air = result.atmosphere
    low = air.height_m < 1400
    rise = np.diff(air.temperature_k[low]) / np.diff(air.height_m[low])
    return air.height_m[low][1:][rise.argmax()]


def depth_of_layer(result):
    """Over how much height temperature rises [m]."""
    air = result.atmosphere
    step = np.diff(air.height_m)
    rises = (np.diff(air.temperature_k) > 1e-6) & (air.height_m[1:] < 3000)
    return step[rises].sum()


def rise_of_layer(result):
    air = result.atmosphere
    change = np.diff(air.temperature_k)
    return change[(change > 0) & (air.height_m[1:] < 3000)].sum()


def warm_foot(result):
    """How much warmer the lowest air is than that at 30 m [K]."""
    air = result.atmosphere
    low, high = np.interp([0.0, 30.0], air.height_m, air.temperature_k)
    return low - high


def temperature_at(height_m):
    def ground_k(result):
        return np.interp(height_m, result.atmosphere.height_m, result.atmosphere.temperature_k)

    return ground_k


def pressure(result):
    return result.atmosphere.pressure_pa[0]


def cooling(result):
    """How much colder it is at 5 km than on the ground [K]."""
    air = result.atmosphere
    return air.temperature_k[0] - np.interp(5000.0, air.height_m, air.temperature_k)


def last_lit_row_deg(result):
    return result.outline.high_deg.max() if result.outline.high_deg.size else -9.0


def sky(result):
    return result.picture.luminance.mean()


def zenith_blue(result):
    """Blue against yellow of the highest rows: Z over Y of CIE 1931."""
    x_y_z = result.picture.xyz[:10].mean(axis=(0, 1))
    return x_y_z[2] / x_y_z[1]


def step_s(result, name):
    return result.plan.timeline.step(name).when.timestamp()


def middle_of_evenings_deg(result):
    return np.nanmax(result.found.azimuth_deg)


# --- rows that several scenes share -------------------------------------------------------------

DAY, LATITUDE, LONGITUDE = "day", "latitude, north positive [°]", "longitude, east positive [°]"
EYE, LENS, F_NUMBER = (
    "eye above the sea [m]",
    "focal length of your lens [mm]",
    "f-number of your lens",
)
PIXEL, ISO, FILTER = "pixel of your sensor [µm]", "ISO speed", "neutral filter in front [stops]"
WARMTH, PRESSURE, EXPOSURE = "air temperature [°C]", "air pressure [hPa]", "exposure [stops]"
HAZE, KIND, HEIGHT = (
    "haze, depth at 550 nm",
    "kind of haze",
    "height over which haze thins out [m]",
)


def evening_rows(at=None):
    """Day, place and eye of a scene with an `evening`: the last sliver answers."""
    at = at or {}
    return {
        # Further north of west in June.
        "day": Does(DAY, (MARCH, JUNE), sunset_bearing, UP, at),
        # In June the north's evenings are long.
        "latitude_deg": Does(LATITUDE, (-40, 40), last_s, UP, {"day": JUNE} | at),
        # The Sun sets first in the east.
        "longitude_deg": Does(LONGITUDE, (-20, -10.4), last_s, DOWN, at),
        # From higher up one looks over the edge.
        "eye_height_m": Does(EYE, (2, 95), last_s, UP, at),
    }


def haze_rows(number, colour, at=None):
    """The three of haze: more is darker; smoke takes more blue than dust; a layer twice as high
    and of the same depth straight up is crossed over a shorter way by a level ray.
    """
    at = at or {}
    return {
        "haze": Does(HAZE, (0.05, 0.2), number, DOWN, at),
        "haze_kind": Does(KIND, ("dust", "marine"), colour, UP, at),
        "haze_height_m": Does(HEIGHT, (1000, 3000), number, UP, at),
    }


LAYER_ROWS = {
    "inversion_base_m": Does("inversion: base [m]", (40, 400), altitude_of_layer, UP),
    "inversion_depth_m": Does("inversion: depth [m]", (40, 200), depth_of_layer, UP),
    "inversion_k": Does("inversion: strength [K]", (2.5, 6), rise_of_layer, UP),
    "sea_excess_k": Does("sea warmer than the air [K]", (0, 3), warm_foot, UP),
}
GROUND_ROWS = {
    "temperature_c": Does(WARMTH, (-10, 15), temperature_at(0.0), UP),
    "pressure_hpa": Does(PRESSURE, (980, 1013), pressure, UP),
    "lapse_k_per_km": Does("temperature lapse [K/km]", (6.5, 9), cooling, UP),
}
# The thin duct's air is 10 K warmer at 1200 m than the sliders' is.
AIR_ROW = Does("the air", ("no inversion", "sea, smooth inversion"), rise_of_layer, UP)


def own_ascent():
    path = files("lowsun.data") / "soundings" / "marine-inversion.csv"
    return UserFile("mine.csv", path.read_bytes())


TABLE = {
    "setting_sun": {
        "seconds": Does(
            "time from the last sliver [s]",
            (-300, -100, -30),
            lambda result: result.upper_limb_arcmin,
            DOWN,
        ),
        "magnification": Does(
            "magnification", (1, 4, 16), lambda result: result.picture.arcsec_per_px, DOWN
        ),
        "wind_m_per_s": Does(
            "wind over the sea [m/s]", (2, 6, 14), below_the_sun, UP, {"seconds": -230}
        ),
        **evening_rows(),
        # Cold and dense air bends more and shows the Sun longer.
        "temperature_c": Does(WARMTH, (-20, 15), last_s, DOWN),
        "pressure_hpa": Does(PRESSURE, (960, 1013), last_s, UP),
        # From above the air that lights the sky the disc alone answers: no new sky is solved. More
        # red gets through smoke than through dust; haze higher up reaches into rays over the sea.
        "haze": Does(HAZE, (0.05, 0.2), light, DOWN, {"eye_height_m": 12_000}),
        "haze_kind": Does(KIND, ("dust", "smoke"), light, UP, {"eye_height_m": 12_000}),
        "haze_height_m": Does(HEIGHT, (1000, 3000), light, DOWN, {"eye_height_m": 12_000}),
        "exposure_stops": Does(EXPOSURE, (-2, 0, 2), shown, UP),
    },
    "rims": {
        "lower_limb_deg": Does(
            "lower limb above the sea horizon [°]",
            (0, 1, 5, 20),
            lambda result: result.limb_altitude_deg[1],
            UP,
        ),
        "short_nm": Does(
            "short wavelength [nm]", (430, 500, 550), lambda r: r.limb_width_arcsec[0], DOWN
        ),
        "long_nm": Does(
            "long wavelength [nm]", (590, 650, 700), lambda r: r.limb_width_arcsec[0], UP
        ),
        "focal_length_mm": Does(LENS, (100, 600), lambda r: r.camera.pixels(10.0), UP),
        "pixel_um": Does(PIXEL, (2, 4, 8), lambda r: r.camera.pixels(10.0), DOWN),
        "temperature_c": Does(WARMTH, (-20, 15), lambda r: r.limb_width_arcsec[0], DOWN),
        "pressure_hpa": Does(PRESSURE, (960, 1013), lambda r: r.limb_width_arcsec[0], UP),
        **haze_rows(rim_light, lambda result: redness(result.disc.rgb), {"lower_limb_deg": 1}),
        "exposure_stops": Does(EXPOSURE, (-2, 0, 2), lambda result: result.disc.rgb.mean(), UP),
    },
    "any_air": {
        "sun_true_altitude_arcmin": Does(
            "true altitude of the Sun [′]", (-45, -20, 10), last_lit_row_deg, UP
        ),
        "eye_height_m": Does(EYE, (5, 95, 900), lambda r: r.sun_above_horizon_direction_arcmin, UP),
        "air": AIR_ROW,
        **LAYER_ROWS,
        **GROUND_ROWS,
        **haze_rows(
            light, lambda result: redness(result.picture.rgb), {"sun_true_altitude_arcmin": 0}
        ),
        # What lies under a layer 40 m up is crossed over a longer way by a level ray.
        "haze_under": Does(
            "haze only under the lowest inversion",
            (False, True),
            lambda result: result.atmosphere.haze_top_m,
            DOWN,
        ),
        "exposure_stops": Does(EXPOSURE, (-2, 0, 2), shown, UP),
        "sounding": Does("your own ascent", (None, own_ascent()), temperature_at(1000.0), UP),
    },
    "where_to_stand": {
        "air": AIR_ROW,
        **LAYER_ROWS,
        "haze": Does(HAZE, (0.05, 0.08), lambda r: r.duration_s.sum(), DOWN),
        "haze_kind": Does(KIND, ("dust", "smoke"), lambda r: r.duration_s.sum(), DOWN),
        "haze_height_m": Does(HEIGHT, (1000, 3000), lambda r: r.duration_s.sum(), UP),
        "haze_under": Does(
            "haze only under the lowest inversion",
            (False, True),
            lambda result: result.atmosphere.haze_top_m,
            DOWN,
        ),
        "instrument": Does(
            "looked at with",
            ("the naked eye", "binoculars 8 × 40"),
            lambda result: result.best_s,
            UP,
        ),
        # Nearer to a pole the Sun sinks more slowly.
        "latitude_deg": Does(LATITUDE, (0, 52, 60), lambda r: r.speed_arcsec_per_s, DOWN),
        # Steepest at the equinox.
        "day": Does(DAY, (MARCH, JUNE), lambda r: r.speed_arcsec_per_s, DOWN),
        **GROUND_ROWS,
        "sounding": Does("your own ascent", (None, own_ascent()), temperature_at(1000.0), UP),
    },
    "last_light": {
        "seconds": Does(
            "time from the last sliver [s]",
            (-30, -5, -1),
            lambda result: result.eye.luminance_cd_per_m2.sum(),
            DOWN,
        ),
        **haze_rows(
            lambda result: result.eye.luminance_cd_per_m2.max(),
            lambda result: result.dominant_now_nm,
            {"seconds": -30},
        ),
        "instrument": Does("looked at with", ("the naked eye", "binoculars 8 × 40"), span_s, UP),
        "shutter": Does(
            "shutter time",
            ("1/8000 s", "1/500 s", "1/15 s"),
            lambda result: result.shot.level.astype(float).sum(),
            UP,
        ),
        "filter_stops": Does(
            FILTER, (0, 3, 6), lambda result: result.shot.level.astype(float).sum(), DOWN
        ),
        "magnification": Does("magnification", (1, 4, 8), lambda r: r.arcsec_per_px, DOWN),
        "focal_length_mm": Does(LENS, (300, 400, 800), lambda r: r.shot.window.arcsec_per_px, DOWN),
        "f_number": Does(F_NUMBER, (4, 8, 16), lambda r: r.setting.shutter_s, UP),
        "pixel_um": Does(PIXEL, (3, 4, 8), lambda r: r.shot.window.arcsec_per_px, UP),
        "iso": Does(ISO, (50, 100, 400), lambda r: r.setting.shutter_s, DOWN),
        # A sensor that sees infrared is full sooner.
        "sensor": Does(
            "sensor",
            ("as sold", "infrared cut removed"),
            lambda result: result.setting.shutter_s,
            DOWN,
            {"seconds": -40, "filter_stops": 10},
        ),
        "seeing_arcsec": Does(
            "unsteady air, width of its blur [arcsec]",
            (0, 5, 20),
            lambda result: result.shot.level.max(),
            DOWN,
            {"shutter": "1/1000 s"},
        ),
        # A warm sea sinks the horizon and keeps the Sun longer.
        "air": Does(
            "air over the sea",
            ("even", "sea 2° warmer than the air"),
            lambda r: span_s(r),
            UP,
            {"eye_height_m": 6},
        ),
        **evening_rows(),
    },
    "exposure_ladder": {
        "focal_length_mm": Does(LENS, (200, 400, 800), lambda r: r.ladder.rungs[5].rim_px, UP),
        "f_number": Does(F_NUMBER, (4, 8, 16), first_disc_s, UP),
        "pixel_um": Does(PIXEL, (3, 4, 8), lambda r: r.ladder.rungs[5].rim_px, DOWN),
        "iso": Does(ISO, (50, 100, 400), first_disc_s, DOWN),
        "filter_stops": Does(FILTER, (0, 3, 6), first_disc_s, UP),
        "fastest": Does(
            "your fastest shutter",
            ("1/1000 s", "1/8000 s"),
            lambda r: r.camera.fastest_shutter_s,
            DOWN,
        ),
        "slowest": Does(
            "your slowest shutter", ("1 s", "30 s"), lambda r: r.camera.slowest_shutter_s, UP
        ),
        "headroom_stops": Does("headroom under saturation [stops]", (0, 1, 3), first_disc_s, DOWN),
        "sensor": Does("sensor", ("as sold", "infrared cut removed"), first_disc_s, DOWN),
        "haze": Does(HAZE, (0.05, 0.1), first_disc_s, UP),
        # Smoke lets more red through than dust of the same depth in green.
        "haze_kind": Does(KIND, ("dust", "smoke"), first_disc_s, DOWN),
        "haze_height_m": Does(HEIGHT, (1000, 3000), first_disc_s, DOWN),
        **evening_rows(),
    },
    "earth_shadow": {
        "depression_deg": Does(
            "depression of the Sun [°]", (1, 2, 4), lambda r: r.seen.edge_deg, UP
        ),
        "once": Does("light scattered once only", (False, True), sky, DOWN),
        "facing": Does("look", ("towards the shadow", "towards the Sun"), sky, UP),
        # Ozone takes yellow light out of the long way down to the zenith and leaves blue.
        "no_ozone": Does("no ozone", (False, True), zenith_blue, DOWN, {"depression_deg": 5}),
        "no_haze": Does("no haze", (False, True), lambda r: r.picture.xyz[-30, 180, 1], UP),
        "haze": Does(HAZE, (0, 0.05), lambda r: r.picture.xyz[-30, 180, 1], DOWN),
        "haze_kind": Does(KIND, ("marine", "smoke"), lambda r: redness(r.picture.rgb), UP),
        # Haze higher up reaches into the light that grazes the Earth on its way to the arch.
        "haze_height_m": Does(HEIGHT, (1000, 3000), lambda r: r.picture.xyz[-30, 180, 1], DOWN),
        "ozone_du": Does("ozone [DU]", (0, 300, 500), zenith_blue, UP, {"depression_deg": 5}),
        "eye_height_m": Does(EYE, (0, 1000, 4000), lambda r: r.picture.xyz[-30, 180, 1], UP),
        "exposure_stops": Does(EXPOSURE, (-2, 0, 2), shown, UP),
    },
    "shadow_evening": {
        "share_percent": Does(
            "how far through it [%]", (10, 30, 90), lambda r: r.when.timestamp(), UP
        ),
        "morning": Does("a morning instead", (False, True), lambda r: r.when.timestamp(), DOWN),
        "day": Does(DAY, (DECEMBER, date(2028, 3, 20)), lambda r: r.when.timestamp(), UP),
        "latitude_deg": Does(LATITUDE, (-40, 40), lambda r: r.when.timestamp(), UP, {"day": JUNE}),
        "longitude_deg": Does(LONGITUDE, (-20, -10.4), lambda r: r.when.timestamp(), DOWN),
        "facing": Does("look", ("towards the shadow", "towards the Sun"), sky, UP),
        "haze": Does(HAZE, (0, 0.05), lambda r: r.picture.xyz[-30, 180, 1], DOWN),
        "haze_kind": Does(KIND, ("marine", "smoke"), lambda r: redness(r.picture.rgb), UP),
        # Haze higher up reaches into the light that grazes the Earth on its way to the arch.
        "haze_height_m": Does(HEIGHT, (1000, 3000), lambda r: r.picture.xyz[-30, 180, 1], DOWN),
        "ozone_du": Does("ozone [DU]", (0, 300), zenith_blue, UP, {"share_percent": 90}),
        "eye_height_m": Does(EYE, (0, 1000, 4000), lambda r: r.picture.xyz[-30, 180, 1], UP),
        "exposure_stops": Does(EXPOSURE, (-2, 0, 2), shown, UP),
    },
    "polar_sunset": {
        "latitude_deg": Does(
            LATITUDE, (0, 60, 85), lambda r: r.passage.length_s, UP, {"day_of_year": 80}
        ),
        # At 89 north the Sun sinks from June to December.
        "day_of_year": Does(
            "day of the year", (200, 268, 300), lambda r: r.moment.true_altitude_deg, DOWN
        ),
        "span": Does(
            "show",
            ("two minutes", "an hour", "a day", "a week"),
            lambda r: r.span.length.total_seconds(),
            UP,
        ),
        "share": Does("how far through it [%]", (0, 50, 100), lambda r: r.now.timestamp(), UP),
        "surface_temperature_c": Does(
            "air at the surface [°C]", (-50, -20, 10), lambda r: r.put_off.total_seconds(), DOWN
        ),
        "inversion_k": Does(
            "inversion on the surface, 300 m deep [K]",
            (0, 5, 15),
            lambda r: r.put_off.total_seconds(),
            UP,
        ),
        "ridges_arcmin": Does(
            "highest ridge on the horizon [′]", (0, 3, 9), lambda r: _highest_arcmin(r), UP
        ),
        "year": Does("year", (1929, 2027), lambda r: r.now.timestamp(), UP),
        "longitude_deg": Does(
            LONGITUDE, (-60, 60), lambda r: r.now.timestamp(), DOWN, {"latitude_deg": 60}
        ),
    },
    "polar_map": {
        "latitude_deg": Does(LATITUDE, (0, 60, 80), lambda r: r.disc_s, UP, {"day_of_year": 80}),
        "day_of_year": Does(
            "day of the year", (80, 100, 110), lambda r: r.disc_s, UP, {"latitude_deg": 75}
        ),
        "what": Does(
            "time of",
            ("the green rim, alone", "the disc, first contact to last sliver"),
            lambda r: r.here_s,
            UP,
        ),
    },
    "evening_plan": {
        "minutes": Does(
            "time from the last sliver [min]", (-30, -9, 20), lambda r: r.when.timestamp(), UP
        ),
        "day": Does(DAY, (MARCH, JUNE), lambda r: r.plan.framing.azimuth_deg, UP),
        "latitude_deg": Does(
            LATITUDE, (-40, 40), lambda r: step_s(r, "last sliver"), UP, {"day": JUNE}
        ),
        "longitude_deg": Does(LONGITUDE, (-20, -10.4), lambda r: step_s(r, "last sliver"), DOWN),
        "eye_height_m": Does(EYE, (2, 95), lambda r: step_s(r, "last sliver"), UP),
        "focal_length_mm": Does(
            LENS, (200, 400, 800), lambda r: np.ptp(r.sketch.frame_turn_deg), DOWN
        ),
        "horizon": Does(
            "what stands before the sky",
            ("level sea", "invented hills"),
            lambda r: step_s(r, "last sliver"),
            DOWN,
        ),
        # So many pixels of a larger size make a wider frame.
        "pixel_um": Does(PIXEL, (2, 4, 6), lambda r: np.ptp(r.sketch.frame_turn_deg), UP),
        "temperature_c": Does(WARMTH, (-20, 15), lambda r: step_s(r, "last sliver"), DOWN),
        "pressure_hpa": Does(PRESSURE, (960, 1013), lambda r: step_s(r, "last sliver"), UP),
        "clock_ahead_s": Does(
            "camera's clock ahead [s]", (-60, 0, 60), lambda r: _clock_s(r.camera_clock), UP
        ),
        "skyline": Does(
            "your own skyline",
            (None, str(files("lowsun.data") / "skyline_hills.csv")),
            lambda r: step_s(r, "last sliver"),
            DOWN,
        ),
    },
    "caught": {
        "frame": Does("frame of the evening", (1, 4, 8), lambda r: r.shot.sun_true_deg, DOWN),
        "temperature_c": Does(WARMTH, (-20, 15), lambda r: r.wanted.axis_ratio, UP),
        "pressure_hpa": Does(PRESSURE, (960, 1013), lambda r: r.wanted.axis_ratio, DOWN),
        # What is left of each channel is redder in more haze: green's limb comes nearer to red's.
        "haze": Does(HAZE, (0, 0.05), lambda r: r.upper_px, DOWN),
        "haze_kind": Does(KIND, ("dust", "smoke"), lambda r: r.upper_px, DOWN),
        "haze_height_m": Does(HEIGHT, (500, 1000), lambda r: r.upper_px, UP),
    },
    "which_evenings": {
        "low_deg": Does(
            "gap from the bearing [°]", (260, 268, 272), lambda r: r.found.inside.sum(), DOWN
        ),
        "high_deg": Does("clockwise to [°]", (269, 273, 280), lambda r: r.found.inside.sum(), UP),
        "year": Does("year", (1950, 2027), lambda r: r.found.day[0].toordinal(), UP),
        "latitude_deg": Does(LATITUDE, (0, 40, 60), middle_of_evenings_deg, UP),
        "longitude_deg": Does(
            LONGITUDE, (-20, -10.4), lambda r: r.found.last_sliver[5].timestamp(), DOWN
        ),
        "eye_height_m": Does(EYE, (2, 1000), lambda r: r.found.last_sliver[5].timestamp(), UP),
    },
}


def _highest_arcmin(result):
    return result.ridges.at(np.linspace(0, 360, 2000)).max()


def _clock_s(text):
    hours, minutes, seconds = (int(part) for part in text.split()[0].split(":"))
    return 3600 * hours + 60 * minutes + seconds


# --- the table is whole, and holds ---------------------------------------------------------------

ROWS = [(scene, name) for scene, rows in TABLE.items() for name in rows]


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_every_control_has_its_row_and_its_label(scene):
    captions = {control.name: control.caption for control in scene.controls}
    assert captions == {name: row.caption for name, row in TABLE[scene.name].items()}


@pytest.mark.parametrize(("name", "control"), ROWS, ids=lambda value: str(value))
def test_control_does_what_its_label_says(name, control):
    scene, row = named(name), TABLE[name][control]
    states = [scene.check(row.at | {control: value}) for value in row.values]
    numbers = [float(row.number(scene.computed(state, 1.0, draft=True))) for state in states]
    steps = row.way * np.diff(numbers)
    assert np.all(np.isfinite(numbers))
    assert np.all(steps > 0), dict(zip(map(str, row.values), numbers, strict=True))
