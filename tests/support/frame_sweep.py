"""How well frames of known truth are measured: python tests/support/frame_sweep.py 200

Suns of random shape, light, blur and rims in every kind of file, measured by the kit; the median
and the 90 % error of each measure, and how often the truth lies within two stated errors. A second
number makes the suns so many times as large: `frame_sweep.py 30 5` has discs of 750 to 1300 px.
"""

import sys
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from frame_maker import Truth, write
from lowsun.fieldwork import frames

KINDS = {".dng": "raw", ".tif": "TIFF", ".png": "PNG", ".jpg": "JPEG"}
MEASURES = {
    "axis ratio": ("axis_ratio", None, lambda truth: truth.axis_ratio),
    "upper": ("upper_green_over_red_px", "upper_sigma_px", lambda truth: truth.green_up),
    "lower": ("lower_green_over_red_px", "lower_sigma_px", lambda truth: truth.green_up),
    "width": ("disc_width_px", None, lambda truth: truth.width),
}


@dataclass(frozen=True)
class Result:
    """Absolute errors of a measure and the share of them within two stated errors."""

    errors: np.ndarray
    inside: float

    @property
    def median(self):
        return float(np.median(self.errors))

    @property
    def ninetieth(self):
        return float(np.percentile(self.errors, 90))


def random_truth(seed):
    """A whole sun of 150 to 260 px: not burnt out, its green above a tenth of red."""
    random = np.random.default_rng(seed)
    width = random.uniform(150, 260)
    flat = random.uniform(0.75, 0.98)
    green = random.uniform(0.12, 0.75)
    up = random.uniform(0.0, 2.0)
    red = random.uniform(0.4, 0.85)
    return Truth(
        size=(420, 380),
        centre=(210 + random.uniform(-20, 20), 190 + random.uniform(-20, 20)),
        width=width,
        upper=width / 2 * flat * random.uniform(1.0, 1.03),
        lower=width / 2 * flat * random.uniform(0.93, 1.0),
        light=(red, red * green, red * green * random.uniform(0.05, 0.5)),
        sky=tuple(red * np.array((0.08, 0.06 * green, 0.03 * green)) * random.uniform(0.1, 1.5)),
        green_up=up,
        blue_up=1.7 * up,
        blur=random.uniform(0.7, 2.2),
        darkening=(0.45, 0.6, 0.75) if random.random() < 0.7 else (0.0, 0.0, 0.0),
        noise=random.uniform(0.002, 0.012),
        seed=seed,
    )


def enlarged(truth, times):
    """The same sun seen through a lens so many times as long: all lengths grow, grain does not."""
    if times == 1:
        return truth
    return replace(
        truth,
        size=tuple(times * side for side in truth.size),
        centre=tuple(times * (place + 0.5) - 0.5 for place in truth.centre),
        **{
            name: times * getattr(truth, name)
            for name in ("width", "upper", "lower", "green_up", "blue_up", "blur")
        },
    )


def sweep(suffix, count, folder, first_seed=0, times=1):
    """{measure: `Result`} of so many random suns in one kind of file."""
    errors = {name: [] for name in MEASURES}
    within = {name: [] for name in MEASURES}
    for seed in range(first_seed, first_seed + count):
        truth = enlarged(random_truth(seed), times)
        options = {"quality": 85 + seed % 14, "subsampling": (0, 2)[seed % 2]}
        path = write(Path(folder) / f"{seed}{suffix}", truth, **options)
        ((_, reading),) = frames.readings(path)
        for name, (field, sigma, true) in MEASURES.items():
            value = getattr(reading, field)
            if value is not None:
                errors[name].append(abs(value - true(truth)))
                if sigma:
                    within[name].append(errors[name][-1] <= 2 * getattr(reading, sigma))
        path.unlink()
    return {
        name: Result(np.array(errors[name]), float(np.mean(within[name] or [1])))
        for name in MEASURES
    }


def main(count, times=1):
    for suffix, kind in KINDS.items():
        with tempfile.TemporaryDirectory() as folder:
            for name, result in sweep(suffix, count, folder, times=times).items():
                print(
                    f"{kind:5} {name:10} {result.errors.size:4} measured  median"
                    f" {result.median:.4f}  90 % {result.ninetieth:.4f}  in 2 sigma"
                    f" {result.inside:.2f}"
                )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
