"""The evening's steps: what happens when, where the Sun then stands, and where in the frame."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from lowsun import sky
from lowsun.errors import require_instant, require_kind
from lowsun.fieldwork.camera import whole_stops
from lowsun.fieldwork.heat import heat_w_per_m2
from lowsun.phenomena import flash_light
from lowsun.physics import sensors
from lowsun.physics.rays import transfer_curve
from lowsun.words import say, term

SET_UP, FITS = "set up", "disc fits"
UP_DEG = {
    "Sun 5 deg up": 5.0,
    "Sun 2 deg up": 2.0,
    "Sun 1 deg up": 1.0,
    "Sun 0.5 deg up": 0.5,
}
FIRST_CONTACT, LAST_SLIVER = "first contact", "last sliver"
LOWEST, HIGHEST = "lowest", "highest"
SUN_STEPS = (*UP_DEG, FIRST_CONTACT, LAST_SLIVER, LOWEST, HIGHEST)  # what to be set up for
HIDDEN, OUT_AGAIN = "behind land", "out again"
WINDOW_OPENS, WINDOW_CLOSES = "window opens", "window closes"
FLASH_BEGINS, FLASH_ENDS = "flash begins", "flash ends"
TURN_ROUND, ARCH_BEST, ARCH_GONE = "turn round", "arch best", "arch gone"
DUSKS_DEG = {
    "civil dusk": sky.CIVIL_DEG,
    "nautical dusk": sky.NAUTICAL_DEG,
    "astronomical dusk": sky.ASTRONOMICAL_DEG,
}
BEFORE, AFTER = timedelta(hours=18), timedelta(hours=24)  # how far steps may lie from the sunset
NOT_SO_HIGH = term("the Sun does not stand so high in the hours before.")
TOO_BRIGHT = term("the Sun stays too bright: a filter is needed.")
NOT_SO_LOW = term("the Sun does not sink so low.")
BEHIND_LAND = term("the Sun is behind the land before.")
FIT_HEADROOM_STOPS = 1.0
SLIVER_DEG = 0.25  # of the centre below the horizon while a minute of arc is still up
DISC_STEP_ARCSEC = 30.0  # of the rows in which the brightest point of the disc is looked for


@dataclass(frozen=True)
class Step:
    """One thing of the evening: its name, its aware UTC instant, and the Sun then.

    sun_true_altitude_deg [deg]; above_horizon_deg: the centre above the sea horizon as it is seen,
    NaN once the Sun has gone; azimuth_deg, NaN at a pole; column, row [px]: its centre in the
    frame, NaN where it is outside; heat_share: of its image's heat at noon, at most, NaN once gone.
    """

    name: str
    when: datetime
    sun_true_altitude_deg: float
    above_horizon_deg: float
    azimuth_deg: float
    column: float = float("nan")
    row: float = float("nan")
    heat_share: float = float("nan")


@dataclass(frozen=True)
class Timeline:
    """The `Step`s there are, in order of time, and why each other one is missing, by its name."""

    steps: tuple[Step, ...]
    missing: dict[str, str]

    def step(self, name):
        """The step of that name, or None; InputError for what is no text."""
        require_kind("name", name, str, "the name of a step")
        return next((step for step in self.steps if step.name == name), None)

    def after(self, when):
        """The next step after an aware datetime, or None; InputError for what is none."""
        require_instant("when", when)
        return next((step for step in self.steps if step.when > when), None)


def timeline(evening, kit, watch, flash, spread, land, setup_minutes):
    """The `Timeline` of an evening, not yet framed.

    evening: `phenomena.evening.Evening`; kit: `Kit`; watch:
    `earth_shadow.Watch`; flash: `green_flash.Forecast`; spread: `Spread` or None; land:
    `skyline.LandSunset`, None over the sea; setup_minutes [min]: how long before the Sun is 5 deg
    up all must stand.
    """
    instants, missing = _instants(evening, kit, watch, flash, spread, land)
    first = min(when for name, when in instants.items() if name in SUN_STEPS)
    instants[SET_UP] = first - timedelta(minutes=setup_minutes)
    ordered = sorted(instants.items(), key=lambda item: item[1])
    return Timeline(tuple(_step(evening, *each) for each in ordered), missing)


def framed(timeline, framing, horizon_deg):
    """The timeline with the Sun's place in a `Framing`; horizon_deg: apparent, of the sea [deg]."""
    return replace(timeline, steps=tuple(_framed(s, framing, horizon_deg) for s in timeline.steps))


def _framed(step, framing, horizon_deg):
    column, row = framing.pixel(step.azimuth_deg, horizon_deg + step.above_horizon_deg)
    if not framing.inside(column, row):
        return step
    return replace(step, column=float(column), row=float(row))


def _instants(evening, kit, watch, flash, spread, land):
    """Instants by name, and reasons by the name of what does not happen."""
    found, sunset = {}, evening.sunset
    for name, above_deg in UP_DEG.items():
        level = true_altitude_above_horizon_deg(evening, above_deg)
        found[name] = passage(evening, level, before=True), _missed(evening, level, land)
    found[FITS] = _disc_fits(evening, kit)
    found[FIRST_CONTACT] = sunset.first_contact, sunset.reason
    found[LAST_SLIVER] = sunset.last_sliver, sunset.reason
    for number, span in enumerate(land.gone if land else (), start=1):
        found[f"{HIDDEN} {number}"] = span.begins, None
        found[f"{OUT_AGAIN} {number}"] = span.ends, None
    if not evening.sets:
        stays_down = sunset.day.kind in sky.DOWN_KINDS
        found[HIGHEST if stays_down else LOWEST] = evening.zero, None
    if spread is not None and spread.earliest is not None:
        found[WINDOW_OPENS] = spread.earliest, None
        found[WINDOW_CLOSES] = spread.latest, None
    found[FLASH_BEGINS], found[FLASH_ENDS] = (
        (when, flash.reason) for when in (flash.begins, flash.ends)
    )
    found[TURN_ROUND] = watch.first_seen, watch.reason
    found[ARCH_BEST] = watch.best, watch.reason
    found[ARCH_GONE] = watch.last_seen, watch.reason
    found |= _dusks(evening)
    happens = {name: when for name, (when, _) in found.items() if when is not None}
    return happens, {name: why for name, (when, why) in found.items() if when is None}


