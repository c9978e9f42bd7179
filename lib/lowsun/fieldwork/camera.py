"""What a camera makes of the low Sun: scale, sharpness, trailing and exposure.

A filter that suits a sensor says nothing about an eye at a viewfinder.
"""

from dataclasses import dataclass
from math import atan, ceil, degrees, hypot, log2, log10, radians, tan

import numpy as np

from lowsun.errors import (
    OutOfRangeError,
    keep_number,
    quoted,
    require_number,
    require_range,
    require_whole,
)
from lowsun.physics.sunlight import SUN_DIAMETER_ARCMIN

ARCSEC_PER_RADIAN = 206_264.806
METER_CONSTANT = 12.5  # K, ISO 2720 allows 10.6 to 13.4
LENS_FACTOR = 0.65  # q: transmission, vignetting and angle of a usual lens; ISO 2720, ISO 12232
SATURATION_LXS = 78.0  # H_sat at ISO 1, ISO 12232 saturation-based speed S = 78 / H_sat
AIRY_FWHM = 1.029  # full width at half maximum of the diffraction disc, in wavelength / aperture
ROUNDING = 1e-9  # a filter of just the density needed must not be refused for its last digit
SHUTTER_RANGE_S = (1e-6, 3600.0)
# Shutter times as they stand on a dial, in thirds of a stop; common practice, no source.
DIAL_PER_S = (32000, 25600, 20000, 16000, 12800, 10000, 8000, 6400, 5000, 4000, 3200, 2500, 2000,
              1600, 1250, 1000, 800, 640, 500, 400, 320, 250, 200, 160, 125, 100, 80, 60, 50, 40,
              30, 25, 20, 15, 13, 10, 8, 6, 5, 4, 3)  # fmt: skip
DIAL_S = (*(1 / per_s for per_s in DIAL_PER_S), 0.4, 0.5, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5, 3.2,
          4.0, 5.0, 6.0, 8.0, 10.0, 13.0, 15.0, 20.0, 25.0, 30.0)  # fmt: skip
RANGES = {
    "focal_length_mm": (1, 20_000, "mm", "Use the lens's true focal length, not an equivalent."),
    "f_number": (0.5, 128, "", "In air no lens is faster than f/0.5."),
    "pixel_um": (0.5, 50, "um", "Divide the sensor's width by its number of pixels."),
    "bits": (8, 16, "", "Raw files have 10 to 16 bits."),
    "iso": (1, 1_000_000, "", "Use the setting on the camera."),
    "filter_density": (0, 10, "", "For a filter in stops use `density_of_stops`."),
}


def density_of_stops(stops):
    """Optical density of a neutral filter of so many stops: D = stops log10(2); 0 to 33 stops.

    stops [stops] 0 to 33.
    """
    return require_range("stops", stops, 0, 33, unit="stops")[()] * log10(2)


def stops_of_density(density):
    """Stops of a neutral filter by its optical density: D / log10(2); 0 to 10.

    density [1] 0 to 10.
    """
    return require_range("density", density, 0, 10)[()] / log10(2)


def whole_stops(density):
    """The weakest neutral filter in whole stops that is at least as dense: (density, stops).

    density 0 to 10; filters are sold in whole stops, 0.3 of density each: common practice, no
    source.
    density [1] 0 to 10.
    """
    density = require_number("density", density, 0, 10)
    stops = ceil(stops_of_density(density) - ROUNDING)
    return density_of_stops(stops), stops


def shutter_words(exposure_s):
    """An exposure as it is said: '1/8000 s', '2.5 s'; two digits where it is on no dial.

    exposure_s [s] 1e-12 to 1e+12. Raises OutOfRangeError outside.
    """
    exposure = require_number("exposure_s", exposure_s, 1e-12, 1e12, unit="s")
    if exposure > 0.35:
        return f"{float(f'{exposure:.3g}'):.12g} s"  # three digits, and never an exponent
    per_s = round(1 / exposure)
    return f"1/{per_s if per_s in DIAL_PER_S else round(float(f'{1 / exposure:.2g}'))} s"


def exposure_value(luminance):
    """Exposure value at ISO 100 that a meter shows: EV100 = log2(100 L / 12.5) = log2(8 L).

    luminance [cd/m2], any shape, 1e-6 to 1e10. Source: ISO 2720 with K = 12.5.
    """
    return np.log2(100 / METER_CONSTANT * _luminance(luminance))


