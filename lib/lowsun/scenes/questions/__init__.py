"""Questions that a learner answers before the scene shows it: those of every notebook."""

from importlib import import_module

from lowsun.errors import InputError, quoted, require_kind
from lowsun.scenes.questions.kinds import Amount, Choose, Question

__all__ = ["Amount", "Choose", "Question", "about", "every", "question"]

# The scenes that each room asks about. A room and its scenes are loaded when they are needed: all
# of them take 40 MB, which a class at one scene does without.
_ROOMS = {
    "start": ("setting_sun",),
    "rims": ("rims",),
    "air": ("any_air", "where_to_stand"),
    "light": ("last_light", "exposure_ladder"),
    "shadow": ("earth_shadow", "shadow_evening"),
    "polar": ("polar_sunset",),
    "plan": ("evening_plan", "which_evenings"),
    "frames": ("caught",),
}


def every():
    """All questions, in the order of the notebooks: a tuple."""
    return tuple(_of(_ROOMS))


def question(name):
    """The question of that name, or an InputError that names those there are."""
    for each in _of(_ROOMS):
        if isinstance(name, str) and each.name == name:
            return each
    known = ", ".join(each.name for each in every())
    raise InputError(f"There is no question {quoted(name)}; choose one of: {known}.")


def about(scene_name):
    """The questions about a scene, in the order in which they are asked; often none."""
    require_kind("scene_name", scene_name, str, "the name of a scene")
    rooms = [room for room, scenes in _ROOMS.items() if scene_name in scenes]
    return tuple(each for each in _of(rooms) if each.scene == scene_name)


def _of(rooms):
    """The questions of rooms, each loaded when it is its turn."""
    for room in rooms:
        yield from import_module(f"{__name__}.{room}").QUESTIONS
