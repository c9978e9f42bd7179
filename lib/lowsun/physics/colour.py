"""From a spectrum to what an eye sees and what a screen can show of it."""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from lowsun.data import table
from lowsun.errors import (
    LARGEST,
    OutOfRangeError,
    answer_of,
    quoted,
    require_number,
    require_range,
    require_vectors,
)
from lowsun.words import term

LUMINOUS_EFFICACY_LM_PER_W = 683.002  # CIE, K_m for standard air
SRGB_PRIMARIES_XY = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))  # IEC 61966-2-1
D65_XY = (0.3127, 0.3290)  # IEC 61966-2-1
GAMUT_TOLERANCE = 1e-4  # share of a pixel's brightest channel: a hundredth of what 8 bits can tell
STEPS = 65535  # 8-bit pictures are looked up in so many steps of linear light
BLOCK_PIXELS = 16384  # a picture is worked in pieces that stay in the processor's cache
LOCUS_NM = (400.0, 700.0)  # beyond, the eye's colour stays where it is while light fades
WHITE_PURITY = 0.15  # below it light is called white, as the high Sun is; a choice of this kit
# Upper wavelength of each name; common practice, no source: languages and eyes differ.
COLOUR_NAMES = {
    term("violet"): 450, term("blue"): 485, term("cyan"): 500, term("green"): 565,
    term("yellow"): 590, term("orange"): 625,
}  # fmt: skip
RED, PURPLE, WHITE = term("red"), term("purple"), term("white")

CONE_EXPONENT, EYE_WHITE = 0.74, 0.30  # both shape `eye_response`


def colour_matching(wavelength_nm):
    """The eye's three colour-matching functions x-bar, y-bar, z-bar.

    wavelength_nm [nm], shape (...); returns pure numbers, shape (..., 3).
    Valid 360 to 830 nm; the 5 nm table joined by straight lines, within 1 % of each peak.
    Source: CIE 018:2019, CIE 1931 standard observer, 2 degrees.
    """
    rows = table("cie_1931_2deg")
    wavelength = require_range("wavelength_nm", wavelength_nm, 360, 830, unit="nm")
    bars = [
        np.interp(wavelength, rows["wavelength_nm"], rows[bar])
        for bar in ("x_bar", "y_bar", "z_bar")
    ]
    return np.maximum(np.stack(bars, axis=-1), 0.0)  # lines down to 0 round to a hair below it


def xyz_weights(wavelength_nm):
    """The matrix that turns sampled spectra into CIE XYZ: `radiance @ weights`.

    Trapezoid rule times 683.002 lm/W; wavelength_nm [nm], shape (W,), rising; returns (W, 3).
    """
    width_nm = trapezoid_width_nm(wavelength_nm)
    return LUMINOUS_EFFICACY_LM_PER_W * width_nm[:, None] * colour_matching(wavelength_nm)


def weights_of(responses, wavelength_nm):
    """The matrix (W, 3) of responses: `xyz_weights`, or a sensor's `weights`.

    responses: a function of wavelengths (W,) [nm]. Raises InputError where it is none, and
    OutOfRangeError where it gives another shape.
    """
    wanted = "a function of wavelengths such as `xyz_weights`"
    weights = answer_of("responses", responses, wanted, wavelength_nm)
    weights = require_vectors("responses", weights, 3)
    if weights.shape != (np.size(wavelength_nm), 3):
        raise OutOfRangeError(
            f"responses is shaped {weights.shape}; give a row for each of the"
            f" {np.size(wavelength_nm)} wavelengths."
        )
    return weights


def trapezoid_width_nm(wavelength_nm):
    """Width [nm] that each sample stands for in the trapezoid rule; wavelength_nm (W,), rising.

    wavelength_nm [nm] 360 to 830. Raises OutOfRangeError outside.
    """
    wavelength = require_range("wavelength_nm", wavelength_nm, 360, 830, unit="nm")
    if wavelength.ndim != 1 or len(wavelength) < 2 or np.any(np.diff(wavelength) <= 0):
        raise OutOfRangeError(
            f"wavelength_nm has shape {wavelength.shape} and must be a list of two or more rising"
            " wavelengths. Sort them and drop repeats."
        )
    step_nm = np.diff(wavelength)
    return (np.append(step_nm, 0) + np.append(0, step_nm)) / 2


