"""The kit held against what others publish: every comparison, computed when it is asked for."""

from lowsun.proof.comparing import Comparison, compared, comparisons
from lowsun.proof.outside import Outside, Source, outside_values, sources

__all__ = [
    "Comparison",
    "Outside",
    "Source",
    "compared",
    "comparisons",
    "outside_values",
    "sources",
]