@dataclass(frozen=True)
class Camera:
    """A lens with a sensor behind it and, if wanted, a neutral filter in front.

    frame_px: width and height. filter_density: optical density, light through = 10^-density.
    iso: saturation-based speed. Shutter limits in seconds.
    """

    focal_length_mm: float
    f_number: float
    pixel_um: float
    frame_px: tuple[int, int]
    bits: int = 14
    iso: float = 100.0
    fastest_shutter_s: float = 1 / 8000
    slowest_shutter_s: float = 30.0
    filter_density: float = 0.0

    def __post_init__(self):
        for name, (low, high, unit, remedy) in RANGES.items():
            check = require_whole if name == "bits" else require_number
            keep_number(self, name, low, high, unit=unit, remedy=remedy, check=check)
        self._require_frame()
        self._require_shutter()

    def _require_frame(self):
        sides = require_range("frame_px", self.frame_px, 1, 100_000, unit="px")
        if sides.shape != (2,) or np.any(sides % 1):
            raise OutOfRangeError(
                f"frame_px is {quoted(self.frame_px)}; give width and height in whole pixels, such"
                " as (6000, 4000)."
            )
        object.__setattr__(self, "frame_px", tuple(int(side) for side in sides))

    def _require_shutter(self):
        for name in ("fastest_shutter_s", "slowest_shutter_s"):
            keep_number(self, name, *SHUTTER_RANGE_S, unit="s")
        if self.fastest_shutter_s > self.slowest_shutter_s:
            raise OutOfRangeError(
                f"fastest_shutter_s is {self.fastest_shutter_s:g} s, longer than"
                f" slowest_shutter_s, {self.slowest_shutter_s:g} s. Exchange the two."
            )

    # Scale

    @property
    def aperture_mm(self):
        """Diameter of the lens's opening: focal length divided by f-number [mm]."""
        return self.focal_length_mm / self.f_number

    @property
    def arcsec_per_pixel(self):
        """Sky that one pixel covers in the middle of the frame: 206 265" pixel / focal length."""
        return ARCSEC_PER_RADIAN * self.pixel_um / 1000 / self.focal_length_mm

    @property
    def field_deg(self):
        """Width and height of the field of view of a lens without distortion [deg]."""
        half = [side * self.pixel_um / 2000 / self.focal_length_mm for side in self.frame_px]
        return tuple(2 * degrees(atan(tangent)) for tangent in half)

    def pixels(self, arcsec):
        """Length in pixels of a small angle [arcsec], any shape, in the middle of the frame.

        arcsec [arcsec] 0 to 36 000. Raises OutOfRangeError outside.
        """
        angle = require_range("arcsec", arcsec, 0, 36_000, unit="arcsec")
        return angle[()] / self.arcsec_per_pixel

    def sun_image_mm(self, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
        """Diameter of the Sun's image: 2 f tan(radius), focal length / 107.5 at 1 au [mm].

        sun_diameter_arcmin [arcmin] 31 to 33. Raises OutOfRangeError outside.
        """
        diameter = require_number("sun_diameter_arcmin", sun_diameter_arcmin, 31, 33, unit="arcmin")
        return 2 * self.focal_length_mm * tan(radians(diameter / 120))

    def sun_px(self, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
        """Diameter of the Sun's image in pixels.

        sun_diameter_arcmin [arcmin].
        """
        return self.sun_image_mm(sun_diameter_arcmin) * 1000 / self.pixel_um

    def holds_sun(self, sun_diameter_arcmin=SUN_DIAMETER_ARCMIN):
        """Does the whole disc fit into the frame?

        sun_diameter_arcmin [arcmin].
        """
        return self.sun_px(sun_diameter_arcmin) <= min(self.frame_px)

    # Sharpness

    def diffraction_arcsec(self, wavelength_nm=550.0):
        """Width at half height of a point's image by diffraction: 1.029 wavelength / aperture.

        wavelength_nm [nm], one number, 300 to 1100; returns [arcsec]. For a round, clear opening.
        """
        nm = require_number("wavelength_nm", wavelength_nm, 300, 1100, unit="nm")
        return AIRY_FWHM * nm * 1e-6 / self.aperture_mm * ARCSEC_PER_RADIAN

    def blur_arcsec(self, seeing_arcsec, wavelength_nm=550.0):
        """Width at half height of a point's image by diffraction and unsteady air [arcsec].

        seeing_arcsec: that of the air alone [arcsec] 0 to 120, your own estimate: near the horizon
        it is many times that overhead. Blurs add as squares. wavelength_nm [nm] 300 to 1100. Raises
        OutOfRangeError outside these. Leaves out focus, shake and the lens's own faults.
        """
        seeing = require_number("seeing_arcsec", seeing_arcsec, 0, 120, unit="arcsec")
        return hypot(self.diffraction_arcsec(wavelength_nm), seeing)

    def trail_px(self, speed_arcsec_per_s, exposure_s):
        """How far the Sun moves over the sensor while the shutter is open [px].

        speed_arcsec_per_s [arcsec/s] 0 to 60, 15 for the sky's own turning; exposure_s [s].
        """
        speed = require_range("speed_arcsec_per_s", speed_arcsec_per_s, 0, 60, unit="arcsec/s")
        return speed[()] * self._shutter(exposure_s) / self.arcsec_per_pixel

    # Exposure

    def focal_plane_exposure_lxs(self, luminance, exposure_s):
        """Light that falls on the sensor: H = q L t 10^-D / N^2 [lx s], q = 0.65.

        luminance [cd/m2] and exposure_s [s] broadcast. Source: ISO 12232, with the filter's D.
        """
        light = LENS_FACTOR * _luminance(luminance) * self._shutter(exposure_s)
        return light * 10**-self.filter_density / self.f_number**2

    def saturation_share(self, luminance, exposure_s):
        """Light on the sensor divided by what saturates it: H S / 78; above 1 it is burnt out.

        luminance [cd/m2]: for a coloured light take the greatest of `Sensor.raw`, since red burns
        out first in a low Sun. Source: ISO 12232, saturation-based speed.
        """
        exposure = self.focal_plane_exposure_lxs(luminance, exposure_s)
        return exposure * self.iso / SATURATION_LXS

    def longest_exposure_s(self, luminance):
        """Exposure that just saturates the sensor: t = 78 N^2 10^D / (q L S) [s].

        luminance [cd/m2], any shape. Any length: whether the shutter has it, `shutter_s` tells.
        """
        light = LENS_FACTOR * _luminance(luminance) * self.iso
        return SATURATION_LXS * self.f_number**2 * 10**self.filter_density / light

    def shutter_s(self, luminance, headroom_stops=1.0):
        """Exposure that leaves so many stops below saturation, if the shutter has it [s].

        luminance [cd/m2], one number; headroom_stops 0 to 10. Refused with the way out where the
        shutter is too slow or too short for it.
        """
        headroom = require_number("headroom_stops", headroom_stops, 0, 10, unit="stops")
        luminance = require_number("luminance", luminance, 1e-6, 1e10, unit="cd/m2")
        wanted = float(self.longest_exposure_s(luminance) / 2**headroom)
        if wanted < self.fastest_shutter_s * (1 - ROUNDING):
            missing = log2(self.fastest_shutter_s / wanted)
            raise OutOfRangeError(
                f"The exposure would be {shutter_words(wanted)}; the fastest is"
                f" {shutter_words(self.fastest_shutter_s)}. Stop down, lower the ISO setting or"
                f" add a neutral filter: {missing:.1f} stops are missing."
            )
        if wanted > self.slowest_shutter_s * (1 + ROUNDING):
            spare = log2(wanted / self.slowest_shutter_s)
            raise OutOfRangeError(
                f"The exposure would be {shutter_words(wanted)}; the slowest is"
                f" {shutter_words(self.slowest_shutter_s)}. Open up, raise the ISO setting or use"
                f" a weaker filter: {spare:.1f} stops too many."
            )
        return wanted

    def filter_density_needed(self, luminance, headroom_stops=1.0):
        """Density of the neutral filter with which the fastest shutter leaves that headroom.

        In place of the one in front now; 0 where none is needed. luminance [cd/m2], one number.
        headroom_stops [stops] 0 to 10, luminance 1e-06 to 1e+10. Raises OutOfRangeError
        outside.
        """
        headroom = require_number("headroom_stops", headroom_stops, 0, 10, unit="stops")
        luminance = require_number("luminance", luminance, 1e-6, 1e10, unit="cd/m2")
        bare = self.longest_exposure_s(luminance) / 10**self.filter_density / 2**headroom
        return max(0.0, log10(self.fastest_shutter_s / float(bare)))

    def _shutter(self, exposure_s):
        fastest = self.fastest_shutter_s * (1 - ROUNDING)
        slowest = self.slowest_shutter_s * (1 + ROUNDING)
        return require_range("exposure_s", exposure_s, fastest, slowest, unit="s")[()]


def _luminance(luminance):
    return require_range("luminance", luminance, 1e-6, 1e10, unit="cd/m2")[()]
