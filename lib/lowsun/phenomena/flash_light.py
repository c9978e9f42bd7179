"""The light of the last sliver: how bright it is and what colour it has.

What happens where is geometry and comes from the transfer curve; here its light is summed. The
chord of each row is integrated in closed form, so an evening costs no more than a few pictures.
"""

from dataclasses import dataclass
from functools import cached_property
from math import gamma, pi, sqrt

import numpy as np

from lowsun.errors import (
    LARGEST,
    InputError,
    OutOfRangeError,
    quoted,
    require_number,
    require_range,
    require_row,
    require_values,
    require_vectors,
    takes,
)
from lowsun.phenomena import low_sun
from lowsun.physics import colour, sunlight
from lowsun.physics.rays import GREEN_NM, RED_NM, TransferCurve
from lowsun.physics.runs import runs

__all__ = [
    "CHORD",
    "FLASH_COLOURS",
    "GREEN_BAND_NM",
    "HIGHEST_SUN_DEG",
    "RED_BAND_NM",
    "RIM_NM",
    "Column",
    "SliverLight",
    "as_seen",
    "column",
    "sliver",
    "sliver_of",
    "spans",
    "surviving_share",
]

HIGHEST_SUN_DEG = 20.0  # above it nothing here is a last light
ARCSEC = pi / 648_000
HALF_DISC_DEG, MARGIN_DEG = 0.28, 0.02  # more than the Sun's radius ever is, and than dispersion
BELOW_DEG = 10.0 / 60.0  # lower rows belong to no piece that turns green about the place looked at
FARTHEST_DEG = 1.0  # more than the disc is high
WIDENING = 1.0 / 30.0  # what rows stand wider apart, of the way from the place looked at
NEAR_STRIDE = 3  # about a place looked at, every third of the rows at the horizon will do
RIM_NM = (GREEN_NM, RED_NM)
GREEN_BAND_NM, RED_BAND_NM = (500.0, 565.0), (620.0, 700.0)  # bands for `surviving_share`
FLASH_COLOURS = ("green", "cyan", "blue", "violet")  # names from `colour.colour_name`
# Integral of (1 - u^2)^(k/2) over the chord -1 to 1, for the powers of limb darkening.
CHORD = tuple(sqrt(pi) * gamma(k / 2 + 1) / gamma(k / 2 + 1.5) for k in range(6))


@dataclass(frozen=True, eq=False)
class Column:
    """The disc's light along the vertical through its centre, for instants T, bands W, rows A.

    apparent_altitude_deg (A,), rising; radiance (T, A, W) [W/m2/sr/nm] there; line (T, A, W)
    [W/m2/sr/nm rad]: the same summed over the whole width of the row; rim (T, A): the green rim,
    the topmost rows above the red image in which the green one still stands.
    """

    wavelength_nm: np.ndarray
    apparent_altitude_deg: np.ndarray
    radiance: np.ndarray
    line: np.ndarray
    rim: np.ndarray


@takes(curve=TransferCurve)
def column(
    curve,
    sun_true_altitude_deg,
    *,
    sun_diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN,
    step_arcsec=1.0,
    about_deg=None,
):
    """The light of the disc at instants, row by row: a `Column`.

    radiance = I(mu) T at x = 0; line = integral of I(mu) T dx
    = T I(centre) r sum a_k c_k s^(k+1), s = sqrt(1 - y^2), c_k = integral of (1 - u^2)^(k/2) du.
    curve: a `TransferCurve` for pictures; sun_true_altitude_deg [deg] of the centre, -90 to 20,
    number or (T,); step_arcsec [arcsec] 0.05 to 60 between rows, finer at the horizon; about_deg
    [deg] -90 to 90: apparent altitude from which on rows stand wider apart, by a thirtieth of the
    way, and ten minutes of arc below which nothing is looked at.
    """
    sun = _require_low_sun(sun_true_altitude_deg)
    diameter = require_number(
        "sun_diameter_arcmin",
        sun_diameter_arcmin,
        *low_sun.DIAMETER_RANGE_ARCMIN,
        unit="arcmin",
    )
    rows = _rows_deg(curve, sun, step_arcsec, about_deg)
    # Each band lies in one piece (W, T, A): what is summed along rows is quick then.
    rise = (curve.true_at(rows)[:, None] - sun[:, None]) * (120.0 / diameter)
    centre = sunlight.centre_radiance(curve.wavelength_nm)[:, None]
    lamp = (centre * curve.share_at(rows))[:, None]
    half_chord = np.where(np.isnan(rise), low_sun.OFF_DISC, rise)
    half_chord *= -half_chord
    half_chord += 1.0
    np.sqrt(np.maximum(half_chord, 0.0, out=half_chord), out=half_chord)
    limb = np.array(sunlight.limb_coefficients(curve.wavelength_nm))
    radiance = _polynomial(limb, half_chord)
    radiance *= lamp
    radiance[half_chord == 0.0] = 0.0
    line = _polynomial(np.array(CHORD)[:, None] * limb, half_chord)
    line *= half_chord
    line *= lamp * (diameter * 30.0 * ARCSEC)
    return Column(
        wavelength_nm=curve.wavelength_nm,
        apparent_altitude_deg=rows,
        radiance=np.moveaxis(radiance, 0, -1),
        line=np.moveaxis(line, 0, -1),
        rim=_rim(curve.wavelength_nm, rise),
    )


