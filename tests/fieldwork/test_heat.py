"""Heat of the Sun's image, against ASTM G173 and the solar constant."""

import numpy as np
import pvlib
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.fieldwork import heat
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import CLEAR_EVENING, HAZE, Haze
from lowsun.physics.medium import Air
from lowsun.physics.rays import transfer_curve

AIR = Atmosphere.standard()
# ASTM G173-03: air mass 1.5 (41.81 deg up), aerosol depth 0.084 at 500 nm, ozone 343.8 DU.
G173_HAZE, G173_UP_DEG, G173_OZONE_DU = Haze(0.084 * 1.1**-1.14, 1.14), 41.81, 343.8


def test_the_lamp_is_the_published_spectrum():
    reference = pvlib.spectrum.get_reference_spectra()["extraterrestrial"]
    nm, lamp = heat._lamp()
    for low, high in ((365, 830), (830, 1500), (1500, 2500)):
        inside = reference.loc[low:high]
        ours = np.trapezoid(np.interp(inside.index, nm, lamp), inside.index)
        # Means over 5 and 50 nm keep the sums but for the ends.
        assert_allclose(ours, np.trapezoid(inside, inside.index), rtol=0.005)


def test_a_high_sun_is_that_of_g173_without_its_water():
    reference = pvlib.spectrum.get_reference_spectra()["direct"]
    visible = np.trapezoid(reference.loc[365:690], reference.loc[365:690].index)
    _nm, _lamp = heat._lamp()
    ours = heat.heat_w_per_m2(Air(AIR, G173_HAZE, G173_OZONE_DU), 0.0, G173_UP_DEG)
    whole = np.trapezoid(reference, reference.index)
    assert pytest.approx(whole, abs=1) == 900  # W/m2, as the standard prints it
    assert 1.0 < ours / whole < 1.2  # water, oxygen and carbon dioxide take a tenth
    assert visible < ours


def test_a_lower_sun_heats_less_and_haze_takes_more_of_it():
    heights = [60.0, 20.0, 5.0, 2.0, 1.0, 0.5, 0.0]
    clear = heat.heat_w_per_m2(AIR, 0.0, heights)
    hazy = heat.heat_w_per_m2(Air(AIR, HAZE["hazy"]), 0.0, heights)
    assert np.all(np.diff(clear) < 0)
    assert np.all(np.diff(hazy / clear) < 0)
    assert heat.heat_w_per_m2(AIR, 0.0, 5.0) == pytest.approx(clear[2])


def test_green_light_alone_would_say_too_little():
    # Infrared comes through where green is lost: judged by its light the low Sun seems harmless.
    low, high = heat.heat_w_per_m2(AIR, 0.0, [0.0, 60.0])
    green = transfer_curve(AIR, 0.0, [0.0, 60.0], 555.0).through(HAZE["very clear"]).transmission()
    assert low / high > 5 * green[0] / green[1]


def test_what_is_below_the_sea_is_no_heat_and_nonsense_is_refused():
    assert heat.heat_w_per_m2(AIR, 2.0, -2.0) == 0
    with pytest.raises(OutOfRangeError, match="apparent_altitude_deg is 95"):
        heat.heat_w_per_m2(AIR, 2.0, 95.0)


@pytest.mark.parametrize("up_deg", [5.0, 1.0])
def test_ozone_takes_what_the_ray_crosses_of_it(up_deg):
    # Against the kit's transmission band by band, which has its own outside values: ozone lies
    # high, so a level ray crosses 12 times its depth and 38 times that of air.
    nm, lamp = heat._lamp()
    seen = (nm >= 400) & (nm <= 800)
    curve = transfer_curve(AIR, 0.0, [up_deg], nm[seen])
    taken = [curve.through(CLEAR_EVENING, dobson).transmission()[:, 0] for dobson in (0.0, 300.0)]
    by_hand = np.trapezoid(lamp[seen] * (taken[0] - taken[1]), nm[seen])
    without, with_ozone = (
        heat.heat_w_per_m2(Air(AIR, ozone_du=dobson), 0.0, up_deg) for dobson in (0.0, 300.0)
    )
    # Ozone takes a little beyond these bands too, and one ray is followed for all of them.
    assert without - with_ozone == pytest.approx(by_hand, rel=0.05)
