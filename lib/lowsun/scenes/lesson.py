"""A lesson of 45 minutes about a scene: guess, then look, then say why."""

from dataclasses import dataclass

from lowsun.errors import InputError
from lowsun.scenes import questions
from lowsun.words import say, says

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
    return tuple(dict.fromkeys(question.scene for question in questions.every()))


def _opening(scene):
    look = say(
        "Show the scene as it begins and ask: {question} Take answers, judge none.",
        question=say(scene.question),
    )
    read = say("Read the caution aloud. Who looks after the eyes of the others?")
    return Step(_CAUTION_MIN, say("Before anyone aims at the Sun"), read), Step(
        _LOOK_MIN, say("Look"), look
    )


def _parts(scene, asked):
    number = says("the question", "all {number} questions", asked)
    cues = " ".join(map(say, scene.cues[:2]))
    return (
        Step(
            8,
            say("Guess alone"),
            say("Everyone writes a guess to {number} on the sheet, with a reason.", number=number),
        ),
        Step(
            4,
            say("Guess in pairs"),
            say("Neighbours compare and agree. A show of hands for each answer."),
        ),
        Step(
            15,
            say("Try"),
            say("Move one control at a time and read what the scene says. {cues}", cues=cues),
        ),
        Step(
            6,
            say("Why"),
            say("The sketch first, then the formula: which of its letters was moved?"),
        ),
        Step(
            4,
            say("What is left"),
            say("Each names the guess that was furthest off, and what was missing."),
        ),
    )
