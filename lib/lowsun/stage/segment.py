"""A path of states through a scene: where it starts, where it moves, where it rests."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from lowsun import files, scenes
from lowsun.errors import InputFileError, keep_number
from lowsun.scenes.scene import Scene

LONGEST_S = 3600.0


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
        keep_number(self, "seconds", 0, LONGEST_S, unit="s")
        keep_number(self, "rest_s", 0, LONGEST_S, unit="s")

    def share(self, part):
        """How much of the way (0..1) is done after a part (0..1) of the time."""
        return part * part * (3.0 - 2.0 * part) if self.eased else part


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A scene with a path through it; every state on the way is checked at once."""

    scene: Scene
    moves: tuple[Move, ...] = ()
    start: Mapping = field(default_factory=dict)
    rest_s: float = 1.0

    def __post_init__(self):
        keep_number(self, "rest_s", 0, LONGEST_S, unit="s")
        self._stations()

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
        moves = table.pop("move", [])
        try:
            scene = scenes.named(table.pop("scene"))
            return cls(scene=scene, moves=tuple(Move(**move) for move in moves), **table)
        except (KeyError, TypeError) as refused:
            raise InputFileError(
                f"{path} is no segment: {refused}. It holds a scene, rest_s, start, and [[move]]"
                " tables of values, seconds, rest_s and eased."
            ) from refused

    def states(self, frames_per_second):
        """The state of every frame, from the first to the last, as a list."""
        before, *after = self._stations()
        states = [before] * max(1, round(self.rest_s * frames_per_second))
        for move, there in zip(self.moves, after, strict=True):
            frames = round(move.seconds * frames_per_second)
            shares = [move.share(frame / frames) for frame in range(1, frames + 1)]
            states += [self.scene.between(before, there, share) for share in shares]
            states += [there] * round(move.rest_s * frames_per_second)
            before = there
        return states

    def _stations(self):
        stations = [self.scene.check(self.start)]
        for move in self.moves:
            stations.append(self.scene.check(stations[-1] | dict(move.values)))
        return stations
