"""The exposure ladder of an evening for your own lens, sensor and filter."""

from dataclasses import dataclass, replace

import numpy as np

from lowsun import words
from lowsun.drawing.exposure_ladder import ExposureLadderPicture
from lowsun.fieldwork import exposures
from lowsun.fieldwork.camera import Camera, whole_stops
from lowsun.kept import MB, kept
from lowsun.phenomena.evening import Evening
from lowsun.scenes import catalogue, caution, made
from lowsun.scenes.controls import Choice, Range, StateError
from lowsun.scenes.made import shutter_said
from lowsun.scenes.scene import Scene
from lowsun.sky import clock_text
from lowsun.words import figures, say, says, term

# Between the lens of a plate camera and a sensor read out by electronics; they overlap, as a
# camera's limits never do: who enters them the wrong way round is told so.
FASTEST = ("1/125 s", "1/500 s", "1/1000 s", "1/2000 s", "1/4000 s", "1/8000 s", "1/16000 s",
           "1/32000 s")  # fmt: skip
SLOWEST = ("1/250 s", "1/4 s", "1 s", "5 s", "15 s", "30 s")
NOTICED_TRAIL_PX = 1.0
HEADINGS = (
    term("to go"),
    term("upper limb"),
    term("disc, at most"),
    term("green rim, at most"),
    term("rim [px]"),
)


@dataclass(frozen=True, eq=False)
class Result:
    """What the picture, the sentence and the sheet need; table: its words, headings first.

    ladder: None where the Sun does not set.
    """

    evening: Evening
    camera: Camera
    sunlit_s: float
    ladder: exposures.Ladder | None
    table: tuple[tuple[str, ...], ...]
    haze: str
    spread_stops: float


def compute(state):
    """The ladder of the evening for the camera of the state."""
    air = made.even_air(state)
    evening = made.evening_of(made.place_of(state), state["day"], air)
    _require_in_order(state)
    camera = made.camera_of(state, state["fastest"], state["slowest"])
    ladder = _ladder(state, air, camera) if evening.sets else None
    return Result(
        evening=evening,
        camera=camera,
        sunlit_s=exposures.sunlit_exposure_s(camera),
        ladder=ladder,
        table=(tuple(map(say, HEADINGS)), *(_line(camera, rung) for rung in ladder.rungs))
        if ladder
        else (),
        haze=made.haze_words(state),
        spread_stops=_spread_stops(state, air) if ladder else 0.0,
    )


def _require_in_order(state):
    fastest, slowest = state["fastest"], state["slowest"]
    if catalogue.SHUTTERS[fastest] > catalogue.SHUTTERS[slowest]:
        raise StateError(
            say(
                "Your fastest shutter, {fastest}, is slower than your slowest, {slowest}. Choose a"
                " faster one, or a slower one for the slowest.",
                fastest=say(fastest),
                slowest=say(slowest),
            )
        )


def _spread_stops(state, air):
    """How many stops apart half and twice this haze leave the disc a minute before the end."""
    hazes = (replace(air.haze, depth_550=factor * air.haze.depth_550) for factor in (0.5, 2.0))
    thin, thick = (_subjects_of(state, air.with_haze(haze)) for haze in hazes)
    minute = exposures.RUNGS_S.index(-60.0)
    if not thick[minute].disc > 0:
        return float("inf")
    return float(np.log2(thin[minute].disc / thick[minute].disc))


def _ladder(state, air, camera):
    return exposures.ladder(camera, _subjects_of(state, air), state["headroom_stops"])


def _subjects_of(state, air):
    return _subjects(made.evening_of(made.place_of(state), state["day"], air), state["sensor"])


@kept(5 * MB)
def _subjects(evening, sensor):
    return exposures.subjects(evening, catalogue.SENSORS[sensor])


def _line(camera, rung):
    return (
        words.duration(-rung.seconds, digits=0),
        f"{figures(max(rung.subject.upper_limb_arcmin, 0), '.1f')}′",
        _setting(camera, rung.disc),
        _setting(camera, rung.rim),
        _rim_words(rung),
    )


def _rim_words(rung):
    """The rim's width, and how far it trails in its own exposure, in pixels."""
    if rung.rim_px < 0.05:
        return "–"
    trail = (
        say(", trails {trail:.0f}", trail=rung.trail_px)
        if rung.trail_px >= NOTICED_TRAIL_PX
        else ""
    )
    return f"{figures(rung.rim_px, '.1f')}{trail}"


def _setting(camera, setting):
    """A shutter time; where the shutter is not fast enough, its fastest and the filter to add."""
    if not setting.exists:
        return "–"
    if setting.limit == "slowest":
        return say("over {shutter}", shutter=shutter_said(camera.slowest_shutter_s))
    if setting.limit == "fastest":
        return f"{shutter_said(camera.fastest_shutter_s)}, {_filter(setting)}"
    return shutter_said(setting.shutter_s)


