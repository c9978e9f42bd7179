"""The catalogue of controls: within what the computations take, and once for each quantity."""

import pytest

from lowsun import scenes
from lowsun.fieldwork.camera import RANGES
from lowsun.physics import atmosphere, rays, scattering
from lowsun.physics.extinction import HAZE_SCALE_RANGE_M
from lowsun.physics.medium import OZONE_RANGE_DU
from lowsun.physics.scattering.air import HAZE_DEPTH_RANGE
from lowsun.scenes import catalogue
from lowsun.scenes.controls import Number, SceneError

ZERO_C = 273.15
KINDS = {
    control.name: control for control in vars(catalogue).values() if isinstance(control, Number)
}
KINDS |= {control.name: control for control in catalogue.LAYERS}


@pytest.mark.parametrize(
    ("name", "declared", "factor", "offset"),
    [
        ("eye_height_m", rays.EYE_HEIGHT_RANGE_M, 1, 0),
        ("temperature_c", atmosphere.GROUND_TEMPERATURE_RANGE_K, 1, ZERO_C),
        ("pressure_hpa", atmosphere.GROUND_PRESSURE_RANGE_PA, 100, 0),
        ("lapse_k_per_km", atmosphere.LAPSE_RANGE_K_PER_M, 1e-3, 0),
        ("inversion_k", atmosphere.INVERSION_RANGE_K, 1, 0),
        ("sea_excess_k", atmosphere.SURFACE_EXCESS_RANGE_K, 1, 0),
        ("haze", HAZE_DEPTH_RANGE, 1, 0),
        ("haze_height_m", HAZE_SCALE_RANGE_M, 1, 0),
        ("ozone_du", OZONE_RANGE_DU, 1, 0),
        ("focal_length_mm", RANGES["focal_length_mm"][:2], 1, 0),
        ("f_number", RANGES["f_number"][:2], 1, 0),
        ("pixel_um", RANGES["pixel_um"][:2], 1, 0),
        ("iso", RANGES["iso"][:2], 1, 0),
        ("filter_stops", RANGES["filter_density"][:2], 0.30103, 0),
    ],
)
def test_no_end_of_a_control_is_one_that_its_computation_refuses(name, declared, factor, offset):
    control = KINDS[name]
    assert declared[0] <= control.low * factor + offset
    assert control.high * factor + offset <= declared[1]


def test_the_panorama_and_the_mountain_take_every_eye_that_they_are_given():
    for name in ("earth_shadow", "shadow_evening"):
        eye = scenes.named(name).control("eye_height_m")
        assert eye.high <= scattering.EYE_HEIGHT_RANGE_M[1]


@pytest.mark.parametrize("scene", scenes.every(), ids=lambda scene: scene.name)
def test_a_quantity_has_one_label_and_unit_in_every_scene(scene):
    for control in scene.controls:
        known = KINDS.get(control.name)
        if known is None or (scene.name, control.name) == ("polar_sunset", "inversion_k"):
            continue  # the polar inversion lies on the ground, and says so
        assert control.caption == known.caption
        assert known.low <= control.low < control.high <= known.high


def test_a_control_is_narrowed_and_never_widened():
    eye = catalogue.EYE.narrowed(high=100, default=2)
    assert (eye.low, eye.high, eye.default) == (0, 100, 2)
    with pytest.raises(SceneError, match=r"narrowed to 0 to 30000; it goes from 0 to 20000"):
        catalogue.EYE.narrowed(high=30_000)
    slider = catalogue.EYE.slider(step=5, high=4000)
    assert (slider.name, slider.caption, slider.step) == (eye.name, eye.caption, 5)
