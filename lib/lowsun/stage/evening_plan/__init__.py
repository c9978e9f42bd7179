"""The evening plan as files: text, calendar and, for paper, one sheet."""

from lowsun.stage.evening_plan.folder import write

__all__ = ["write"]
