"""What a question is: words, what stays still until a guess is made, and the truth, computed.

The truth is computed by the scene for the learner's own settings, never kept.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lowsun.words import figures, say

_COARSE = 0.25  # fineness of a picture that nobody looks at


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is asked of a scene, and what is true of it.

    truth(scene, state) -> the answer; held: the control that stays still until a guess is made;
    hint: said after the first wrong guess, before the answer.
    """

    name: str
    scene: str
    words: str
    held: str
    hint: str
    truth: Callable[[object, Mapping], object]


@dataclass(frozen=True, kw_only=True)
class Amount(Question):
    """Asks for a number in `unit`; one within `near` of the truth (a share of it) is right.

    decimals: of what is shown; None: as many as two or three figures need.
    """

    unit: str
    near: float = 0.15
    decimals: int | None = None

    @property
    def field(self):
        """What stands before the field for the guess."""
        return say("your guess [{unit}]", unit=say(self.unit))

    def is_right(self, guess, truth):
        """Whether the guess is near enough, or shown as the truth is."""
        near = abs(guess - truth) <= self.near * abs(truth)
        return near or self.number(guess) == self.number(truth)

    def way(self, guess, truth):
        """Which way a wrong guess is off."""
        return say("too small") if guess < truth else say("too large")

    def off(self, guess, truth):
        """Which way and how far."""
        return say(
            "{way} by {shown}", way=self.way(guess, truth), shown=self.shown(abs(guess - truth))
        )

    def number(self, value):
        """A value without its unit."""
        decimals = self.decimals
        if decimals is None:
            decimals = 0 if abs(value) >= 20 else 1 if abs(value) >= 1 else 2
        return figures(value, f".{decimals}f").replace("-", "\N{MINUS SIGN}")

    def shown(self, value):
        """A value with its unit."""
        gap = "" if self.unit in ("°", "′", "″") else " "
        return f"{self.number(value)}{gap}{say(self.unit)}"


@dataclass(frozen=True, kw_only=True)
class Choose(Question):
    """Asks for one of a few plain words."""

    options: tuple[str, ...]
    unit: str = ""

    @property
    def field(self):
        """What stands before the list of options."""
        return say("your guess")

    def is_right(self, guess, truth):
        """Whether it is the one."""
        return guess == truth

    def way(self, guess, truth):
        """What is wrong with a guess that is."""
        return say("not the one: {guess}", guess=say(guess))

    off = way

    def shown(self, value):
        """The option itself."""
        return say(value)


def coarse(scene, state, **changed):
    """What the scene computes for a state with values changed, its pictures coarse."""
    return scene.computed(scene.check(state | changed), _COARSE)
