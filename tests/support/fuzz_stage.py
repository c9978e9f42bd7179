"""The stage and the command line given bad values: what is answered, what is taken for good.

    python tests/support/fuzz_stage.py              both
    python tests/support/fuzz_stage.py --brief      without the options that make good commands
    python tests/support/fuzz_stage.py scene stage  scenes' controls and what a live stage is told
    python tests/support/fuzz_stage.py commands     every option of every command

As `fuzz.py`: a call is good but for one value. On the command line a refusal is exit status 1 with
a sentence, or argparse's 2; each command runs in a folder of its own, and no value names a place
outside it where anything could be written.
"""

import argparse
import io
import os
import shutil
import sys
import tempfile
from collections import Counter
from contextlib import chdir, redirect_stderr, redirect_stdout
from datetime import date
from importlib import import_module
from pathlib import Path

import numpy as np
from PIL import Image

import fuzz
from lowsun import scenes
from lowsun.__main__ import COMMANDS
from lowsun.__main__ import main as command_line
from lowsun.scenes.controls import Choice, Day, File, Switch
from lowsun.stage import live
from lowsun.stage.arguments import number

SHOWN = "rims"  # a scene that is computed in a blink
LONGEST_S = 60  # of a command, of which some compute a whole plan
BAD_TEXTS = {
    "no text": "",
    "blank": " ",
    "nan": "nan",
    "inf": "inf",
    "-inf": "-inf",
    "1e300": "1e300",
    "1e999": "1e999",
    "5000 digits": "9" * 5000,
    "text": "x",
    "long text": "x" * 5000,
    "NUL": "a\0b",
    "no UTF-8": "\udcff",
    "comma": "1,5",
    "0x10": "0x10",
    "no date": "2027-02-30",
    "folder": "pictures",
    "/dev/zero": "/dev/zero",
    "missing": "missing/missing.toml",
    "FIFO": "fifo.toml",
    "empty file": "empty.toml",
    "bytes": "bytes.toml",
    "dash": "-",
    "two dashes": "--",
}
PLAUSIBLE = {"0": "0", "-1": "-1", "2.5": "2.5", "10000000": "10000000"}  # numbers, often good
BASES = {  # a good command line of each command
    "start": ["start", "notebooks"],
    "figures": ["figures", SHOWN],
    "film": ["film", "segment.toml", "film.mp4", "--width-px=320", "--frames-per-second=5"],
    "plan": ["plan", "--date=2027-03-20", "--airs=2"],
    "frames": ["frames", "pictures", "--processes=1"],
    "compare": ["compare", "ozone"],
    "worksheet": ["worksheet", SHOWN],
    "check": ["check"],
}
PAIRS = {"gap": "270", "frame_px": "6000", "evenings": "2027-03-20"}  # the second of two values
MADE = {
    "folder",
    "path",
    "markdown",
    "save_preset",
    "record",
}  # what is written: most names will do
FREE = {"name"}  # any words
GOOD = {  # what looks bad and is good
    ("scene", "two dashes"),  # options end: all scenes
    ("quantity", "two dashes"),  # and all quantities
    ("preset", "empty file"),  # one that changes nothing
    ("frames", "no text"),  # here, where a picture might lie
    ("frames", "folder"),
}
NO_FILE_NAME = {"no text", "long text", "NUL", "FIFO", "/dev/zero", "empty file", "bytes"}


# ---- scenes and the stage


def control_calls():
    """Yield (name, function of one value, whether a value means something there)."""
    for scene in scenes.every():
        for control in scene.controls:
            yield (
                f"{scene.name}.check({control.name})",
                lambda value, scene=scene, control=control: scene.check({control.name: value}),
                lambda value, control=control: fits(control, value),
            )


def fits(control, value):
    """Whether a value means something for a control, judged by its kind alone."""
    if isinstance(control, Choice):
        return type(value) is str and value in control.options
    if isinstance(control, Switch):
        return type(value) is bool
    if isinstance(control, Day):
        return type(value) is date and control.first <= value <= control.last
    if isinstance(control, File):
        return value is None or value == "" if not isinstance(value, np.ndarray) else False
    plain = type(value) in (int, float)
    return plain and control.low <= value <= control.high


def never(value):
    """Nothing of the table means anything there."""
    return False


def stage_calls():
    """As `control_calls`, for a scene's own functions and a live stage's."""
    scene, stage = scenes.named(SHOWN), live(SHOWN, width_px=320)
    first = scene.controls[0]
    yield "Scene.control", scene.control, never
    yield "Scene.check", scene.check, never
    yield "Scene.sentence", lambda value: scene.sentence(**{first.name: value}), _fits(first)
    yield "Scene.load", scene.load, never
    yield "Scene.save(state)", lambda value: scene.save(value, "state.toml"), never
    yield "Scene.save(path)", lambda value: scene.save({}, value), _new_file
    yield "Scene.beside", lambda value: scene.beside(value, Path()), never
    yield "Live.set", lambda value: stage.set(**{first.name: value}), _fits(first)
    yield "Live.move", lambda value: stage.move(**{first.name: value}), _fits(first)
    yield "Live.play(scene)", stage.play, never
    yield "Live.play(state)", lambda value: stage.play(scene, value), _nothing
    yield "Live.follow", stage.follow, _yes_or_no
    yield "Live.in_red", stage.in_red, _yes_or_no
    yield "Live.bring_forward", stage.bring_forward, _names
    yield "Live.hold_still(name)", lambda value: stage.hold_still(value, True), _name
    yield "Live.hold_still(still)", lambda value: stage.hold_still(first.name, value), _yes_or_no