@dataclass(frozen=True, eq=False)
class SliverLight:
    """The light of one separate piece of the Sun at instants (T,), the uppermost as a rule.

    While the disc is whole the piece is the disc; in a mirage it is the piece cut off on top.
    irradiance (T, W) [W/m2/nm] at the eye, across the line of sight; brightest (T,) [cd/m2]: the
    piece's brightest point.
    """

    wavelength_nm: np.ndarray
    irradiance: np.ndarray
    brightest: np.ndarray

    @cached_property
    def xyz(self):
        """CIE XYZ of the piece's whole light, (T, 3); Y is its illuminance [lx]."""
        return colour.xyz_from_spectrum(self.irradiance, self.wavelength_nm)

    @property
    def illuminance_lx(self):
        """Light of the piece on a plane that faces it, (T,) [lx]."""
        return self.xyz[:, 1]

    @cached_property
    def dominant_wavelength_nm(self):
        """Dominant wavelength of the piece, (T,) [nm], against D65; NaN where it is gone."""
        return self._of_lit(colour.dominant_wavelength_nm)

    @cached_property
    def purity(self):
        """Excitation purity of the piece, (T,), 0 to 1, against D65; NaN where it is gone."""
        return self._of_lit(colour.excitation_purity)

    @cached_property
    def colours(self):
        """Plain name of the piece's colour at each instant, (T,); empty where it is gone."""
        return np.array([colour.colour_name(xyz) if xyz[1] > 0 else "" for xyz in self.xyz])

    def _of_lit(self, measure):
        lit = self.xyz[:, 1] > 0
        values = np.full(lit.shape, np.nan)
        values[lit] = measure(colour.chromaticity(self.xyz[lit]))
        return values


@takes(curve=TransferCurve)
def sliver(curve, sun_true_altitude_deg, **light):
    """The light of the uppermost piece of the Sun at instants: `sliver_of` its `column`.

    sun_true_altitude_deg [deg].
    """
    return sliver_of(column(curve, sun_true_altitude_deg, **light))


@takes(seen=Column)
def sliver_of(seen):
    """The light of the uppermost piece of the Sun in a `Column`: a `SliverLight`.

    E(w) = integral of `Column.line` over the rows of the piece.
    The colour is the CIE 1931 observer's against D65: of an eye adapted to daylight. Leaves out
    that an eye which has stared at the red Sun takes yellow for green (Young 2000, J. Opt. Soc.
    Am. A 17, 2129), and whether it is seen before the sky: `lowsun.phenomena.seen_light`.
    """
    piece = uppermost(seen.radiance.max(axis=2) > 0)
    width = row_width_rad(seen.apparent_altitude_deg)
    luminance = colour.luminance(seen.radiance, seen.wavelength_nm) * piece
    return SliverLight(
        wavelength_nm=seen.wavelength_nm,
        irradiance=np.einsum("taw,ta->tw", seen.line, piece * width),
        brightest=luminance.max(axis=1),
    )


@takes(curve=TransferCurve)
def as_seen(curve, sun_true_altitude_deg, frame, sky_cd_per_m2, **disc):
    """The `low_sun.picture` for an eye adapted to the brightest point there, or to the sky.

    A luminance of sky_cd_per_m2 [cd/m2] shows as white where all that is left of the Sun is
    fainter: such a sliver stays as dark as it is beside the sky, whose own light is left out.
    Raises OutOfRangeError where sky_cd_per_m2 is not 0 to 1e12.
    """
    sky = require_number("sky_cd_per_m2", sky_cd_per_m2, 0.0, 1e12, unit="cd/m2")
    picture = low_sun.picture(curve, sun_true_altitude_deg, frame, **disc)
    if picture.white_luminance >= sky:
        return picture
    return low_sun.picture(curve, sun_true_altitude_deg, frame, white_luminance=sky, **disc)


def _yes_or_no(flashing):
    try:
        given = np.asarray(flashing)
    except Exception as refused:  # what is no array may raise anything when asked for one
        raise InputError(f"flashing is {quoted(flashing)}; give True or False each.") from refused
    if given.dtype.kind not in "biu" or not np.isin(given, (0, 1)).all():
        raise InputError(f"flashing is {quoted(flashing)}; give True or False for each instant.")
    return given.astype(bool)


