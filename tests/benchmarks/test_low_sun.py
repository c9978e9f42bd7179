"""What a picture of the disc costs beside the transfer curve it is looked up in."""

from lowsun.phenomena import low_sun
from lowsun.physics.atmosphere import Atmosphere
from timing import median_ms, report


def test_picture_of_the_disc():
    air = Atmosphere.standard()
    curve = low_sun.curve_for_picture(air, 95.0)
    frame = low_sun.Frame.around(curve.apparent_at(0.0))
    trace = median_ms(lambda: low_sun.curve_for_picture(air, 95.0))
    light = median_ms(lambda: low_sun.disc_light(curve, 0.0, frame))
    whole = median_ms(lambda: low_sun.picture(curve, 0.0, frame))
    report(
        "disc 400 x 400 x 24 to sRGB",
        picture_ms=whole,
        of_which_light_ms=light,
        picture_over_curve=whole / trace,
    )
    assert low_sun.picture(curve, 0.0, frame).rgb.shape == (400, 400, 3)
