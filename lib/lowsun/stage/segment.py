"""A path of states through a scene: where it starts, where it moves, where it rests."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import repeat

from lowsun import files, scenes
from lowsun.errors import InputFileError, keep_number, require_kind, require_number, require_range
from lowsun.scenes.scene import Scene

LONGEST_S = 3600.0
FRAMES_PER_SECOND = (1, 120)


@dataclass(frozen=True, kw_only=True)
class Move:
    """From the state before to the same with `values` changed, in `seconds`, then a rest.

    Numbers and days go evenly, or slowly at both ends where `eased`; choices change at the end.
    """

    values: Mapping
    seconds: float
    rest_s: float = 1.0
    eased: bool = True

    def __post_init__(self):
        require_kind("values", self.values, Mapping, "the names and values of controls")
        require_kind("eased", self.eased, bool, "true or false")
        keep_number(self, "seconds", 0, LONGEST_S, unit="s")
        keep_number(self, "rest_s", 0, LONGEST_S, unit="s")

    def share(self, part):
        """How much of the way (0..1) is done after a part (0..1) of the time."""
        part = require_number("part", part, 0, 1)
        return part * part * (3.0 - 2.0 * part) if self.eased else part


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A scene with a path through it; every state on the way is checked at once."""

    scene: Scene
    moves: tuple[Move, ...] = ()
    start: Mapping = field(default_factory=dict)
    rest_s: float = 1.0

    def __post_init__(self):
        require_kind("scene", self.scene, Scene, "a scene, such as lowsun.scenes.named('rims')")
        for move in require_kind("moves", self.moves, tuple, "a tuple of Move"):
            require_kind("moves", move, Move, "a tuple of Move")
        keep_number(self, "rest_s", 0, LONGEST_S, unit="s")
        remedy = "Shorten its moves and rests, or make several segments."
        require_range("The segment's length", self.length_s, 0, LONGEST_S, unit="s", remedy=remedy)
        self._stations()

    @property
    def length_s(self):
        """How long it plays [s]."""
        return self.rest_s + sum(move.seconds + move.rest_s for move in self.moves)

    @classmethod
    def load(cls, path):
        """The segment of a TOML file:

        scene = "rims"
        rest_s = 2
        start = { lower_limb_deg = 10 }
        [[move]]
        values = { lower_limb_deg = 0 }
        seconds = 8
        """
        table = files.toml(path)
        try:
            return cls._of_table(table, files.path_of(path).parent)
        except (KeyError, TypeError, AttributeError) as refused:
            raise InputFileError(
                f"{path} is no segment: {refused}. It holds a scene, rest_s, start, and [[move]]"
                " tables of values, seconds, rest_s and eased."
            ) from refused

    @classmethod
    def _of_table(cls, table, folder):
        """Files that it names are looked for beside it."""
        scene = scenes.named(table.pop("scene"))
        moves = tuple(
            Move(**move | {"values": scene.beside(move["values"], folder)})
            for move in table.pop("move", [])
        )
        start = scene.beside(table.pop("start", {}), folder)
        return cls(scene=scene, moves=moves, start=start, **table)

    def states(self, frames_per_second):
        """The state of every frame, from the first to the last, as a list."""
        return list(self.each_state(frames_per_second))

    def frames(self, frames_per_second):
        """How many frames it takes."""
        moves = (_frames(move.seconds, frames_per_second) for move in self.moves)
        rests = (_frames(move.rest_s, frames_per_second) for move in self.moves)
        return max(1, _frames(self.rest_s, frames_per_second)) + sum(moves) + sum(rests)

    def each_state(self, frames_per_second):
        """Yield the state of every frame, each made when it is asked for."""
        before, *after = self._stations()
        yield from repeat(before, max(1, _frames(self.rest_s, frames_per_second)))
        for move, there in zip(self.moves, after, strict=True):
            frames = _frames(move.seconds, frames_per_second)
            for frame in range(1, frames + 1):
                yield self.scene.between(before, there, move.share(frame / frames))
            yield from repeat(there, _frames(move.rest_s, frames_per_second))
            before = there

    def _stations(self):
        stations = [self.scene.check(self.start)]
        for move in self.moves:
            stations.append(self.scene.check(stations[-1] | dict(move.values)))
        return stations


def _frames(seconds, frames_per_second):
    return round(
        seconds * require_number("frames_per_second", frames_per_second, *FRAMES_PER_SECOND)
    )
