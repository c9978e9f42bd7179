"""Every figure in a notebook's prose has an origin: computed here, a control's value, or a source.

An origin that is text names a file of the kit and the words there that bear the figure out.
A figure that no row covers fails, and so does a row whose phrase is gone: prose and numbers change
together. In *How we know* the line itself names the authority that each figure is held against.
"""

import json
import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from lowsun import sky
from lowsun.data import table
from lowsun.fieldwork import camera
from lowsun.phenomena.polar_sunset import shipped_map
from lowsun.physics import soundings
from lowsun.physics.air import refractivity
from lowsun.physics.atmosphere import Atmosphere
from lowsun.physics.extinction import HAZE, Haze, visibility_km
from lowsun.physics.layers import EARTH_RADIUS_M
from lowsun.physics.medium import SEA_ALBEDO
from lowsun.physics.scattering import SUN_ALTITUDE_RANGE_DEG
from lowsun.physics.soundings.levels import NEAREST_LEVELS_M
from lowsun.scenes import named, setting_sun
from lowsun.stage.segment import Segment

ROOT = Path(__file__).parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
FIGURE = re.compile(r"(?<![\w.\-−–])[−\-+]?\d+(?:[  ]\d{3})*(?:[.,]\d+)?")
NO_PROSE = re.compile(
    r"```.*?```|`[^`]*`|\$\$.*?\$\$|\$[^$]*\$|\[\d\d-[\w-]+\]\([^)]*\)|\]\([^)]*\)|\[1\]"
    r"|^\s*\d+\. |^ {4}.*?$",
    re.DOTALL | re.MULTILINE,
)
AUTHORITY = re.compile(
    r"\b(1[89]|20)\d\d\b|pvlib|astropy|Almanac|[Hh]andbook|common practice, no source|ISO \d|"
    r"ASTM|CIE|photons|integration|colour-science|Hipparcos|The kit's own picture|closed form|"
    r"formula|without the kit|scipy|from memory|as published|Jerlov|in the tests|kinds by height|"
    r"values of \d+ sources",  # the table that `python -m lowsun compare` makes, a source a row
    re.IGNORECASE,
)


# --- what stands behind a figure ----------------------------------------------------------------


def can_be_set(scene, **values):
    """The controls of the scene take these values."""
    return lambda: bool(named(scene).check(values))


def code_says(notebook, *pieces):
    """The notebook's own checked cells are about these values."""

    def says():
        cells = json.loads((ROOT / "notebooks" / f"{notebook}.ipynb").read_text())["cells"]
        code = "".join("".join(c["source"]) for c in cells if c["cell_type"] == "code")
        return all(piece in code for piece in pieces)

    return says


def near(value, wanted, off):
    return abs(value - wanted) <= off


def level_curvature(rise_k_per_m):
    """k = -(r / n) dn/dr of a level ray over the sea at 15 degC, 1013 hPa."""
    air = Atmosphere.standard(288.15, 101_300.0)
    up = np.array([0.0, 1.0])
    pressure = np.interp(up, air.height_m, air.pressure_pa)
    n = 1 + refractivity(570.0, 288.15 + rise_k_per_m * up, pressure)
    return -(EARTH_RADIUS_M / n[0]) * (n[1] - n[0])


def rim_share():
    n = refractivity(np.array([400.0, 570.0, 700.0]), 288.15, 101_325.0)
    return near((n[0] - n[2]) / n[1], 0.025, 0.0015)


def rim_growth():
    rims = named("rims")
    at_sea, high = (
        rims.result(lower_limb_deg=altitude).limb_width_arcsec[1] for altitude in (0, 10)
    )
    return near(at_sea / high, 6.0, 1.3)


def duct_heights():
    ((base, top),) = [
        duct for duct in named("any_air").result(air=DUCT, inversion_k=0).ducts_m if duct[0] > 800
    ]
    return 880 < base < 920 < top < 1000


