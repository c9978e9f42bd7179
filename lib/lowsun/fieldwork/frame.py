"""A simulated frame: the low Sun through a lens, on a sensor, as numbers in a raw file."""

from dataclasses import dataclass
from functools import cache, cached_property
from math import ceil, cos, hypot, log2, radians, sin
from statistics import NormalDist

import numpy as np

from lowsun.errors import (
    InputError,
    OutOfRangeError,
    answer_of,
    quoted,
    require_kind,
    require_number,
    require_range,
    require_row,
    require_vectors,
    require_whole,
    takes,
)
from lowsun.fieldwork.camera import SATURATION_LXS, Camera
from lowsun.phenomena import low_sun
from lowsun.phenomena.low_sun import Frame
from lowsun.physics import colour, sensors
from lowsun.physics.rays import TransferCurve
from lowsun.physics.sensors import Sensor

WINDOW_PX = (1500, 1000)
SEEING_ARCSEC = 5.0  # illustrative: overhead it is 1" or 2", near the horizon several times that
READ_NOISE_E = 3.0  # illustrative
DETECTED = 5.0  # times the read noise: fainter light is not told from none
FEWEST_ELECTRONS = 30.0  # at saturation; with fewer a frame is all noise
CHANNEL_NM = (610.0, 535.0, 460.0)  # middles of the channels, for diffraction
SIGMA_PER_FWHM = 1 / 2.3548  # a Gaussian's standard deviation divided by its width at half height
REACH_SIGMA = 3.5  # beyond it a Gaussian holds 0.05 % of its light
LONGEST_TRAIL_PX = 400.0
BLOCK_ROWS = 32
ONE_THREAD_PRODUCTS = 2**18  # up to so many, OpenBLAS starts no threads
SKY_TURN_ARCSEC_PER_S = 15.041  # the Earth's rotation against the stars
SUN_SHARE, CORE_SHARE = 0.02, 0.5  # of the brightest pixel's light: the Sun's image and its core


@dataclass(frozen=True, eq=False)
class RawFrame:
    """The numbers of a raw file, channels first, and what they say.

    level (3, rows, columns) uint16: red, green and blue of every pixel, rows from high to low;
    full_level: the greatest number there is; lit, core (rows, columns) bool: the pixels that the
    picture is about (the Sun's image, and of sky and sea what would burn out) and the brightest
    half of them, by the light before noise and clipping; window: the `low_sun.Frame`
    of sky it covers.
    """

    level: np.ndarray
    full_level: int
    lit: np.ndarray
    core: np.ndarray
    window: low_sun.Frame
    camera: Camera
    sensor: sensors.Sensor
    exposure_s: float

    @cached_property
    def clipped(self):
        """Where a channel has burnt out, (3, rows, columns) bool: its number is the greatest."""
        return self.level == self.full_level

    @cached_property
    def clipped_share(self):
        """Share of the lit pixels that have burnt out in red, green, blue, (3,), 0 to 1."""
        return self.clipped[:, self.lit].mean(axis=1) if self.lit.any() else np.zeros(3)

    @cached_property
    def rgb(self):
        """The developed picture, uint8 (rows, columns, 3): balanced for sunlight, sRGB."""
        rgb = np.empty((*self.lit.shape, 3), dtype=np.uint8)
        for rows in _blocks(self.lit.shape[0]):
            share = self.level[:, rows] * np.float32(1 / self.full_level)
            planes = colour.srgb_bytes(self.sensor.develop_planes(share))
            rgb[rows] = np.moveaxis(planes, 0, -1)
        return rgb

    @cached_property
    def shown_colour(self):
        """Plain name of the developed colour of the brightest part; empty where it is dark."""
        if not self.core.any():
            return ""
        share = self.level[:, self.core] * np.float32(1 / self.full_level)
        mean = self.sensor.develop_planes(share).mean(axis=1)
        return colour.colour_name(colour.xyz_from_linear_srgb(mean)) if mean.any() else ""

    def histogram(self, stops=8, bins_per_stop=3):
        """How many pixels lie how far below saturation, clipped ones apart.

        Returns edges (B + 1,) [stops below saturation, negative, rising to 0], counts (3, B) of
        the pixels not clipped, and clipped (3,) counts. Darker pixels are not counted.
        """
        edges = np.linspace(-stops, 0, stops * bins_per_stop + 1)
        counts = np.empty((3, edges.size - 1), dtype=int)
        clipped = self.clipped.sum(axis=(1, 2))
        levels = np.arange(1, self.full_level)
        bins = np.digitize(np.log2(levels / self.full_level), edges) - 1
        inside = bins >= 0
        for channel, plane in enumerate(self.level):
            each = np.bincount(plane.ravel(), minlength=self.full_level + 1)[1:-1]
            counts[channel] = np.bincount(bins[inside], each[inside], edges.size - 1)
        return edges, counts, clipped


