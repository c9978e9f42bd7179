"""The ascents that a scene offers are those their names say: station, date, hour and layers."""

from importlib.resources import files

import numpy as np
import pytest

from lowsun.scenes import named
from lowsun.scenes.catalogue import ASCENTS, BY_SLIDERS

SOUNDINGS = files("lowsun.data") / "soundings"


def air_of(name):
    return named("any_air").result(air=name, inversion_k=0).atmosphere


def igra(hour):
    """Height [m] and temperature [K] of the shipped ascent of an hour, UTC, read by its columns."""
    lines = (SOUNDINGS / "arctic-coast-igra2.txt").read_text(encoding="ascii").splitlines()
    heads = [k for k, line in enumerate(lines) if line.startswith("#")]
    (at,) = [k for k in heads if lines[k].split()[1:5] == ["2010", "06", "01", hour]]
    end = next((k for k in heads if k > at), len(lines))
    levels = [(int(line[16:21]), int(line[22:27])) for line in lines[at + 1 : end]]
    known = [(height, 273.15 + tenths / 10) for height, tenths in levels
             if height > -900 and tenths > -5000]  # fmt: skip
    return np.array(known, dtype=float).T


@pytest.mark.parametrize("hour", ["00", "12"])
def test_the_arctic_ascents_are_those_of_their_hours(hour):
    made, other = (
        air_of(f"Arctic coast, {each} UTC") for each in (hour, {"00": "12"}.get(hour, "00"))
    )
    height, temperature_k = igra(hour)
    shown = (height > 1000) & (height < 9000)  # below, layers are merged

    def off(air):
        return np.abs(
            np.interp(height[shown], air.height_m, air.temperature_k) - temperature_k[shown]
        ).mean()

    assert shown.sum() > 10
    assert off(made) < 0.5
    assert off(other) > 2 * off(made)


@pytest.mark.parametrize(
    ("name", "low_m", "high_m", "rise_k"),
    # As the data's README tells of the files.
    [("sea, thin duct near 920 m", 850, 1351, 9.6), ("sea, smooth inversion", 638, 1507, 8.6)],
)
def test_the_marine_ascents_hold_the_inversion_they_are_named_for(name, low_m, high_m, rise_k):
    air = air_of(name)
    low, high = np.interp([low_m, high_m], air.height_m, air.temperature_k)
    assert high - low == pytest.approx(rise_k, abs=0.5)


def test_the_duct_is_where_its_name_says_and_the_control_has_neither():
    ducts = {name: named("any_air").result(air=name, inversion_k=0).ducts_m for name in ASCENTS}
    assert any(base < 920 < top for base, top in ducts["sea, thin duct near 920 m"])
    assert ducts["no inversion"] == ()
    air = air_of("no inversion")
    low = (air.height_m > 100) & (air.height_m < 3000)
    rises = np.diff(air.temperature_k[low])
    assert rises.max() < 1.0


def test_every_ascent_that_is_offered_is_another_air():
    airs = [air_of(name) for name in (BY_SLIDERS, *ASCENTS)]
    at = np.arange(200.0, 5000.0, 200.0)
    profiles = [np.interp(at, air.height_m, air.temperature_k) for air in airs]
    for k, one in enumerate(profiles):
        assert all(np.abs(one - other).max() > 0.5 for other in profiles[k + 1 :])
