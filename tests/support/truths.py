"""The truth of each question for the state its scene begins with, computed once for all tests."""

from functools import cache

from lowsun.notebook import scene
from lowsun.scenes.questions import question


@cache
def truth(name):
    """The truth of the question of that name."""
    asked = question(name)
    return asked.truth(scene(asked.scene), scene(asked.scene).defaults())
