"""The plan of one evening: its timeline, its frame, and what moving along the shore changes."""

from dataclasses import dataclass, replace
from datetime import date as Date
from datetime import datetime, timedelta
from math import cos, radians

import numpy as np

from lowsun import sky
from lowsun.errors import OutOfRangeError, require_number, takes
from lowsun.fieldwork import exposures
from lowsun.fieldwork.frame import SKY_TURN_ARCSEC_PER_S, drift_arcsec_per_s
from lowsun.fieldwork.plan.airs import Spread
from lowsun.fieldwork.plan.focus import Candidate, candidates
from lowsun.fieldwork.plan.framing import Framing, framing_of_horizon
from lowsun.fieldwork.plan.kit import TRIPOD, Kit
from lowsun.fieldwork.plan.prospects import Worth, worth
from lowsun.fieldwork.plan.timeline import (
    DUSKS_DEG,
    LAST_SLIVER,
    SET_UP,
    Timeline,
    framed,
    timeline,
)
from lowsun.fieldwork.skyline import LandSunset, Skyline, behind, land_sunset
from lowsun.phenomena import earth_shadow, green_flash
from lowsun.phenomena.evening import Evening, evening
from lowsun.physics.air import ZERO_CELSIUS_K
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import Air
from lowsun.words import say, term

KM_PER_DEGREE = 111.2  # of latitude, the Earth as a sphere
CLIMB_M, WALK_KM = 10.0, 1.0
NEAREST_POLE_DEG = 89.9  # nearer, a walk east or west goes round the world
RUNGS_S = (-600.0, -300.0, -60.0, -10.0, -1.0)  # instants for which exposures are told


@dataclass(frozen=True)
class Move:
    """What a change of stand does: the last sliver later by `later_s` [s], its bearing turned."""

    name: str
    later_s: float
    turned_deg: float


@dataclass(frozen=True)
class LandFlash:
    """The green rim that goes last behind land, named as a `green_flash.Forecast` names it."""

    kind: str | None
    begins: datetime | None
    ends: datetime | None
    duration_s: float
    height_arcsec: float | None
    reason: str | None


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything about one evening that can be computed beforehand.

    skyline, land: what stands before the sky and the contacts with it, None over a level sea;
    ladder: exposures, None without a sunset; framing: how the camera is aimed; moves: what
    climbing and walking change; drift_deg_per_min: how fast the Sun moves along the horizon,
    to the right, and down, without air [deg/min], at `evening.zero`.
    """

    evening: Evening
    kit: Kit
    flash: green_flash.Forecast | LandFlash
    skyline: Skyline | None
    land: LandSunset | None
    watch: earth_shadow.Watch
    spread: Spread | None
    worth: Worth | None
    timeline: Timeline
    ladder: exposures.Ladder | None
    framing: Framing
    candidates: tuple[Candidate, ...]
    moves: tuple[Move, ...]
    drift_deg_per_min: tuple[float, float]

    @property
    def place(self):
        """The `sky.Place`."""
        return self.evening.place

    @property
    def date(self) -> Date:
        """The local date."""
        return self.evening.sunset.date

    @property
    def minutes(self):
        """From set-up to the last thing to see of Sun and shadow [min]."""
        seen = [s.when for s in self.timeline.steps if s.name not in DUSKS_DEG]
        return (max(seen) - min(seen)) / timedelta(minutes=1)

    @property
    def temperature_c(self):
        """Of the air at the sea, the coldest thought possible [degC]."""
        if self.spread is not None:
            return self.spread.ranges.temperature_c[0]
        return float(self.evening.atmosphere.temperature_k[0]) - ZERO_CELSIUS_K

    @property
    def zone_changes(self):
        """Whether the place's clocks are put forward or back between the first and last step."""
        steps, zone = self.timeline.steps, self.place.timezone
        return len({step.when.astimezone(zone).utcoffset() for step in steps}) > 1

    def trail_px(self, exposure_s):
        """How far the Sun moves over the sensor in an exposure [px]; 0 on a mount.

        exposure_s [s] 0 to 86 400. Raises OutOfRangeError outside.
        """
        exposure_s = require_number("exposure_s", exposure_s, 0, 86_400, unit="s")
        if self.kit.support != TRIPOD:
            return 0.0
        speed = SKY_TURN_ARCSEC_PER_S * cos(radians(self.evening.sun(0).declination_deg))
        return float(self.kit.camera.pixels(speed * exposure_s))

    def travel_px(self, name, until=LAST_SLIVER):
        """How far the Sun's centre moves in the frame of a tripod between two steps [px], or NaN.

        As (right, down). Steps outside the frame count as well.
        """
        begin, end = self.timeline.step(name), self.timeline.step(until)
        if begin is None or end is None:
            return np.nan, np.nan
        points = [self._pixel(step) for step in (begin, end)]
        return tuple(float(b - a) for a, b in zip(*points, strict=True))

    def _pixel(self, step):
        horizon = self.evening.horizon_apparent_altitude_deg
        return self.framing.pixel(step.azimuth_deg, horizon + step.above_horizon_deg)