def xyz_from_spectrum(radiance, wavelength_nm):
    """Absolute CIE XYZ of spectra; Y is the luminance.

    X = 683.002 lm/W * integral of L(w) x-bar(w) dw, and so for Y, Z; trapezoid rule.
    radiance [W/m2/sr/nm], wavelength last: (..., W); wavelength_nm [nm], (W,), rising, 360 to 830.
    Returns [cd/m2], (..., 3); from an irradiance [W/m2/nm] it gives [lx].
    Steps of 10 nm give 1 % for sunlight; what lies outside the samples is not counted, so let them
    reach from 400 to 700 nm or wider.
    """
    weights = xyz_weights(wavelength_nm)
    return require_vectors("radiance", radiance, len(weights)) @ weights


def luminance(radiance, wavelength_nm):
    """How bright spectra look [cd/m2], or [lx] from an irradiance: Y of `xyz_from_spectrum`.

    Raises OutOfRangeError for another shape.
    """
    weights = xyz_weights(wavelength_nm)[:, 1]
    return require_vectors("radiance", radiance, len(weights)) @ weights


def chromaticity(xyz):
    """Colour without brightness: x = X / (X + Y + Z), y = Y / (X + Y + Z).

    xyz (..., 3) with a sum above 0; returns (..., 2). Black has no chromaticity and is refused.
    """
    xyz = require_vectors("xyz", xyz, 3)
    total = np.sum(xyz, axis=-1, keepdims=True)
    require_range(
        "X + Y + Z", total, np.finfo(float).tiny, np.finfo(float).max, remedy="Black has no colour."
    )
    return xyz[..., :2] / total


@cache
def _srgb_to_xyz():
    """Linear sRGB to XYZ with white at Y = 1, from the primaries and D65 (IEC 61966-2-1)."""
    primaries = np.array([_xyz_of(*xy) for xy in SRGB_PRIMARIES_XY]).T
    return primaries * np.linalg.solve(primaries, _xyz_of(*D65_XY))


@cache
def _xyz_to_srgb():
    return np.linalg.inv(_srgb_to_xyz())


def _xyz_of(x, y):
    return np.array([x / y, 1.0, (1 - x - y) / y])


def linear_srgb_from_xyz(xyz):
    """Linear sRGB of XYZ whose white has Y = 1.

    xyz (..., 3); returns (..., 3): below 0 the colour is outside the screen's gamut, above 1 it is
    brighter than the screen. Source: IEC 61966-2-1, matrix from its primaries (its printed matrix
    is rounded to four places).
    Raises OutOfRangeError for another shape.
    """
    return np.moveaxis(_rgb_planes(require_vectors("xyz", xyz, 3)), 0, -1)


def _rgb_planes(xyz):
    """Red, green and blue each as a plane of its own: many times faster than side by side."""
    planes = xyz.reshape(-1, 3).T
    precision = np.result_type(planes, np.float32)
    return (_xyz_to_srgb().astype(precision) @ planes).reshape(3, *xyz.shape[:-1])


def xyz_from_linear_srgb(rgb):
    """XYZ with white at Y = 1 of linear sRGB; the way back from `linear_srgb_from_xyz`.

    Raises OutOfRangeError for another shape.
    """
    return require_vectors("rgb", rgb, 3) @ _srgb_to_xyz().T


def encode_srgb(linear):
    """What is written in the file: 12.92 c up to 0.0031308, above it 1.055 c^(1/2.4) - 0.055.

    linear, any shape, 0 to 1; returns 0 to 1. Source: IEC 61966-2-1.
    """
    linear = require_range("linear", linear, 0, 1, remedy="Map the colours into the gamut first.")
    encoded = np.array(linear ** (1 / 2.4))
    encoded *= 1.055
    encoded -= 0.055
    np.multiply(12.92, linear, out=encoded, where=linear <= 0.0031308)
    return encoded[()]


