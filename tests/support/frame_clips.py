"""How well clips of a setting Sun are read: python tests/support/frame_clips.py 20

The last sliver shrinks behind the sea, turns from orange to green and is gone; the frames that hold
green, by what was drawn, against what the kit says of them, and the end of the green.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np

from frame_maker import Truth, eight_bits, light
from lowsun.fieldwork import frames

PER_S = 10
BEFORE_S, AFTER_S = 1.0, 0.8  # orange before the green, and sky alone after it
LEAST_PX = 1.0  # of the sliver's height that is still drawn as seen


@dataclass(frozen=True)
class Clip:
    """A clip as it is drawn: when its green begins and ends [s], and the rest by chance."""

    seed: int

    @property
    def random(self):
        return np.random.default_rng(self.seed)

    @property
    def green_s(self):
        return float(self.random.uniform(0.8, 2.5))

    @property
    def ends_s(self):
        return BEFORE_S + self.green_s

    def truth(self, seconds):
        """The frame at an instant: the sea rises over the disc at an even pace."""
        random = self.random
        random.uniform()
        wide = random.uniform(180, 320)
        upper = 0.4 * wide
        pace = random.uniform(1.5, 4.0)  # px a second
        red = random.uniform(0.3, 0.7)
        left = pace * (self.ends_s - seconds) + LEAST_PX
        orange = (red, red * random.uniform(0.15, 0.4), 0.03 * red)
        green = (0.12 * red, red * random.uniform(0.25, 0.6), 0.15 * red)
        gone = seconds >= self.ends_s
        share = float(np.clip((seconds - BEFORE_S) / 0.2 + 0.5, 0, 1))
        colour = tuple((1 - share) * o + share * g for o, g in zip(orange, green, strict=True))
        return Truth(
            size=(360, 160),
            centre=(180.0, 90.0 + upper),
            width=wide,
            upper=upper,
            lower=upper,
            light=(0.0, 0.0, 0.0) if gone else colour,
            sky=(0.03, 0.02, 0.012),
            sea_row=90.0 + max(left, 0.0),
            green_up=0.0,
            blue_up=0.0,
            blur=random.uniform(0.8, 1.5),
            noise=random.uniform(0.002, 0.006),
            seed=self.seed * 1000 + round(seconds * PER_S),
        )

    def write(self, path, crf=20):
        """H.264 at ten frames a second, its colours kept in half as cameras do."""
        with av.open(str(path), "w") as out:
            stream = out.add_stream("libx264", rate=PER_S)
            stream.width, stream.height = 360, 160
            stream.pix_fmt, stream.options = "yuv420p", {"crf": str(crf)}
            for number in range(round((self.ends_s + AFTER_S) * PER_S)):
                picture = eight_bits(light(self.truth(number / PER_S)))
                out.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
            out.mux(stream.encode())
        return path


@dataclass(frozen=True)
class Said:
    """Frames that hold green and were named, held in all, named without holding; error of end."""

    named: int
    held: int
    wrong: int
    end_error_s: float


def said(clip, path, crf=20):
    """What the kit says of a clip."""
    found = [(float(name.removeprefix("#t=")), reading.green)
             for name, reading in frames.readings(clip.write(path, crf))]  # fmt: skip
    # While one colour turns into the other, either answer is right.
    held = {at for at, _ in found if BEFORE_S + 0.1 < at < clip.ends_s - 1e-6}
    green = {at for at, is_green in found if is_green}
    wrong = {at for at in green if at < BEFORE_S - 0.1 or at > clip.ends_s - 1e-6}
    end = max(green) + 1 / PER_S if green else np.inf
    return Said(len(green & held), len(held), len(wrong), abs(end - clip.ends_s))


def main(count):
    with tempfile.TemporaryDirectory() as folder:
        for crf in (18, 26):
            every = [said(Clip(seed), Path(folder) / "clip.mp4", crf) for seed in range(count)]
            ends = np.array([each.end_error_s for each in every])
            held = sum(each.held for each in every)
            print(
                f"crf {crf}: {held} frames with green in {count} clips,"
                f" {sum(each.named for each in every) / held:.3f} of them named,"
                f" {sum(each.wrong for each in every)} wrongly; end median {np.median(ends):.2f} s,"
                f" greatest {ends.max():.2f} s, within 0.3 s {np.mean(ends <= 0.3):.2f}"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]))