@takes(camera=Camera)
def window_around(camera, apparent_altitude_deg, columns=WINDOW_PX[0], rows=WINDOW_PX[1]):
    """The part of the sky that so many pixels of a camera cover: a `low_sun.Frame`.

    columns, rows: no more than the camera has; apparent_altitude_deg [deg] of the middle.
    columns [1], rows [1], apparent_altitude_deg -90 to 90. Raises OutOfRangeError outside.
    """
    wide, high = camera.frame_px
    columns = require_whole("columns", columns, 1, wide, remedy="The sensor has no more pixels.")
    rows = require_whole("rows", rows, 1, high, remedy="The sensor has no more pixels.")
    middle = require_number("apparent_altitude_deg", apparent_altitude_deg, -90, 90, unit="deg")
    scale = camera.arcsec_per_pixel
    return low_sun.Frame(middle + rows * scale / 7200, scale, rows, columns)


def _altitude_deg(sighting):
    try:
        return float(sighting.true_altitude_deg)
    except Exception as refused:  # what is no sighting may raise anything when asked for it
        raise InputError(
            f"sighting is {quoted(sighting)}; give what `sky.sun` returned for one instant."
        ) from refused


def drift_arcsec_per_s(sighting, latitude_deg):
    """How fast the Sun moves to the right and up before a fixed camera [arcsec/s], (right, up).

    right = 15.041 (sin lat cos h - cos lat cos A sin h), up the vertical speed of the sighting,
    without air: near the horizon the air slows it by a sixth.
    latitude_deg [deg] -90 to 90. Raises OutOfRangeError outside.
    """
    latitude = radians(require_number("latitude_deg", latitude_deg, -90, 90, unit="deg"))
    height = radians(_altitude_deg(sighting))
    azimuth = radians(float(np.nan_to_num(sighting.azimuth_deg)))  # at a pole cos lat is 0
    turn = sin(latitude) * cos(height) - cos(latitude) * cos(azimuth) * sin(height)
    return SKY_TURN_ARCSEC_PER_S * turn, float(sighting.vertical_speed_arcsec_per_s)


@takes(curve=TransferCurve, camera=Camera, sensor=Sensor, window=Frame)
def expose(
    curve,
    sun_true_altitude_deg,
    camera,
    exposure_s,
    *,
    sensor=sensors.STOCK,
    window=None,
    seeing_arcsec=SEEING_ARCSEC,
    drift_arcsec_per_s=(0.0, 0.0),
    sun_diameter_arcmin=low_sun.SUN_DIAMETER_ARCMIN,
    scenery=None,
    seed=0,
):
    """One frame of the low Sun: a `RawFrame`.

    level = floor(full min(1, s + sqrt(s / n + (3 / n)^2) g)), s the light divided by saturation
    (ISO 12232), n the electrons at saturation, g a normal deviate from `seed`.
    curve, sun_true_altitude_deg, sun_diameter_arcmin: as in `low_sun.picture`;
    exposure_s [s] within the camera's shutter; window: from `window_around`, by default 1500 x 1000
    pixels around the disc; seeing_arcsec [arcsec] 0 to 120: width at half height of the unsteady
    air's blur; drift_arcsec_per_s: (right, up), `drift_arcsec_per_s` for a camera on a tripod.
    Diffraction and seeing blur as Gaussians of their widths; the light drifts in equal steps.
    scenery: a `seascape.seascape` with all but its frame and responses given
    (`functools.partial`), so that sky and sea stand about the disc; without it they are black.
    Leaves out the colour mosaic (every pixel has all three channels), the black level, flare,
    shake, and that the disc changes its shape while the shutter is open.
    """
    require_whole("seed", seed, 0, 2**63)
    require_number("sun_true_altitude_deg", sun_true_altitude_deg, -90, 90, unit="deg")
    require_number("exposure_s", exposure_s, 1e-9, 1e6, unit="s")
    drift = require_row("drift_arcsec_per_s", drift_arcsec_per_s, -60, 60, unit="arcsec/s")
    drift_arcsec_per_s = tuple(require_vectors("drift_arcsec_per_s", drift, 2))
    window = window or _default_window(curve, sun_true_altitude_deg, camera)
    light = _light_over_saturation(
        curve,
        sun_true_altitude_deg,
        camera,
        exposure_s,
        sensor,
        window,
        blur=_blur_px(camera, seeing_arcsec),
        drift=_drift_px(camera, drift_arcsec_per_s, exposure_s),
        sun_diameter_arcmin=sun_diameter_arcmin,
        scenery=scenery,
    )
    electrons = _electrons_at_saturation(camera, sensor)
    channels = light.max(axis=0)
    brightest, told_apart = float(channels.max()), DETECTED * READ_NOISE_E / electrons
    return RawFrame(
        level=_digitised(light, camera.bits, electrons, seed),
        full_level=2**camera.bits - 1,
        lit=channels > max(min(SUN_SHARE * brightest, 1.0), told_apart),
        core=channels > max(CORE_SHARE * brightest, told_apart),
        window=window,
        camera=camera,
        sensor=sensor,
        exposure_s=exposure_s,
    )