def decode_srgb(encoded):
    """Linear light of what is written in the file; the way back from `encode_srgb`.

    encoded, any shape, 0 to 1; returns 0 to 1. Source: IEC 61966-2-1.
    """
    encoded = require_range("encoded", encoded, 0, 1, remedy="Divide 8-bit numbers by 255.")
    curved = np.power((encoded + 0.055) / 1.055, 2.4)
    return np.where(encoded <= 12.92 * 0.0031308, encoded / 12.92, curved)


def srgb_bytes(linear):
    """The 8-bit numbers of a picture file, from linear light: `encode_srgb` times 255, rounded.

    linear, any shape, 0 to 1; returns uint8 of that shape. Looked up in 65 536 steps, many times
    faster than the power; within the rounding of 8 bits.
    """
    plain = type(linear) is np.ndarray and linear.dtype.kind == "f"
    remedy = "Map the colours into the gamut first."
    linear = linear if plain else require_range("linear", linear, 0, 1, remedy=remedy)
    extremes = [np.min(linear, initial=0), np.max(linear, initial=0)]
    require_range("linear", extremes, 0, 1, remedy=remedy)
    return _looked_up(linear)


def _looked_up(linear):
    """The bytes of linear light that is known to lie from 0 to 1."""
    return _srgb_steps().take(np.rint(linear * linear.dtype.type(STEPS)).astype(np.uint16))


@cache
def _srgb_steps():
    return np.rint(255 * encode_srgb(np.arange(STEPS + 1) / STEPS)).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class ScreenColours:
    """What the screen shows, and where it cannot show what there is.

    linear (..., 3): linear sRGB, 0 to 1. outside_gamut (...): the colour is more saturated than the
    screen's. too_bright (...): brighter than the screen at this exposure. colour_kept (...): how
    far from the white point the colour shown lies, divided by how far it should, 0 to 1.
    white_luminance [cd/m2]: what shows as white at this exposure.
    """

    linear: np.ndarray
    outside_gamut: np.ndarray
    too_bright: np.ndarray
    colour_kept: np.ndarray
    white_luminance: float

    @cached_property
    def rgb(self):
        """Encoded sRGB, 0 to 1, (..., 3)."""
        return encode_srgb(self.linear)

    @property
    def rgb8(self):
        """Encoded sRGB as a picture file holds it, uint8 (..., 3)."""
        return self.rgbx8[..., :3]

    @cached_property
    def rgbx8(self):
        """The same as a screen holds it, uint8 (..., 4), the fourth 255: moved as one number."""
        written = np.empty((*self.linear.shape[:-1], 4), dtype=np.uint8)
        for channel in range(3):  # one by one: three times as fast as all at once
            written[..., channel] = _looked_up(self.linear[..., channel])
        written[..., 3] = 255
        return written

    @property
    def outside_gamut_share(self):
        """Share of the pixels whose colour no sRGB screen shows fully, 0 to 1."""
        return float(np.mean(self.outside_gamut))

    @property
    def too_bright_share(self):
        """Share of the pixels that are over-exposed, 0 to 1."""
        return float(np.mean(self.too_bright))

    @property
    def note(self):
        """One sentence for the picture; empty where the screen shows everything."""
        parts = []
        if self.outside_gamut.any():
            share = _percent(self.outside_gamut_share)
            parts.append(f"the screen cannot show {share} of the picture in its full colour")
        if self.too_bright.any():
            parts.append(f"{_percent(self.too_bright_share)} of the picture is over-exposed")
        return "; ".join(parts).capitalize() + "." if parts else ""


def _percent(share):
    return "under 1 %" if share < 0.01 else f"{share * 100:.0f} %"