def _fits(control):
    return lambda value: fits(control, value)


def _yes_or_no(value):
    return type(value) is bool


def _name(value):
    return isinstance(value, str)


def _names(value):
    return isinstance(value, list | tuple) and all(isinstance(each, str) for each in value)


def _nothing(value):
    return value is None or (type(value) is dict and not value)


def _new_file(value):
    return isinstance(value, str) and value == "5"


def of_calls(calls):
    """Yield (name, value's name, outcome, whether the value means something there)."""
    for name, function, means in calls:
        for label, value in fuzz.bad_values().items():
            said = fuzz.outcome(lambda f=function, v=value: f(v), {})
            yield name, label, said, _meant(means, value)


def _meant(means, value):
    try:
        return bool(means(value))
    except Exception:  # a hostile value may raise anything when it is looked at
        return False


# ---- the command line


def command_lines(brief):
    """Yield (name, arguments, whether the value means something there)."""
    for command, (module, _) in COMMANDS.items():
        parser = argparse.ArgumentParser()
        import_module(f"lowsun.stage.{module}").add(parser)
        for action in parser._actions:
            for label, text in (BAD_TEXTS | PLAUSIBLE).items():
                meant = may_be(action, label)
                if action.nargs != 0 and not (brief and meant):  # a switch takes none
                    line = with_text(BASES[command], parser, action, text)
                    yield f"{command} {action.dest}={label}", line, meant


def with_text(base, parser, action, text):
    """A good command line with one value in the place of what was there."""
    values = [text, PAIRS[action.dest]] if action.nargs == 2 else [text]
    if action.option_strings and len(values) == 1:
        return [*base, f"{action.option_strings[0]}={text}"]
    if action.option_strings:
        return [*base, action.option_strings[0], *values]
    place = 1 + [each for each in parser._actions if not each.option_strings].index(action)
    return [*base[:place], *values, *base[place + 1 :]]


def may_be(action, label):
    """Whether a text means something for an option, judged by its kind alone."""
    if action.dest in FREE:
        return label not in {"NUL", "no UTF-8", "long text"}
    if action.dest == "folder" and label in {"no text", "folder"}:
        return True  # here, or into one that is there: nothing of it is overwritten
    if action.dest in MADE:
        return label not in NO_FILE_NAME
    if (action.dest, label) in GOOD:
        return True
    return action.type in (int, number) and label in PLAUSIBLE


def of_commands(brief):
    """As `of_calls`, of every option of every command."""
    for name, arguments, meant in command_lines(brief):
        yield name, "", _answered(arguments), meant


def _answered(arguments):
    """How a command ends: answered, accepted, silent, too long, or the name of what escaped."""
    ended = {}
    with tempfile.TemporaryDirectory() as folder, chdir(folder), redirect_stdout(io.StringIO()):
        _files()
        with redirect_stderr(io.StringIO()) as told:
            said = fuzz.outcome(lambda: ended.update(status=_status(arguments)), {}, LONGEST_S)
    if said != "accepted":
        return said
    if ended["status"] == 0:
        return "accepted"
    return "answered" if told.getvalue().strip() else "silent"


def _status(arguments):
    try:
        return command_line(arguments)
    except SystemExit as ended:  # argparse
        return ended.code


def _files():
    """What a user has: a segment, a picture; and what is no good."""
    Path("segment.toml").write_text(f'scene = "{SHOWN}"\nrest_s = 0.2\n', encoding="utf-8")
    Path("empty.toml").touch()
    Path("bytes.toml").write_bytes(bytes(range(256)) * 4)
    os.mkfifo("fifo.toml")
    Path("pictures").mkdir()
    Image.fromarray(np.zeros((40, 60, 3), np.uint8)).save("pictures/dark.png")


# ---- counts


def counted(outcomes, what):
    """Print what escaped or was taken for good, and the counts; returns these."""
    counts = Counter(tried=0, untyped=0, silent=0)
    counts["as if good"] = 0
    for name, label, said, meant in outcomes:
        counts["tried"] += 1
        wrong = {"accepted": "" if meant else "as if good", "answered": "", "silent": "silent"}
        kind = wrong.get(said, "untyped")
        if kind:
            counts[kind] += 1
            print(f"{name}{f': {label}' if label else ''} {said}", flush=True)
    print(f"{what}: {', '.join(f'{count} {kind}' for kind, count in counts.items())}", flush=True)
    return counts


def main(arguments=None):
    """Print what escaped and the counts; the exit status says whether anything did."""
    parser = argparse.ArgumentParser()
    parser.add_argument("parts", nargs="*", default=["scene", "stage", "commands"])
    parser.add_argument("--brief", action="store_true")
    options = parser.parse_args(arguments)
    folder = fuzz.ready()
    every = {
        "scene": lambda: of_calls(control_calls()),
        "stage": lambda: of_calls(stage_calls()),
        "commands": lambda: of_commands(options.brief),
    }
    counts = Counter()
    for part in options.parts:
        counts.update(counted(every[part](), part))
    shutil.rmtree(folder)
    wrong = counts["untyped"] + counts["as if good"] + counts["silent"]
    return 0 if counts["tried"] and not wrong else 1


if __name__ == "__main__":
    sys.exit(main())
