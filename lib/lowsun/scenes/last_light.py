"""The last minute of an evening, as the eye sees it and as a camera writes it down."""

from dataclasses import dataclass, replace

import numpy as np

from lowsun.drawing.last_light import FIRST_S, LAST_S, LastLightPicture, field, scale_arcsec
from lowsun.fieldwork import exposures, frame
from lowsun.fieldwork.camera import whole_stops
from lowsun.kept import KB, MB, kept
from lowsun.phenomena import flash_light, green_flash, low_sun, seascape
from lowsun.phenomena.evening import Evening
from lowsun.phenomena.seen_light import seen_light
from lowsun.phenomena.sky_beside import sky_beside_cd_per_m2
from lowsun.scenes import catalogue, made
from lowsun.scenes.controls import Choice, Range, StateError
from lowsun.scenes.made import shutter_said
from lowsun.scenes.scene import Scene
from lowsun.scenes.scenery import scenery
from lowsun.words import say, says, term

SECONDS = np.concatenate([np.arange(FIRST_S, -6.0), np.arange(-6.0, LAST_S + 0.05, 0.1)])
SHUTTERS = ("1/32000 s", "1/16000 s", "1/8000 s", "1/4000 s", "1/2000 s", "1/1000 s", "1/500 s",
            "1/250 s", "1/125 s", "1/60 s", "1/30 s", "1/15 s", "1/8 s", "1/4 s")  # fmt: skip
EVEN_AIR, WARM_SEA, INVERSION = (
    term("even"),
    term("sea 2° warmer than the air"),
    term("inversion under the eye"),
)
LOW_SUN_DEG = (-9.0, 19.0)  # a minute inside what sky and light are reckoned for
LOST = 1e-6  # a share of light not worth a number
NOTICED = 0.005  # a share of burnt-out pixels worth a word


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need."""

    evening: Evening
    seconds_now: float
    eye: low_sun.DiscPicture
    shot: frame.RawFrame
    setting: exposures.Setting
    arcsec_per_px: float
    horizon_px: float
    seconds: np.ndarray
    dominant_nm: np.ndarray
    seen: np.ndarray
    forecast: green_flash.Forecast
    colour_now: str
    dominant_now_nm: float
    purity_now: float
    seen_now: bool
    colour_told_now: bool
    green_share: float
    looked_with: str
    lost_from: float | None

    @property
    def flash_span(self):
        """Seconds from the last sliver between which green is seen, or None."""
        if self.forecast.begins is None:
            return None
        limits = self.forecast.begins, self.forecast.ends
        return tuple((when - self.evening.zero).total_seconds() for when in limits)

    @property
    def eye_words(self):
        """The name of the colour, over the eye's field."""
        if not self.seen_now:
            return say("lost in the sky's light") if self.colour_now else say("gone")
        if not self.colour_told_now:
            return say("too faint for its colour")
        return say(
            "{colour}: {wavelength:.0f} nm, purity {purity:.2f}",
            colour=say(self.colour_now),
            wavelength=self.dominant_now_nm,
            purity=self.purity_now,
        )

    @property
    def camera_words(self):
        """The name of the colour and the exposure, over the camera's field."""
        return f"{_shown(self.shot)}: {shutter_said(self.shot.exposure_s)}"

    @property
    def flash_words(self):
        """How long the flash lasts, over its mark on the clock."""
        if self.flash_span is None:
            return ""
        begin, end = self.flash_span
        if self.forecast.kind == green_flash.RIM:
            return say("rim {seconds:.1f} s", seconds=end - begin)
        return say("flash {seconds:.1f} s", seconds=end - begin)


