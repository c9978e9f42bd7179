"""What to focus on before the Sun is low: what is up, and shows in the sky as bright as it then is.

A point's light against the threshold of an eye (Crumey 2014) and against the noise of the camera.
"""

from dataclasses import dataclass
from math import hypot, pi

import numpy as np

from lowsun import sky
from lowsun.errors import require_instant, require_number, require_range, takes
from lowsun.fieldwork.camera import LENS_FACTOR, SATURATION_LXS, Camera
from lowsun.fieldwork.frame import READ_NOISE_E, SEEING_ARCSEC, SKY_TURN_ARCSEC_PER_S
from lowsun.physics import eye, sensors
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import transfer_curve
from lowsun.physics.scattering import Air, sky_xyz
from lowsun.physics.scattering.radiance import SUN_ALTITUDE_RANGE_DEG

VISUAL_NM = 555.0  # of greatest sensitivity of the eye by day
ZERO_MAGNITUDE = -13.99  # of a lux: m = -13.99 - 2.5 log10(E / lx); Crumey 2014, section 1
TOO_CLOSE_DEG = 15.0  # to the Sun: a lens swept so near to it meets it; common practice, no source
OVERHEAD_DEG = 60.0  # higher, a tripod's head and a rear screen are awkward; common practice
BEHIND_DEG = 90.0  # from the Sun's bearing: the tripod must be turned
LOWEST_DEG = 3.0  # nearer to the horizon nothing is a sharp point
DETECTED = 5.0  # signal divided by noise of what surely stands out; common practice, no source
TRAIL_PX = 2.0  # that blur no focus
UNEVEN_SHARE = 0.01  # of the sky's level, from pixel to pixel, without a flat field; illustrative
DARKEST_CD_PER_M2 = 1e-4  # of a night sky without Moon; common practice, no source
EYE_HIGHEST_M = 9000.0  # up to which the sky's light is known
LUNAR_DISC_SR = pi * (np.radians(0.25)) ** 2


@dataclass(frozen=True)
class Candidate:
    """A body to focus on.

    altitude_deg: apparent; sky_cd_per_m2: of the sky beside it; eye_margin, camera_margin: its
    light divided by the least that an eye sees, and its signal to noise divided by `DETECTED`:
    above 1 it shows. turn_deg: bearing from the Sun's, -180 to 180, right positive.
    """

    body: sky.Body
    altitude_deg: float
    sky_cd_per_m2: float
    eye_margin: float
    camera_margin: float
    turn_deg: float

    @property
    def shows(self):
        """Does the eye or the camera see it?"""
        return max(self.eye_margin, self.camera_margin) > 1

    @property
    def too_close(self):
        """Is it so near to the Sun that a lens swept to it may meet the Sun?"""
        return self.body.sun_angle_deg < TOO_CLOSE_DEG

    @property
    def overhead(self):
        """Is it awkwardly high for a tripod?"""
        return self.altitude_deg > OVERHEAD_DEG

    @property
    def behind(self):
        """Must one turn one's back to the Sun for it?"""
        return abs(self.turn_deg) > BEHIND_DEG

    @property
    def rank(self):
        """What to sort by: safe, seen by eye, the Moon first, handy, then bright."""
        moon = self.body.kind == sky.MOON
        return (
            not self.too_close,
            self.eye_margin > 1,
            moon,
            not self.overhead,
            -self.body.magnitude,
        )


@takes(camera=Camera, air=(Air, Atmosphere))
def candidates(place, when, camera, air):
    """What is up at an aware datetime, best first: a tuple of `Candidate`.

    camera: without its filter; air: the `Air` that thins the light. The sky's own light is that
    of clear maritime air; for a Sun deeper than 10 deg it is taken at 10, which is too bright.
    Leaves out moonlight in the sky, street lights and cloud. Raises InputError where the camera is
    no `Camera`.
    """
    require_instant("when", when)
    sun = sky.sun(place, when)
    up = [_apparent(body) for body in sky.bodies(place, when)]
    up = [(body, altitude) for body, altitude in up if altitude > LOWEST_DEG]
    if not up:
        return ()
    altitude = np.array([one for _, one in up])
    turn = (np.array([body.azimuth_deg for body, _ in up]) - sun.azimuth_deg + 180) % 360 - 180
    luminance = _sky_cd_per_m2(place, sun, altitude, np.nan_to_num(turn))
    share = _share(air, place, altitude)
    found = [
        _candidate(body, camera, *each)
        for (body, _), *each in zip(up, altitude, luminance, share, turn, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: one.rank, reverse=True))