@takes(air=(Air, Atmosphere), kit=Kit, spread=Spread, base=Atmosphere, skyline=Skyline)
def plan(
    place,
    date,
    air=None,
    *,
    kit,
    spread=None,
    base=None,
    skyline=None,
    aim_azimuth_deg=None,
    setup_minutes=30.0,
):
    """The `Plan` of a local date (datetime.date) at a `sky.Place`.

    air: an `Air`, or an `Atmosphere` with a clear evening's haze in it, by default the standard
    one; kit: a `Kit`; spread: a
    `Spread`, for the window of the last sliver and the flash from other heights; base: the
    `Atmosphere` of an ascent if the spread's is one; skyline: a `skyline.Skyline`, by default a
    level sea; aim_azimuth_deg [deg]: where the camera looks, by
    default at the last sliver; setup_minutes [min] 0 to 600 before the first thing to see.
    Raises OutOfRangeError for a lens whose frame the Sun overfills. A date without sunset has a
    plan too: its timeline says what there is instead.
    The shadow's instants are those of clear maritime air; the plan's own haze dims the Sun alone.
    """
    setup_minutes = require_number("setup_minutes", setup_minutes, 0, 600, unit="min")
    tonight = evening(place, date, Air() if air is None else air)
    _require_holds_sun(kit.camera, tonight)
    land = None if skyline is None else land_sunset(tonight, skyline)
    tonight = tonight if land is None else behind(tonight, land)
    flash = _flash(tonight, land)
    watch = earth_shadow.watch(place, date)
    unframed = timeline(tonight, kit, watch, flash, spread, land, setup_minutes)
    camera, set_up = kit.camera, unframed.step(SET_UP).when
    framing = _framing(tonight, camera, aim_azimuth_deg, skyline)
    return Plan(
        evening=tonight,
        kit=kit,
        flash=flash,
        skyline=skyline,
        land=land,
        watch=watch,
        spread=spread,
        worth=worth(tonight, spread.ranges, base=base) if spread and land is None else None,
        timeline=framed(unframed, framing, tonight.horizon_apparent_altitude_deg),
        ladder=_ladder(tonight, camera),
        framing=framing,
        candidates=candidates(place, set_up, camera, tonight.air),
        moves=tuple(_moves(tonight)) if skyline is None else (),
        drift_deg_per_min=_drift(tonight),
    )


def _require_holds_sun(camera, tonight):
    diameter = float(tonight.sun(0).angular_diameter_arcmin)
    if not camera.holds_sun(diameter):
        raise OutOfRangeError(
            say(
                "The Sun's image is {wide:.0f} pixels wide; the frame's shorter side has {side}."
                " Take a focal length below {longest:.0f} mm.",
                wide=camera.sun_px(diameter),
                side=min(camera.frame_px),
                longest=camera.focal_length_mm * min(camera.frame_px) / camera.sun_px(diameter),
            )
        )


def _flash(tonight, land):
    if land is None:
        place, day = tonight.place, tonight.sunset.date
        return green_flash.forecast(place, day, tonight.air)
    if land.flash_begins is None:
        reason = land.reason or say("the red of the disc goes last behind this skyline.")
        return LandFlash(None, None, None, 0.0, None, reason)
    lasts_s = (land.flash_ends - land.flash_begins) / timedelta(seconds=1)
    sinks = abs(float(tonight.sun(0).vertical_speed_arcsec_per_s))
    begins, ends = land.flash_begins, land.flash_ends
    return LandFlash(green_flash.RIM, begins, ends, lasts_s, lasts_s * sinks, None)


def _framing(tonight, camera, aim_azimuth_deg, skyline):
    azimuth = np.nan_to_num(float(tonight.sun(0).azimuth_deg))
    aim = azimuth if aim_azimuth_deg is None else aim_azimuth_deg
    aim = require_number("aim_azimuth_deg", aim, -360, 360, unit="deg")
    horizon = tonight.horizon_apparent_altitude_deg
    if skyline is not None:
        horizon = max(horizon, float(skyline.altitude_at(aim)))
    return framing_of_horizon(camera, aim, horizon)


def _ladder(tonight, camera):
    if not tonight.sets:
        return None
    return exposures.ladder(camera, exposures.subjects(tonight, seconds=RUNGS_S))


def _drift(tonight):
    right, up = drift_arcsec_per_s(tonight.sun(0), tonight.place.latitude_deg)
    return right / 60, -up / 60


def _moves(tonight):
    """Climbing a little, and walking a little in the four directions, one at a time."""
    place = tonight.place
    if not tonight.sets:
        return
    yield _move(tonight, "climb", replace(place, eye_height_m=place.eye_height_m + CLIMB_M))
    if abs(place.latitude_deg) > NEAREST_POLE_DEG:
        return
    step = WALK_KM / KM_PER_DEGREE
    east = step / cos(radians(place.latitude_deg))
    for name, north_deg, east_deg in (
        (term("north"), step, 0.0), (term("south"), -step, 0.0),
        (term("east"), 0.0, east), (term("west"), 0.0, -east),
    ):  # fmt: skip
        longitude = (place.longitude_deg + east_deg + 180) % 360 - 180
        yield _move(
            tonight,
            name,
            replace(place, latitude_deg=place.latitude_deg + north_deg, longitude_deg=longitude),
        )


def _move(tonight, name, place):
    here, there = tonight.sunset, sky.sunset(place, tonight.sunset.date, tonight.atmosphere)
    if there.last_sliver is None:
        return Move(name, np.nan, np.nan)
    turned = (there.last_sliver_azimuth_deg - here.last_sliver_azimuth_deg + 180) % 360 - 180
    return Move(name, (there.last_sliver - here.last_sliver) / timedelta(seconds=1), turned)