def compute(state, fineness=1.0):
    """The eye's picture, the camera's, and the colours of the last minute."""
    evening = _evening(state)
    camera = made.camera_of(state)
    sun = evening.sun(state["seconds"])
    _require_low(evening, sun)
    disc = {"sun_diameter_arcmin": sun.angular_diameter_arcmin}
    instrument = catalogue.INSTRUMENTS[state["instrument"]]
    light = _last_minute(evening, instrument)
    column = flash_light.column(evening.curve, sun.true_altitude_deg, **disc)
    sky = _sky(evening, sun)
    seen_now = seen_light(column, sky, instrument)
    now = seen_now.sliver
    view = _view(evening, camera, sun, state["magnification"])
    sensor = catalogue.SENSORS[state["sensor"]]
    about = scenery(
        state,
        evening.curve,
        float(sun.true_altitude_deg),
        evening.horizon_apparent_altitude_deg,
        sun.angular_diameter_arcmin,
    )
    return Result(
        evening=evening,
        seconds_now=state["seconds"],
        eye=_eye_picture(evening, sun, view.sized(fineness), float(sky), about, disc),
        shot=frame.expose(
            evening.curve,
            sun.true_altitude_deg,
            camera,
            catalogue.SHUTTERS[state["shutter"]],
            sensor=sensor,
            window=_window(camera, view),
            seeing_arcsec=state["seeing_arcsec"],
            drift_arcsec_per_s=frame.drift_arcsec_per_s(sun, evening.place.latitude_deg),
            scenery=about,
            **disc,
        ),
        setting=exposures.setting_of_disc(column, camera, sensor),
        arcsec_per_px=view.arcsec_per_px,
        horizon_px=3600
        * (evening.horizon_apparent_altitude_deg - view.low_deg)
        / view.arcsec_per_px,
        seconds=SECONDS,
        dominant_nm=light.sliver.dominant_wavelength_nm,
        seen=light.colour_told,
        forecast=_forecast(evening, instrument),
        colour_now=str(now.colours[0]),
        dominant_now_nm=float(now.dominant_wavelength_nm[0]),
        purity_now=float(now.purity[0]),
        seen_now=bool(seen_now.noticed[0]),
        colour_told_now=bool(seen_now.colour_told[0]),
        green_share=_green_share(evening),
        looked_with=instrument.words,
        lost_from=_lost_from(evening, instrument),
    )


def _require_low(evening, sun):
    """Where the Sun does not set it may stand anywhere, and there is no last light to show."""
    low, high = LOW_SUN_DEG
    if not low <= sun.true_altitude_deg <= high:
        raise StateError(
            say("{reason} Choose another day or another latitude.", reason=evening.sunset.briefly)
        )


def _eye_picture(evening, sun, view, sky_cd_per_m2, about, disc):
    """What an eye takes in of the view: with sky and sea, or where they are left out without."""
    if about is not None:
        return seascape.as_seen(about(view))
    return flash_light.as_seen(evening.curve, sun.true_altitude_deg, view, sky_cd_per_m2, **disc)


def _evening(state):
    even = made.even_air(state)
    air = replace(even, atmosphere=_layered(even.atmosphere, state["air"], state["eye_height_m"]))
    return made.evening_of(made.place_of(state), state["day"], air)


@kept(500 * KB)
def _layered(even, name, eye_height_m):
    if name == WARM_SEA:
        return even.with_surface_layer(2.0, 5.0)
    if name == INVERSION:
        return even.with_inversion(0.4 * eye_height_m, 0.4 * eye_height_m + 1, 2.5)
    return even


def _view(evening, camera, sun, magnification):
    """The field of both pictures."""
    scale = scale_arcsec(camera.arcsec_per_pixel, magnification)
    top_deg = sun.true_altitude_deg + sun.angular_diameter_arcmin / 120
    limb = float(evening.curve.apparent_at(top_deg))
    return field(scale, evening.horizon_apparent_altitude_deg, limb)


def _window(camera, view):
    """The camera's pixels that see the field, at least one."""
    share = view.arcsec_per_px / camera.arcsec_per_pixel
    columns, rows = (max(1, round(side * share)) for side in (view.columns, view.rows))
    return frame.window_around(camera, (view.high_deg + view.low_deg) / 2, columns, rows)


@kept(4 * MB)
def _last_minute(evening, instrument):
    sun = evening.sun(SECONDS)
    column = flash_light.column(
        evening.curve,
        sun.true_altitude_deg,
        sun_diameter_arcmin=float(np.mean(sun.angular_diameter_arcmin)),
        step_arcsec=0.5,  # a mirage's last strip is a few seconds of arc high
    )
    return seen_light(column, _sky(evening, sun), instrument)


def _sky(evening, sun):
    """Luminance of the sky at the height of the upper limb, beside it [cd/m2]."""
    limb = sun.true_altitude_deg + sun.angular_diameter_arcmin / 120
    seen_at = evening.curve.apparent_at(limb)
    altitude = np.maximum(seen_at, evening.horizon_apparent_altitude_deg)
    return sky_beside_cd_per_m2(
        evening.air, sun.true_altitude_deg, altitude, evening.place.eye_height_m
    )


@kept(4 * MB)
def _forecast(evening, instrument):
    return green_flash.forecast(
        evening.place, evening.sunset.date, evening.air, instrument=instrument
    )


@kept(4 * MB)
def _lost_from(evening, instrument):
    """Depth of the haze from which the flash is lost; None where it is seen or never was."""
    if _forecast(evening, instrument).begins is not None:
        return None
    return green_flash.lost_from_depth(evening.air, evening.place.eye_height_m, instrument)


@kept(4 * MB)
def _green_share(evening):
    """Of the green light, how much comes through a little over the horizon."""
    above = evening.horizon_apparent_altitude_deg + 1 / 60
    return flash_light.surviving_share(evening.curve, above, flash_light.GREEN_BAND_NM)