def antarctic(temperature_c):
    return named("polar_sunset").result(
        latitude_deg=-78.6, longitude_deg=-163.8, year=1929, day_of_year=293, ridges_arcmin=3,
        surface_temperature_c=temperature_c, span="a day",
    ).ragged  # fmt: skip


def report(temperature_c, times, minutes, in_all_min):
    def holds():
        green = antarctic(temperature_c)
        return (
            len(green.stretches) == times
            and near(green.on_and_off_s / 60, minutes, 2.0)
            and near(green.total_s / 60, in_all_min, 1.0)
        )

    return holds


def declination_speed():
    pole = sky.Place("", 90.0, 0.0)
    days = [date(2027, 3, 20), date(2027, 3, 21)]
    heights = [
        sky.sun(pole, sky.local_day(day, pole.timezone)[0]).true_altitude_deg for day in days
    ]
    return near(3600 * (heights[1] - heights[0]) / 86_400, 0.0165, 0.0002)


def pole_hours():
    descent = named("polar_sunset").result(
        latitude_deg=90, day_of_year=267, surface_temperature_c=15
    )
    return near(descent.passage.length_s / 3600, 33, 0.6)


def film_of_the_descent():
    path = ROOT / "lib" / "lowsun" / "data" / "polar_descent.toml"
    moves = Segment.load(path).moves
    return near(moves[0].seconds + moves[-1].seconds, 33, 0.5) and near(moves[1].seconds, 10, 0.5)


def last_ray_km(depression_deg):
    return EARTH_RADIUS_M / 1000 * (1 / np.cos(np.radians(depression_deg)) - 1)


