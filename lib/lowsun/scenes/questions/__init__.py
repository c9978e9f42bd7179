"""Questions that a learner answers before the scene shows it: those of every notebook."""

from lowsun.errors import InputError, quoted, require_kind
from lowsun.scenes.questions import air, frames, light, plan, polar, rims, shadow, start
from lowsun.scenes.questions.kinds import Amount, Choose, Question

__all__ = ["QUESTIONS", "Amount", "Choose", "Question", "about", "question"]

QUESTIONS = tuple(
    each
    for room in (start, rims, air, light, shadow, polar, plan, frames)
    for each in room.QUESTIONS
)


def question(name):
    """The question of that name, or an InputError that names those there are."""
    for each in QUESTIONS:
        if isinstance(name, str) and each.name == name:
            return each
    known = ", ".join(each.name for each in QUESTIONS)
    raise InputError(f"There is no question {quoted(name)}; choose one of: {known}.")


def about(scene_name):
    """The questions about a scene, in the order in which they are asked; often none."""
    require_kind("scene_name", scene_name, str, "the name of a scene")
    return tuple(each for each in QUESTIONS if each.scene == scene_name)
