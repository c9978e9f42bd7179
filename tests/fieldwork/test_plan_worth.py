"""Is tonight worth it: flashes by eye height, haze, visibility, ascents."""

from datetime import date
from importlib.resources import files

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun import sky
from lowsun.errors import OutOfRangeError
from lowsun.fieldwork import plan as planning
from lowsun.phenomena import green_flash
from lowsun.phenomena.evening import evening
from lowsun.physics import soundings
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, HAZE_SCALE_HEIGHT_M
from lowsun.scenes import plan_words

LIGHTHOUSE = sky.Place("the lighthouse", 52.1, -10.4, 95.0)
DAY = date(2027, 3, 20)
KNOWN = {"temperature_c": (15, 15), "pressure_hpa": (1013, 1013), "lapse_k_per_km": (6.5, 6.5)}


@pytest.fixture(scope="module")
def tonight():
    return evening(LIGHTHOUSE, DAY, Atmosphere.standard())


def _worth(tonight, sea_k, **more):
    ranges = planning.Ranges(**KNOWN, sea_excess_k=(sea_k, sea_k))
    return planning.worth(tonight.through(HAZE["very clear"]), ranges, count=2, **more)


def test_over_a_warm_sea_the_flash_is_an_inferior_mirages(tonight):
    # Sea warmer than the air, low eye: inferior mirage, 1 to 2 s (Young, published classification).
    found = _worth(tonight, 2.0)
    assert set(found.kind) == {green_flash.INFERIOR}
    assert np.all(found.share == 1)
    assert np.all((found.low_s > 0.5) & (found.high_s < 2.5))


def test_over_a_cold_sea_that_flash_is_gone_from_low_down(tonight):
    found = _worth(tonight, -2.0)
    assert found.share[0] == 0
    assert found.kind[0] == ""
    assert np.isnan(found.low_s[0])


def test_haze_takes_the_flash(tonight):
    seen = _worth(tonight, 0.0).seen_s
    thicker = sorted(seen, key=lambda name: HAZE[name].depth_550)
    lasts = [seen[name] for name in thicker]
    # Geometry gives 1.7 s; light and the eye leave less of it, turbid air nothing.
    assert 1.7 > lasts[0] > 0
    assert lasts == sorted(lasts, reverse=True)
    assert lasts[-1] == 0


def test_the_haze_given_is_told_beside_the_others(tonight):
    own = planning.haze_of_visibility(300.0)
    found = planning.worth(tonight.through(own), planning.Ranges(), count=1)
    assert found.seen_s["the haze given"] >= found.seen_s["very clear"]


def test_visibility_becomes_haze():
    # 3.912 / V less the air's 0.0116 a km: 0.0666 at 50 km, 0.0275 at 100 (reference tables).
    for visibility_km, per_km in ((50.0, 0.0666), (100.0, 0.0275)):
        depth = planning.haze_of_visibility(visibility_km).depth_550
        assert_allclose(depth / (HAZE_SCALE_HEIGHT_M / 1000), per_km, rtol=0, atol=2e-4)
    assert planning.haze_of_visibility(300.0).depth_550 > 0
    with pytest.raises(OutOfRangeError, match="visibility_km is 1 km"):
        planning.haze_of_visibility(1.0)


def test_an_ascents_air_is_varied_by_the_sea_alone():
    path = files("lowsun.data") / "soundings" / "marine-inversion.csv"
    base = soundings.parse(path.read_bytes(), path.name)[0].atmosphere()
    told = planning.spread(LIGHTHOUSE, DAY, planning.Ranges(sea_excess_k=(0, 0)), 2, base=base)
    exact = sky.sunset(LIGHTHOUSE, DAY, base).last_sliver
    assert told.earliest == told.latest == exact
    assert told.varied == ("sea_excess_k",)


def test_processes_find_what_one_thread_finds():
    alone, many = (planning.spread(LIGHTHOUSE, DAY, count=4, workers=workers) for workers in (1, 2))
    assert list(alone.last_sliver) == list(many.last_sliver)


def test_it_is_said_with_its_numbers(tonight):
    from lowsun.fieldwork.camera import Camera

    spread = planning.spread(LIGHTHOUSE, DAY, count=3)
    kit = planning.Kit(Camera(400.0, 5.6, 4.0, (6000, 4000)))
    made = planning.plan(LIGHTHOUSE, DAY, kit=kit, spread=spread)
    told = " ".join(plan_words.flash(made))
    for name, seconds in made.worth.seen_s.items():
        assert (f"{name} {seconds:.1f} s" if seconds else f"{name} not at all") in told
    for eye, share in zip(made.worth.heights_m, made.worth.share, strict=True):
        assert f"{eye:g} m {100 * share:.0f} %" in told
    assert "a spread, not a promise" in told
    assert planning.plan(LIGHTHOUSE, DAY, kit=kit).worth is None


def test_without_a_sunset_there_is_nothing_to_weigh():
    north = evening(sky.Place("camp", 89.0, 0.0), date(2027, 6, 21), Atmosphere.standard())
    assert planning.worth(north, planning.Ranges()) is None
