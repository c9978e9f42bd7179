"""The haze of a scene, chosen in the same way everywhere: how much, of what, up to where."""

from dataclasses import dataclass

from lowsun.physics.extinction import (
    CLEAR_EVENING,
    HAZE,
    HAZE_SCALE_HEIGHT_M,
    KINDS,
    Haze,
    visibility_km,
)
from lowsun.scenes.controls import Choice, Range

MOST = 0.5  # depth at 550 nm up to which the sky's scattered light is computed


@dataclass(frozen=True, kw_only=True)
class Depth(Range):
    """A depth of haze; one of the typical hazes' names is taken for its depth."""

    def check(self, value):
        """The depth as a float inside the limits, or an OutOfRangeError."""
        if isinstance(value, str) and value in HAZE:
            value = HAZE[value].depth_550
        return super().check(value)


DEPTH = Depth(
    name="haze",
    label="haze, depth at 550 nm",
    low=0,
    high=MOST,
    step=0.01,
    default=CLEAR_EVENING.depth_550,
)
KIND = Choice(name="haze_kind", label="kind of haze", options=tuple(KINDS), default="marine")
HEIGHT = Range(
    name="haze_height_m",
    label="height over which haze thins out",
    unit="m",
    low=200,
    high=4000,
    step=100,
    default=HAZE_SCALE_HEIGHT_M,
)
CONTROLS = (DEPTH, KIND, HEIGHT)
SELDOM = (KIND.name, HEIGHT.name)


def haze_of(state):
    """The `Haze` of a state with these controls."""
    return Haze.of_kind(state[DEPTH.name], state[KIND.name])


def in_words(state):
    """The haze as people know it: its depth, and how far a dark hill is seen through it."""
    depth, height = state[DEPTH.name], state[HEIGHT.name]
    if depth == 0:
        return "no haze"
    kind = "" if state[KIND.name] == KIND.default else f"{state[KIND.name]} "
    far = visibility_km(haze_of(state), height)
    return f"{kind}haze {depth:.2f}: you see {far:.0f} km"