ANECDOTE = "notebooks/05-polar-sunset.ipynb::take it as an anecdote"
DUCT = "sea, thin duct near 920 m"
ORIGINS = {
    "00-start-here": {
        "sky club meets, 95 m above": can_be_set("setting_sun", eye_height_m=95),
        "from 95 m to 2 m": can_be_set("setting_sun", eye_height_m=2),
        "5 °C and 10 hPa off": lambda: (setting_sun.UNSURE_K, setting_sun.UNSURE_HPA) == (5, 10),
        "Clock times after 2026 rest on a prediction": "lib/lowsun/sky/ephemeris.py::in 2026",
    },
    "01-dispersion": {
        "from the sea to 20°": can_be_set("rims", lower_limb_deg=20),
        "wavelength to 430 nm": can_be_set("rims", short_nm=430),
        "Between 400 and 700 nm the fraction is 2.5 %": rim_share,
        "grows sixfold from 10° to the sea": rim_growth,
    },
    "02-refraction": {
        "inversion to 0 K. The dashed": can_be_set("any_air", inversion_k=0),
        "inversion to 2.5 K and lower": can_be_set("any_air", inversion_k=2.5),
        "steps from −30′": can_be_set("any_air", sun_true_altitude_arcmin=-30),
        "the Sun at −75′": can_be_set("any_air", sun_true_altitude_arcmin=-75),
        "880 m, 920 m and 1000 m: under, inside and above it": duct_heights,
        "to 0 K: in even air no walk": lambda: (
            not named("where_to_stand").result(inversion_k=0).worth_going
        ),
        "at 15 °C and 1013 hPa. Falling temperature gives 0.17": lambda: near(
            level_curvature(-0.0065), 0.17, 0.005
        ),
        "rises by 0.13 K/m, $k$ is 1": lambda: near(level_curvature(0.13), 1.0, 0.03),
        "merged to 30 m": lambda: NEAREST_LEVELS_M == 30,
    },
    "03-last-light": {
        "run from −60 to +1": can_be_set("last_light", seconds=-60),
        "haze to 0 and look": can_be_set("last_light", haze=0),
        "from 0 through 0.05, a clear evening at sea": lambda: HAZE["clear"].depth_550 == 0.05,
        "to 0.1, the oceans' mean": can_be_set("last_light", haze=0.1),
        "400 mm lens at f/8": code_says("03-last-light", "f_number=8, filter_stops=6"),
        "CIE's 1931 observer": lambda: len(table("cie_1931_2deg")) > 50,
        "haze to 0.2: you still see 18 km": lambda: near(
            visibility_km(Haze.of_kind(0.2, "marine"), 1000.0), 18, 1.0
        ),
    },
    "04-earth-shadow": {
        "sink from 0° to 6°": can_be_set("earth_shadow", depression_deg=6),
        "at 5° and take": can_be_set("earth_shadow", depression_deg=5, no_ozone=True),
        "radius, 6371 km": lambda: near(EARTH_RADIUS_M / 1000, 6371, 0.5),
        "1 km at 1°, 35 km at 6°": lambda: (
            near(last_ray_km(1), 1, 0.05) and near(last_ray_km(6), 35, 0.5)
        ),
        "The Sun 1°, 2° and 4° down": code_says("04-earth-shadow", "in (1, 2, 4)"),
        "with the Sun 10° down": lambda: SUN_ALTITUDE_RANGE_DEG[0] == -10,
        "returns 6 %": lambda: SEA_ALBEDO == 0.06,
        "depression from 0° to 6°": can_be_set("earth_shadow", depression_deg=0),
        "to 3000 m and the Sun 2° up": can_be_set(
            "earth_shadow", eye_height_m=3000, depression_deg=-2
        ),
    },
    "05-polar-sunset": {
        "in 33 hours at a pole": pole_hours,
        "near 89° north": lambda: named("polar_sunset").defaults()["latitude_deg"] == 89,
        "day 79. Then go": can_be_set("polar_sunset", day_of_year=79),
        "day 267 in the north or 81": code_says("05-polar-sunset", "(90, 267), (-90, 81)"),
        "air 30 K colder": can_be_set("polar_sunset", surface_temperature_c=-20 - 30),
        "Raise ridges of 3′": can_be_set("polar_sunset", ridges_arcmin=3),
        # 360 degrees of mean solar time a day.
        "turning, 15″ a second": lambda: 360 * 3600 / 86_400 == 15,
        "0.0165″ a second": declination_speed,
        "every day of 2027": lambda: shipped_map().days[0] == date(2027, 1, 1),
        "60° north and both": code_says("05-polar-sunset", "(60, 79)"),
        # Told of an expedition in 1929; an anecdote, and named so in the text.
        "A report of 35 minutes": ANECDOTE,
        "In October 1929": ANECDOTE,
        "at 78.6° south": ANECDOTE,
        "for 35 minutes over a ragged horizon": ANECDOTE,
        "latitude −78.6, longitude −163.8, year 1929, day 293, ridges of 3′": can_be_set(
            "polar_sunset", latitude_deg=-78.6, longitude_deg=-163.8, year=1929, day_of_year=293
        ),
        "air of −46 °C the green shows three times in about 35 minutes, 12 minutes": report(
            -46, 3, 35, 12
        ),
        "twice in 41 minutes, under 5": report(-44, 2, 41, 4.5),
        "Latitude from 0 to 90": can_be_set("polar_sunset", latitude_deg=90),
        "33 hours in 33 seconds": film_of_the_descent,
    },
    "06-evening-plan": {
        "21 June, and where on 21 December": can_be_set("evening_plan", day=date(2027, 12, 21)),
        "*latitude* to −34.5": can_be_set("evening_plan", latitude_deg=-34.5),
        "2 m instead of 95 m": can_be_set("evening_plan", eye_height_m=2),
        "climb to 1000 m": can_be_set("evening_plan", eye_height_m=1000),
        "fell at 66° north": code_says("06-evening-plan", "(66, 20, 10, 6)"),
        "camp at 89° north": code_says("06-evening-plan", "(89, 0, 2, 9)"),
    },
    "08-teaching": {},  # its minutes are words
    "07-frames": {
        "from 0 outside to 1 on the disc": "notebooks/07-frames.ipynb::and $E$ the light of",
        "at 6° or at 1°": lambda: named("caught").result(frame=1).shot.sun_true_deg > 6,
        "-2 °C and 1030 hPa": code_says("07-frames", "temperature_c=-2, pressure_hpa=1030"),
        "TIFF of 8 and 16 bits": "tests/fieldwork/test_frames_accuracy.py::np.uint16",
        "up to 0.8 px": "lib/lowsun/fieldwork/frames/measuring.py::by up to 0.8 px",
    },
}
# Formulas: the figures between dollar signs.
FORMULAS = {
    ("02-refraction", r"6.1\,\Bigl(0.034"): lambda: all(
        near(level_curvature(rise), 6.1 * (0.034 + rise), 0.02) for rise in (-0.0065, 0.0, 0.1)
    ),
    ("03-last-light", r"\frac{78}{S}"): lambda: camera.SATURATION_LXS == 78,
    ("03-last-light", "q = 0.65"): lambda: camera.LENS_FACTOR == 0.65,
    ("06-evening-plan", r"$206\,p/f$"): lambda: near(
        camera.Camera(1000.0, 8.0, 1.0, (6000, 4000)).arcsec_per_pixel, 0.206, 0.0005
    ),
}