def _missed(evening, true_altitude_deg, land):
    """Why the Sun does not sink through an altitude before all is over."""
    if not float(evening.sun(0).true_altitude_deg) > true_altitude_deg:
        return say(NOT_SO_HIGH)
    return say(BEHIND_LAND if land else NOT_SO_LOW)


def _dusks(evening):
    """The ends of the twilights; where one is missing, so are the deeper ones, for its reason."""
    found, reason = {}, None
    for name, level in DUSKS_DEG.items():
        when = passage(evening, level, before=False)
        if when is None and reason is None:
            reason = say("the Sun does not sink to {level:g}° before it climbs again.", level=level)
        found[name] = when, reason
    return found


def true_altitude_above_horizon_deg(evening, above_deg):
    """True altitude of what is seen so far above the sea horizon [deg]; NaN in a duct."""
    apparent = evening.horizon_apparent_altitude_deg + above_deg
    middle_nm = evening.curve.wavelength_nm[evening.curve.wavelength_nm.size // 2]
    curve = transfer_curve(evening.atmosphere, evening.place.eye_height_m, apparent, middle_nm)
    return float(curve.true_altitude_deg)


def passage(evening, true_altitude_deg, *, before):
    """When the Sun's centre last sank through an altitude before `zero`, or first after it.

    None where it does not: farther than BEFORE or, before the Sun climbs again, AFTER.
    true_altitude_deg [deg].
    """
    if not np.isfinite(true_altitude_deg):
        return None
    place, zero = evening.place, evening.zero
    edge = zero - BEFORE if before else _climbs_again(evening)
    found = sky.crossings(place, *sorted((edge, zero)), true_altitude_deg, rising=False)
    return found[-1 if before else 0].when if found else None


def _climbs_again(evening):
    """When the night is over: the first sunrise after `zero`, or AFTER it."""
    zero = evening.zero
    rises = sky.crossings(evening.place, zero, zero + AFTER, sky.ALMANAC_DEG, rising=True)
    return rises[0].when if rises else zero + AFTER


def _disc_fits(evening, kit):
    """From when the disc is within the shutter's reach at the smallest opening, or why never."""
    altitude, luminance = disc_luminance(evening)
    camera = replace(kit.camera, f_number=kit.smallest_f_number)
    most = camera.longest_exposure_s(1.0) / 2**FIT_HEADROOM_STOPS / camera.fastest_shutter_s
    if luminance[0] > most:
        density, stops = whole_stops(np.log10(luminance[0] / most))
        return None, say(
            "not even on the horizon: ND {density:.1f} is needed, {stops} stops.",
            density=density,
            stops=stops,
        )
    if luminance[-1] <= most:
        return None, say("it does already at {altitude:.0f}°.", altitude=altitude[-1])
    level = float(np.interp(np.log(most), np.log(luminance), altitude))
    when = passage(evening, level, before=True)
    stays = when is None and float(evening.sun(0).true_altitude_deg) > level
    return when, say(TOO_BRIGHT if stays else NOT_SO_HIGH)


def disc_luminance(evening):
    """True altitudes [deg], rising, and the disc's brightest channel there [cd/m2], (N,) each.

    From a last sliver to 20 deg up.
    """
    lowest = evening.sunset.horizon_true_altitude_deg - SLIVER_DEG
    altitude = lowest + (flash_light.HIGHEST_SUN_DEG - lowest) * np.linspace(0, 1, 24) ** 2
    seen = flash_light.column(evening.curve, altitude, step_arcsec=DISC_STEP_ARCSEC)
    raw = seen.radiance @ sensors.STOCK.weights(seen.wavelength_nm)
    return altitude, np.maximum.accumulate(raw.max(axis=(1, 2)))


def _step(evening, name, when):
    sun = sky.sun(evening.place, when)
    gone = evening.sets and when > evening.sunset.last_sliver
    above = np.nan if gone else float(evening.above_horizon_arcmin(sun.true_altitude_deg)) / 60
    return Step(
        name=name,
        when=when,
        sun_true_altitude_deg=float(sun.true_altitude_deg),
        above_horizon_deg=above,
        azimuth_deg=float(sun.azimuth_deg),
        heat_share=_heat_share(evening, above),
    )


def _heat_share(evening, above_horizon_deg):
    """Heat of the image of the disc's middle over that at noon; NaN where it is not seen."""
    if not above_horizon_deg > 0:
        return np.nan
    low = evening.horizon_apparent_altitude_deg + above_horizon_deg
    noon_deg = max(low, noon_altitude_deg(evening))
    now, noon = heat_w_per_m2(evening.air, evening.place.eye_height_m, [low, noon_deg])
    return float(now / noon) if noon else np.nan


def noon_altitude_deg(evening):
    """The Sun's greatest apparent altitude of the date [deg]."""
    highest = evening.sunset.day.highest.true_altitude_deg
    above_deg = float(evening.above_horizon_arcmin(highest)) / 60
    return float(np.clip(evening.horizon_apparent_altitude_deg + above_deg, -5.0, 90.0))
