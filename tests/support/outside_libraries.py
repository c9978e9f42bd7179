"""Outside values by other libraries: what `lowsun compare` quotes of them, computed again.

Each function takes what is given in data/outside_values.csv and returns the value of another
library, or a chain of formulas with that library's coefficients. Nothing here imports lowsun.

python tests/support/outside_libraries.py prints every such row anew.
"""

import importlib
from datetime import datetime

import erfa
import numpy as np
import pandas as pd
import pvlib
from astropy import units
from astropy.coordinates import AltAz, EarthLocation, get_body
from astropy.time import Time
from astropy.utils import iers
from pvlib.spectrum import get_reference_spectra
from scipy.integrate import quad

iers.conf.auto_download = False
iers.conf.auto_max_age = None
spectrl2 = importlib.import_module("pvlib.spectrum.spectrl2")  # its function hides its module
LM_PER_W = 683.002
EARTH_KM, OZONE_KM = 6370.0, 22.0  # Bird & Riordan 1984: where the ozone lies
SUN_RADIUS_RAD = np.radians(959.63 / 3600.0)


def sun_altitude_deg(latitude_deg, longitude_deg, utc):
    """SPA, Reda & Andreas 2004; no refraction."""
    return float(_spa(latitude_deg, longitude_deg, utc)["elevation"].iloc[0])


def sun_azimuth_deg(latitude_deg, longitude_deg, utc):
    return float(_spa(latitude_deg, longitude_deg, utc)["azimuth"].iloc[0])


def _spa(latitude_deg, longitude_deg, utc):
    when = pd.DatetimeIndex([pd.Timestamp(utc, tz="UTC")])
    return pvlib.solarposition.spa_python(when, latitude_deg, longitude_deg, delta_t=None)


def sunset_s(latitude_deg, longitude_deg, day):
    """SPA's sunset, the centre at -50'."""
    times = pd.DatetimeIndex([pd.Timestamp(day, tz="UTC")])
    found = pvlib.solarposition.sun_rise_set_transit_spa(
        times, latitude_deg, longitude_deg, delta_t=None
    )["sunset"].iloc[0]
    return (found - times[0]).total_seconds()


def body_altitude_deg(body, latitude_deg, longitude_deg, utc):
    """astropy with its built-in ephemeris, without air."""
    ground = EarthLocation(
        lat=latitude_deg * units.deg, lon=longitude_deg * units.deg, height=2 * units.m
    )
    time = Time(datetime.fromisoformat(utc), scale="utc")
    seen = get_body(body.lower(), time, ground)
    return float(seen.transform_to(AltAz(obstime=time, location=ground)).alt.deg)


def refraction_arcmin(apparent_altitude_deg, temperature_c, pressure_hpa, wavelength_nm):
    """ERFA refco: A tan z + B tan^3 z."""
    a, b = erfa.refco(pressure_hpa, temperature_c, 0.0, wavelength_nm / 1e3)
    tangent = np.tan(np.radians(90.0 - apparent_altitude_deg))
    return float(np.degrees(a * tangent + b * tangent**3) * 60.0)


def sunlight_klx():
    """ASTM G173-03, extraterrestrial, as the eye weighs it."""
    return _luminous(get_reference_spectra()["extraterrestrial"]) / 1e3


def direct_klx_at_air_mass_1_5(**_):
    """ASTM G173-03, direct."""
    return _luminous(get_reference_spectra()["direct"]) / 1e3


def direct_lx_clean(apparent_altitude_deg, ozone_du):
    """Bird & Riordan 1984 without haze, vapour and the gases of the infrared."""
    zenith = 90.0 - apparent_altitude_deg
    day = spectrl2.spectrl2(
        apparent_zenith=zenith,
        aoi=zenith,
        surface_tilt=0.0,
        ground_albedo=0.06,
        surface_pressure=101325.0,
        relative_airmass=kasten_young(apparent_altitude_deg),
        precipitable_water=1e-6,
        ozone=ozone_du / 1e3,
        aerosol_turbidity_500nm=0.0,
        dayofyear=94,
    )
    return _luminous(pd.Series(np.ravel(day["dni"]), day["wavelength"]))


