"""The picture of the Sun's disc through the air, wavelength by wavelength.

Each row of the picture is a ray. For each wavelength the transfer curve says where on the sky the
ray comes from, hence which chord of the disc the row shows, and how much of its light the air
leaves. Flattening, rims, torn discs and flashes all come from this look-up.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from lowsun.errors import (
    OutOfRangeError,
    keep_number,
    require_kind,
    require_number,
    require_range,
    require_raster,
    require_whole,
    takes,
)
from lowsun.physics import colour, rays, sunlight
from lowsun.physics.air import WAVELENGTH_RANGE_NM
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.medium import Air, air_of
from lowsun.physics.rays import TransferCurve
from lowsun.physics.sunlight import SUN_DIAMETER_ARCMIN

DIAMETER_RANGE_ARCMIN = (31.0, 33.0)  # the Earth's orbit allows 31.46 to 32.53
BANDS = 24
LEAST_BANDS = 16  # one pixel in 200 of a magnified limb is 17 of 255 levels off that of 24
BAND_RANGE_NM = (400.0, 700.0)
DARKEST_CD_PER_M2 = 1e-6  # no eye sees less: a picture fainter than this stays black
BLOCK_SAMPLES = 2**15  # samples of light worked on at a time: an eighth of a megabyte
LINES_OF_BENT_ROW = 8  # lines of sight in a row of pixels within which the curve bends
PX_RANGE_ARCSEC = (0.001, 600.0)  # the narrowest page shows up to 325 in one
OFF_DISC = 99.0  # radii from the centre given to rows that do not look at the sky


def bands_nm(count=BANDS):
    """Wavelengths that resolve a picture [nm], evenly spread over 400 to 700, (count,)."""
    return np.linspace(*BAND_RANGE_NM, require_whole("count", count, LEAST_BANDS, 301))


@takes(atmosphere=(Atmosphere, Air))
def curve_for_picture(atmosphere, eye_height_m, high_deg=21.0, wavelength_nm=None):
    """A transfer curve sampled for pictures, from the sea horizon up to `high_deg`.

    Straight lines between its altitudes are within 0.25" of it, mirages and their folds included.
    atmosphere: an `Atmosphere`, or an `Air` whose haze and ozone dim the curve's light;
    wavelength_nm (W,) [nm], 16 or more; 24 from 400 to 700 where it is None.
    """
    air = air_of(atmosphere)
    wavelength = bands_nm() if wavelength_nm is None else _bands(wavelength_nm)
    horizon = rays.horizon_apparent_altitude_deg(air.atmosphere, eye_height_m, wavelength)
    apparent = rays.refined_altitudes_deg(
        air.atmosphere, eye_height_m, horizon.min(), high_deg, wavelength
    )
    return rays.transfer_curve(air, eye_height_m, apparent, wavelength)


def _bands(wavelength_nm):
    wavelength = require_range("wavelength_nm", wavelength_nm, *WAVELENGTH_RANGE_NM, unit="nm")
    if wavelength.ndim != 1 or wavelength.size == 0 or np.any(np.diff(wavelength) <= 0.0):
        raise OutOfRangeError("wavelength_nm must be an array that rises. Sort it.")
    return wavelength


@dataclass(frozen=True)
class Frame:
    """What part of the sky a picture shows: a height in rows, a width in columns, a scale.

    high_deg: apparent altitude of the upper edge; the Sun's centre stands in the middle column.
    """

    high_deg: float
    arcsec_per_px: float
    rows: int = 400
    columns: int = 400

    def __post_init__(self):
        keep_number(self, "high_deg", -90.0, 90.0, unit="deg")
        keep_number(self, "arcsec_per_px", *PX_RANGE_ARCSEC, unit="arcsec")
        rows, columns = require_raster(self.rows, self.columns)
        object.__setattr__(self, "rows", rows)
        object.__setattr__(self, "columns", columns)

    @property
    def apparent_altitude_deg(self):
        """Apparent altitudes of the middles of the rows [deg], from high to low, (rows,)."""
        return self.high_deg - (np.arange(self.rows) + 0.5) * self.arcsec_per_px / 3600.0

    @property
    def low_deg(self):
        """Apparent altitude of the lower edge [deg]."""
        return self.high_deg - self.rows * self.arcsec_per_px / 3600.0

    @property
    def half_columns_arcsec(self):
        """Distance from the middle of the columns of one half [arcsec], middle first."""
        right = np.arange(self.columns) - (self.columns - 1) / 2.0
        return right[right >= 0.0] * self.arcsec_per_px

    def raised(self, deg):
        """The frame so much higher [deg].

        deg [deg] -180 to 180. Raises OutOfRangeError outside.
        """
        up = require_number("deg", deg, -180.0, 180.0, unit="deg")
        return replace(self, high_deg=self.high_deg + up)

    def sized(self, fineness):
        """The same part of the sky in so many times the rows and columns, to half a pixel.

        fineness [1] 0.01 to 10. Raises OutOfRangeError outside.
        """
        fineness = require_number("fineness", fineness, 0.01, 10.0)
        rows, columns = (max(1, round(fineness * count)) for count in (self.rows, self.columns))
        return Frame(self.high_deg, self.arcsec_per_px / fineness, rows, columns)

    @classmethod
    def around(cls, apparent_altitude_deg, height_arcmin=40.0, rows=400, columns=400):
        """The frame of that height centred on an apparent altitude.

        height_arcmin [arcmin] 0.01 to 5400, apparent_altitude_deg [deg] -90 to 90. Raises
        OutOfRangeError outside.
        """
        rows, columns = require_raster(rows, columns)
        height_arcmin = require_number("height_arcmin", height_arcmin, 0.01, 5400, unit="arcmin")
        middle = require_number("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
        return cls(
            high_deg=middle + height_arcmin / 120.0,
            arcsec_per_px=60.0 * height_arcmin / rows,
            rows=rows,
            columns=columns,
        )


@dataclass(frozen=True, eq=False)
class LitHalf:
    """The part of a picture's right half that holds light: the left mirrors it, the rest is black.

    top: its first row in the frame; values (lit rows, lit columns, ...), the middle column first.
    """

    frame: Frame
    top: int
    values: np.ndarray

    @property
    def lit_rows_deg(self):
        """Apparent altitudes of the middles of the rows of the lit part [deg]."""
        return self.frame.apparent_altitude_deg[self.top : self.top + self.values.shape[0]]

    def whole(self, values):
        """Values of the lit part in the whole frame, (rows, columns, ...).

        values: an array, a value for each of its pixels. Raises OutOfRangeError for another shape.
        """
        lit = self.values.shape[:2]
        wanted = f"an array shaped {lit}, or with more behind"
        values = require_kind("values", values, np.ndarray, wanted)
        if values.shape[:2] != lit or values.dtype.hasobject:
            raise OutOfRangeError(f"values is {values.dtype} shaped {values.shape}; give {wanted}.")
        rows, columns = slice(self.top, self.top + values.shape[0]), values.shape[1]
        middle, odd = divmod(self.frame.columns, 2)
        lit = _in_one_piece(values)
        picture = np.zeros((self.frame.rows, self.frame.columns), lit.dtype)
        picture[rows, middle : middle + columns] = lit
        picture[rows, middle + odd - columns : middle + odd] = lit[:, ::-1]
        return picture.view(values.dtype).reshape(*picture.shape, *values.shape[2:])


def _in_one_piece(values):
    """Pixels (rows, columns, ...) as (rows, columns): moved in half the time."""
    rows, columns, *channels = values.shape
    pixels = np.ascontiguousarray(values).reshape(rows, columns, int(np.prod(channels)))
    size = values.itemsize * pixels.shape[2]
    return pixels.view(np.uint32 if size == 4 else np.dtype((np.void, size)))[..., 0]


@dataclass(frozen=True, eq=False)
class DiscPicture:
    """A computed picture of the disc, rows from high to low.

    lit: the `LitHalf` of CIE XYZ [cd/m2]; colours: its `colour.ScreenColours`, which tell where the
    screen could not show what there is.
    """

    lit: LitHalf
    colours: colour.ScreenColours

    @property
    def rgb(self):
        """Encoded sRGB, uint8 (rows, columns, 3)."""
        return self.rgbx[..., :3]

    @cached_property
    def rgbx(self):
        """The same as a screen holds it, uint8 (rows, columns, 4): see `ScreenColours.rgbx8`."""
        whole = self.lit.whole(self.colours.rgbx8)
        whole[..., 3] = 255  # around the lit part too
        return whole

    @cached_property
    def luminance_cd_per_m2(self):
        """Luminance of every pixel [cd/m2], (rows, columns)."""
        return self.lit.whole(self.lit.values[..., 1])

    @property
    def apparent_altitude_deg(self):
        """Apparent altitudes of the middles of the rows [deg], (rows,)."""
        return self.lit.frame.apparent_altitude_deg

    @property
    def arcsec_per_px(self):
        """The scale, one number both ways [arcsec]."""
        return self.lit.frame.arcsec_per_px

    @property
    def white_luminance(self):
        """What shows as white [cd/m2]."""
        return self.colours.white_luminance

    def __array__(self, dtype=None, copy=None):
        return np.array(self.rgb, dtype=dtype, copy=copy)


@takes(curve=TransferCurve)
def picture(
    curve,
    sun_true_altitude_deg,
    frame=None,
    *,
    sun_diameter_arcmin=SUN_DIAMETER_ARCMIN,
    white_luminance=None,
    exposure_stops=0.0,
    overexposed="pale",
):
    """The disc whose centre stands at a true altitude, as an eye's colours on a screen.

    curve: a `TransferCurve` (W, A) of 16 wavelengths or more within 380 to 830 nm, altitudes
    rising, whose air dims the light; sun_true_altitude_deg [deg], one number; frame: a `Frame`, by
    default 40' around the disc; sun_diameter_arcmin [arcmin] 31 to 33; white_luminance [cd/m2]:
    what shows as white, by default the brightest point of this picture; exposure_stops [stops] -20
    to 20: how much brighter than that the picture is made.
    Returns a `DiscPicture`. A row that looks at the sea or into a duct is black: the sky's own
    light, thousands of times fainter than the disc, and the glitter on the sea are left out.
    """
    lit = _lit_half(
        curve,
        sun_true_altitude_deg,
        frame,
        colour.xyz_weights(curve.wavelength_nm),
        sun_diameter_arcmin,
    )
    if white_luminance is None and lit.values.max(initial=0.0) < DARKEST_CD_PER_M2:
        white_luminance = 1.0
    colours = colour.srgb_from_xyz(
        lit.values, white_luminance, exposure_stops=exposure_stops, overexposed=overexposed
    )
    return DiscPicture(lit, colours)


def _lit_half(curve, sun_deg, frame, responses, sun_diameter_arcmin):
    """The light of the disc in each channel: a `LitHalf`."""
    sun = require_number("sun_true_altitude_deg", sun_deg, -90, 90, unit="deg")
    diameter = require_number(
        "sun_diameter_arcmin", sun_diameter_arcmin, *DIAMETER_RANGE_ARCMIN, unit="arcmin"
    )
    _require_picture_curve(curve)
    if frame is None:
        frame = Frame.around(float(curve.apparent_at(sun)))
    require_kind("frame", frame, Frame, "a Frame (lowsun.phenomena.low_sun)")
    radius_px = 30.0 * diameter / frame.arcsec_per_px
    lines = _Lines.of(curve, frame)
    true_deg = curve.true_at(lines.altitude_deg)
    rise = (true_deg - sun) * 120.0 / diameter
    soft = _soft_edge(rise, 1.0 / radius_px, 1.0 / (radius_px * lines.of_its_row))
    rise = np.nan_to_num(rise, nan=OFF_DISC)
    rows = lines.rows_of(np.any(1.0 - rise**2 > -soft, axis=0))
    lines, kept = lines.within(rows)
    share = curve.share_at(lines.altitude_deg)
    radiance = sunlight.centre_radiance(curve.wavelength_nm)[:, None] * share
    light = _half_disc(
        rise=rise[:, kept],
        soft=soft[:, kept],
        across=_columns_to_the_limb(frame, radius_px),
        limb=sunlight.limb_coefficients(curve.wavelength_nm),
        weights=radiance.T[:, None, :] * np.asarray(responses).T,
    )
    return LitHalf(frame, rows.start, lines.to_rows(light))


def _columns_to_the_limb(frame, radius_px):
    """Distance of the columns from the middle, as far as the disc reaches [radii], (H,)."""
    across = frame.half_columns_arcsec / frame.arcsec_per_px / radius_px
    return across[across < 1.0 + 1.0 / radius_px]


@takes(curve=TransferCurve)
def disc_light(
    curve,
    sun_true_altitude_deg,
    frame,
    *,
    sun_diameter_arcmin=SUN_DIAMETER_ARCMIN,
    responses=colour.xyz_weights,
):
    """CIE XYZ [cd/m2] of the lit part of the disc: a `LitHalf`; parameters as in `picture`.

    responses: gives the (W, 3) weights of wavelengths, a `Sensor`'s for its channels.
    """
    weights = colour.weights_of(responses, curve.wavelength_nm)
    return _lit_half(curve, sun_true_altitude_deg, frame, weights, sun_diameter_arcmin)


def _require_picture_curve(curve):
    shape = np.shape(curve.true_altitude_deg)
    if len(shape) != 2 or shape[0] < LEAST_BANDS or shape[1] < 2:
        raise OutOfRangeError(
            f"The transfer curve is shaped {shape}; a picture takes 16 wavelengths or more by"
            " rising altitudes. Ask for it with `curve_for_picture`."
        )
    if np.any(np.diff(curve.apparent_altitude_deg) <= 0.0):
        raise OutOfRangeError(
            "The transfer curve's apparent altitudes do not rise; a picture looks rows up in them."
            " Sort them and drop repeats."
        )


@dataclass(frozen=True)
class _Lines:
    """The lines of sight of a picture: one to a row, several where the curve bends within it.

    altitude_deg (L,) from high to low; of_its_row (L,): how many lines its row has; first (R,).
    """

    altitude_deg: np.ndarray
    of_its_row: np.ndarray
    first: np.ndarray

    @classmethod
    def of(cls, curve, frame):
        edges = frame.high_deg - np.arange(frame.rows + 1) * frame.arcsec_per_px / 3600.0
        bends = -np.diff(np.searchsorted(curve.apparent_altitude_deg, edges))
        count = np.where(bends > 1, LINES_OF_BENT_ROW, 1)
        first = np.cumsum(count) - count
        row = np.repeat(np.arange(frame.rows), count)
        down = (np.arange(row.size) - first[row] + 0.5) / count[row]
        return cls(edges[row] + down * (edges[1] - edges[0]), count[row], first)

    def rows_of(self, lit):
        """The rows from the first to the last with a line that is lit (L,): a slice."""
        rows = np.flatnonzero(np.logical_or.reduceat(lit, self.first))
        return slice(rows[0], rows[-1] + 1) if rows.size else slice(0, 0)

    def within(self, rows):
        """The lines of a slice of the rows, and the slice of them among all lines."""
        ends = np.append(self.first, self.altitude_deg.size)
        kept = slice(ends[rows.start], ends[rows.stop])
        first = self.first[rows] - kept.start
        return _Lines(self.altitude_deg[kept], self.of_its_row[kept], first), kept

    def to_rows(self, values):
        """Means over the lines of each row of values (L, ...), (R, ...)."""
        if self.first.size == self.altitude_deg.size:
            return values
        rows = values[self.first]
        bent = self.of_its_row[self.first] > 1
        lines = self.first[bent][:, None] + np.arange(LINES_OF_BENT_ROW)
        rows[bent] = values[lines].mean(axis=1)
        return rows


def _half_disc(rise, soft, across, limb, weights):
    """One half of the disc in all channels, (L, H, C).

    Lengths in radii of the disc: rise (W, L) of each line over the centre, soft (W, L) its soft
    edge, across (H,). limb: six coefficients (W,) of limb darkening; weights (L, C, W).
    """
    half = np.zeros((rise.shape[1], across.size, weights.shape[1]), dtype=np.float32)
    soft, mu2_middle = soft.T, 1.0 - rise.T**2
    across2 = across.astype(np.float32) ** 2
    limb = [coefficient.astype(np.float32)[:, None] for coefficient in limb]
    weights = weights.astype(np.float32)
    for lines in _blocks(mu2_middle > -soft, across2.size):
        columns = np.searchsorted(across2, (mu2_middle[lines] + soft[lines]).max())
        inside = np.searchsorted(across2, (mu2_middle[lines] - soft[lines]).min())
        mu2 = mu2_middle[lines].astype(np.float32)[:, :, None] - across2[:columns]
        covered = _coverage(mu2[:, :, inside:], soft[lines])
        light = _limb_light(mu2, limb)
        light[:, :, inside:] *= covered
        half[lines, :columns] = (weights[lines] @ light).transpose(0, 2, 1)
    return half


def _blocks(lit, columns):
    """Rows in which any wavelength is lit, (R, W), a few at a time: they fit into the cache."""
    rows = np.flatnonzero(lit.any(axis=1))
    step = max(1, BLOCK_SAMPLES // (lit.shape[1] * max(columns, 1)))
    return [rows[start : start + step] for start in range(0, rows.size, step)]


def _limb_light(mu2, limb):
    """Limb darkening of squared cosines (R, W, H), by Horner's rule in place of them."""
    mu = np.sqrt(np.maximum(mu2, np.float32(0.0), out=mu2), out=mu2)
    light = limb[5] * mu
    for coefficient in limb[4:0:-1]:
        light += coefficient
        light *= mu
    light += limb[0]
    return light


