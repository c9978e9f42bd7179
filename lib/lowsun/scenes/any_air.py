"""Any air: real ascents, inversions and warm or cold seas, and what they make of the Sun."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from lowsun.drawing.any_air import AnyAirPicture, frame_over
from lowsun.kept import KB, kept
from lowsun.phenomena import green_flash, low_sun, mirage, seascape
from lowsun.physics import rays
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.rays import GREEN_NM, RED_NM, VISUAL_NM
from lowsun.physics.soundings.findings import find_ducts
from lowsun.scenes import catalogue
from lowsun.scenes.controls import Range
from lowsun.scenes.kept import Kept
from lowsun.scenes.made import air_of, profile_of
from lowsun.scenes.scene import Scene
from lowsun.scenes.scenery import scenery
from lowsun.words import say, says, term

LINES_NM = (VISUAL_NM, GREEN_NM, RED_NM)
BANDS_NM, DRAFT_BANDS_NM = low_sun.bands_nm(), low_sun.bands_nm(low_sun.LEAST_BANDS)
TOLERANCE_ARCSEC, DRAFT_TOLERANCE_ARCSEC = 0.25, 1.0
DUCTS_BELOW_M = 5000.0


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture and the sentence need; lengths on the sky in arcmin.

    from_sun_arcmin (2, A): of the red and the green curve, along above_horizon_arcmin (A,).
    """

    atmosphere: Atmosphere
    findings: str
    picture: low_sun.DiscPicture
    outline: mirage.Outline
    flash: green_flash.Flash | None
    eye_height_m: float
    layers_top_m: float
    ducts_m: tuple[tuple[float, float], ...]
    above_horizon_arcmin: np.ndarray
    from_sun_arcmin: np.ndarray
    sun_above_horizon_direction_arcmin: float


@dataclass(frozen=True, eq=False)
class _Seen:
    """What an eye sees through an air: horizon [deg], curve in bands and LINES_NM, last flash."""

    horizon_deg: float
    bands_nm: np.ndarray
    curve: rays.TransferCurve
    flash: green_flash.Flash | None

    @cached_property
    def in_bands(self):
        """The curve of the picture: one and the same, by which its light is kept."""
        return self.curve.at(self.bands_nm)


def compute(state, fineness=1.0):
    """The three views for the air, the eye and the Sun of a state."""
    air = air_of(state)
    return _views(state, _traced(air.atmosphere, state["eye_height_m"]), air, fineness)


def draft(state, fineness=1.0):
    """The same, in fewer bands drawn out from two wavelengths where the air is new.

    Its sky is that of haze without a top: where that moves, every step would take a new table.
    """
    air = air_of(state)
    case = air.atmosphere, state["eye_height_m"]
    seen = (_traced if _traced.holds(*case) else _drafted)(*case)
    untopped = air.atmosphere.with_haze(air.atmosphere.haze_scale_height_m)
    return _views(state, seen, replace(air, atmosphere=untopped), fineness)


def _views(state, seen, lit, fineness):
    profile, sun = profile_of(state), state["sun_true_altitude_arcmin"]
    frame = frame_over(seen.horizon_deg).sized(fineness)
    lines = seen.curve.at([RED_NM, GREEN_NM])
    return Result(
        atmosphere=profile.atmosphere,
        findings=_findings(profile.report, state),
        picture=_picture(state, seen, lit, sun / 60.0, frame),
        outline=mirage.outline(seen.curve.at(VISUAL_NM), sun / 60.0),
        flash=seen.flash,
        eye_height_m=state["eye_height_m"],
        layers_top_m=profile.layers_top_m,
        ducts_m=_ducts(profile.atmosphere),
        above_horizon_arcmin=60.0 * (lines.apparent_altitude_deg - seen.horizon_deg),
        from_sun_arcmin=60.0 * lines.true_altitude_deg - sun,
        sun_above_horizon_direction_arcmin=sun - 60.0 * seen.horizon_deg,
    )


def _picture(state, seen, lit, sun_deg, frame):
    """Disc, sky and sea as an eye takes them in; the disc alone where they are left out.

    lit: the air whose haze the sky is made of.
    """
    curve = seen.in_bands
    about = scenery(state, curve, sun_deg, seen.horizon_deg, low_sun.SUN_DIAMETER_ARCMIN, lit)
    if about is not None:
        return seascape.as_seen(about(frame), state["exposure_stops"])
    exposure = state["exposure_stops"]
    return low_sun.picture(curve.through(lit.haze), sun_deg, frame, exposure_stops=exposure)


