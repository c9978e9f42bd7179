"""The camera: exposure values and the size of the Sun's image."""

from lowsun.fieldwork import camera
from lowsun.proof.measures.register import measure


@measure("exposure value at ISO 100")
def exposure_value(luminance_cd_per_m2):
    return camera.exposure_value(luminance_cd_per_m2)