def _candidate(body, camera, altitude_deg, luminance, share, turn_deg):
    light = illuminance_lx(body.magnitude) * share
    return Candidate(
        body=body,
        altitude_deg=float(altitude_deg),
        sky_cd_per_m2=float(luminance),
        eye_margin=float(light / _threshold_lx(body, luminance)),
        camera_margin=signal_to_noise(camera, light, luminance) / DETECTED,
        turn_deg=float(turn_deg),
    )


def illuminance_lx(magnitude):
    """Light of a body of visual magnitude on a plane that faces it, above the air [lx].

    E = 10^(-0.4 (m + 13.99)); any shape, magnitude -30 to 20.
    Source: Crumey 2014, MNRAS 442, 2600.
    """
    bright = require_range("magnitude", magnitude, -30, 20)
    return 10 ** (-0.4 * (bright - ZERO_MAGNITUDE))


def signal_to_noise(camera, illuminance_lx, sky_cd_per_m2):
    """How far a point's light stands over its noise in one frame without a filter.

    S / sqrt(S + n (B + (0.01 B)^2 + r^2)): S its electrons, B the sky's in a pixel, 0.01 B how
    uneven the pixels are, r the read noise, n the pixels its blur covers. Exposed as long as the
    sky stays a stop under saturation, the shutter allows and a tripod's trail stays under 2 pixels.
    illuminance_lx [lx], sky_cd_per_m2 [cd/m2].
    """
    bare_lxs = LENS_FACTOR * float(sky_cd_per_m2) / camera.f_number**2
    still_s = TRAIL_PX * camera.arcsec_per_pixel / SKY_TURN_ARCSEC_PER_S
    full_s = SATURATION_LXS / camera.iso / 2 / bare_lxs
    exposure_s = max(camera.fastest_shutter_s, min(full_s, still_s, camera.slowest_shutter_s))
    per_lxs = sensors.STOCK.electrons_per_lxs(camera.pixel_um)
    gathered = LENS_FACTOR * (camera.aperture_mm * 1000 / camera.pixel_um) ** 2
    signal = float(illuminance_lx) * gathered * exposure_s * per_lxs
    blur_px = hypot(camera.diffraction_arcsec(), SEEING_ARCSEC) / camera.arcsec_per_pixel
    pixels = max(4.0, pi * blur_px**2)
    sky_e = bare_lxs * exposure_s * per_lxs
    variance = signal + pixels * (sky_e + (UNEVEN_SHARE * sky_e) ** 2 + READ_NOISE_E**2)
    return signal / variance**0.5


@takes(camera=Camera)
def sharp_beyond_m(camera, blur_px=1.0):
    """Distance beyond which a lens focused on the Sun is sharp to so many pixels [m].

    H = f^2 / (N c), c the blur on the sensor: what lies beyond serves for focusing as the Sun does.
    blur_px [px] 0.1 to 100. Raises OutOfRangeError outside.
    """
    blur_mm = require_number("blur_px", blur_px, 0.1, 100) * camera.pixel_um / 1000
    return camera.focal_length_mm**2 / camera.f_number / blur_mm / 1000


def _apparent(body):
    """The body, and its altitude with Saemundsson's refraction (Meeus, eq. 16.4) [deg]."""
    true = body.true_altitude_deg
    if true < -1:
        return body, true
    return body, true + 1.02 / 60 / np.tan(np.radians(true + 10.3 / (true + 5.11)))


def _sky_cd_per_m2(place, sun, altitude_deg, turn_deg):
    height = max(float(sun.true_altitude_deg), SUN_ALTITUDE_RANGE_DEG[0])
    eye_m = min(place.eye_height_m, EYE_HIGHEST_M)
    seen = sky_xyz(Air(), height, altitude_deg, turn_deg, eye_height_m=eye_m)[..., 1]
    return np.maximum(seen, DARKEST_CD_PER_M2)


def _share(air, place, altitude_deg):
    order = np.argsort(altitude_deg)
    curve = transfer_curve(air, place.eye_height_m, altitude_deg[order], [VISUAL_NM])
    share = np.empty_like(altitude_deg)
    share[order] = curve.transmission()[0]
    return np.nan_to_num(share)


def _threshold_lx(body, sky_cd_per_m2):
    background = min(float(sky_cd_per_m2), eye.BACKGROUND_RANGE_CD_PER_M2[1])
    if body.kind == sky.MOON:
        lit_sr = LUNAR_DISC_SR * max(body.lit_share, 1e-3)
        return float(eye.threshold_lx(lit_sr, background))
    return float(eye.point_threshold_lx(background))
