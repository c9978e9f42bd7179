"""The kit's own side of every comparison: one short call each, by the name used in the table."""

from lowsun.proof.measures import air, camera, course, eye, light, rays, sea, twilight
from lowsun.proof.measures.register import MEASURES

__all__ = ["MEASURES", "air", "camera", "course", "eye", "light", "rays", "sea", "twilight"]
