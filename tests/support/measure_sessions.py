"""Many sessions at once: first pictures, answers while all move, memory of each.

python tests/support/measure_sessions.py [--sessions 30] [--moves 20] [--scene setting_sun]

Every session is a kernel's process with its scene live at 960 px, as a student's page has it. All
start together; once all show their picture, all move at once, each a second after its last answer.
"""

import argparse
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import time

from measure_memory import resident_mb

PAUSE_S = 1.0  # between an answer and the next move of a hand
PROGRAM = """\
import json, sys, time
from lowsun.notebook import live, scene
stage = live(scene({scene!r}), width_px=960)
print(json.dumps("ready"), flush=True)
for line in sys.stdin:
    begins = time.perf_counter()
    stage.set(**json.loads(line))
    print(json.dumps(time.perf_counter() - begins), flush=True)
"""


def main():
    """Start, wait, move, print."""
    options = parser().parse_args()
    sessions = [Session(options.scene) for _ in range(options.sessions)]
    first_s = first_pictures_s(sessions)
    print(
        f"{len(sessions)} sessions of {options.scene}: first pictures after"
        f" {statistics.median(first_s):.0f} s (median), {max(first_s):.0f} s (last)",
        flush=True,
    )
    answers_s = moved(sessions, options.moves)
    memory_mb = [session.resident_mb() for session in sessions]
    print(f"answer while all move: median {statistics.median(answers_s):.2f} s,"
          f" 95 % within {sorted(answers_s)[int(0.95 * len(answers_s))]:.2f} s")  # fmt: skip
    print(f"memory: median {statistics.median(memory_mb):.0f} MB, most {max(memory_mb):.0f} MB")
    for session in sessions:
        session.end()
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    each_s = (used.ru_utime + used.ru_stime) / len(sessions)
    print(f"work of the processor: {each_s:.1f} s a session, start and {options.moves} moves")


def first_pictures_s(sessions):
    """Seconds from the start of each session to its first picture."""
    seen = {}
    while len(seen) < len(sessions):
        for session in sessions:
            if session not in seen and session.answered():
                seen[session] = time.perf_counter() - session.began
        time.sleep(0.02)
    return list(seen.values())


def parser():
    """The options."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--sessions", type=int, default=30)
    asked.add_argument("--moves", type=int, default=20, help="of each session")
    asked.add_argument("--scene", default="setting_sun")
    return asked


def moved(sessions, moves):
    """Seconds from a move to its answer, of every move of every session."""
    chance, answers_s = random.Random(1), []
    due = {session: time.perf_counter() + chance.random() for session in sessions}
    asked, left = {}, dict.fromkeys(sessions, moves)
    while due or asked:
        for session in [one for one, when in due.items() if time.perf_counter() >= when]:
            session.move({"seconds": float(chance.randint(-600, 5))})
            asked[session] = time.perf_counter()
            del due[session]
        for session in [one for one in asked if one.answered()]:
            answers_s.append(time.perf_counter() - asked.pop(session))
            left[session] -= 1
            if left[session] > 0:
                due[session] = time.perf_counter() + PAUSE_S
        time.sleep(0.005)
    return answers_s


class Session:
    """A process with a live scene."""

    def __init__(self, scene):
        self.began = time.perf_counter()
        self._process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM.format(scene=scene)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        os.set_blocking(self._process.stdout.fileno(), False)

    def move(self, values):
        """Move controls."""
        self._process.stdin.write(json.dumps(values).encode() + b"\n")
        self._process.stdin.flush()

    def answered(self):
        """Whether the answer to the last move, or the first picture, is there."""
        return bool(self._process.stdout.read())

    def resident_mb(self):
        """Its resident memory [MB]."""
        return resident_mb(self._process.pid)

    def end(self):
        """End it."""
        self._process.stdin.close()
        self._process.wait(timeout=30)


if __name__ == "__main__":
    main()
