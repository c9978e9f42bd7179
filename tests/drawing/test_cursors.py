"""No name is struck through by the line that says where the moment is."""

import numpy as np
import pytest

from lowsun.drawing.look import DARK
from lowsun.scenes import named
from lowsun.stage.canvas import Canvas


@pytest.mark.parametrize(
    ("name", "control", "values"),
    [
        ("last_light", "seconds", np.linspace(-10, 5, 16)),
        ("earth_shadow", "depression_deg", np.linspace(-2, 8, 11)),
        ("shadow_evening", "share_percent", np.linspace(0, 100, 6)),
    ],
)
def test_no_name_is_struck_through(name, control, values):
    scene = named(name)
    canvas = Canvas(scene, DARK, 1280)
    shown = 0
    for value in values:
        result = scene.computed(scene.check({control: float(value)}), 1.0, draft=True)
        canvas.draw(result, scene.describe(result))
        cursor = canvas.picture.now
        at = cursor.get_transform().transform((cursor.get_xdata()[0], 0))[0]
        for text in cursor.axes.texts:
            if text.get_visible() and text.get_text():
                box = text.get_window_extent()
                shown += 1
                assert not box.x0 - 1 < at < box.x1 + 1, (float(value), text.get_text())
                assert box.x0 > cursor.axes.bbox.x0 - 3
                assert box.x1 < cursor.axes.bbox.x1 + 3
    assert shown >= len(values)
