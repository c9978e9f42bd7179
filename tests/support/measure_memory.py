"""Resident memory of a live scene over an evening of moves, each scene in a process of its own.

python tests/support/measure_memory.py [--moves 5000] [scene ...]

Four moves of five are of the scene's first control, at random on its steps; the others are of any
control, to one of a few values each: as people move, who come back to what they know.
"""

import argparse
import gc
import random
import resource
import subprocess
import sys
import time
from datetime import timedelta

from lowsun import scenes
from lowsun.errors import LowsunError
from lowsun.scenes.controls import Choice, Day, Number, Range, Switch
from lowsun.stage import live

FEW = 4  # values of a control that is not the first
SHARES = (0.0, 0.2, 0.4, 1.0)  # of the moves, at which memory is read


def main():
    """One process a scene, one line each."""
    options = parser().parse_args()
    if options.here:
        measure(options.scene[0], options.moves)
        return
    marks = ", ".join(str(round(share * options.moves)) for share in SHARES)
    print(f"scene: resident MB after {marks} moves; ms a move (median)", flush=True)
    for name in options.scene:
        asked = [sys.executable, __file__, "--here", "--moves", str(options.moves), name]
        subprocess.run(asked, check=True)


def parser():
    """The options."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("scene", nargs="*", default=list(scenes.NAMES))
    asked.add_argument("--moves", type=int, default=5000)
    asked.add_argument("--here", action="store_true", help="in this process (for internal use)")
    return asked


def measure(name, moves):
    """Move one scene and print its line."""
    stage, chance = live(scenes.named(name), width_px=960), random.Random(1)
    marks, read, took_ms = [round(share * moves) for share in SHARES], [], []
    for number in range(moves + 1):
        if number in marks:
            gc.collect()
            read.append(resident_mb())
        begins = time.perf_counter()
        move(stage, chance)
        took_ms.append(1000 * (time.perf_counter() - begins))
    kept = " ".join(f"{mb:4.0f}" for mb in read)
    print(f"{name:16s} {kept}   {sorted(took_ms)[len(took_ms) // 2]:.0f} ms", flush=True)


def move(stage, chance):
    """Move a control; what the scene refuses is one more answer."""
    controls = [c for c in stage.scene.controls if not hasattr(c, "suffixes")]
    first = chance.random() < 0.8
    control = controls[0] if first else chance.choice(controls)
    hand = chance if first else random.Random(f"{control.name} {chance.randrange(FEW)}")
    try:
        stage.set(**{control.name: value(control, hand)})
    except LowsunError:
        return


def value(control, chance):
    """A random value of a control."""
    if isinstance(control, Choice):
        return chance.choice(control.options)
    if isinstance(control, Switch):
        return chance.random() < 0.5
    if isinstance(control, Day):
        return control.default + timedelta(days=chance.randrange(365))
    if isinstance(control, Range):
        steps = round((control.high - control.low) / control.step)
        return min(control.low + control.step * chance.randrange(steps + 1), control.high)
    assert isinstance(control, Number)
    return chance.uniform(control.low, control.high)


def resident_mb(process="self"):
    """Resident memory of a process now; this one's peak where /proc is not there [MB]."""
    try:
        with open(f"/proc/{process}/status", encoding="ascii") as status:
            return next(int(line.split()[1]) / 1024 for line in status if line.startswith("VmRSS"))
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
