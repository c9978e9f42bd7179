"""python -m lowsun film: a segment, or a sequence of shots, as a film."""

import argparse
from concurrent.futures import ProcessPoolExecutor
from contextlib import nullcontext
from multiprocessing import get_context
from pathlib import Path

from lowsun import files, scenes
from lowsun.drawing.look import LOOKS
from lowsun.errors import InputError, require_whole
from lowsun.stage import sequence
from lowsun.stage.arguments import number
from lowsun.stage.montage import montage
from lowsun.stage.page import SIZES
from lowsun.stage.recorder import film, require_film
from lowsun.stage.segment import FRAMES_PER_SECOND, Segment
from lowsun.stage.takes import next_take

EXAMPLE = """\
A complete example (save it as last-light.toml, then: python -m lowsun film last-light.toml a.mp4):

  title = "Why the last light is green"
  sources = ["Young, Kattawar & Parviainen 1997, Applied Optics 36, 2689"]
  # sound = "voice.wav"     WAV or FLAC beside this file, laid under
  # pace = "sound"          its length sets the pace

  [[shot]]
  card = "Which goes last, red or blue?"
  text = "Guess before you look."
  seconds = 4

  [[shot]]
  scene = "setting_sun"
  fade_s = 1                # a cross-fade; 0 is a cut
  start = { seconds = -200 }
  rest_s = 2                # a pause before the first move
  move = [
    { values = { seconds = -10 }, seconds = 12, rest_s = 2, mark = "low" },
    { values = { haze = "none" }, seconds = 1, rest_s = 3, mark = "clear" },
  ]

  [[shot]]
  scene = "last_light"
  start = { seconds = -5 }
  move = [{ values = { seconds = 1 }, seconds = 10, rest_s = 3, mark = "gone" }]

  [[caption]]
  at = "low"                # a mark stands where its move arrives
  text = "Without air it has set."
  seconds = 3

  [[caption]]
  at = "clear"
  text = "No haze: the colours stay."
  seconds = 3

A title card and an end card with the sources, and the caution where a scene shows aiming at the
Sun, are added (cards = false leaves them out). Beside the film come captions (.vtt), a poster
(.png) and a description (.txt). A film that was stopped goes on where it was: give the same
command again. A file of one scene holds scene, start, rest_s and [[move]] tables alone.

Scenes and their controls:
"""


def add(parser):
    """Add the command's options to its parser."""
    parser.epilog = EXAMPLE + _scenes()
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("segment", type=Path, help="a TOML file: a scene and its moves, or shots")
    parser.add_argument("path", type=Path, help="the film to write: .mp4 or .mkv")
    parser.add_argument("--frames-per-second", type=number, default=30)
    parser.add_argument("--width-px", type=number, help="one scene: 16:9; 1920")
    parser.add_argument("--size", choices=list(SIZES), help="shots: 1920x1080")
    parser.add_argument("--workers", type=int, default=1, help="processes that render shots: 1")
    parser.add_argument("--look", choices=list(LOOKS), default="dark")
    parser.add_argument("--overwrite", action="store_true", help="replace what is there")
    parser.add_argument("--take", action="store_true", help="number the film: a-1.mp4, a-2.mp4")
    parser.set_defaults(command=_film)


def _scenes():
    lines = []
    for scene in scenes.every():
        lines.append(f"  {scene.name}")
        lines += [f"    {control.name}: {_allowed(control)}" for control in scene.controls]
    return "\n".join(lines)


def _allowed(control):
    if hasattr(control, "options"):
        return ", ".join(f'"{option}"' for option in control.options)
    if hasattr(control, "suffixes"):
        return f"a file ending in {', '.join(control.suffixes)}"
    low, high = control.ends
    if isinstance(low, bool):
        return "true or false"
    return f"{low:g} to {high:g}" if isinstance(low, float) else f"{low} to {high}"


def _film(options):
    path = next_take(options.path) if options.take else options.path
    if "shot" in files.toml(options.segment):
        return _sequence(options, path)
    if options.size is not None:
        raise InputError("This is a film of one scene: give --width-px instead of --size.")
    segment = Segment.load(options.segment)
    frames = segment.frames(options.frames_per_second)
    print(f"{path}: {frames} frames for {segment.length_s:g} s", flush=True)
    film(
        segment,
        path,
        frames_per_second=options.frames_per_second,
        width_px=1920 if options.width_px is None else options.width_px,
        look=LOOKS[options.look],
        overwrite=options.overwrite,
    )
    return 0


def _sequence(options, path):
    rate = require_whole("frames_per_second", options.frames_per_second, *FRAMES_PER_SECOND)
    if options.width_px is not None:
        raise InputError("This is a film of shots: give --size instead of --width-px.")
    shots = sequence.load(options.segment)
    require_film(path, options.overwrite)
    print(f"{path}: {shots.frames(rate)} frames for {shots.length_s:.1f} s", flush=True)
    with _executor(require_whole("workers", options.workers, 1, 256)) as executor:
        montage(
            shots, path, SIZES[options.size or "1920x1080"], rate, options.look,
            overwrite=options.overwrite, executor=executor,
        )  # fmt: skip
    return 0


def _executor(workers):
    if workers == 1:
        return nullcontext()
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
