"""A lesson of 45 minutes about a scene: guess, then look, then say why."""

from dataclasses import dataclass

from lowsun.errors import InputError
from lowsun.scenes import questions

MINUTES = 45
_CAUTION_MIN, _LOOK_MIN = 3, 5


@dataclass(frozen=True)
class Step:
    """A part of a lesson: how long [min], its name, and what happens in it."""

    minutes: int
    title: str
    words: str


def lesson(scene):
    """The steps of a lesson about a `Scene` that has questions: 45 minutes in all."""
    asked = questions.about(scene.name)
    if not asked:
        raise InputError(
            f"There are no questions about {scene.name}; choose one of:"
            f" {', '.join(with_questions())}."
        )
    return (*_opening(scene), *_parts(scene, len(asked)))


def with_questions():
    """The names of the scenes that have questions, in the order of the notebooks."""
    return tuple(dict.fromkeys(question.scene for question in questions.QUESTIONS))


def _opening(scene):
    look = f"Show the scene as it begins and ask: {scene.question} Take answers, judge none."
    read = "Read the caution aloud. Who looks after the eyes of the others?"
    return Step(_CAUTION_MIN, "Before anyone aims at the Sun", read), Step(_LOOK_MIN, "Look", look)


def _parts(scene, asked):
    number = "the question" if asked == 1 else f"all {asked} questions"
    cues = " ".join(scene.cues[:2])
    return (
        Step(8, "Guess alone", f"Everyone writes a guess to {number} on the sheet, with a reason."),
        Step(4, "Guess in pairs", "Neighbours compare and agree. A show of hands for each answer."),
        Step(15, "Try", f"Move one control at a time and read what the scene says. {cues}"),
        Step(6, "Why", "The sketch first, then the formula: which of its letters was moved?"),
        Step(
            4, "What is left", "Each names the guess that was furthest off, and what was missing."
        ),
    )