def sky_share(sun_altitude_deg):
    """Bird & Riordan 1984: haze of depth 0.05 at 550 nm, the exponent is the model's own."""
    zenith = 90.0 - sun_altitude_deg
    day = spectrl2.spectrl2(
        apparent_zenith=zenith,
        aoi=zenith,
        surface_tilt=0.0,
        ground_albedo=0.06,
        surface_pressure=101325.0,
        relative_airmass=kasten_young(sun_altitude_deg),
        precipitable_water=1.4,
        ozone=0.3,
        aerosol_turbidity_500nm=0.05 * (550.0 / 500.0) ** 1.14,
        dayofyear=94,
        scattering_albedo_400nm=0.997,
        wavelength_variation_factor=0.0,
        aerosol_asymmetry_factor=0.772,
    )
    direct, diffuse = (
        _luminous(pd.Series(np.ravel(day[kind]), day["wavelength"])) for kind in ("dni", "dhi")
    )
    return diffuse / (diffuse + direct * np.cos(np.radians(zenith)))


def disc_luminance(apparent_altitude_deg, haze_depth_550nm):
    """Centre of the disc: G173's sunlight over the disc, its limb darkening, and a chain of losses.

    Kasten & Young's air mass, Bird & Riordan's ozone, haze thinning out over 1 km (Chapman).
    """
    return _disc_luminance(apparent_altitude_deg, haze_depth_550nm, lambda wavelength: 1.0)


def rim_luminance(apparent_altitude_deg, haze_depth_550nm):
    """The upper limb where the image at 630 nm just ends: what shorter waves still show there.

    Refraction by Bennett 1982, its share for each wavelength by Peck & Reeder 1972.
    """
    refraction = bennett_arcmin(apparent_altitude_deg)
    spread = peck_reeder(np.array([630.0, 570.0]))

    def brightness(wavelength):
        inside = refraction * (peck_reeder(wavelength) - spread[0]) / spread[1]
        inside_rad = np.radians(np.maximum(inside, 0.0) / 60.0)
        mu = np.sqrt(np.maximum(1.0 - (1.0 - inside_rad / SUN_RADIUS_RAD) ** 2, 0.0))
        return np.where(inside_rad > 0, neckel_labs(mu, wavelength), 0.0)

    return _disc_luminance(apparent_altitude_deg, haze_depth_550nm, brightness)


def _disc_luminance(apparent_altitude_deg, haze_depth_550nm, brightness):
    standard = get_reference_spectra()["extraterrestrial"].loc[380.0:780.0]
    wavelength = standard.index.to_numpy()
    ozone = np.interp(
        wavelength,
        spectrl2._SPECTRL2_COEFFS["wavelength"],
        spectrl2._SPECTRL2_COEFFS["ozone_absorption"],
    )
    micron = wavelength / 1e3
    rayleigh = 1.0 / (micron**4 * (115.6406 - 1.335 / micron**2))  # Bird & Riordan 1984, eq. 2-4
    depth = rayleigh * kasten_young(apparent_altitude_deg)
    depth = depth + 0.3 * ozone * layer_mass(apparent_altitude_deg)
    haze = haze_depth_550nm * (wavelength / 550.0) ** -0.8
    depth = depth + haze * chapman(apparent_altitude_deg, 1.0)
    centre = standard.to_numpy() / (np.pi * SUN_RADIUS_RAD**2 * mean_to_centre(wavelength))
    return _luminous(pd.Series(centre * np.exp(-depth) * brightness(wavelength), wavelength))


def kasten_young(apparent_altitude_deg):
    """Kasten & Young 1989, Applied Optics 28, 4735."""
    sine = np.sin(np.radians(apparent_altitude_deg))
    return 1.0 / (sine + 0.50572 * (apparent_altitude_deg + 6.07995) ** -1.6364)


