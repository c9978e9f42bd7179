"""A skyline as bearings and heights, and the CSV file that holds one."""

from dataclasses import dataclass

import numpy as np

from lowsun.errors import InputFileError, OutOfRangeError, require_kind, require_range
from lowsun.files import content, path_of
from lowsun.words import say, says, term

LOWEST_DEG, HIGHEST_DEG = -10.0, 80.0  # of heights
WIDEST_STEP_DEG = 10.0  # between neighbours; more is a gap that no line may bridge
SOUTH_HINT = term(
    "Bearings go clockwise from north, 0 to 360. Some lists count from south, west positive: add"
    " 180 to theirs."
)
NAME = term("the skyline")
FORMAT_HINT = term("Each line holds a bearing and a height in degrees, such as 271.5, 0.35.")


@dataclass(frozen=True, eq=False)
class Skyline:
    """Where land or anything else meets the sky, as seen from the eye.

    azimuth_deg (N,) [deg] rising, 0 to 360, clockwise from north; altitude_deg (N,) [deg]: apparent
    height over the level, negative below it. Straight lines join neighbours; all round if the list
    is. Nothing is known beyond its ends.
    """

    azimuth_deg: np.ndarray
    altitude_deg: np.ndarray
    name: str = NAME

    def __post_init__(self):
        require_kind("name", self.name, str, "a text")
        azimuth = require_range("azimuth_deg", self.azimuth_deg, 0, 360, remedy=say(SOUTH_HINT))
        altitude = require_range(
            "altitude_deg", self.altitude_deg, LOWEST_DEG, HIGHEST_DEG, unit="deg"
        )
        if azimuth.ndim != 1 or azimuth.shape != altitude.shape or azimuth.size < 2:
            raise OutOfRangeError(
                f"azimuth_deg is shaped {azimuth.shape} and altitude_deg {altitude.shape}; give two"
                " or more of each."
            )
        order = np.argsort(azimuth, kind="stable")
        object.__setattr__(self, "azimuth_deg", azimuth[order])
        object.__setattr__(self, "altitude_deg", altitude[order])
        self._require_no_gap()

    def _require_no_gap(self):
        step = np.diff(self.azimuth_deg)
        if np.any(step == 0):
            twice = self.azimuth_deg[1:][step == 0][0]
            raise OutOfRangeError(
                say(
                    "The bearing {bearing:g} stands twice in {name}. Keep one.",
                    bearing=twice,
                    name=say(self.name),
                )
            )
        # One gap may be where the list begins and ends; of several only the widest can be that.
        round_ = np.append(step, self.azimuth_deg[0] + 360 - self.azimuth_deg[-1])
        wide = np.flatnonzero(round_ > WIDEST_STEP_DEG)
        if wide.size > 1:
            first = self.azimuth_deg[wide[0]]
            raise OutOfRangeError(
                say(
                    "{name} has a gap of {gap:g} deg after the bearing {bearing:g}. Give heights at"
                    " most {widest:g} deg apart.",
                    name=say(self.name),
                    gap=round_[wide[0]],
                    bearing=first,
                    widest=WIDEST_STEP_DEG,
                )
            )
        begin = (wide[0] + 1) % self.azimuth_deg.size if wide.size else 0
        object.__setattr__(self, "_begin", int(begin))
        object.__setattr__(self, "_all_round", wide.size == 0)

    @property
    def first_deg(self):
        """The bearing at which the list begins, going clockwise [deg]."""
        return float(self.azimuth_deg[self._begin])

    @property
    def width_deg(self):
        """How far it reaches clockwise from there [deg]."""
        return 360.0 if self._all_round else float(self._turned()[-1])

    def altitude_at(self, azimuth_deg):
        """Apparent height [deg] at bearings of any shape; OutOfRangeError where nothing is known.

        NaN in gives NaN out: at a pole the Sun has no bearing.
        """
        bearing = require_range("azimuth_deg", azimuth_deg, -720, 720, unit="deg", nan=True)
        turned = (bearing - self.first_deg) % 360
        beyond = turned > self.width_deg + 1e-9
        if beyond.any():
            raise OutOfRangeError(
                say(
                    "{name} covers the bearings {first:g} to {last:g}; the Sun comes to {sun:.1f}."
                    " Measure on as far as that.",
                    name=say(self.name),
                    first=self.first_deg,
                    last=(self.first_deg + self.width_deg) % 360,
                    sun=bearing[beyond].flat[0],
                )
            )
        known, height = self._turned(), np.roll(self.altitude_deg, -self._begin)
        if self._all_round:
            known, height = np.append(known, 360.0), np.append(height, height[0])
        return np.interp(turned, known, height)

    def _turned(self):
        return (np.roll(self.azimuth_deg, -self._begin) - self.first_deg) % 360


def read(path):
    """The `Skyline` in a CSV file of bearings and heights [deg]."""
    return parse(content(path), path_of(path).name)


def parse(content, name=NAME):
    """The `Skyline` in the text or bytes of a CSV file; `name` is for messages.

    Bearing and height a line, by comma, semicolon or blank; a heading and lines with "#" are passed
    over. Anything else that is no pair of numbers is an error with its line: a gap is not a zero.
    Raises InputFileError naming the line.
    """
    require_kind("content", content, str | bytes, "the text or bytes of a CSV file")
    require_kind("name", name, str, "a text")
    text = content.decode("utf-8-sig", "replace") if isinstance(content, bytes) else content
    pairs = []
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.split("#")[0].replace(";", " ").replace(",", " ").split()
        if not words or (not pairs and _is_heading(words)):
            continue
        pairs.append(_pair(words, name, number))
    if len(pairs) < 2:
        told = says(
            "{name} holds {number} line of a skyline.",
            "{name} holds {number} lines of a skyline.",
            len(pairs),
            name=say(name),
        )
        raise InputFileError(f"{told} {say(FORMAT_HINT)}")
    azimuth, altitude = np.array(pairs).T
    try:
        return Skyline(np.where(azimuth == 360, 0.0, azimuth), altitude, name)
    except OutOfRangeError as refused:
        raise InputFileError(f"{name}: {refused}") from refused


def _is_heading(words):
    return all(not _is_number(word) for word in words)


def _is_number(word):
    try:
        float(word)
    except ValueError:
        return False
    return True


def _pair(words, name, number):
    if len(words) != 2 or not all(_is_number(word) and np.isfinite(float(word)) for word in words):
        raise InputFileError(
            say(
                "{name}, line {line}: {words} is no bearing and height. {hint} A height that is not"
                " known cannot be left out: measure it.",
                name=say(name),
                line=number,
                words=repr(" ".join(words)),
                hint=say(FORMAT_HINT),
            )
        )
    azimuth = float(words[0])
    if not 0 <= azimuth <= 360:
        raise InputFileError(
            say(
                "{name}, line {line}: the bearing is {bearing:g}. {hint}",
                name=say(name),
                line=number,
                bearing=azimuth,
                hint=say(SOUTH_HINT),
            )
        )
    return azimuth, _height(float(words[1]), name, number)


def _height(altitude, name, number):
    if not LOWEST_DEG <= altitude <= HIGHEST_DEG:
        raise InputFileError(
            say(
                "{name}, line {line}: the height is {height:g} deg; allowed is {low:g} to {high:g}"
                " deg.",
                name=say(name),
                line=number,
                height=altitude,
                low=LOWEST_DEG,
                high=HIGHEST_DEG,
            )
        )
    return altitude
