"""The controls of a scene: what the player can change, and what fits.

Every control has `check` (the value, or a typed error), `plain` (the value as TOML holds it, which
`check` takes back), `ends` (the values a sweep visits) and `between` (the values a film visits).
"""

import base64
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path

from lowsun import files
from lowsun.errors import (
    InputFileError,
    LowsunError,
    OutOfRangeError,
    apart,
    quoted,
    require_number,
)
from lowsun.words import say
from lowsun.words.speech import in_figures


class StateError(LowsunError, ValueError):
    """A state that does not fit its scene."""


class SceneError(LowsunError, ValueError):
    """A scene that is described wrongly: the author's mistake, not the player's."""


@dataclass(frozen=True, kw_only=True)
class Control:
    """One thing the player can change."""

    name: str
    label: str

    def __post_init__(self):
        if not self.name.isidentifier():
            raise SceneError(f"{self.name!r} cannot name a control: use letters, digits and _.")
        object.__setattr__(self, "default", self._checked_default())

    def _checked_default(self):
        try:
            return self.check(self.default)
        except LowsunError as refused:
            raise SceneError(f"The default of control {self.name} is wrong: {refused}") from refused

    def plain(self, value):
        """The value as a TOML file holds it."""
        return value

    def beside(self, value, folder):
        """The value, in a file in that folder: a file it names is looked for there."""
        return value

    def between(self, start, end, share):
        """The value a share (0..1) of the way from start to end: steps at the end by default."""
        return end if share >= 1.0 else start

    @property
    def caption(self):
        """The label with its unit, as it stands beside the control."""
        unit = getattr(self, "unit", "")
        return f"{say(self.label)} [{say(unit)}]" if unit else say(self.label)


@dataclass(frozen=True, kw_only=True)
class Number(Control):
    """A number the player types, within limits."""

    low: float
    high: float
    default: float
    unit: str = ""

    def check(self, value):
        """The value as a float inside the limits, or an OutOfRangeError or InputError."""
        try:
            return require_number(self.label, value, self.low, self.high, unit=self.unit)
        except OutOfRangeError as refused:
            raise OutOfRangeError(self._told(value) or str(refused)) from refused

    def _told(self, value):
        """Why a value does not fit, to a player; empty for what no player can give."""
        label, unit = say(self.label), f" {say(self.unit)}" if self.unit else ""
        if isinstance(value, str):
            return say(
                "{label} is {value}, which is not a number.", label=label, value=quoted(value)
            )
        if not isinstance(value, float):
            return ""
        return say(
            "{label} is {value}{unit}; allowed is {low:g} to {high:g}{unit}.",
            label=label, value=in_figures(apart(value, self.low, self.high)), unit=unit,
            low=self.low, high=self.high,
        )  # fmt: skip

    def narrowed(self, **changes):
        """The same quantity with another default, step or smaller range; wider is a SceneError."""
        made = replace(self, **changes)
        if made.low < self.low or made.high > self.high:
            raise SceneError(
                f"{self.label} is narrowed to {made.low:g} to {made.high:g}; it goes from"
                f" {self.low:g} to {self.high:g}. Take a range within that."
            )
        return made

    def slider(self, step, **changes):
        """The same quantity as a slider of that step, narrowed besides where wished."""
        same = {"name": self.name, "label": self.label, "unit": self.unit}
        narrow = self.narrowed(**changes)
        return Range(**same, low=narrow.low, high=narrow.high, default=narrow.default, step=step)

    def between(self, start, end, share):
        """Linear."""
        return start + (end - start) * min(max(share, 0.0), 1.0)

    @property
    def ends(self):
        """The lowest and the highest value."""
        return (float(self.low), float(self.high))


@dataclass(frozen=True, kw_only=True)
class Range(Number):
    """A slider from low to high in steps; values between the steps are good states too."""

    step: float

    def check(self, value):
        """As a Number's, to twelve figures: a page's slider reckons 273 as 273.00000000000006."""
        return float(f"{super().check(value):.12g}")

    def __post_init__(self):
        super().__post_init__()
        if not self.step > 0:
            raise SceneError(f"The step of control {self.name} is {self.step}; it must be above 0.")
        for which in ("default", "high"):
            self._require_on_step(which)

    def on_step(self, value):
        """Whether the value is a whole number of steps above the lowest."""
        steps = (value - self.low) / self.step
        return math.isclose(steps, round(steps), abs_tol=1e-6)

    def _require_on_step(self, which):
        if not self.on_step(getattr(self, which)):
            raise SceneError(
                f"The {which} of control {self.name}, {getattr(self, which):g}, is not a whole"
                f" number of steps of {self.step:g} above {self.low:g}. Move it onto one."
            )

    @property
    def decimals(self):
        """Decimals that show one step."""
        return max(0, -math.floor(math.log10(self.step) + 1e-9))