def _lit(scenery, frame, responses):
    """The light of a scenery in a frame, or an error where it is none."""
    wanted = "a seascape that lacks its frame and responses"
    lit = answer_of("scenery", scenery, wanted, frame, responses=responses)
    return require_kind("scenery's light", lit, low_sun.LitHalf, "what `seascape` returns")


def _default_window(curve, sun_true_altitude_deg, camera):
    centre = float(curve.apparent_at(sun_true_altitude_deg))
    columns, rows = np.minimum(WINDOW_PX, camera.frame_px)
    return window_around(camera, centre, columns, rows)


def _blur_px(camera, seeing_arcsec):
    """Spread of the blur in red, green and blue [px], one standard deviation."""
    return [
        SIGMA_PER_FWHM * camera.blur_arcsec(seeing_arcsec, nm) / camera.arcsec_per_pixel
        for nm in CHANNEL_NM
    ]


def _drift_px(camera, drift_arcsec_per_s, exposure_s):
    right, up = drift_arcsec_per_s
    trail = camera.trail_px(hypot(right, up), exposure_s)
    require_range("drift", trail, 0, LONGEST_TRAIL_PX, unit="px", remedy="Expose more briefly.")
    return camera.trail_px(1.0, exposure_s) * np.array([right, up])


def _light_over_saturation(
    curve, sun_deg, camera, exposure_s, sensor, window, *, blur, drift, sun_diameter_arcmin, scenery
):
    """Light of the window divided by what saturates, sharpness of the lens and the air included."""
    margin = ceil(REACH_SIGMA * max(blur)) + ceil(hypot(*drift) / 2) + 1
    wide = low_sun.Frame(
        window.high_deg + margin * window.arcsec_per_px / 3600,
        window.arcsec_per_px,
        window.rows + 2 * margin,
        window.columns + 2 * margin,
    )
    scale = camera.saturation_share(1.0, exposure_s)
    if scenery is None:
        lit = low_sun.disc_light(
            curve, sun_deg, wide, sun_diameter_arcmin=sun_diameter_arcmin, responses=sensor.weights
        )
    else:
        lit = _lit(scenery, wide, sensor.weights)
    light = lit.whole(lit.values * np.float32(scale))
    planes = np.ascontiguousarray(np.moveaxis(light, -1, 0))
    drifted = _drifted(planes, drift)
    blurred = [
        _blurred(_blurred(plane, sigma).T, sigma).T
        for plane, sigma in zip(drifted, blur, strict=True)
    ]
    return np.stack([_middle(plane, window.rows, window.columns) for plane in blurred])


def _middle(plane, rows, columns):
    down, across = (plane.shape[0] - rows) // 2, (plane.shape[1] - columns) // 2
    return plane[down : down + rows, across : across + columns]


