"""What is taken along: the camera, what it stands on, its card and its battery."""

from dataclasses import dataclass

from lowsun.errors import (
    InputError,
    OutOfRangeError,
    keep_number,
    quoted,
    require_kind,
    require_number,
    require_whole,
)
from lowsun.fieldwork.camera import Camera
from lowsun.words import term

TRIPOD, MOUNT = term("tripod"), term("mount")
SUPPORTS = (TRIPOD, MOUNT)
LEAST_BATTERY_SHARE = 0.5  # at -20 degC a lithium-ion cell gives about half; common practice
RANGES = {
    "smallest_f_number": (1, 128, "", "The largest number on the lens."),
    "card_gb": (0.01, 100_000, "GB", "What is free on the card."),
    "frame_mb": (0.1, 2000, "MB", "The size of one raw file."),
    "frames_planned": (1, 1_000_000, "frames", "All bursts together."),
    "battery_minutes": (1, 10_000, "min", "With the rear screen on, at room temperature."),
}


@dataclass(frozen=True)
class Kit:
    """A `Camera` with what decides whether it lasts the evening.

    smallest_f_number: the lens stopped down all the way; support: "tripod", which stands still, or
    "mount", which follows the Sun; card_gb [GB] free; frame_mb [MB] of one raw file;
    frames_planned; battery_minutes [min] with the rear screen on in a warm room.
    """

    camera: Camera
    smallest_f_number: float = 22.0
    support: str = TRIPOD
    card_gb: float = 64.0
    frame_mb: float = 30.0
    frames_planned: int = 600
    battery_minutes: float = 120.0

    def __post_init__(self):
        require_kind("camera", self.camera, Camera, "a Camera (lowsun.fieldwork.camera)")
        for name, (low, high, unit, remedy) in RANGES.items():
            check = require_whole if name == "frames_planned" else require_number
            keep_number(self, name, low, high, unit=unit, remedy=remedy, check=check)
        if not isinstance(self.support, str) or self.support not in SUPPORTS:
            raise InputError(
                f"support is {quoted(self.support)}; give one of {', '.join(SUPPORTS)}."
            )
        if self.smallest_f_number < self.camera.f_number:
            raise OutOfRangeError(
                f"smallest_f_number is {self.smallest_f_number:g}, wider than the f-number in use,"
                f" {self.camera.f_number:g}. Give the largest number on the lens."
            )

    @property
    def frames_held(self):
        """How many raw files the card takes."""
        return int(1000 * self.card_gb / self.frame_mb)

    def battery_minutes_at(self, temperature_c):
        """Minutes the battery lasts at an air temperature [degC].

        Whole at 20 and above, half at -20 and below, on a straight line between: common practice
        with lithium-ion cells, no source.
        temperature_c [degC] -90 to 60. Raises OutOfRangeError outside.
        """
        temperature = require_number("temperature_c", temperature_c, -90, 60, unit="degC")
        warm = min(1.0, max(0.0, (temperature + 20.0) / 40.0))
        return self.battery_minutes * (LEAST_BATTERY_SHARE + (1 - LEAST_BATTERY_SHARE) * warm)