def layer_mass(apparent_altitude_deg):
    """Air mass of the ozone's layer in straight light, Bird & Riordan 1984, eq. 2-11."""
    cosine = np.sin(np.radians(apparent_altitude_deg))
    return (1.0 + OZONE_KM / EARTH_KM) / np.sqrt(cosine**2 + 2.0 * OZONE_KM / EARTH_KM)


def chapman(apparent_altitude_deg, scale_km):
    """Air mass of what thins out by e every scale height, on a ray as curved as 0.17 of the Earth.

    The curvature stands for an Earth of 6370 / (1 - 0.17) km in straight light.
    """
    radius, sine = EARTH_KM / (1.0 - 0.17), np.sin(np.radians(apparent_altitude_deg))

    def thinned(way_km):
        height = np.sqrt(radius**2 + way_km**2 + 2.0 * radius * way_km * sine) - radius
        return np.exp(-height / scale_km) / scale_km

    return quad(thinned, 0.0, 600.0, limit=400)[0]


def bennett_arcmin(apparent_altitude_deg):
    """Bennett 1982, J. Navigation 35, 255: 10 degC, 1010 hPa; turned to 15 degC, 1013.25 hPa."""
    angle = np.radians(apparent_altitude_deg + 7.31 / (apparent_altitude_deg + 4.4))
    return 1013.25 / 1010.0 * 283.0 / 288.15 / np.tan(angle)


def peck_reeder(wavelength_nm):
    """Peck & Reeder 1972, J. Opt. Soc. Am. 62, 958: (n - 1) 1e8 of standard air."""
    sigma2 = (1e3 / np.asarray(wavelength_nm)) ** 2
    return 8060.51 + 2480990.0 / (132.274 - sigma2) + 17455.7 / (39.32957 - sigma2)


# Neckel & Labs 1994, Solar Physics 153, 91: wavelength [nm] and A0 to A5.
NECKEL_LABS = np.array(
    [
        [401.970, 0.12323, 1.08648, -0.43974, 0.45912, -0.32759, 0.09850],
        [445.125, 0.15248, 1.38517, -1.49615, 1.99886, -1.48155, 0.44119],
        [492.905, 0.20924, 1.30798, -1.20411, 1.21505, -0.67196, 0.14381],
        [519.930, 0.23695, 1.29927, -1.28034, 1.37760, -0.85054, 0.21706],
        [559.950, 0.26892, 1.34319, -1.58427, 1.91271, -1.31350, 0.37295],
        [610.975, 0.30854, 1.36620, -1.83572, 2.33221, -1.63082, 0.45959],
        [640.970, 0.33644, 1.30590, -1.79238, 2.45040, -1.89979, 0.59943],
        [700.875, 0.37885, 1.25553, -1.70908, 2.19647, -1.59554, 0.47378],
    ]
)


def neckel_labs(mu, wavelength_nm):
    """Brightness of the disc over that of its centre."""
    powers = [np.interp(wavelength_nm, NECKEL_LABS[:, 0], row) for row in NECKEL_LABS[:, 1:].T]
    return sum(a * mu**k for k, a in enumerate(powers))


def mean_to_centre(wavelength_nm):
    powers = [np.interp(wavelength_nm, NECKEL_LABS[:, 0], row) for row in NECKEL_LABS[:, 1:].T]
    return sum(2.0 * a / (k + 2.0) for k, a in enumerate(powers))


def _luminous(spectrum):
    """Illuminance or luminance of a spectrum [per nm]: the eye's curve is CIE 1931's."""
    import colour

    seen = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    eye = np.interp(spectrum.index.to_numpy(), seen.wavelengths, seen.values[:, 1], 0.0, 0.0)
    return float(LM_PER_W * np.trapezoid(spectrum.to_numpy() * eye, spectrum.index.to_numpy()))


def of(measure, given):
    """The outside value of a row."""
    return globals()[measure](**given)