def _coverage(mu2, soft):
    """Share of each pixel within the limb, where mu^2 is 0, from its distance to it, (R, W, H)."""
    covered = mu2 * (0.5 / soft).astype(np.float32)[:, :, None]
    covered += np.float32(0.5)
    return np.clip(covered, 0.0, 1.0, out=covered)


def _soft_edge(rise, px, thick):
    """How far mu^2 falls over half a pixel across the limb, in each line, (W, L).

    Per radius of the picture it falls by 2 x sideways and by 2 y y' upwards, y' being the slope
    of the curve there, and x^2 = 1 - y^2.
    """
    height = np.minimum(np.abs(np.nan_to_num(rise, nan=OFF_DISC)), 1.0)
    sideways, upwards = px * np.sqrt(1.0 - height**2), height * _change_over_line(rise, thick)
    return np.maximum(np.hypot(sideways, upwards), px**2)


def _change_over_line(rise, thick):
    """How far true altitude changes over the height of a line, 0 or more, (W, L)."""
    if rise.shape[1] < 2:
        return np.broadcast_to(thick, rise.shape)
    # A line next to one that sees no sky has no slope of its own: the curve's end is sharp.
    place = np.cumsum(thick) - 0.5 * thick
    slope = np.abs(np.gradient(rise, place, axis=1))
    return thick * np.nan_to_num(slope, nan=1.0)