def describe(result):
    """What the eye would call the light, what the camera writes, and what would have saved it."""
    if not result.evening.sets:
        return result.evening.sunset.briefly
    return f"{_instant(result)} {_eye(result)}; {_photograph(result)} {_flash(result)}"


def _instant(result):
    seconds = result.seconds_now
    if abs(seconds) < 0.05:
        return say("At the last sliver")
    if seconds < 0:
        return say("{seconds:.1f} s before the last sliver", seconds=-seconds)
    return say("{seconds:.1f} s after the last sliver", seconds=seconds)


def _eye(result):
    if not result.colour_now:
        return say("the Sun is gone")
    if not result.seen_now:
        return say("what is left is lost in the sky's light")
    if not result.colour_told_now:
        return say("what is left is too faint for its colour to be told")
    return say(
        "the light is {colour} ({wavelength:.0f} nm)",
        colour=say(result.colour_now),
        wavelength=result.dominant_now_nm,
    )


def _photograph(result):
    shot = result.shot
    seen = {"shutter": shutter_said(shot.exposure_s), "colour": _shown(shot)}
    if shot.clipped_share.max() < NOTICED:
        return say("at {shutter} the camera writes {colour}.", **seen)
    saved = _saved(shot, result.setting)
    return say("at {shutter} the camera writes {colour}, burnt out. {saved}", saved=saved, **seen)


def _shown(shot):
    return say(shot.shown_colour) if shot.shown_colour else say("nothing")


def _saved(shot, setting):
    if shot.exposure_s <= setting.longest_s:  # the Sun itself, or what is left of it, fitted
        return say("What burnt out is the sky.")
    if setting.shutter_s is not None:
        return say("{shutter} would have kept it.", shutter=shutter_said(setting.shutter_s))
    filtered = says("{number} stop", "{number} stops", whole_stops(setting.density_needed)[1])
    return say(
        "A filter of {filtered} at {shutter} would have kept it.",
        filtered=filtered,
        shutter=SHUTTERS[0],
    )


def _flash(result):
    if result.flash_span:
        begin, end = result.flash_span
        return say(
            "{kind} is seen for {seconds:.1f} s.",
            kind=_kind(result.forecast.kind),
            seconds=end - begin,
        )
    if result.green_share < LOST:
        share = say("not a millionth")
    else:
        share = say("one part in {parts:,.0f}", parts=1 / result.green_share)
    lost = (
        say(" It is lost from a haze of depth {depth:.2f} on.", depth=result.lost_from)
        if result.lost_from
        else ""
    )
    return say(
        "No flash for {instrument}: {share} of the green light comes through.{lost}",
        instrument=say(result.looked_with),
        share=share,
        lost=lost,
    )


def _kind(kind):
    return (
        say("A green rim")
        if kind == green_flash.RIM
        else say("The flash, by {kind},", kind=say(kind))
    )


scene = Scene(
    name="last_light",
    title=term("Last light"),
    question=term("Why green and not blue, and why does the photograph come out yellow or white?"),
    controls=(
        catalogue.SECONDS.narrowed(low=FIRST_S, high=5, step=0.1, default=-0.5),
        *catalogue.HAZE_CONTROLS,
        catalogue.INSTRUMENT,
        Choice(name="shutter", label=term("shutter time"), options=SHUTTERS, default="1/30 s"),
        catalogue.FILTER,
        catalogue.MAGNIFICATION.narrowed(high=8, default=4),
        *catalogue.LENS,
        catalogue.SENSOR,
        Range(
            name="seeing_arcsec",
            label=term("unsteady air, width of its blur"),
            unit=term("arcsec"),
            low=0,
            high=30,
            step=1,
            default=3,
        ),
        Choice(
            name="air",
            label=term("air over the sea"),
            options=(EVEN_AIR, WARM_SEA, INVERSION),
            default=EVEN_AIR,
        ),
        catalogue.DAY,
        *catalogue.PLACE,
    ),
    compute=compute,
    sized=True,
    picture=LastLightPicture,
    describe=describe,
    seldom=(
        *catalogue.HAZE_SELDOM,
        "focal_length_mm",
        "f_number",
        "pixel_um",
        "iso",
        "sensor",
        "seeing_arcsec",
        "air",
        "day",
        "latitude_deg",
        "longitude_deg",
        "eye_height_m",
    ),
    cues=(
        term("Which goes last, red or blue? Say it before you let the seconds run."),
        term("The eye sees green, the camera writes yellow: which channel burnt out first?"),
        term("Find the longest shutter time that keeps the flash green."),
        term("Put a little haze in. Who misses the flash first, the eye or the camera?"),
    ),
)
