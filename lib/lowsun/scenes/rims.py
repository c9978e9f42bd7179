"""Why the upper limb is green and the lower one red, and what a lens makes of it."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from lowsun.data import table
from lowsun.drawing.rims import DISC, LOWER, UPPER, RimsPicture
from lowsun.fieldwork.camera import Camera
from lowsun.kept import MB, kept
from lowsun.phenomena import low_sun
from lowsun.phenomena.dispersion import rim_width_arcsec
from lowsun.physics.rays import transfer_curve
from lowsun.scenes import catalogue, made
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene
from lowsun.words import say, term

EYE_HEIGHT_M = 0.0  # on the beach: the sea horizon is level
OUTSIDE_NM = (500.0, 650.0)  # wavelengths of the outside values shown
OUTSIDE_AIR = (15.0, 1013.0)
RADIUS_DEG = low_sun.SUN_DIAMETER_ARCMIN / 120.0
ALTITUDES_DEG = np.geomspace(0.2, 21.0, 60)


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need; limbs in the order upper, lower."""

    short_nm: float
    long_nm: float
    lower_limb_deg: float
    disc: low_sun.DiscPicture
    upper: low_sun.DiscPicture
    lower: low_sun.DiscPicture
    altitude_deg: np.ndarray
    width_arcsec: np.ndarray
    limb_altitude_deg: np.ndarray
    limb_width_arcsec: np.ndarray
    outside_altitude_deg: np.ndarray
    outside_width_arcsec: np.ndarray
    camera: Camera


def compute(state, fineness=1.0, bands=low_sun.BANDS):
    """The disc and its limbs with the lower limb at the altitude asked for."""
    air = made.even_air(state)
    atmosphere = air.atmosphere
    curve = _curve(atmosphere, bands).through(air.haze)
    centre = float(transfer_curve(atmosphere, EYE_HEIGHT_M, state["lower_limb_deg"], 570.0)
                   .true_altitude_deg) + RADIUS_DEG  # fmt: skip
    limbs = curve.apparent_at(centre + RADIUS_DEG * np.array([1.0, -1.0]))
    short, long = state["short_nm"], state["long_nm"]
    outside = _outside(state)

    def picture(view, middle_deg):
        return _picture(state, curve, centre, view.around(float(middle_deg)).sized(fineness))

    return Result(
        short_nm=short,
        long_nm=long,
        lower_limb_deg=state["lower_limb_deg"],
        disc=picture(DISC, curve.apparent_at(centre)),
        upper=picture(UPPER, limbs[0]),
        lower=picture(LOWER, limbs[1]),
        altitude_deg=ALTITUDES_DEG,
        width_arcsec=_widths(atmosphere, short, long),
        limb_altitude_deg=limbs,
        limb_width_arcsec=rim_width_arcsec(
            atmosphere, EYE_HEIGHT_M, np.maximum(limbs, 0.0), short, long
        ),
        outside_altitude_deg=outside["apparent_altitude_deg"],
        outside_width_arcsec=outside["width_arcsec"],
        camera=Camera(state["focal_length_mm"], 8.0, state["pixel_um"], (6000, 4000)),
    )


@kept(5 * MB)
def _curve(atmosphere, bands):
    nm = low_sun.bands_nm(bands)
    return low_sun.curve_for_picture(atmosphere, EYE_HEIGHT_M, wavelength_nm=nm)


@kept(1 * MB)
def _widths(atmosphere, short_nm, long_nm):
    return rim_width_arcsec(atmosphere, EYE_HEIGHT_M, ALTITUDES_DEG, short_nm, long_nm)


def _picture(state, curve, centre_deg, frame):
    return low_sun.picture(
        curve,
        centre_deg,
        frame,
        exposure_stops=state["exposure_stops"],
    )


def _outside(state):
    """The outside values, where the state is the one they hold for; none elsewhere."""
    rows = table("rim_widths_palpy")
    air = (state["temperature_c"], state["pressure_hpa"])
    same = (state["short_nm"], state["long_nm"]) == OUTSIDE_NM and air == OUTSIDE_AIR
    return rows if same else rows[:0]


def describe(result):
    """The rim's width in arcseconds and in the pixels of the viewer's own lens."""
    upper, lower = result.limb_width_arcsec
    px = result.camera.pixels(upper)
    camera = result.camera
    return say(
        "Lower limb {lower_limb:.1f}° high: between {short:.0f} and {long:.0f} nm the"
        " rim is {upper:.1f}″ wide above and {lower:.1f}″ below: {px:.1f} pixels above"
        " through {focal_length:.0f} mm on {pixel:g} µm pixels.",
        lower_limb=result.lower_limb_deg,
        short=result.short_nm,
        long=result.long_nm,
        upper=upper,
        lower=lower,
        px=px,
        focal_length=camera.focal_length_mm,
        pixel=camera.pixel_um,
    )


scene = Scene(
    name="rims",
    title=term("Coloured rims"),
    question=term("Why is the upper limb green and the lower one red?"),
    controls=(
        Range(
            name="lower_limb_deg",
            label=term("lower limb above the sea horizon"),
            unit="°",
            low=0,
            high=20,
            step=0.1,
            default=0,
        ),
        Range(
            name="short_nm",
            label=term("short wavelength"),
            unit="nm",
            low=420,
            high=560,
            step=5,
            default=500,
        ),
        Range(
            name="long_nm",
            label=term("long wavelength"),
            unit="nm",
            low=580,
            high=700,
            step=5,
            default=650,
        ),
        catalogue.FOCAL_LENGTH.narrowed(default=600),
        catalogue.PIXEL,
        catalogue.TEMPERATURE,
        catalogue.PRESSURE,
        *catalogue.HAZE_CONTROLS,
        catalogue.EXPOSURE,
    ),
    compute=compute,
    draft=partial(compute, bands=low_sun.LEAST_BANDS),
    sized=True,
    picture=RimsPicture,
    describe=describe,
    seldom=(*catalogue.HAZE_SELDOM, "temperature_c", "pressure_hpa", "exposure_stops"),
    cues=(
        term("Which limb will be green? Say it before you lower the Sun."),
        term("Why does the blue rim not outshine the green one? Put the haze in and out."),
        term("At which altitude does your lens first give the rim a whole pixel?"),
    ),
)
