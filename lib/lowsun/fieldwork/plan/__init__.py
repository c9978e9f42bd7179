"""The evening plan: one place, one date, one kit, and everything to be ready for, in numbers."""

from lowsun.fieldwork.plan.airs import Ranges, Spread, air_at, spread
from lowsun.fieldwork.plan.evening_plan import Move, Plan, plan
from lowsun.fieldwork.plan.focus import Candidate, candidates, sharp_beyond_m
from lowsun.fieldwork.plan.framing import Framing, framing_of_horizon
from lowsun.fieldwork.plan.gaps import Evenings, evenings
from lowsun.fieldwork.plan.kit import MOUNT, TRIPOD, Kit
from lowsun.fieldwork.plan.prospects import Worth, haze_of_visibility, worth
from lowsun.fieldwork.plan.timeline import Step, Timeline

__all__ = [
    "MOUNT",
    "TRIPOD",
    "Candidate",
    "Evenings",
    "Framing",
    "Kit",
    "Move",
    "Plan",
    "Ranges",
    "Spread",
    "Step",
    "Timeline",
    "Worth",
    "air_at",
    "candidates",
    "evenings",
    "framing_of_horizon",
    "haze_of_visibility",
    "plan",
    "sharp_beyond_m",
    "spread",
    "worth",
]
