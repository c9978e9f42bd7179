"""A segment of several shots: scenes and cards, cuts and cross-fades, captions tied to marks."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain
from pathlib import Path

from lowsun import files, scenes
from lowsun.errors import InputFileError, keep_number, require_kind
from lowsun.scenes import caution
from lowsun.stage.lines import require_known, told_at
from lowsun.stage.segment import LONGEST_S, Move, Segment
from lowsun.words import say

TITLE_S, END_S = 4.0, 6.0
_SHOT = ("scene", "start", "rest_s", "move", "fade_s", "mark")
_CARD = ("card", "text", "seconds", "fade_s", "mark")
_WHOLE = ("title", "shot", "caption", "sources", "sound", "pace", "cards")


@dataclass(frozen=True)
class Frame:
    """What one picture of the film shows: a card, or a scene by its name at a state.

    Where one shot fades into the next, `under` is the last frame of the shot before, and `share`
    (0..1) how much of this one covers it.
    """

    scene: str = ""
    state: Mapping = field(default_factory=dict)
    card: tuple[str, str] = ("", "")
    under: "Frame | None" = None
    share: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Shot:
    """A path through a scene, or a card of plain text, and the cross-fade that leads to it.

    `marks` holds (name, seconds from the shot's beginning).
    """

    path: Segment | None = None
    card: str = ""
    text: str = ""
    seconds: float = TITLE_S
    fade_s: float = 0.5
    marks: tuple[tuple[str, float], ...] = ()

    def __post_init__(self):
        require_kind("card", self.card, str, "a line of text")
        require_kind("text", self.text, str, "text")
        keep_number(self, "seconds", 0.1, LONGEST_S, unit="s")
        keep_number(self, "fade_s", 0, 10, unit="s")

    @property
    def title(self):
        """What a chapter is called."""
        return self.card if self.path is None else say(self.path.scene.title)

    @property
    def length_s(self):
        """How long it lasts [s]."""
        return self.seconds if self.path is None else self.path.length_s

    def frames(self, pace):
        """How many frames it takes at `pace` frames a second."""
        return max(1, round(self.seconds * pace)) if self.path is None else self.path.frames(pace)

    def each_frame(self, pace):
        """Yield its frames."""
        if self.path is None:
            yield from [Frame(card=(self.card, self.text))] * self.frames(pace)
        else:
            for state in self.path.each_state(pace):
                yield Frame(scene=self.path.scene.name, state=state)


@dataclass(frozen=True, kw_only=True)
class Caption:
    """Words tied to a mark, shown `after_s` it for some seconds."""

    at: str
    text: str
    seconds: float = 4.0
    after_s: float = 0.0

    def __post_init__(self):
        require_kind("text", self.text, str, "text")
        keep_number(self, "seconds", 0.1, 60, unit="s")
        keep_number(self, "after_s", 0, LONGEST_S, unit="s")


@dataclass(frozen=True, kw_only=True)
class Sequence:
    """Shots in their order, with captions, sources and a sound that may set the pace.

    `stretch` multiplies every time: a sound's length over that of the shots.
    """

    title: str
    shots: tuple[Shot, ...]
    captions: tuple[Caption, ...] = ()
    sources: tuple[str, ...] = ()
    sound: Path | None = None
    stretch: float = 1.0

    @cached_property
    def marks(self):
        """The seconds from the film's beginning of every mark, by its name."""
        found = {}
        for shot, begins in zip(self.shots, self.beginnings_s, strict=True):
            for name, seconds in shot.marks:
                if name in found:
                    raise InputFileError(f"the mark {name!r} is set twice.")
                found[name] = begins + seconds * self.stretch
        return found

    @property
    def beginnings_s(self):
        """When each shot begins [s]."""
        ends = [0.0]
        for shot in self.shots:
            ends.append(ends[-1] + shot.length_s * self.stretch)
        return ends[:-1]

    @property
    def length_s(self):
        """How long it plays [s]."""
        return sum(shot.length_s for shot in self.shots) * self.stretch

    def timed(self, caption):
        """When a caption begins and ends [s], or an InputFileError."""
        if caption.at not in self.marks:
            known = ", ".join(self.marks) or "none"
            raise InputFileError(f"there is no mark {caption.at!r}; set are: {known}.")
        begins = self.marks[caption.at] + caption.after_s
        if begins + caption.seconds > self.length_s + 1e-6:
            raise InputFileError(
                f"it ends at {begins + caption.seconds:.1f} s, after the film's {self.length_s:.1f}"
                " s. Shorten it, or let the last shot rest longer."
            )
        return begins, begins + caption.seconds

    def frames(self, frames_per_second):
        """How many frames it takes."""
        pace = frames_per_second * self.stretch
        return sum(shot.frames(pace) for shot in self.shots)

    def each_frame(self, frames_per_second):
        """Yield every frame, each made when it is asked for."""
        pace, before = frames_per_second * self.stretch, None
        for shot in self.shots:
            fading = 0 if before is None else round(shot.fade_s * frames_per_second)
            for number, frame in enumerate(shot.each_frame(pace)):
                yield frame if number >= fading else _faded(before, frame, number, fading)
            before = frame


def _faded(before, frame, number, fading):
    share = (number + 1) / (fading + 1)
    return Frame(frame.scene, frame.state, frame.card, before, share)


def load(path):
    """The Sequence of a TOML file, or an InputFileError that names table and line.

    title = "Why the last light is green"
    sources = ["Young 1997, Applied Optics 36, 2689"]
    [[shot]]
    card = "Which goes last, red or blue?"
    [[shot]]
    scene = "last_light"
    start = { seconds = -60 }
    move = [{ values = { seconds = 1 }, seconds = 12, mark = "gone" }]
    [[caption]]
    at = "gone"
    text = "The last of it is green."
    """
    table = require_known(files.toml(path), _WHOLE)
    title = require_kind("title", table.get("title", files.path_of(path).stem), str, "text")
    shots = _shots(path, table.get("shot", []))
    sources = tuple(str(source) for source in table.get("sources", []))
    if table.get("cards", True):
        shots = [_title(title), *shots, _end(shots, sources)]
    captions = tuple(_captions(path, table.get("caption", [])))
    sound = files.path_of(path).parent / table["sound"] if "sound" in table else None
    sequence = Sequence(
        title=title, shots=tuple(shots), captions=captions, sources=sources, sound=sound,
        stretch=_stretch(table.get("pace"), sound, shots, path),
    )  # fmt: skip
    _require_timed(path, sequence)
    return sequence


def _shots(path, entries):
    shots = []
    for number, entry in enumerate(entries):
        with told_at(path, "shot", number):
            shots.append(_card(entry) if "card" in entry else _scene(entry, path))
    if not shots:
        raise InputFileError(f"{path} holds no [[shot]].")
    return shots


def _card(entry):
    entry = dict(require_known(entry, _CARD))
    mark = entry.pop("mark", None)
    return Shot(**entry, marks=() if mark is None else ((mark, 0.0),))


def _scene(entry, path):
    entry = dict(require_known(entry, _SHOT))
    scene, folder = scenes.named(entry.get("scene", "")), files.path_of(path).parent
    moves = [dict(move) for move in entry.get("move", [])]
    names = [move.pop("mark", None) for move in moves]
    way = Segment(
        scene=scene, start=scene.beside(entry.get("start", {}), folder),
        moves=tuple(
            Move(**move | {"values": scene.beside(move.get("values", {}), folder)})
            for move in moves
        ),
        rest_s=entry.get("rest_s", 1.0),
    )  # fmt: skip
    marks = [(entry["mark"], 0.0)] if "mark" in entry else []
    seconds = way.rest_s
    for move, name in zip(way.moves, names, strict=True):
        seconds += move.seconds
        marks += [] if name is None else [(name, seconds)]
        seconds += move.rest_s
    return Shot(path=way, fade_s=entry.get("fade_s", 0.5), marks=tuple(marks))


def _title(title):
    return Shot(card=title, seconds=TITLE_S)


def _end(shots, sources):
    """The last card: where the numbers come from, and the caution where someone may aim."""
    aims = any(shot.path is not None for shot in shots)
    lines = chain(sources, [say(caution.SHORT)] if aims else [])
    return Shot(
        card=say("Computed with lowsun"),
        text="\n\n".join(lines),
        seconds=END_S,
        marks=(("end", 0.0),),
    )


def _captions(path, entries):
    for number, entry in enumerate(entries):
        with told_at(path, "caption", number):
            yield Caption(**entry)


def _stretch(pace, sound, shots, path):
    if pace is None:
        return 1.0
    if pace != "sound" or sound is None:
        raise InputFileError(f'{path}: pace is {pace!r}; allowed is "sound", with a sound named.')
    # Here, because what reads sound is large, and few films have any.
    from lowsun.stage.sound import length_s

    return length_s(sound) / sum(shot.length_s for shot in shots)


def _require_timed(path, sequence):
    ended = 0.0
    for number, caption in enumerate(sequence.captions):
        with told_at(path, "caption", number):
            begins, ends = sequence.timed(caption)
            if begins < ended - 1e-6:
                raise InputFileError(
                    f"it begins at {begins:.1f} s, before the one above it ends ({ended:.1f} s)."
                    " Put captions in the order of their marks, and shorten those that overlap."
                )
            ended = ends
