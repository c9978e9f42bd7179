"""One file a notebook: controls, compute, picture, words.

A new scene is one file here, with its `scene`, and one line in NAMES.
"""

from importlib import import_module

from lowsun.errors import InputError, quoted

NAMES = (
    "setting_sun",
    "rims",
    "any_air",
    "where_to_stand",
    "last_light",
    "exposure_ladder",
    "earth_shadow",
    "shadow_evening",
    "polar_sunset",
    "polar_map",
    "evening_plan",
    "caught",
    "which_evenings",
)


def named(name):
    """The scene of that name, or an InputError that names those there are."""
    if not isinstance(name, str) or name not in NAMES:
        raise InputError(f"There is no scene {quoted(name)}; choose one of: {', '.join(NAMES)}.")
    return import_module(f"lowsun.scenes.{name}").scene


def every():
    """All scenes, in the order of the notebooks."""
    return [named(name) for name in NAMES]