def _filter(setting):
    density, _ = whole_stops(setting.density_needed)
    return say("ND {density:.1f}", density=density)


def describe(result):
    """The sunlit scene as a foothold, then what the disc and the rim ask for."""
    ladder = result.ladder
    if ladder is None:
        return result.evening.sunset.briefly
    return f"{_bracket(result)} {_disc(ladder)} {_rim(ladder)}"


def _bracket(result):
    """What to do first: how far the haze alone may move the exposure."""
    stops = result.spread_stops
    if stops < 0.5:
        return say("In {haze}, one exposure does.", haze=result.haze)
    far = _stops(round(stops)) if np.isfinite(stops) else say("the whole scale")
    return say(
        "Bracket: half or twice the haze ({haze}) moves the last minute by {far}.",
        haze=result.haze,
        far=far,
    )


def _disc(ladder):
    first = ladder.rungs[0]
    if not first.disc.exists:
        return say("The haze leaves nothing of the Sun to expose for.")
    if first.disc.limit == "fastest":
        density, stops = whole_stops(first.disc.density_needed)
        return say(
            "Ten minutes before the end the disc needs ND {density:.1f} at your fastest"
            " shutter, {stops} in all.",
            density=density,
            stops=_stops(round(stops)),
        )
    told = _setting(ladder.camera, first.disc)
    at_most = "" if first.disc.limit == "slowest" else say("at most ")
    return say(
        "Ten minutes before the end the disc takes {at_most}{told}.", at_most=at_most, told=told
    )


def _rim(ladder):
    last = ladder.rungs[-2]
    if not last.rim.exists:
        return say("No green rim is left at the end.")
    told = _setting(ladder.camera, last.rim)
    return say(
        "The last green rim, {rim:.1f} pixels wide, takes {told}.", rim=last.rim_px, told=told
    )


def sheet(result):
    """The ladder as plain text, to print and take along, with the caution."""
    evening = result.evening
    if result.ladder is None:
        return evening.sunset.reason
    widths = [max(map(len, column)) for column in zip(*result.table, strict=True)]
    table = [
        "  ".join(word.ljust(width) for word, width in zip(row, widths, strict=True))
        for row in result.table
    ]
    return "\n".join(
        [
            say(
                "Exposure ladder to the last sliver, {clock}",
                clock=clock_text(evening.place, evening.zero),
            ),
            _camera_words(result),
            _bracket(result),
            "",
            *(line.rstrip() for line in table),
            "",
            say(
                "At most: the brightest channel stays {headroom} under saturation.",
                headroom=_headroom(result.ladder),
            ),
            say("ND: the filter in all, in place of any other, for the fastest shutter."),
            say(caution.SHORT),
        ]
    )


def _headroom(ladder):
    return _stops(ladder.headroom_stops)


def _stops(number):
    return says("{number} stop", "{number} stops", number)


def _camera_words(result):
    camera = result.camera
    density = camera.filter_density
    filtered = say("ND {density:.1f} in front", density=density) if density else say("no filter")
    return say(
        "{focal_length:g} mm, f/{f_number:g}, ISO {iso:g}, {pixel:g} µm pixels,"
        " {filtered}; a sunlit scene takes {shutter} (sunny 16)",
        focal_length=camera.focal_length_mm,
        f_number=camera.f_number,
        iso=camera.iso,
        pixel=camera.pixel_um,
        filtered=filtered,
        shutter=shutter_said(result.sunlit_s),
    )


scene = Scene(
    name="exposure_ladder",
    title=term("Exposure ladder"),
    question=term("Which shutter time, and which filter, keeps the low Sun and its green rim?"),
    controls=(
        catalogue.FOCAL_LENGTH,
        catalogue.F_NUMBER.narrowed(default=8.0),
        catalogue.PIXEL,
        catalogue.ISO,
        catalogue.FILTER.narrowed(default=6),
        Choice(
            name="fastest", label=term("your fastest shutter"), options=FASTEST, default="1/8000 s"
        ),
        Choice(name="slowest", label=term("your slowest shutter"), options=SLOWEST, default="30 s"),
        Range(
            name="headroom_stops",
            label=term("headroom under saturation"),
            unit=term("stops"),
            low=0,
            high=3,
            step=0.5,
            default=1,
        ),
        catalogue.SENSOR,
        *catalogue.HAZE_CONTROLS,
        catalogue.DAY,
        *catalogue.PLACE,
    ),
    compute=compute,
    picture=ExposureLadderPicture,
    describe=describe,
    seldom=(
        "headroom_stops",
        "sensor",
        *catalogue.HAZE_SELDOM,
        "latitude_deg",
        "longitude_deg",
        "eye_height_m",
    ),
    cues=(
        term("A sunlit beach and the Sun behind it: how many stops apart? Guess, then read."),
        term(
            "Where does your own shutter end? Put filters in until the sheet stops asking for one."
        ),
        term("Which line lies higher, the disc's or the rim's, and why?"),
    ),
)