# --- the rules ----------------------------------------------------------------------------------


def prose(path):
    """(section, text) of each Markdown cell's paragraphs and points, lines joined."""
    section = ""
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] != "markdown":
            continue
        for block in re.split(r"\n\s*\n|\n(?=- )|\n(?=\d+\. )|\n(?=## )", "".join(cell["source"])):
            if block.startswith("#"):
                section = block.lstrip("# ").splitlines()[0]
            yield section, NO_PROSE.sub(" ", block)


def joined(text):
    return " ".join(text.split())


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_every_figure_has_its_origin(path):
    unknown = []
    for section, block in prose(path):
        if section == "How we know":
            continue
        left = joined(block)
        for phrase in ORIGINS[path.stem]:
            left = left.replace(joined(NO_PROSE.sub(" ", phrase)), " ")
        unknown += [(figure, left) for figure in FIGURE.findall(left)]
    assert not unknown, unknown


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_no_row_speaks_of_a_phrase_that_is_gone(path):
    text = " ".join(joined(block) for _, block in prose(path))
    for phrase in ORIGINS[path.stem]:
        assert joined(NO_PROSE.sub(" ", phrase)) in text, phrase


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_what_we_know_names_its_authority(path):
    for section, block in prose(path):
        text = joined(block)
        if section == "How we know" and FIGURE.search(text):
            assert AUTHORITY.search(text), text


ROWS = [(name, phrase) for name, rows in ORIGINS.items() for phrase in rows]


@pytest.mark.parametrize(("name", "phrase"), ROWS)
def test_the_origin_bears_the_figure_out(name, phrase):
    origin = ORIGINS[name][phrase]
    if callable(origin):
        assert origin()
    else:
        file, _, words = origin.partition("::")
        assert words in (ROOT / file).read_text(encoding="utf-8")


@pytest.mark.parametrize(("name", "formula"), FORMULAS)
def test_the_figures_of_a_formula_are_the_kits(name, formula):
    text = json.loads((ROOT / "notebooks" / f"{name}.ipynb").read_text(encoding="utf-8"))
    assert any(formula in "".join(cell["source"]) for cell in text["cells"])
    assert FORMULAS[name, formula]()


@pytest.mark.parametrize("page", ["README.md", "notebooks/02-refraction.ipynb"])
def test_as_many_ascents_are_told_as_ship(page):
    # A file of the fixed-width format may hold several.
    folder = Path(soundings.__file__).parents[2] / "data" / "soundings"
    shipped = [each for path in folder.iterdir() if path.suffix != ".md"
               for each in soundings.read(path)]  # fmt: skip
    told = re.findall(r"(\w+)(?: real)?\s+ascents\b", (ROOT / page).read_text(encoding="utf-8"))
    numbers = [word for word in told if word in ("three", "four", "five", "six", "seven")]
    assert numbers
    assert set(numbers) == {("three", "four", "five", "six", "seven")[len(shipped) - 3]}