def spans(seconds, flashing):
    """The flash's spans [(begin, end), ...] [s] in instants (T,) and whether it flashes (T,).

    Each instant stands for half a step to both sides.
    seconds [s]. Raises OutOfRangeError where they do not rise.
    """
    seconds = require_range("seconds", seconds, -LARGEST, LARGEST, unit="s")
    flashing = _yes_or_no(flashing)
    if seconds.shape != flashing.shape or seconds.size < 2 or np.any(np.diff(seconds) <= 0):
        raise OutOfRangeError(
            f"seconds is shaped {seconds.shape} and flashing {flashing.shape}; give two or more"
            " rising instants and one yes or no for each."
        )
    middle = (seconds[1:] + seconds[:-1]) / 2
    border = np.concatenate([[seconds[0]], middle, [seconds[-1]]])
    return [(float(begin), float(end)) for begin, end in border[runs(flashing)]]


@takes(curve=TransferCurve)
def surviving_share(curve, apparent_altitude_deg, band_nm):
    """Share of the sunlight of a band of wavelengths that comes through the air, 0 to 1.

    integral of E T dw / integral of E dw, E the irradiance above the air.
    apparent_altitude_deg [deg], one number at which every wavelength reaches space; band_nm (short,
    long) [nm] inside the curve's wavelengths: `GREEN_BAND_NM`, `RED_BAND_NM`.
    """
    low, high = curve.wavelength_nm[0], curve.wavelength_nm[-1]
    band = require_row("band_nm", band_nm, low, high, unit="nm")
    nm = np.linspace(*require_vectors("band_nm", band, 2), 30)
    row = np.atleast_1d(require_number("apparent_altitude_deg", apparent_altitude_deg, -90, 90))
    share = np.interp(nm, curve.wavelength_nm, curve.share_at(row)[:, 0])
    sun = sunlight.irradiance(nm)
    return float(np.trapezoid(sun * share, nm) / np.trapezoid(sun, nm))


def _require_low_sun(sun_true_altitude_deg):
    sun = require_values(
        "sun_true_altitude_deg",
        sun_true_altitude_deg,
        -90,
        HIGHEST_SUN_DEG,
        unit="deg",
        remedy="This is about the last light: choose an instant nearer to sunset.",
    )
    if sun.ndim > 1:
        raise OutOfRangeError(
            f"sun_true_altitude_deg is shaped {sun.shape}; give a number or numbers in a row."
        )
    return np.atleast_1d(sun)


def _rows_deg(curve, sun_true_altitude_deg, step_arcsec, about_deg):
    """Rows [deg], rising, that hold all of the disc that is up at the given instants."""
    step = require_number("step_arcsec", step_arcsec, 0.05, 60, unit="arcsec")
    highest, lowest = np.max(sun_true_altitude_deg), np.min(sun_true_altitude_deg)
    top = curve.apparent_at(highest + HALF_DISC_DEG) + MARGIN_DEG
    bottom = curve.apparent_at(lowest - HALF_DISC_DEG) - MARGIN_DEG
    sees_sky = np.isfinite(curve.true_altitude_deg).any(axis=0)
    low = max(bottom, curve.apparent_altitude_deg[sees_sky].min())
    near = low + np.concatenate([[0.0], np.geomspace(min(step, 0.05), 20.0 * step, 120)]) / 3600.0
    if about_deg is None:
        return np.append(near, np.arange(near[-1] + step / 3600.0, top, step / 3600.0))
    about = require_number("about_deg", about_deg, -90.0, 90.0, unit="deg")
    rows = np.union1d(near[::NEAR_STRIDE], about + _offsets_deg(step))
    return rows[(rows >= max(low, about - BELOW_DEG)) & (rows <= max(top, near[-1]))]


def _offsets_deg(step_arcsec):
    """Places [deg] about 0, a step apart at it, and WIDENING of the way more farther off."""
    count = np.ceil(np.arcsinh(FARTHEST_DEG * 3600.0 * WIDENING / step_arcsec) / WIDENING)
    steps = np.arange(-count, count + 1)
    return step_arcsec * np.sinh(WIDENING * steps) / WIDENING / 3600.0


def _polynomial(coefficients, mu):
    """Sum of a_k mu^k, coefficients (K, W), mu (W, T, A)."""
    constant, *others = coefficients[..., None, None]
    total = others[-1] * mu
    for coefficient in others[-2::-1]:
        total += coefficient  # in place: these arrays are most of the work
        total *= mu
    total += constant
    return total


def _rim(wavelength_nm, rise):
    """Topmost rows of the short-wave image over the upper limb of the long-wave one, (T, A).

    rise (W, T, A).
    """
    short, long = (np.argmin(np.abs(wavelength_nm - nm)) for nm in RIM_NM)
    return uppermost((np.abs(rise[short]) < 1.0) & (rise[long] > 1.0))


def uppermost(lit):
    """Of rows (T, A), rising, the highest run that is lit."""
    down = lit[:, ::-1]
    begun = np.logical_or.accumulate(down, axis=1)
    ended = np.logical_or.accumulate(begun & ~down, axis=1)
    return (begun & ~ended)[:, ::-1]


def row_width_rad(altitude_deg):
    edges = np.concatenate([altitude_deg[:1], (altitude_deg[1:] + altitude_deg[:-1]) / 2])
    return np.radians(np.diff(np.append(edges, altitude_deg[-1])))
