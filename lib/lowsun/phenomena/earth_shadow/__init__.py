"""The Earth's shadow on its own air, the dark segment, and the pink arch above it.

`panorama` shows them, `seen` measures them on the sky's own radiance, `course` follows them as the
Sun sinks, `watch` brings that to the clock of a place, and `geometry` is the shadow as it would be
in straight light on air that sends none of its own.
"""

from lowsun.phenomena.earth_shadow.courses import Course, course
from lowsun.phenomena.earth_shadow.geometry import (
    MOUNTAIN_RANGE_M,
    MountainShadow,
    SideView,
    geometric_edge_deg,
    mountain_shadow,
    shadow_height_m,
    side_view,
)
from lowsun.phenomena.earth_shadow.panoramas import Panorama, panorama
from lowsun.phenomena.earth_shadow.sights import SeenShadow, seen
from lowsun.phenomena.earth_shadow.watches import Watch, watch

__all__ = [
    "MOUNTAIN_RANGE_M",
    "Course",
    "MountainShadow",
    "Panorama",
    "SeenShadow",
    "SideView",
    "Watch",
    "course",
    "geometric_edge_deg",
    "mountain_shadow",
    "panorama",
    "seen",
    "shadow_height_m",
    "side_view",
    "watch",
]
