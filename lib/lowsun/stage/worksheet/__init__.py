"""Worksheets about a scene: one page for students, one with the answers for the teacher."""

from lowsun.stage.worksheet.folder import write

__all__ = ["write"]
