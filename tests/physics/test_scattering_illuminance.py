"""Light on level ground: against the twilight table of 1987 and pvlib's clear day."""

import importlib

import numpy as np
import pytest
from numpy.testing import assert_allclose

from lowsun.errors import OutOfRangeError
from lowsun.physics import colour, sunlight
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.colour import colour_matching
from lowsun.physics.extinction import Haze
from lowsun.physics.scattering import (
    WAVELENGTH_NM,
    Air,
    horizontal_illuminance_lx,
    illuminance_parts_lx,
    level_irradiance_ratio,
)
from lowsun.physics.scattering.radiance import sky_ratio

spectrl2 = importlib.import_module("pvlib.spectrum.spectrl2")
AIR = Air()
FINE_NM = np.arange(WAVELENGTH_NM[0], WAVELENGTH_NM[-1] + 1.0)

# Janiczek & DeYoung 1987, USNO Circular 171: log10 E[lx] = sum of L_k (altitude / 90)^k.
TABLE = (
    (5.0, 20.0, (3.05, 13.28, -45.98, 64.33)),
    (-0.8, 5.0, (2.88, 22.26, -207.64, 1034.30)),
    (-5.0, -0.8, (2.88, 21.81, -258.11, -858.36)),
    (-12.0, -5.0, (2.70, 12.17, -431.69, -1899.83)),
)


def published_lx(altitude_deg):
    row = next(row for low, high, row in TABLE if low <= altitude_deg <= high)
    return 10.0 ** np.polynomial.polynomial.polyval(altitude_deg / 90.0, row)


def test_published_rows_are_typed_right():
    # The same circular's values, computed from its formula: 5, 0, -4, -8 deg.
    values = [published_lx(a) for a in (5.0, 0.0, -4.0, -8.0)]
    assert_allclose(values, [4540.0, 759.0, 29.9, 0.348], rtol=2e-3)


@pytest.mark.parametrize(
    ("altitude_deg", "factor"),
    [
        *((a, 1.5) for a in np.arange(5.0, -6.1, -0.5)),
        *((a, 2.0) for a in np.arange(-6.5, -9.1, -0.5)),
    ],
)
def test_twilight_against_the_published_table(altitude_deg, factor):
    """Clear maritime haze, depth 0.07 at 550 nm; the table is for clear skies of no stated haze."""
    ratio = horizontal_illuminance_lx(AIR, altitude_deg) / published_lx(altitude_deg)
    assert 1.0 / factor < ratio < factor


def pvlib_share_of_diffuse(haze, zenith_deg=60.0):
    """Bird & Riordan 1984 as pvlib has it, the same haze, ozone, sea and eye."""
    day = spectrl2.spectrl2(
        apparent_zenith=zenith_deg,
        aoi=zenith_deg,
        surface_tilt=0.0,
        ground_albedo=AIR.sea_albedo,
        surface_pressure=101325.0,
        relative_airmass=1.994,  # Kasten & Young 1989 at 30 deg
        precipitable_water=1.4,
        ozone=0.3,
        aerosol_turbidity_500nm=float(haze.depth(500.0)),
        dayofyear=94,
        scattering_albedo_400nm=0.98,
        wavelength_variation_factor=0.0,
        aerosol_asymmetry_factor=0.75,
    )
    visible = (day["wavelength"] >= 380.0) & (day["wavelength"] <= 780.0)
    wavelength = day["wavelength"][visible]
    eye = colour_matching(wavelength)[:, 1]
    light = {
        kind: np.trapezoid(np.ravel(day[kind])[visible] * eye, wavelength)
        for kind in ("dni", "dhi")
    }
    direct = light["dni"] * np.cos(np.radians(zenith_deg))
    return light["dhi"] / (light["dhi"] + direct)


