"""What one move costs in the kernel, beside drawing the whole figure; and how fast films are made.

Aim on two cores: twenty frames of film a second, or more, at 1920 x 1080.
"""

from io import BytesIO
from time import perf_counter

from lowsun.stage import Move, Segment, film
from lowsun.stage.canvas import Canvas
from lowsun.stage.live import jpeg
from timing import median_ms, report
from toy_scene import scene


def test_one_update():
    canvas = Canvas(scene)
    result = scene.result()
    sentence = scene.describe(result)
    pixels = canvas.draw(result, sentence)
    update = median_ms(lambda: canvas.draw(result, sentence))
    encoding = median_ms(lambda: jpeg(pixels))
    whole = median_ms(lambda: canvas.figure.savefig(BytesIO(), format="png"))
    report("one live update", draw_ms=update, jpeg_ms=encoding, whole_over_update=whole / update)
    assert pixels.shape == (720, 1280, 4)


def test_film(tmp_path):
    segment = Segment(scene=scene, moves=(Move(values={"centre": 40}, seconds=3),), rest_s=0)
    begins = perf_counter()
    frames = film(segment, tmp_path / "a.mp4", progress=False)
    report("film at 1920 x 1080", frames_per_second=frames / (perf_counter() - begins))
    assert frames == 1 + 90 + 30