@dataclass(frozen=True, kw_only=True)
class Choice(Control):
    """One of a few plain words."""

    options: tuple[str, ...]
    default: str

    def check(self, value):
        """The value, or a StateError naming the options."""
        if not isinstance(value, str) or value not in self.options:
            raise StateError(
                say(
                    "{label} is {value}; choose one of: {options}.",
                    label=say(self.label),
                    value=quoted(value),
                    options=", ".join(map(say, self.options)),
                )
            )
        return value

    @property
    def ends(self):
        """Every option: each may take a way of its own."""
        return self.options


@dataclass(frozen=True, kw_only=True)
class Switch(Control):
    """On or off."""

    default: bool = False

    def check(self, value):
        """The value, or a StateError."""
        if not isinstance(value, bool):
            raise StateError(
                say(
                    "{label} is {value}; it is a switch: use true or false.",
                    label=say(self.label),
                    value=quoted(value),
                )
            )
        return value

    @property
    def ends(self):
        """Off and on."""
        return (False, True)


@dataclass(frozen=True, kw_only=True)
class Day(Control):
    """A calendar day within the span of the ephemeris."""

    default: date
    first: date = date(1900, 1, 1)  # DE421, in skyfield-data, covers 1899-07-29 to 2053-10-08
    last: date = date(2053, 1, 1)

    def check(self, value):
        """The value, or a StateError naming the span."""
        if value is None:
            told = say(
                "{label} is empty; give a day such as {day}.",
                label=say(self.label),
                day=self.default,
            )
            raise StateError(told)
        if not isinstance(value, date) or isinstance(value, datetime):
            raise StateError(
                say(
                    "{label} is {value}; give a day: {made} in Python, {day} without quotes in a"
                    " file.",
                    label=say(self.label),
                    value=quoted(value),
                    made=f"date({self.default:%Y}, {self.default.month}, {self.default.day})",
                    day=self.default,
                )
            )
        if not self.first <= value <= self.last:
            raise StateError(
                say(
                    "{label} is {day}; allowed is {first} to {last}.",
                    label=say(self.label), day=value, first=self.first, last=self.last,
                )
            )  # fmt: skip
        return value

    def between(self, start, end, share):
        """The nearest whole day of the way."""
        return start + timedelta(days=round((end - start).days * min(max(share, 0.0), 1.0)))

    @property
    def ends(self):
        """The first and the last day."""
        return (self.first, self.last)


@dataclass(frozen=True)
class UserFile:
    """A file of the player's own: its name and its bytes, so that a state replays anywhere."""

    name: str
    content: bytes = field(repr=False)

    @classmethod
    def read(cls, path):
        """The file at that path, or an InputFileError."""
        return cls(Path(path).name, files.content(path))

    @property
    def text(self):
        """The content as UTF-8 text, or an InputFileError."""
        try:
            return self.content.decode("utf-8-sig")
        except UnicodeDecodeError as refused:
            raise InputFileError(
                say(
                    "{name} is not UTF-8 text: byte {byte} is {code}. Save it as UTF-8 text.",
                    name=self.name,
                    byte=refused.start,
                    code=f"0x{self.content[refused.start]:02x}",
                )
            ) from refused


@dataclass(frozen=True, kw_only=True)
class File(Control):
    """A file of the player's own, or none (None)."""

    suffixes: tuple[str, ...]
    default: UserFile | None = None

    def check(self, value):
        """A UserFile or None, from one of these, a path, or a table as TOML holds it."""
        if value is None or (isinstance(value, str) and not value):
            return None
        if isinstance(value, Mapping):
            value = self._unpacked(value)
        if isinstance(value, str | Path):
            value = self._read(files.path_of(value))
        if not isinstance(value, UserFile):
            raise StateError(
                say(
                    "{label} is {value}; give the path of a file, or nothing.",
                    label=say(self.label),
                    value=quoted(value),
                )
            )
        return self._of_right_kind(value)

    def beside(self, value, folder):
        """A file that is named is looked for in that folder."""
        named = isinstance(value, str) and value
        return str(Path(folder) / value) if named else value

    def _read(self, path):
        self._require_ending(path.name)
        return UserFile.read(path)

    def _of_right_kind(self, file):
        self._require_ending(file.name)
        return file

    def _require_ending(self, name):
        if not name.lower().endswith(self.suffixes):
            raise InputFileError(
                say(
                    "{label} is the file {name}; allowed are names that end in {endings}.",
                    label=say(self.label),
                    name=quoted(name),
                    endings=", ".join(self.suffixes),
                )
            )

    def _unpacked(self, table):
        try:
            return UserFile(str(table["name"]), base64.b64decode(table["base64"], validate=True))
        except (KeyError, TypeError, AttributeError, ValueError) as refused:
            raise StateError(
                say(
                    "{label} is a table without a good `name` and `base64`. Save the state again.",
                    label=say(self.label),
                )
            ) from refused

    def plain(self, value):
        """The empty string, or a table with the name and the content."""
        if value is None:
            return ""
        return {"name": value.name, "base64": base64.b64encode(value.content).decode("ascii")}

    @property
    def ends(self):
        """No file, and the default where there is one."""
        return (None,) if self.default is None else (None, self.default)