def srgb_from_xyz(xyz, white_luminance=None, *, exposure_stops=0.0, overexposed="pale"):
    """Encoded sRGB of absolute XYZ at an exposure, with an honest account of what does not fit.

    A luminance of white_luminance [cd/m2] shows as the screen's white, by default the least at
    which no pixel is brighter than the screen; exposure_stops [stops] -20 to 20 makes all brighter.
    A colour outside the gamut moves straight towards the white point, at constant luminance and
    constant dominant wavelength, until it fits. What is brighter than the screen moves on towards
    white in the same way ("pale", white at the end), or has each channel cut off ("clip", as a
    camera file does: bright orange turns yellow).
    xyz [cd/m2], (..., 3), 0 or more, not all black where no white is given; returns
    `ScreenColours`. Leaves out the eye's adaptation and the surround.
    """
    if not isinstance(overexposed, str) or overexposed not in ("pale", "clip"):
        raise OutOfRangeError(f"overexposed is {quoted(overexposed)}; allowed is 'pale' or 'clip'.")
    xyz = _require_xyz(xyz)
    given = _to_fit(xyz) if white_luminance is None else white_luminance
    white = require_number("white_luminance", given, 1e-9, 1e12, unit="cd/m2")
    return _on_a_screen(xyz, white, exposure_stops, overexposed == "pale")


def srgb_at_a_glance(xyz, adapted_to=None, *, exposure_stops=0.0):
    """Encoded sRGB of absolute XYZ as an eye takes it in at one glance: `ScreenColours`.

    `srgb_from_xyz` of `eye_response`, whose parameters these are, in one go: half the time.
    xyz (..., 3) and adapted_to [cd/m2]; exposure_stops [stops] -20 to 20.
    """
    xyz = _require_xyz(xyz)
    return _on_a_screen(xyz, 1.0, exposure_stops, True, _adapted(xyz, adapted_to))


def _on_a_screen(xyz, white, exposure_stops, reach_white, adapted=None):
    """`ScreenColours` of checked XYZ; of an eye's response to it where that is adapted."""
    stops = require_number("exposure_stops", exposure_stops, -20.0, 20.0, unit="stops")
    white = white * 2.0**-stops
    pixels = xyz.reshape(-1, 3)
    count = len(pixels)
    linear, kept = np.empty((3, count), xyz.dtype), np.empty(count, xyz.dtype)
    outside, too_bright = np.empty(count, bool), np.empty(count, bool)
    for block in _blocks(count):
        gain = 1.0 if adapted is None else _eye_gain(pixels[block, 1], adapted)
        light = _Light.of(pixels[block], gain / white)
        outside[block] = light.low < -GAMUT_TOLERANCE * light.high
        too_bright[block] = light.high > 1.0 + GAMUT_TOLERANCE
        kept[block] = light.colour_kept(reach_white)
        light.show(kept[block], linear[:, block])
    shape = xyz.shape[:-1]
    return ScreenColours(
        linear=np.moveaxis(linear.reshape(3, *shape), 0, -1),
        outside_gamut=outside.reshape(shape),
        too_bright=too_bright.reshape(shape),
        colour_kept=kept.reshape(shape),
        white_luminance=white,
    )


def eye_response(xyz, adapted_to=None):
    """Light as an eye takes it in at one glance: XYZ relative to a screen's white, (..., 3).

    Y becomes 0.30 Y^n / (Y^n + A^n), n = 0.74, A the luminance the eye is adapted to; colours keep
    their chromaticity. What the eye is adapted to then shows as 0.15, a middle grey; what is a
    thousand times fainter still shows, and what is a thousand times brighter shows its colour.
    xyz [cd/m2], (..., 3), 0 or more; adapted_to [cd/m2]: by default the mean of Y. Returns float32
    where xyz is. Raises OutOfRangeError outside these.
    Source: Naka & Rushton 1966, J. Physiol. 185, 536, with the cones' exponent of Boynton &
    Whitten 1970, Science 170, 1423 (both from memory); the 0.30 is this kit's, which a
    screen can still show as orange. Leaves out that an
    eye adapts place by place, glare, and bleaching by the Sun.
    """
    light = _require_xyz(xyz)
    return light * _eye_gain(light[..., 1:2], _adapted(light, adapted_to))


