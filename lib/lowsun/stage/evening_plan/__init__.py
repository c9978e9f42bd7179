"""The evening plan as files: text, calendar and, for paper, one sheet."""

from lowsun.stage.evening_plan.folder import write, write_evenings

__all__ = ["write", "write_evenings"]
