"""The exposure ladder of an evening: shutter times from a yellow Sun down to its last sliver."""

from dataclasses import dataclass
from math import cos, radians

import numpy as np

from lowsun.errors import OutOfRangeError, require_kind, require_number, require_range, takes
from lowsun.fieldwork.camera import DIAL_S, Camera
from lowsun.phenomena import flash_light
from lowsun.phenomena.evening import Evening
from lowsun.physics import sensors
from lowsun.physics.sensors import Sensor

RUNGS_S = (-600.0, -480.0, -360.0, -240.0, -180.0, -120.0, -60.0, -30.0, -10.0, -3.0, -1.0, 0.0)
SUNLIT_F_NUMBER = 16.0  # sunny 16, f/16 at 1/ISO s for a sunlit scene: common practice, no source
SKY_TURN_ARCSEC_PER_S = 15.041  # the Earth's rotation against the stars
DARKEST_CD_PER_M2 = 1e-6  # the camera's own limit; starlight is brighter
RIM_STEP_ARCSEC = 0.25  # of the rows in which a rim is looked for
ROUNDING = 1e-9  # an exposure just on the dial must not fall to the next


@dataclass(frozen=True)
class Subject:
    """What there is to expose for at one instant, whatever the camera.

    seconds [s] from the last sliver, negative before it; upper_limb_arcmin above the sea horizon;
    disc, rim [cd/m2]: the sensor's brightest channel of the disc and of its green rim;
    rim_arcsec: how much of the rim stands over the red image; drift_arcsec_per_s: how fast a fixed
    camera sees the Sun move.
    """

    seconds: float
    upper_limb_arcmin: float
    disc: float
    rim: float
    rim_arcsec: float
    drift_arcsec_per_s: float


@dataclass(frozen=True)
class Setting:
    """What one subject asks of a camera.

    luminance [cd/m2]: of its brightest channel, as the sensor sees sunlight; 0 where there is none.
    longest_s [s]: the exposure that stays the headroom below saturation, on no dial; infinite where
    there is nothing to expose. shutter_s [s]: the dial's next faster one, None out of the camera's
    limits. density_needed: of the neutral filter with which the fastest shutter would do, in place
    of the one in front; 0 where none is needed.
    """

    luminance: float
    longest_s: float
    shutter_s: float | None
    density_needed: float
    limit: str  # "": within the camera's limits; "fastest" or "slowest": beyond that one

    @property
    def exists(self):
        """Is there anything to expose?"""
        return self.luminance > 0


@dataclass(frozen=True)
class Rung:
    """One instant of the ladder.

    disc and rim: the `Setting` of the disc's brightest point and of its green rim; rim_px: the
    rim's width; trail_px: how far the Sun moves over the sensor in the rim's exposure, NaN where
    there is none.
    """

    subject: Subject
    disc: Setting
    rim: Setting
    rim_px: float
    trail_px: float

    @property
    def seconds(self):
        """Seconds from the last sliver, negative before it."""
        return self.subject.seconds


@dataclass(frozen=True)
class Ladder:
    """The rungs of an evening for one camera, from early to late."""

    camera: Camera
    headroom_stops: float
    rungs: tuple[Rung, ...]

    @property
    def sunlit_s(self):
        """Exposure of a sunlit scene with this camera, by sunny 16, its filter included [s]."""
        return sunlit_exposure_s(self.camera)

    @property
    def density_needed(self):
        """Density of the filter that the brightest rung needs, 0 where none does."""
        return max(rung.disc.density_needed for rung in self.rungs)


@takes(camera=Camera)
def sunlit_exposure_s(camera):
    """Exposure of a scene in full sunshine by sunny 16 [s]: (N / 16)^2 10^D / ISO.

    Common practice, no source: f/16 at one over the ISO speed.
    """
    return (camera.f_number / SUNLIT_F_NUMBER) ** 2 * 10**camera.filter_density / camera.iso


@takes(evening=Evening, sensor=Sensor)
def subjects(evening, sensor=sensors.STOCK, *, seconds=RUNGS_S):
    """What an evening offers a sensor: a `Subject` for each instant, early to late.

    evening: a `phenomena.evening.Evening` with a last sliver, through its air; seconds (T,) [s]
    from the last sliver. Raises OutOfRangeError where none falls.
    The rim is what stands of the green (520 nm) image over the red (630 nm) one, in the middle of
    the upper limb, as sharp as light is: a blur that mixes it with the disc makes it brighter.
    """
    if not evening.sets:
        raise OutOfRangeError(f"No ladder leads to a last sliver here: {evening.sunset.reason}")
    instants = require_range("seconds", seconds, -86_400, 86_400, unit="s").ravel()
    return tuple(_subject(evening, sensor, float(each)) for each in instants)


