"""What one move costs in the kernel, beside drawing the whole figure; and how fast films are made.

Aim on two cores: thirty frames of film a second, or more, at 1920 x 1080.
"""

from io import BytesIO
from time import perf_counter

import pytest

from lowsun.scenes import named
from lowsun.stage import Move, Segment, film
from lowsun.stage.canvas import Canvas
from lowsun.stage.player import jpeg
from timing import median_ms, report
from toy_scene import scene


def test_one_update():
    canvas = Canvas(scene)
    result = scene.result()
    sentence = scene.describe(result)
    pixels = canvas.draw(result, sentence)
    update = median_ms(lambda: canvas.draw(result, sentence))
    encoding = median_ms(lambda: jpeg(pixels))
    kept = median_ms(kept_figure(result, sentence))
    whole = median_ms(lambda: canvas.figure.savefig(BytesIO(), format="png"))
    report(
        "one live update",
        draw_ms=update,
        jpeg_ms=encoding,
        kept_figure_over_update=kept / update,
        saved_anew_over_update=whole / update,
    )
    assert pixels.shape == (720, 1280, 4)


def kept_figure(result, sentence):
    """The same update as matplotlib does it: a figure kept, its image given new data, all drawn."""
    canvas = Canvas(scene)
    canvas.picture.show(result, sentence)
    image = canvas.picture.disc.axes.imshow(result.rgb, aspect="auto", extent=(-60, 60, -20, 60))

    def update():
        canvas.picture.show(result, sentence)
        image.set_data(result.rgb)
        canvas.figure.canvas.draw()

    return update


FILMED = {
    "toy": Segment(scene=scene, moves=(Move(values={"centre": 40}, seconds=3),), rest_s=0),
    "setting_sun": Segment(
        scene=named("setting_sun"),
        start={"seconds": -120},
        moves=(Move(values={"seconds": -20}, seconds=3),),
        rest_s=0,
    ),
    "rims": Segment(
        scene=named("rims"), moves=(Move(values={"lower_limb_deg": 1.0}, seconds=3),), rest_s=0
    ),
}


@pytest.mark.parametrize("name", FILMED)
def test_film(name, tmp_path):
    film(FILMED[name], tmp_path / "before.mp4", progress=False)  # tables are made once
    begins = perf_counter()
    frames = film(FILMED[name], tmp_path / "a.mp4", progress=False)
    report(f"film of {name} at 1920 x 1080", frames_per_second=frames / (perf_counter() - begins))
    assert frames == 1 + 90 + 30
