"""A quick self-check: does everything the kit needs stand ready on this machine?"""

import importlib
from time import perf_counter

import av

from lowsun import scenes
from lowsun.drawing.look import DARK
from lowsun.stage.canvas import Canvas
from lowsun.stage.player import jpeg


def add(parser):
    """The command has no options."""
    parser.set_defaults(command=_run)


def _run(options):
    findings = list(check())
    for what, finding, good in findings:
        print(f"{'good' if good else 'FAILED'}  {what}: {finding}")
    return 0 if all(good for _, _, good in findings) else 1


def check():
    """Yield (what, finding, good) for every part: packages, film encoder, and each scene."""
    yield _tried("widgets for notebooks", _widgets)
    yield _tried("H.264 encoder for films", lambda: av.Codec("libx264", "w").long_name)
    for name in scenes.NAMES:
        yield _tried(f"scene {name}", lambda name=name: _drawn(scenes.named(name)))


def _tried(what, find):
    """Whatever fails is the finding: a self-check reports and goes on."""
    try:
        return what, find(), True
    except Exception as failed:
        return what, f"{type(failed).__name__}: {failed}", False


def _widgets():
    packages = ("ipywidgets", "anywidget", "jupyterlab")
    return ", ".join(f"{name} {importlib.import_module(name).__version__}" for name in packages)


def _drawn(scene):
    begins = perf_counter()
    result = scene.result()
    sentence = scene.describe(result)
    jpeg(Canvas(scene, DARK).draw(result, sentence))
    return f"drawn in {perf_counter() - begins:.1f} s: {sentence}"
