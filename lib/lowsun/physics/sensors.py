"""Illustrative colour sensors: what a camera's three channels make of a spectrum.

The curves are plain functions with round numbers, chosen to lie where measured curves of colour
cameras lie; no real camera is meant. They show what kind of thing happens, and in which order.
Left out: noise, and light beyond 830 nm.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lowsun.errors import LARGEST, OutOfRangeError, require_number, require_range, require_vectors
from lowsun.physics import colour, sunlight

CHANNELS = ("red", "green", "blue")
SENSOR_RANGE_NM = (380.0, 830.0)
WHITE_NM = np.arange(380.0, 831.0, 5.0)  # samples of the white light that the balance is set on

# All illustrative.
BLUE_PEAK_NM, BLUE_SPREAD_NM = 458.0, 32.0
GREEN_PEAK_NM, GREEN_SPREAD_NM = 532.0, 38.0
RED_OPENS_NM, RED_EDGE_NM = 583.0, 6.0  # the red dye lets everything beyond through
RED_LEAK = 0.08  # some shorter light leaks in: a burnt-out green turns yellow, then white
DYES_OPEN_NM, DYES_EDGE_NM = 790.0, 15.0  # the green and blue dyes turn clear here
CUT_NM, CUT_EDGE_NM = 645.0, 14.0  # the infrared-cut filter in front of the sensor
SILICON_PEAK_NM, SILICON_SPREAD_NM = 600.0, 300.0
PEAK_QUANTUM_EFFICIENCY = 0.5  # the green channel's, dyes included
PLANCK_TIMES_LIGHT_J_M = 1.98644586e-25  # h c, exact by the SI to these digits


@dataclass(frozen=True)
class Sensor:
    """A colour sensor by its three channels; illustrative, see the head of this module."""

    name: str
    infrared_cut: bool

    def response(self, wavelength_nm):
        """Response of red, green and blue, in arbitrary units common to the three.

        wavelength_nm [nm], shape (...), 380 to 830; returns (..., 3).
        """
        wavelength = require_range("wavelength_nm", wavelength_nm, *SENSOR_RANGE_NM, unit="nm")
        clear = _opens(wavelength, DYES_OPEN_NM, DYES_EDGE_NM)
        dyes = np.stack(
            [
                np.maximum(_opens(wavelength, RED_OPENS_NM, RED_EDGE_NM), RED_LEAK),
                np.maximum(_bell(wavelength, GREEN_PEAK_NM, GREEN_SPREAD_NM), clear),
                np.maximum(_bell(wavelength, BLUE_PEAK_NM, BLUE_SPREAD_NM), clear),
            ],
            axis=-1,
        )
        glass = 1 - _opens(wavelength, CUT_NM, CUT_EDGE_NM) if self.infrared_cut else 1.0
        silicon = _bell(wavelength, SILICON_PEAK_NM, SILICON_SPREAD_NM)
        return dyes * (silicon * glass)[..., None]

    def weights(self, wavelength_nm):
        """The matrix that turns sampled spectra into raw values: `radiance @ weights`.

        wavelength_nm [nm], (W,), rising, 380 to 830; returns (W, 3). Scaled so that sunlight above
        the air gives its own luminance in the green channel.
        """
        return self._green_scale * self._unscaled_weights(wavelength_nm)

    def raw(self, radiance, wavelength_nm):
        """Raw values of spectra before any balance, in cd/m2 of sunlight above the air.

        radiance [W/m2/sr/nm], wavelength last: (..., W); returns (..., 3).
        Raises OutOfRangeError for another shape.
        """
        weights = self.weights(wavelength_nm)
        return require_vectors("radiance", radiance, len(weights)) @ weights

    @cached_property
    def white_balance(self):
        """Factors (3,) that make sunlight above the air equal in all channels; the least is 1."""
        white = self.raw(sunlight.irradiance(WHITE_NM), WHITE_NM)
        return white.max() / white

    @cached_property
    def matrix(self):
        """Linear sRGB from balanced raw values, (3, 3), each row with the sum 1.

        Least squares over smooth coloured surfaces in sunlight, white kept white.
        """
        light = _training_surfaces() * sunlight.irradiance(WHITE_NM)
        balanced = self.raw(light, WHITE_NM) * self.white_balance
        wanted = colour.linear_srgb_from_xyz(colour.xyz_from_spectrum(light, WHITE_NM))
        balanced, wanted = balanced / balanced[0], wanted / wanted[0]
        from_green = balanced[:, [0, 2]] - balanced[:, [1]]
        red_blue, *_ = np.linalg.lstsq(from_green, wanted - balanced[:, [1]], rcond=None)
        return np.stack([red_blue[0], 1 - red_blue.sum(axis=0), red_blue[1]], axis=-1)

    def develop(self, raw, saturation):
        """Encoded sRGB of raw values: cut off at saturation, balanced, through the matrix.

        raw (..., 3) and saturation in cd/m2 of sunlight; returns (..., 3), 0 to 1. A burnt-out
        patch becomes white; colours outside the gamut have their channels cut off, as cameras do.
        """
        require_vectors("raw", raw, 3)
        raw = require_range("raw", raw, 0, LARGEST, unit="cd/m2")
        full = require_number("saturation", saturation, 1e-9, 1e12, unit="cd/m2")
        linear = self.develop_planes(np.moveaxis(raw / full, -1, 0))
        return colour.encode_srgb(np.moveaxis(linear, 0, -1))

    def develop_planes(self, share):
        """Linear sRGB, 0 to 1, of raw values divided by saturation, channels first: (3, ...)."""
        plain = type(share) is np.ndarray and share.dtype.kind == "f"
        share = share if plain else require_range("share", share, 0, LARGEST)
        if share.ndim == 0 or len(share) != 3:
            raise OutOfRangeError(f"share is shaped {share.shape}; give red, green and blue first.")
        pixels = share.reshape(3, -1)
        # A channel that burns out is worth its balance, 1 or more, and all are cut off at 1.
        balanced = np.minimum(pixels * self.white_balance.astype(share.dtype)[:, None], 1)
        linear = self.matrix.astype(share.dtype) @ balanced
        return np.clip(linear, 0, 1, out=linear).reshape(share.shape)

    def _unscaled_weights(self, wavelength_nm):
        step_nm = colour.trapezoid_width_nm(wavelength_nm)
        return step_nm[:, None] * self.response(np.asarray(wavelength_nm))

    def electrons_per_lxs(self, pixel_um):
        """Electrons that a pixel's green channel counts per lx s of sunlight on the sensor.

        n = area * integral of E q w dw / hc at unit illuminance; q, the share of photons counted,
        is the channel's response with PEAK_QUANTUM_EFFICIENCY at its peak.
        pixel_um [um] 0.5 to 50, one number.
        """
        side_m = 1e-6 * require_number("pixel_um", pixel_um, 0.5, 50, unit="um")
        light = sunlight.irradiance(WHITE_NM) / colour.luminance(
            sunlight.irradiance(WHITE_NM), WHITE_NM
        )
        green = self.response(WHITE_NM)[:, 1]
        peak = int(np.argmax(green))
        per_joule = PEAK_QUANTUM_EFFICIENCY * 1e-9 * WHITE_NM[peak] / PLANCK_TIMES_LIGHT_J_M
        widths = colour.trapezoid_width_nm(WHITE_NM)
        return float(side_m**2 * per_joule * (light * widths) @ (green / green[peak]))

    @cached_property
    def _green_scale(self):
        light = sunlight.irradiance(WHITE_NM)
        green = light @ self._unscaled_weights(WHITE_NM)[:, 1]
        return colour.luminance(light, WHITE_NM) / green


STOCK = Sensor("illustrative colour camera", infrared_cut=True)
INFRARED_CUT_REMOVED = Sensor(
    "illustrative colour camera, infrared-cut filter removed", infrared_cut=False
)


def _opens(wavelength_nm, edge_nm, softness_nm):
    return 1 / (1 + np.exp(-(wavelength_nm - edge_nm) / softness_nm))


def _bell(wavelength_nm, peak_nm, spread_nm):
    return np.exp(-(((wavelength_nm - peak_nm) / spread_nm) ** 2) / 2)


def _training_surfaces():
    """Reflectances (N, W): white first, then soft bands and soft edges all over the spectrum."""
    centre_nm = np.arange(420.0, 681.0, 20.0)[:, None]
    bands = 0.1 + 0.6 * _bell(WHITE_NM, centre_nm, 40.0)
    rising, falling = (0.1 + 0.7 * _opens(WHITE_NM, centre_nm, side) for side in (20.0, -20.0))
    return np.concatenate([np.ones((1, WHITE_NM.size)), bands, rising, falling])