def _adapted(xyz, adapted_to):
    """The luminance an eye is adapted to [cd/m2], by default the mean."""
    given = float(xyz[..., 1].mean()) if adapted_to is None else adapted_to
    return require_number("adapted_to", given, 1e-9, 1e12, unit="cd/m2")


def _eye_gain(luminance, adapted):
    """What an eye makes of light so bright, divided by it."""
    # r^n / (r^n + 1) / r, written so that black stays black.
    gain = np.maximum(luminance / luminance.dtype.type(adapted), 1e-9)
    relative = gain.copy()
    gain **= gain.dtype.type(CONE_EXPONENT - 1.0)
    relative *= gain
    relative += gain.dtype.type(1.0)
    gain /= relative
    gain *= gain.dtype.type(EYE_WHITE / adapted)
    return gain


def _require_xyz(xyz):
    """XYZ as an array of floats, single precision kept; refused where negative or no number."""
    plain = type(xyz) is np.ndarray and xyz.dtype.kind == "f"
    xyz = xyz if plain else require_range("xyz", xyz, 0, LARGEST, unit="cd/m2")
    if xyz.ndim == 0 or xyz.shape[-1] != 3:
        raise OutOfRangeError(f"xyz is shaped {xyz.shape}; give X, Y and Z along its last axis.")
    extremes = [np.min(xyz, initial=0), np.max(xyz, initial=0)]
    require_range("xyz", extremes, 0, np.finfo(float).max, unit="cd/m2")
    return xyz if xyz.dtype == np.float32 else xyz.astype(float)


@dataclass(frozen=True, eq=False)
class _Light:
    """Pixels in the screen's primaries: luminance y (N,), rgb (3, N), its least and greatest."""

    y: np.ndarray
    rgb: np.ndarray
    low: np.ndarray
    high: np.ndarray

    @classmethod
    def of(cls, xyz, gain):
        """That of XYZ (N, 3) times a gain, one number or (N,)."""
        rgb, y = _rgb_planes(xyz), xyz[:, 1] * gain
        rgb *= gain
        # One by one: three times as fast as a reduction along so short an axis.
        low = np.minimum(np.minimum(rgb[0], rgb[1]), rgb[2])
        return cls(y, rgb, low, np.maximum(np.maximum(rgb[0], rgb[1]), rgb[2]))

    @cached_property
    def inside_gamut(self):
        """How much of the way from grey to the colour no channel is negative, (N,), 0 to 1."""
        return _ratio(self.y, self.y - np.minimum(self.low, 0))

    def colour_kept(self, reach_white):
        """How much of that way is shown where 1 is white, (N,), 0 to 1."""
        if not reach_white:
            return self.inside_gamut
        return np.minimum(self.inside_gamut, _ratio(np.maximum(1 - self.y, 0), self.high - self.y))

    def show(self, kept, linear):
        """Write what is shown of the colours, so much of each kept, into linear (3, N)."""
        np.multiply(self.rgb, kept, out=linear)
        linear += (1 - kept) * self.y
        np.clip(linear, 0, 1, out=linear)


def _blocks(count):
    """Slices of so many pixels, in pieces that stay in the processor's cache."""
    return [slice(start, start + BLOCK_PIXELS) for start in range(0, count, BLOCK_PIXELS)]


def _to_fit(xyz):
    """The greatest channel of all pixels after they are mapped into the gamut [cd/m2]."""
    pixels = xyz.reshape(-1, 3)
    lights = (_Light.of(pixels[block], 1.0) for block in _blocks(len(pixels)))
    shown = (light.y + light.inside_gamut * (light.high - light.y) for light in lights)
    brightest = max((float(np.max(each)) for each in shown), default=0.0)
    return require_range(
        "brightest channel", brightest, 1e-9, 1e12, remedy="The picture is all black."
    )


