"""The green flash: which kind an air makes, how long green is seen, when, and from where.

`geometry` tells the kinds from the transfer curve, `seen` adds the light, `forecasts` the clock,
`where` the heights.
"""

from lowsun.phenomena.green_flash.forecasts import Forecast, TimedFlash, forecast
from lowsun.phenomena.green_flash.geometry import (
    GREEN_NM,
    INFERIOR,
    MOCK,
    RED_NM,
    RIM,
    SUB_DUCT,
    Flash,
    flashes,
    flashes_between,
)
from lowsun.phenomena.green_flash.seen import (
    FINE,
    QUICK,
    Seen,
    lost_from_depth,
    main_of,
    seen_flashes,
)
from lowsun.phenomena.green_flash.where import LONGEST_ARCSEC, ByEyeHeight, by_eye_height

__all__ = [
    "FINE",
    "GREEN_NM",
    "INFERIOR",
    "LONGEST_ARCSEC",
    "MOCK",
    "QUICK",
    "RED_NM",
    "RIM",
    "SUB_DUCT",
    "ByEyeHeight",
    "Flash",
    "Forecast",
    "Seen",
    "TimedFlash",
    "by_eye_height",
    "flashes",
    "flashes_between",
    "forecast",
    "lost_from_depth",
    "main_of",
    "seen_flashes",
]