@takes(camera=Camera)
def ladder(camera, subjects, headroom_stops=1.0):
    """The exposure ladder of a camera for the `subjects` of an evening: a `Ladder`.

    t = 78 N^2 10^D / (q L S 2^headroom), L the brightest of the sensor's three channels, D the
    filter in front; headroom_stops 0 to 10 below saturation.
    Leaves out the sky's light, and that moments of clear air are brighter still: keep headroom.
    headroom_stops [stops] 0 to 10.
    """
    headroom = require_number("headroom_stops", headroom_stops, 0, 10, unit="stops")
    require_kind("subjects", subjects, tuple | list, "what `subjects` returned")
    for each in subjects:
        require_kind("subjects", each, Subject, "what `subjects` returned")
    return Ladder(camera, headroom, tuple(_rung(camera, each, headroom) for each in subjects))


def _subject(evening, sensor, seconds):
    sun = evening.sun(seconds)
    light = flash_light.column(
        evening.curve,
        sun.true_altitude_deg,
        sun_diameter_arcmin=sun.angular_diameter_arcmin,
        step_arcsec=RIM_STEP_ARCSEC,
    )
    raw = (light.radiance[0] @ sensor.weights(light.wavelength_nm)).max(axis=1)
    rim, top_deg = light.rim[0], sun.true_altitude_deg + sun.angular_diameter_arcmin / 120
    return Subject(
        seconds=seconds,
        upper_limb_arcmin=float(evening.above_horizon_arcmin(top_deg)),
        disc=float(raw.max()),
        rim=float(raw.max(initial=0, where=rim)),
        rim_arcsec=float(3600 * np.gradient(light.apparent_altitude_deg).sum(where=rim)),
        drift_arcsec_per_s=SKY_TURN_ARCSEC_PER_S * cos(radians(sun.declination_deg)),
    )


def _rung(camera, subject, headroom):
    rim = setting(camera, subject.rim, headroom)
    exposed = rim.shutter_s is not None
    return Rung(
        subject=subject,
        disc=setting(camera, subject.disc, headroom),
        rim=rim,
        rim_px=float(camera.pixels(subject.rim_arcsec)),
        trail_px=float(camera.trail_px(subject.drift_arcsec_per_s, rim.shutter_s))
        if exposed
        else float("nan"),
    )


@takes(light=flash_light.Column, camera=Camera, sensor=Sensor)
def setting_of_disc(light, camera, sensor=sensors.STOCK, headroom_stops=0.0):
    """The `Setting` of the disc's brightest point, first instant of a `flash_light.Column`.

    headroom_stops [stops].
    """
    raw = light.radiance[0] @ sensor.weights(light.wavelength_nm)
    return setting(camera, raw.max(), headroom_stops)


@takes(camera=Camera)
def setting(camera, luminance, headroom_stops=1.0):
    """The `Setting` for the brightest channel [cd/m2] of a subject, 0 where there is none.

    luminance [cd/m2] 0 to 1e+10, headroom_stops [stops] 0 to 10. Raises OutOfRangeError
    outside.
    """
    luminance = require_number("luminance", luminance, 0, 1e10, unit="cd/m2")
    headroom_stops = require_number("headroom_stops", headroom_stops, 0, 10, unit="stops")
    if luminance < DARKEST_CD_PER_M2:
        return Setting(0.0, float("inf"), None, 0.0, "")
    longest = float(camera.longest_exposure_s(luminance)) / 2**headroom_stops
    limit = _limit(camera, longest)
    return Setting(
        luminance=luminance,
        longest_s=longest,
        shutter_s=None if limit else _on_dial(camera, longest),
        density_needed=camera.filter_density_needed(luminance, headroom_stops),
        limit=limit,
    )


def _limit(camera, longest_s):
    if longest_s < camera.fastest_shutter_s * (1 - ROUNDING):
        return "fastest"
    return "slowest" if longest_s > camera.slowest_shutter_s * (1 + ROUNDING) else ""


def _on_dial(camera, longest_s):
    """The longest exposure that the camera has and that is no longer than the given [s]."""
    fastest, slowest = camera.fastest_shutter_s, camera.slowest_shutter_s
    fits = [each for each in DIAL_S if fastest <= each <= longest_s * (1 + ROUNDING)]
    return max([each for each in fits if each <= slowest], default=fastest)