def _ratio(part, whole):
    """The part in the whole, both 0 or more; 1 where there is nothing. No branch: it is quick."""
    least = np.finfo(part.dtype).tiny
    return (part + least) / (whole + least)


def white_luminance_to_fit(xyz):
    """The white luminance at which nothing of a picture is brighter than the screen [cd/m2].

    The greatest channel of all pixels after the gamut mapping of `srgb_from_xyz` becomes 1.
    xyz [cd/m2], (..., 3), not all black.
    """
    return float(_to_fit(_require_xyz(xyz)))


def dominant_wavelength_nm(xy):
    """The pure spectral colour on the line from the white point (D65) through a colour.

    xy (..., 2), not white itself; returns [nm], (...), 400 to 700; negative is the complementary
    wavelength of a purple, which no spectral colour matches. About 0.1 nm.
    Source: CIE 015, dominant wavelength.
    """
    return _dominant(xy)[0]


def excitation_purity(xy):
    """Distance from the white point (D65) over that of the purest colour of the same hue, 0 to 1.

    xy (..., 2), not white itself; the purest is spectral, or lies on the line of purples.
    Source: CIE 015, excitation purity.
    """
    return _dominant(xy)[1]


def colour_name(xyz):
    """Plain name of the colour of light, by dominant wavelength: 'green', 'orange' ...

    Upper bounds [nm] in COLOUR_NAMES, above them red; purple where no spectral colour matches;
    white below WHITE_PURITY. xyz (3,); common practice, no source.
    Raises OutOfRangeError for another shape.
    """
    xyz = require_vectors("xyz", xyz, 3)
    if xyz.shape != (3,):
        raise OutOfRangeError(f"xyz is {quoted(xyz)}; give the three numbers of one colour.")
    xy = chromaticity(xyz)
    if np.hypot(*(xy - D65_XY)) < 1e-6 or excitation_purity(xy) < WHITE_PURITY:
        return WHITE
    wavelength = float(dominant_wavelength_nm(xy))
    if wavelength < 0:
        return PURPLE
    return next((name for name, upper in COLOUR_NAMES.items() if wavelength < upper), RED)


@cache
def _locus():
    """Wavelength, direction seen from white [rad, falling] and chromaticity of spectral colours."""
    wavelength_nm = np.arange(LOCUS_NM[0], LOCUS_NM[1] + 0.5)
    xy = chromaticity(colour_matching(wavelength_nm))
    direction = np.unwrap(np.arctan2(*(xy - D65_XY).T[::-1]))
    return wavelength_nm, direction, xy


def _dominant(xy):
    offset = require_vectors("xy", xy, 2) - D65_XY
    distance = np.hypot(offset[..., 0], offset[..., 1])
    require_range("distance from white", distance, 1e-9, 2, remedy="White has no hue.")
    spectral, wavelength, edge = _spectral_edge(offset)
    _, opposite, _ = _spectral_edge(-offset)
    edge = np.where(spectral, edge, _purple_edge(offset / distance[..., None]))
    return np.where(spectral, wavelength, -opposite)[()], (distance / edge)[()]


def _spectral_edge(offset):
    """Is there a spectral colour in that direction from white, which, and how far from white?"""
    wavelength_nm, direction, xy = _locus()
    towards = np.arctan2(offset[..., 1], offset[..., 0])
    towards = direction[-1] + np.mod(towards - direction[-1], 2 * np.pi)
    rising = direction[::-1]
    reach = np.hypot(*(xy - D65_XY).T)[::-1]
    spectral = towards <= direction[0]
    nearest = np.minimum(towards, direction[0])
    return (
        spectral,
        np.interp(nearest, rising, wavelength_nm[::-1]),
        np.interp(nearest, rising, reach),
    )


def _purple_edge(unit):
    """How far the line of purples, from 400 to 700 nm, lies from white along unit vectors."""
    _, _, xy = _locus()
    violet, red = xy[0] - D65_XY, xy[-1] - D65_XY
    along = red - violet
    return _cross(violet, along) / _cross(unit, along)


def _cross(a, b):
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