@Kept
def _traced(atmosphere, eye_height_m):
    curve = mirage.curve_near_horizon(
        atmosphere,
        eye_height_m,
        np.union1d(BANDS_NM, LINES_NM),
        tolerance_arcsec=TOLERANCE_ARCSEC,
    )
    return _seen(curve, BANDS_NM)


def _drafted(atmosphere, eye_height_m):
    curve = mirage.curve_near_horizon(
        atmosphere,
        eye_height_m,
        np.array([GREEN_NM, RED_NM]),
        tolerance_arcsec=DRAFT_TOLERANCE_ARCSEC,
        probes=1,
    )
    return _seen(curve.spread(np.union1d(DRAFT_BANDS_NM, LINES_NM)), DRAFT_BANDS_NM)


def _seen(curve, bands_nm):
    flashes = green_flash.flashes_between(curve.at(GREEN_NM), curve.at(RED_NM))
    return _Seen(
        horizon_deg=float(rays.horizon_apparent_altitude_deg(curve.atmosphere, curve.eye_height_m)),
        bands_nm=bands_nm,
        curve=curve,
        flash=min(flashes, key=lambda flash: flash.green_true_altitude_deg, default=None),
    )


@kept(500 * KB)
def _ducts(atmosphere):
    return tuple((duct.base_m, duct.top_m) for duct in find_ducts(atmosphere, 0.0, DUCTS_BELOW_M))


def describe(result):
    """What the ascent holds, what is left of the disc, and which flash this air makes."""
    disc = _disc_words(result.outline)
    if result.outline.low_deg.size and not seascape.stands_out(result.picture):
        disc = say("{disc}, but the haze hides it.", disc=disc.rstrip("."))
        return " ".join(part for part in (result.findings, disc) if part)
    parts = [result.findings, disc, _flash_words(result.flash)]
    return " ".join(part for part in parts if part)


def _findings(report, state):
    """What the ascent holds, and whether the eye stands under its ground, in air made up."""
    if report is None:
        return ""
    if report.ground_m <= state["eye_height_m"]:
        return report.findings()
    return say(
        "{findings} It begins at {ground:.0f} m, above the eye: below, the lapse"
        " chosen, {lapse:g} K/km.",
        findings=report.findings(explained=False),
        ground=report.ground_m,
        lapse=state["lapse_k_per_km"],
    )


def _disc_words(outline):
    pieces = outline.low_deg.size
    if pieces == 0:
        return say("Nothing of the Sun is seen.")
    return says(
        "The Sun stands in one piece, {ratio:.2f} times as high as wide.",
        "The Sun stands in {number} pieces, {ratio:.2f} times as high as wide.",
        pieces,
        ratio=outline.axis_ratio,
    )


def _flash_words(flash):
    if flash is None:
        return say("No green outlasts the red.")
    if flash.kind == green_flash.RIM:
        return say("Last of all goes a green rim, {height:.0f}″ high.", height=flash.height_arcsec)
    return say(
        "Last of all goes a flash by {kind}, {height:.0f}″ high.",
        kind=say(flash.kind),
        height=flash.height_arcsec,
    )


scene = Scene(
    name="any_air",
    title=term("Any air"),
    question=term("What does the air of tonight make of the Sun?"),
    controls=(
        Range(
            name="sun_true_altitude_arcmin",
            label=term("true altitude of the Sun"),
            unit="′",
            low=-150,
            high=30,
            step=0.2,
            default=-46,
        ),
        catalogue.EYE.slider(step=1, low=1, high=1500),
        catalogue.AIR,
        *catalogue.LAYERS,
        *catalogue.GROUND,
        *catalogue.HAZE_CONTROLS,
        catalogue.HAZE_UNDER,
        catalogue.EXPOSURE,
        catalogue.SOUNDING,
    ),
    compute=compute,
    draft=draft,
    sized=True,
    picture=AnyAirPicture,
    describe=describe,
    seldom=(
        *catalogue.HAZE_SELDOM,
        "haze_under",
        "temperature_c",
        "pressure_hpa",
        "lapse_k_per_km",
        "exposure_stops",
    ),
    cues=(
        term("Where would the Sun be without air? Follow the dashed line."),
        term("Trace one row: from the picture left to the curve, then down to the Sun."),
        term(
            "Where the curve turns back, one piece of Sun stands in two rows: which is upside down?"
        ),
    ),
    doing=term("Tracing rays through this air"),
)
