"""Frames that hold green light of the Sun, frames that do not, and what is taken for it.

Each maker takes a seed and gives a `Truth`; python tests/support/frame_decoys.py 40 counts what the
kit says of so many of each.
"""

import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter

from frame_maker import Truth, write
from lowsun.fieldwork import frames


def sunset(seed):
    """An ordinary sunset: from yellow to deep red, rims too narrow to show."""
    random = np.random.default_rng(seed)
    width = random.uniform(110, 240)
    flat = random.uniform(0.72, 0.98)
    green = random.uniform(0.05, 0.85)
    red = random.uniform(0.35, 0.9)
    up = random.uniform(0, 0.25)
    haze = random.uniform(0.3, 2.5)
    return Truth(
        size=(400, 320),
        centre=(200 + random.uniform(-30, 30), 150 + random.uniform(-25, 10)),
        width=width,
        upper=width / 2 * flat,
        lower=width / 2 * flat * random.uniform(0.92, 1.0),
        light=(red, red * green, red * green * random.uniform(0.05, 0.6)),
        sky=tuple(haze * red * np.array((0.06, 0.06 * green**0.7, 0.04 * green))),
        green_up=up,
        blue_up=1.6 * up,
        blur=random.uniform(0.7, 2.2),
        noise=random.uniform(0.002, 0.012),
        sea_row=None if random.random() < 0.6 else 150 + random.uniform(10, 50),
        roll_deg=random.uniform(-2, 2),
        seed=seed,
    )


def rim(seed):
    """A green rim of one and a half to four pixels on a yellow to orange Sun."""
    random = np.random.default_rng(seed + 1)
    truth = sunset(seed)
    green = random.uniform(0.45, 0.9)
    red = truth.light[0]
    up = random.uniform(1.6, 4.0)
    return replace(
        truth,
        light=(red, red * green, red * green * 0.3),
        sky=tuple(red * np.array((0.05, 0.05 * green, 0.03))),
        green_up=up,
        blue_up=1.4 * up,
        blur=random.uniform(0.7, 1.5),
    )


def sliver(seed):
    """The last of the disc on the sea, all green."""
    random = np.random.default_rng(seed + 2)
    truth = sunset(seed)
    left = random.uniform(4, 0.12 * truth.width)
    return replace(
        truth,
        light=(0.1 * random.uniform(0.2, 1.5), 0.4, 0.15),
        sky=(0.03, 0.02, 0.012),
        sea_row=truth.centre[1] - truth.upper + left,
        roll_deg=random.uniform(-1, 1),
        green_up=0.0,
        blue_up=0.0,
    )


def piece(seed):
    """A flat green piece that floats above the limb."""
    random = np.random.default_rng(seed + 3)
    truth = sunset(seed)
    high = random.uniform(4, 8)
    wide = truth.width * random.uniform(0.2, 0.5)
    red = truth.light[0]
    return replace(
        truth,
        flash=(wide, high, random.uniform(3, 12)),
        flash_light=(0.05 * red, red * random.uniform(0.3, 0.9), 0.3 * red),
    )


def _spot(picture, column, row, sigma_px, colour):
    down, across = np.mgrid[: picture.shape[0], : picture.shape[1]]
    bell = np.exp(-0.5 * ((across - column) ** 2 + (down - row) ** 2) / sigma_px**2)
    return picture + bell[..., None] * np.array(colour)


def ghost(seed):
    """A green ghost of the lens opposite the Sun, or close above it."""
    random = np.random.default_rng(seed + 4)
    truth = sunset(seed)
    close = random.random() < 0.5
    size = random.uniform(3, 15)
    column = truth.centre[0] + random.uniform(-20, 20)
    row = truth.centre[1] - truth.upper - random.uniform(1, 3) * size - 4
    if not close:
        column, row = truth.size[0] - truth.centre[0] - 90, truth.size[1] - 30
    colour = (0.01, random.uniform(0.1, 0.5), 0.08)
    return replace(truth, extra=(lambda p, t: _spot(p, column, row, size, colour),))


def boat_lights(seed):
    """A green and a red light near the horizon."""
    random = np.random.default_rng(seed + 5)
    truth = replace(sunset(seed), sea_row=195.0, roll_deg=0.0)
    places = random.uniform((10, 190), (390, 196), (3, 2))

    def draw(picture, truth):
        for column, row in places:
            picture = _spot(picture, column, row, random.uniform(0.8, 1.6), (0.02, 0.8, 0.3))
        return _spot(picture, places[0, 0] + 9, 193, 1.0, (0.8, 0.02, 0.02))

    return replace(truth, extra=(draw,))


def meadow(seed):
    """A green meadow below, its edge across the disc."""
    random = np.random.default_rng(seed + 6)
    truth = sunset(seed)
    edge = truth.centre[1] + random.uniform(-0.3, 0.9) * truth.lower
    light = random.uniform(0.02, 0.2)

    def draw(picture, truth):
        down = np.arange(picture.shape[0])[:, None, None]
        grass = light * np.array((0.45, 1.0, 0.2))
        return np.where(down > edge, grass, picture)

    return replace(truth, sea_row=None, extra=(draw,))