@pytest.mark.parametrize("depth", [0.0, 0.07, 0.15])
def test_share_of_the_sky_in_daylight_against_pvlib(depth):
    haze = Haze(depth, 1.14)  # the exponent built into Bird & Riordan's model
    direct, diffuse = illuminance_parts_lx(Air(atmosphere=AIR.atmosphere, haze=haze), 30.0)
    # 25 %: two models of the same clear day, theirs flat and with one exponent for molecules.
    assert_allclose(diffuse / (direct + diffuse), pvlib_share_of_diffuse(haze), rtol=0.25)


def test_irradiance_is_the_sky_summed_over_the_hemisphere():
    """Two ways through the tables: all directions looked at, and the solution's own sum."""
    sine, share = np.polynomial.legendre.leggauss(24)
    sine, share = (sine + 1.0) / 2.0, share / 2.0
    azimuth = (np.arange(36) + 0.5) * 5.0
    altitude = np.degrees(np.arcsin(sine))
    for sun_deg in (20.0, -3.0):
        sky = sky_ratio(AIR, sun_deg, altitude[:, None], azimuth, 0.0)
        summed = 2.0 * np.pi * np.einsum("e,eaw->w", share * sine, sky) / azimuth.size
        _, diffuse = level_irradiance_ratio(AIR, sun_deg)
        # 10 %: haze's forward peak is rounded in the sum over orders, and whole in the sky.
        assert_allclose(summed, diffuse, rtol=0.10)


def test_a_bright_surface_brightens_the_sky():
    snow = Air(atmosphere=AIR.atmosphere, sea_albedo=0.8)
    _, over_sea = illuminance_parts_lx(AIR, 10.0)
    _, over_snow = illuminance_parts_lx(snow, 10.0)
    # Each passage between snow and sky returns about albedo x the sky's own, 0.1 to 0.2.
    assert 1.05 < over_snow / over_sea < 1.5


def test_an_atmosphere_alone_is_filled_with_the_stated_haze_and_ozone():
    atmosphere = Atmosphere.standard()
    assert horizontal_illuminance_lx(atmosphere, -3.0) == horizontal_illuminance_lx(
        Air(atmosphere=atmosphere), -3.0
    )


def test_numbers_and_arrays():
    altitude = np.array([[5.0, 0.0], [-3.0, -9.0]])
    many = horizontal_illuminance_lx(AIR, altitude)
    one = [float(horizontal_illuminance_lx(AIR, a)) for a in altitude.ravel()]
    assert_allclose(many.ravel(), one, rtol=1e-6)
    assert np.all(np.diff(horizontal_illuminance_lx(AIR, np.linspace(-10.0, 90.0, 400))) > 0.0)


@pytest.mark.parametrize("sun_deg", [-10.5, 91.0, np.nan])
def test_depths_beyond_the_model_are_refused(sun_deg):
    with pytest.raises(OutOfRangeError, match=r"allowed is -10 to 90 deg.*85 km where the table"):
        horizontal_illuminance_lx(AIR, sun_deg)


def test_haze_and_ozone_outside_their_ranges_are_refused():
    with pytest.raises(OutOfRangeError, match=r"haze depth_550 is 0.8; allowed is 0 to 0.5.*hides"):
        horizontal_illuminance_lx(Air(haze=Haze(0.8)), 0.0)
    with pytest.raises(OutOfRangeError, match="ozone_du is 700 DU; allowed is 0 to 600 DU"):
        Air(ozone_du=700.0)
    with pytest.raises(OutOfRangeError, match=r"sea_albedo is -0\.1; allowed is 0 to 1"):
        Air(sea_albedo=-0.1)


def test_wavelengths_are_close_enough_for_the_luminance_of_daylight():
    # The eye's share of the spectrum above the air, ASTM G173, summed over the model's wavelengths
    # and over every nanometre: 1 %, the accuracy at which the twilight table is compared.
    coarse, fine = (
        colour.luminance(sunlight.irradiance(nm), nm) for nm in (WAVELENGTH_NM, FINE_NM)
    )
    assert coarse == pytest.approx(fine, rel=0.01)
