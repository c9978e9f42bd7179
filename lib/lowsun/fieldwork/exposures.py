"""The exposure ladder of an evening: shutter times from a yellow Sun down to its last sliver."""

from dataclasses import dataclass
from math import cos, radians

import numpy as np

from lowsun.errors import OutOfRangeError, require_range
from lowsun.fieldwork.camera import DIAL_S, Camera
from lowsun.phenomena import flash_light
from lowsun.physics import sensors
from lowsun.physics.extinction import HAZE

RUNGS_S = (-600.0, -480.0, -360.0, -240.0, -180.0, -120.0, -60.0, -30.0, -10.0, -3.0, -1.0, 0.0)
SUNLIT_F_NUMBER = 16.0  # sunny 16, f/16 at 1/ISO s for a sunlit scene: common practice, no source
SKY_TURN_ARCSEC_PER_S = 15.041  # the Earth's rotation against the stars
DARKEST_CD_PER_M2 = 1e-6  # the camera's own limit; starlight is brighter
RIM_STEP_ARCSEC = 0.25  # of the rows in which a rim is looked for
ROUNDING = 1e-9  # an exposure just on the dial must not fall to the next


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

    seconds [s] from the last sliver, negative before it; upper_limb_arcmin above the sea horizon;
    disc and rim: the `Setting` of the disc's brightest point and of its green rim; rim_arcsec: how
    much of the rim stands over the red image; trail_px: how far the Sun moves over the sensor in
    the rim's exposure, NaN where there is none.
    """

    seconds: float
    upper_limb_arcmin: float
    disc: Setting
    rim: Setting
    rim_arcsec: float
    rim_px: float
    trail_px: float


@dataclass(frozen=True)
class Ladder:
    """The rungs of an evening for one camera, from early to late."""

    camera: Camera
    sensor: sensors.Sensor
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


def sunlit_exposure_s(camera):
    """Exposure of a scene in full sunshine by sunny 16 [s]: (N / 16)^2 10^D / ISO.

    Common practice, no source: f/16 at one over the ISO speed.
    """
    return (camera.f_number / SUNLIT_F_NUMBER) ** 2 * 10**camera.filter_density / camera.iso


def ladder(
    evening,
    camera,
    sensor=sensors.STOCK,
    *,
    haze=HAZE["very clear"],
    ozone_du=300.0,
    headroom_stops=1.0,
    seconds=RUNGS_S,
):
    """The exposure ladder of an evening: a `Ladder`.

    evening: a `phenomena.evening.Evening` with a last sliver; camera: a `Camera`, its filter
    counted; haze: an `extinction.Haze`; ozone_du [DU]; headroom_stops 0 to 10 below saturation;
    seconds (T,) [s] from the last sliver.
    t = 78 N^2 10^D / (q L S 2^headroom), L the brightest of the sensor's three channels.
    The rim is what stands of the green (520 nm) image over the red (630 nm) one, in the middle of
    the upper limb, as sharp as light is: a blur that mixes it with the disc makes it brighter.
    Leaves out the sky's light, and that moments of clear air are brighter still: keep headroom.
    """
    if not evening.sets:
        raise OutOfRangeError(f"No ladder leads to a last sliver here: {evening.sunset.reason}")
    headroom = require_range("headroom_stops", headroom_stops, 0, 10, unit="stops")
    return Ladder(
        camera=camera,
        sensor=sensor,
        headroom_stops=float(headroom),
        rungs=tuple(
            _rung(evening, camera, sensor, haze, ozone_du, float(headroom), float(instant))
            for instant in seconds
        ),
    )


def _rung(evening, camera, sensor, haze, ozone_du, headroom, seconds):
    sun = evening.sun(seconds)
    light = flash_light.column(
        evening.curve,
        sun.true_altitude_deg,
        sun_diameter_arcmin=sun.angular_diameter_arcmin,
        haze=haze,
        ozone_du=ozone_du,
        step_arcsec=RIM_STEP_ARCSEC,
    )
    raw = (light.radiance[0] @ sensor.weights(light.wavelength_nm)).max(axis=1)
    rim = setting(camera, raw.max(initial=0, where=light.rim[0]), headroom)
    rim_arcsec = float(3600 * np.gradient(light.apparent_altitude_deg).sum(where=light.rim[0]))
    top_deg = sun.true_altitude_deg + sun.angular_diameter_arcmin / 120
    return Rung(
        seconds=seconds,
        upper_limb_arcmin=float(evening.above_horizon_arcmin(top_deg)),
        disc=setting(camera, raw.max(), headroom),
        rim=rim,
        rim_arcsec=rim_arcsec,
        rim_px=float(camera.pixels(rim_arcsec)),
        trail_px=_trail_px(camera, sun.declination_deg, rim),
    )


def setting(camera, luminance, headroom_stops=1.0):
    """The `Setting` for the brightest channel [cd/m2] of a subject, 0 where there is none."""
    luminance = float(require_range("luminance", luminance, 0, 1e10, unit="cd/m2"))
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


def _trail_px(camera, declination_deg, rim):
    if rim.shutter_s is None:
        return float("nan")
    speed = SKY_TURN_ARCSEC_PER_S * cos(radians(declination_deg))
    return float(camera.trail_px(speed, rim.shutter_s))