def _blurred(plane, sigma_px):
    """Rows mixed by a Gaussian, only where all of it fits: (R - 2 reach, C) of (R, C).

    A block is one product with a band matrix, far faster than sums of shifted pictures, and small
    enough that the linear algebra library does it in one thread: many small products shared out
    among busy cores take ten times as long.
    """
    reach = ceil(REACH_SIGMA * sigma_px)
    offset = np.arange(-reach, reach + 1)
    kernel = np.exp(-0.5 * (offset / max(sigma_px, 1e-6)) ** 2)
    band = _band((kernel / kernel.sum()).astype(np.float32))
    mixed = np.empty((plane.shape[0] - 2 * reach, plane.shape[1]), dtype=np.float32)
    for rows in _blocks(mixed.shape[0]):
        part = plane[rows.start : rows.stop + 2 * reach]
        block = band[: rows.stop - rows.start, : part.shape[0]]
        for columns in _blocks(mixed.shape[1], max(1, ONE_THREAD_PRODUCTS // band.size)):
            mixed[rows, columns] = block @ part[:, columns]
    return mixed


def _band(kernel):
    band = np.zeros((BLOCK_ROWS, BLOCK_ROWS + kernel.size - 1), dtype=np.float32)
    for row in range(BLOCK_ROWS):
        band[row, row : row + kernel.size] = kernel
    return band


def _drifted(planes, drift_px):
    """Light spread evenly along a straight drift (right, up) [px] about its middle.

    Halving: the mean of two pictures half the drift apart, then a quarter, ... until steps are
    finer than half a pixel: 2^k pictures for k sums.
    """
    length = hypot(*drift_px)
    halvings = ceil(log2(length)) + 1 if length > 0.5 else 0
    for k in range(1, halvings + 1):
        step = np.asarray(drift_px) / 2 ** (k + 1)
        planes = (_moved(planes, *step) + _moved(planes, *-step)) / 2
    return planes


def _moved(planes, right_px, up_px):
    """Pictures moved by a part of their margin, between pixels by straight lines."""
    for axis, distance in ((-1, right_px), (-2, -up_px)):
        whole = int(np.floor(distance))
        part = np.float32(distance - whole)
        nearer, farther = (np.roll(planes, whole + extra, axis) for extra in (0, 1))
        planes = nearer + part * (farther - nearer)
    return planes


def _electrons_at_saturation(camera, sensor):
    electrons = sensor.electrons_per_lxs(camera.pixel_um) * SATURATION_LXS / camera.iso
    if electrons < FEWEST_ELECTRONS:
        raise OutOfRangeError(
            f"A pixel of {camera.pixel_um:g} um at ISO {camera.iso:g} holds {electrons:.2g}"
            f" electrons at saturation, {FEWEST_ELECTRONS:g} are needed. Lower the ISO setting."
        )
    return electrons


def _digitised(light, bits, electrons, seed):
    """Numbers of the raw file from light divided by saturation (3, R, C): noise, floor,
    clipping."""
    random = np.random.Generator(np.random.SFC64(seed))
    full = np.float32(2**bits - 1)
    level = np.empty(light.shape, dtype=np.uint16)
    for rows in _blocks(light.shape[1]):
        share = light[:, rows]
        noisy = share * np.float32(1 / electrons)
        noisy += np.float32((READ_NOISE_E / electrons) ** 2)
        np.sqrt(noisy, out=noisy)
        noisy *= _deviates(random, share.shape)
        noisy += share
        level[:, rows] = np.clip(noisy, 0, 1, out=noisy) * full
    return level


def _deviates(random, shape):
    """Normal deviates: 65 536 equally likely ones, a third of the time that exact ones take."""
    count = int(np.prod(shape))
    picks = random.integers(0, 2**64, count // 4 + 1, dtype=np.uint64).view(np.uint16)
    return _quantiles()[picks[:count]].reshape(shape)


@cache
def _quantiles():
    normal = NormalDist()
    middles = np.array([normal.inv_cdf((k + 0.5) / 2**16) for k in range(2**16)])
    return (middles / middles.std()).astype(np.float32)


def _blocks(count, size=BLOCK_ROWS):
    return [slice(start, min(start + size, count)) for start in range(0, count, size)]