def window(seed):
    """Panes lit green beside or above the Sun."""
    random = np.random.default_rng(seed + 7)
    truth = sunset(seed)
    left, top = random.uniform(0, 330), random.uniform(0, 40)

    def draw(picture, truth):
        picture = picture.copy()
        for pane in range(3):
            column = int(left) + 22 * pane
            picture[int(top) : int(top) + 24, column : column + 16] = (0.05, 0.35, 0.12)
        return picture

    return replace(truth, extra=(draw,))


def white_balance(seed):
    """A camera set so that all is greenish."""
    random = np.random.default_rng(seed + 8)
    truth = sunset(seed)
    tint = np.array((random.uniform(0.45, 0.7), random.uniform(1.1, 1.4), 0.8))
    green = random.uniform(0.6, 0.9)
    red = min(truth.light[0], 0.6)
    return replace(
        truth,
        light=tuple(tint * (red, red * green, 0.3 * red)),
        sky=tuple(tint * np.array((0.05, 0.05 * green, 0.03))),
    )


def lens_colour(seed):
    """Lateral colour of a lens, the Sun away from the middle."""
    random = np.random.default_rng(seed + 9)
    truth = replace(sunset(seed), sea_row=None)
    side = random.choice((-1, 1))
    width = min(truth.width, 140)
    green = random.uniform(0.5, 0.85)
    red = truth.light[0]
    return replace(
        truth,
        width=width,
        upper=0.46 * width,
        lower=0.44 * width,
        centre=(200 + side * random.uniform(70, 110), 110.0),
        lens=(0.012, 0.018),
        light=(red, red * green, red * green * 0.3),
        green_up=0.0,
        blue_up=0.0,
    )


def birds(seed):
    """Dark birds on and beside the limb."""
    random = np.random.default_rng(seed + 10)
    truth = sunset(seed)

    def draw(picture, truth):
        picture = picture.copy()
        for _ in range(6):
            angle = random.uniform(-1.3, 1.3)
            column = truth.centre[0] + truth.width / 2 * np.sin(angle)
            row = truth.centre[1] - truth.upper * np.cos(angle)
            down, across = np.mgrid[: picture.shape[0], : picture.shape[1]]
            wing = (((across - column) / 7) ** 2 + ((down - row) / 2) ** 2) < 1
            picture[wing] = (0.01, 0.01, 0.01)
        return picture

    return replace(truth, extra=(draw,))


def mast(seed):
    """A mast across the disc."""
    random = np.random.default_rng(seed + 11)
    truth = sunset(seed)
    column = int(truth.centre[0] + random.uniform(-0.4, 0.4) * truth.width)
    wide = int(random.integers(2, 7))

    def draw(picture, truth):
        picture = picture.copy()
        picture[:, column : column + wide] = 0.01
        return picture

    return replace(truth, extra=(draw,))


def clouds(seed):
    """Bands of cloud across the disc and its upper limb."""
    random = np.random.default_rng(seed + 12)
    truth = sunset(seed)
    rows, columns = truth.size[1], truth.size[0]
    veil = gaussian_filter(random.standard_normal((rows, columns)), (6, 60))
    veil = np.clip(0.5 + veil / veil.std() / 2, 0, 1)
    reach = random.uniform(0.3, 0.9)
    through = 1 - reach * veil[..., None]
    return replace(truth, extra=(lambda p, t: p * through + 0.02 * (1 - through) * (1, 0.7, 0.5),))


GREEN = (rim, sliver, piece)
DECOYS = (ghost, boat_lights, meadow, window, white_balance, lens_colour, birds, mast, clouds)


def said(maker, count, folder, suffixes=(".png", ".jpg", ".tif"), first_seed=0):
    """What the kit says of so many frames: their readings."""
    found = []
    for seed in range(first_seed, first_seed + count):
        path = Path(folder) / f"{maker.__name__}-{seed}{suffixes[seed % len(suffixes)]}"
        write(path, maker(seed), subsampling=(0, 2)[seed % 2])
        ((_, reading),) = frames.readings(path)
        found.append((path.name, reading))
        path.unlink()
    return found


def main(count):
    with tempfile.TemporaryDirectory() as folder:
        for maker in (*GREEN, sunset, *DECOYS):
            found = said(maker, count, folder)
            green = [(name, reading.kind) for name, reading in found if reading.green]
            unclear = sum(reading.green is None for _, reading in found)
            print(f"{maker.__name__:14} green {len(green):3} of {count}, not told {unclear}")
            wrong = green if maker not in GREEN else [
                (name, reading.reason) for name, reading in found if not reading.green
            ]  # fmt: skip
            for name, why in wrong[:6]:
                print(f"    {name} {why}")


if __name__ == "__main__":
    main(int(sys.argv[1]))
