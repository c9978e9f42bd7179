"""What of the low Sun's last light is seen: against the sky beside it, with eye, glass or camera.

Airlight lies before sliver and sky alike, so what tells them apart is the sliver's own light, added
to the sky. It is noticed above the eye's threshold for a target so small on a sky so bright; its
colour is told where there is several times more. The colour is that of its own light: a small light
added to a wide field keeps its hue (Walraven 1976, Vision Research 16, 289, from memory).
Leaves out the glare of a lower piece of the Sun, and that an eye which has stared at the red Sun
takes yellow for green (Young 2000, J. Opt. Soc. Am. A 17, 2129).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lowsun.errors import OutOfRangeError, require_range, takes
from lowsun.phenomena import flash_light
from lowsun.phenomena.instruments import Binoculars, Camera, NakedEye
from lowsun.physics import colour

PIECES = 4  # looked at from the top: more are never told apart
BRIGHT_SHARE = 0.05  # a piece's height begins and ends at this share of its brightest point
LEAST_AREA_SR = 1e-16
BRIGHTEST_CD_PER_M2 = 1e10  # of a sky: as far as a camera's noise is asked
NOT_GREEN = -9.0  # a margin that says no
HUE_SCALE_NM = 10.0  # how far from the limit of green counts as much as a factor e of light


@dataclass(frozen=True, eq=False)
class SeenLight:
    """The uppermost piece of the Sun that is noticed, at instants (T,); the uppermost if none is.

    sliver: its own `flash_light.SliverLight`; area_sr (T,): over which its brightest point would
    send all of its light; low_deg, high_deg (T,): apparent altitudes of its ends, NaN where all is
    gone; noticed (T,): is it told from the sky beside it? colour_told (T,): and its colour?
    margin (T,): by how many factors e it is seen to be green, negative where it is not: the least
    of its light divided by what tells colours, its hue, its purity and what burns out.
    """

    sliver: flash_light.SliverLight
    area_sr: np.ndarray
    low_deg: np.ndarray
    high_deg: np.ndarray
    noticed: np.ndarray
    colour_told: np.ndarray
    margin: np.ndarray

    @property
    def height_arcsec(self):
        """Height of the piece, (T,) [arcsec]."""
        return 3600.0 * (self.high_deg - self.low_deg)

    @property
    def green(self):
        """Is it seen to be green, cyan, blue or violet, (T,)?"""
        return self.margin > 0.0


@takes(column=flash_light.Column, instrument=(NakedEye, Binoculars, Camera))
def seen_light(column, sky_cd_per_m2, instrument):
    """What is seen of a `flash_light.Column` with an instrument: a `SeenLight`.

    sky_cd_per_m2 [cd/m2]: luminance of the sky beside it, number or (T,); instrument: of
    `lowsun.phenomena.instruments`. A camera is exposed for the first green of the uppermost piece.
    Pieces closer together than the instrument tells apart are one.
    """
    sky_cd_per_m2 = _sky(sky_cd_per_m2, len(column.radiance))
    pieces = _pieces(column, instrument.detail_arcsec)
    instrument = _set_for_green(instrument, pieces[0])
    sky = np.broadcast_to(sky_cd_per_m2, pieces[0].brightest.shape)
    noticed = np.stack([one.lux > instrument.noticed_lx(one.area_sr, sky) for one in pieces])
    which = noticed.argmax(axis=0)
    chosen = _Piece(*(_chosen(pieces, name, which) for name in _Piece.__dataclass_fields__))
    width_rad = chosen.rows * flash_light.row_width_rad(column.apparent_altitude_deg)
    return SeenLight(
        sliver=flash_light.SliverLight(
            wavelength_nm=column.wavelength_nm,
            irradiance=np.einsum("taw,ta->tw", column.line, width_rad),
            brightest=chosen.brightest,
        ),
        area_sr=chosen.area_sr,
        low_deg=chosen.low_deg,
        high_deg=chosen.high_deg,
        noticed=noticed.any(axis=0),
        colour_told=chosen.lux > instrument.told_by_colour_lx(chosen.area_sr, sky),
        margin=_margin(chosen, sky, instrument),
    )


def _sky(sky_cd_per_m2, instants):
    sky = require_range("sky_cd_per_m2", sky_cd_per_m2, 0.0, BRIGHTEST_CD_PER_M2, unit="cd/m2")
    if sky.shape not in ((), (instants,)):
        raise OutOfRangeError(
            f"sky_cd_per_m2 is shaped {sky.shape}; give one number, or one for each of the"
            f" {instants} instants."
        )
    return sky


@dataclass(frozen=True, eq=False)
class _Piece:
    """One piece at instants (T,): its rows (T, A), xyz (T, 3) [lx], brightest [cd/m2], ends."""

    rows: np.ndarray
    xyz: np.ndarray
    brightest: np.ndarray
    low_deg: np.ndarray
    high_deg: np.ndarray

    @property
    def lux(self):
        return self.xyz[:, 1]

    @cached_property
    def area_sr(self):
        spread = self.lux / np.maximum(self.brightest, np.finfo(float).tiny)
        return np.maximum(spread, LEAST_AREA_SR)


def _chosen(pieces, name, which):
    values = np.stack([getattr(piece, name) for piece in pieces])
    return values[which, np.arange(which.size)]


def _pieces(column, detail_arcsec):
    """The uppermost pieces, from the top down: a list of `_Piece`, one at least."""
    altitude = column.apparent_altitude_deg
    luminance = colour.luminance(column.radiance, column.wavelength_nm)
    strip = colour.xyz_from_spectrum(column.line, column.wavelength_nm)
    strip *= flash_light.row_width_rad(altitude)[:, None]
    rest = _joined(luminance > 0.0, altitude, detail_arcsec / 3600.0)
    found = []
    for _ in range(PIECES):
        rows = flash_light.uppermost(rest)
        found.append(_measured(rows, luminance * rows, strip, altitude))
        rest = rest & ~rows
        if not rest.any():
            break
    return found


def _measured(rows, luminance, strip, altitude_deg):
    brightest = luminance.max(axis=1)
    gone = brightest == 0.0
    bright = luminance > BRIGHT_SHARE * brightest[:, None]
    low = altitude_deg[bright.argmax(axis=1)]
    high = altitude_deg[-1 - bright[:, ::-1].argmax(axis=1)]
    return _Piece(
        rows=rows,
        xyz=np.einsum("tac,ta->tc", strip, rows.astype(float)),
        brightest=brightest,
        low_deg=np.where(gone, np.nan, low),
        high_deg=np.where(gone, np.nan, high),
    )


def _joined(lit, altitude_deg, gap_deg):
    """Rows (T, A) that are lit or lie in a gap too narrow to be told: widened, then narrowed."""
    return ~_widened(~_widened(lit, altitude_deg, gap_deg), altitude_deg, gap_deg)


def _widened(rows, altitude_deg, gap_deg):
    count = np.cumsum(np.pad(rows, ((0, 0), (1, 0))), axis=1)
    low = np.searchsorted(altitude_deg, altitude_deg - 0.5 * gap_deg)
    high = np.searchsorted(altitude_deg, altitude_deg + 0.5 * gap_deg, side="right")
    return count[:, high] > count[:, low]


def _set_for_green(instrument, piece):
    """The instrument exposed for the piece as it is when it turns green, between two instants."""
    margin = _green_margin(piece.xyz)
    green = np.flatnonzero(margin > 0.0)
    if green.size == 0:
        return instrument
    first = green[0]
    near = slice(max(first - 1, 0), first + 1)
    turning = np.interp(0.0, margin[near], np.log(piece.brightest[near]))
    return instrument.exposed_for(float(np.exp(turning)))


def _margin(piece, sky, instrument):
    least = instrument.told_by_colour_lx(piece.area_sr, sky)
    with np.errstate(divide="ignore"):
        light = np.log(piece.lux / least)
        burns = np.log(instrument.burns_out_cd_per_m2 / piece.brightest)
    return np.maximum(np.min([light, burns + 1e-9, _green_margin(piece.xyz)], axis=0), NOT_GREEN)


def _green_margin(xyz):
    """By how much light (T, 3) is green or bluer, and not white: positive where it is."""
    lit = xyz[:, 1] > 0.0
    xy = colour.chromaticity(xyz[lit])
    wavelength = colour.dominant_wavelength_nm(xy)
    hue = (colour.COLOUR_NAMES["green"] - wavelength) / HUE_SCALE_NM
    pure = np.log(np.maximum(colour.excitation_purity(xy), 1e-6) / colour.WHITE_PURITY)
    margin = np.full(lit.shape, NOT_GREEN)
    margin[lit] = np.where(wavelength > 0.0, np.minimum(hue, pure), NOT_GREEN)
    return margin
