"""Ascents from public radiosonde archives: what they hold, and what is made of them.

Outside values: the header lines of the three station 72293 files state the layers; the pressures
were measured by the sonde or worked out by the weather service. Both are independent of the kit.
"""

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

import lowsun
from lowsun.physics import air, soundings
from lowsun.physics.atmosphere import STANDARD_TEMPERATURES_K

REAL = Path(lowsun.__file__).parent / "data" / "soundings"
HEAD = "pressure_hpa,height_m,temperature_c\n"


def only(name):
    (sounding,) = soundings.read(REAL / name)
    return sounding


def parsed(rows, head=HEAD):
    (sounding,) = soundings.parse(head + "\n".join(rows), "rows.csv")
    return sounding


def standard_rows(heights, change_k=lambda h: 0.0):
    """US Standard Atmosphere 1976 rows below 11 km, with a change of temperature."""
    return [
        f"{1013.25 * (1 - 0.0065 * h / 288.15) ** 5.25588:.3f},{h},"
        f"{15 - 0.0065 * h + change_k(h):.3f}"
        for h in heights
    ]


@pytest.mark.parametrize(
    ("name", "base_m", "top_m", "strength_k"),
    [("marine-duct.csv", 850, 1351, 9.6), ("marine-inversion.csv", 638, 1507, 8.6)],
)
def test_inversion_is_the_one_the_file_states(name, base_m, top_m, strength_k):
    (inversion,) = only(name).report.inversions
    # geopotential in the header, geometric here: 0.4 m apart at 1.5 km
    assert_allclose([inversion.base_m, inversion.top_m], [base_m, top_m], rtol=0, atol=0.5)
    assert_allclose(inversion.strength_k, strength_k, rtol=0, atol=0.051)  # rounding of 0.1 K


def test_duct_is_the_one_the_file_states():
    (duct,) = only("marine-duct.csv").report.ducts
    assert_allclose([duct.base_m, duct.top_m], [905, 942], rtol=0, atol=0.5)


@pytest.mark.parametrize("name", ["marine-inversion.csv", "marine-no-inversion.csv"])
def test_files_that_state_no_duct_have_none(name):
    assert only(name).report.ducts == ()


def test_control_holds_no_inversion():
    assert only("marine-no-inversion.csv").report.inversions == ()


def test_duct_makes_rays_bend_more_than_the_earth():
    """k = -r dn/dh over 1 at 905 to 942 m, by n of the levels as written, not by the kit's air."""
    pressure = np.array([91500.0, 91100.0])
    temperature = np.array([287.75, 294.15])
    humidity = air.saturation_vapour_pressure_pa(
        np.array([285.85, 283.15])
    ) / air.saturation_vapour_pressure_pa(temperature)
    drop = -np.diff(air.refractivity(570.0, temperature, pressure, humidity))[0]
    assert 6_371_000.0 * drop / 37.0 > 1.0


def test_archive_file_holds_two_ascents_with_the_levels_of_their_headers():
    night, noon = soundings.read(REAL / "arctic-coast-igra2.txt")
    assert [night.hour_utc, noon.hour_utc] == [0, 12]
    assert [night.height_m.size, noon.height_m.size] == [158, 157]
    assert str(night.date) == "2010-06-01"
    assert night.station == "USM00070026"
    assert_allclose([night.latitude_deg, night.longitude_deg], [71.2889, -156.7833], atol=1e-9)


def test_archive_records_carry_the_values_printed_in_them():
    night, _ = soundings.read(REAL / "arctic-coast-igra2.txt")
    # second record: `10    12 100000    90B   -7B  936     9 -9999 -9999`
    assert night.pressure_pa[1] == 100000.0
    assert night.geopotential_m[1] == 90.0
    assert_allclose(night.temperature_k[1], 272.45, rtol=0, atol=1e-9)
    assert_allclose(night.relative_humidity[1], 0.936, rtol=0, atol=1e-9)
    # last record: height and wind alone
    assert np.isnan(night.temperature_k[-1])
    assert night.line[-1] == 159


def test_header_without_levels_at_the_end_is_left_out_and_said():
    for sounding in soundings.read(REAL / "arctic-coast-igra2.txt"):
        assert "2010-06-02" in sounding.report.sentence()
        assert "left out" in sounding.report.sentence()


def test_arctic_inversions_are_weak_and_elevated():
    """Between the records 97290 Pa and 94980 Pa at 00 UTC, 95680 and 94460 at 12 UTC."""
    night, noon = (s.report.inversions for s in soundings.read(REAL / "arctic-coast-igra2.txt"))
    assert [(round(i.base_m), round(i.top_m), round(i.strength_k, 1)) for i in night + noon] == [
        (309, 500, 1.7),
        (428, 530, 1.1),
    ]


STANDARD_LEVELS_HPA = [1000, 925, 850, 700, 500, 400, 300, 250, 200, 150, 100]


@pytest.mark.parametrize("name", sorted(p.name for p in REAL.glob("*.csv")))
def test_hydrostatic_pressure_meets_the_measured_one(name):
    """At the standard pressure levels: heights there are rounded to 10 gpm above 500 hPa."""
    sounding = only(name)
    measured = np.isin(sounding.pressure_pa, 100.0 * np.array(STANDARD_LEVELS_HPA))
    assert measured.sum() >= 10
    pressure = sounding.atmosphere().at(sounding.height_m[measured])[1]
    assert_allclose(pressure, sounding.pressure_pa[measured], rtol=1e-3, atol=30.0)


@pytest.mark.parametrize("at", [0, 1])
def test_hydrostatic_pressure_meets_every_measured_one_of_the_archive(at):
    sounding = soundings.read(REAL / "arctic-coast-igra2.txt")[at]
    measured = np.isfinite(sounding.pressure_pa)
    pressure = sounding.atmosphere().at(sounding.height_m[measured])[1]
    # 1 gpm of rounding is 0.12 hPa at the ground
    assert_allclose(pressure, sounding.pressure_pa[measured], rtol=2e-4, atol=12.0)


@pytest.mark.parametrize("name", sorted(p.name for p in REAL.glob("*.csv")))
def test_merged_levels_are_apart_and_keep_the_mean_temperature(name):
    sounding = only(name)
    atmosphere = sounding.atmosphere()
    inside = (atmosphere.height_m >= 137.0) & (atmosphere.height_m <= 12e3)
    assert np.diff(atmosphere.height_m[inside]).min() >= 30.0
    fine = np.arange(137.5, 12e3, 1.0)
    measured = np.interp(fine, sounding.height_m, sounding.temperature_k).reshape(-1)
    error = atmosphere.at(fine)[0] - measured
    kilometres = np.add.reduceat(error, np.arange(0, fine.size, 1000)) / 1000
    # half the dry-adiabatic mixing of 0.4 K, nothing systematic
    assert_allclose(kilometres, 0.0, atol=0.1)


def test_sentence_reads_as_words():
    sentence = only("marine-duct.csv").report.sentence()
    assert sentence.startswith(
        "Inversion from 850 to 1351 m, +9.6 K; a duct from 905 to 942 m, where light bends more"
    )
    control = only("marine-no-inversion.csv").report.findings()
    assert control == "No inversion of 1 K or more below 5 km; no duct."


def test_text_bytes_and_file_give_the_same_air():
    raw = (REAL / "marine-duct.csv").read_bytes()
    of_file = only("marine-duct.csv").atmosphere()
    for content in (raw, memoryview(raw), raw.decode(), raw.replace(b"\n", b"\r\n")):
        (sounding,) = soundings.parse(content, "chosen.csv")
        assert_allclose(sounding.atmosphere().pressure_pa, of_file.pressure_pa, rtol=1e-12)


def test_the_air_is_one_object():
    sounding = only("marine-duct.csv")
    assert sounding.atmosphere() is sounding.atmosphere()


def test_metadata_is_taken_from_the_comments():
    sounding = only("marine-duct.csv")
    assert sounding.title == "station 72293, 2016-07-04 00 UTC"
    assert (sounding.latitude_deg, sounding.longitude_deg) == (32.85, -117.12)
    assert "strong marine inversion" in sounding.description


def test_format_is_found_from_the_content(tmp_path):
    disguised = tmp_path / "ascent.csv"
    disguised.write_bytes((REAL / "arctic-coast-igra2.txt").read_bytes())
    assert len(soundings.read(disguised)) == 2


@pytest.mark.parametrize(
    ("geopotential_m", "geometric_m"),
    # US Standard Atmosphere 1976, table I: pairs of geopotential and geometric height
    [(1000, 1000), (5000, 5004), (11000, 11019), (20000, 20063), (32000, 32162), (47000, 47350)],
)
def test_geopotential_becomes_geometric(geopotential_m, geometric_m):
    rows = ["1013.25,0,15", f"{_standard_hpa(geopotential_m)},{geopotential_m},"]
    rows.insert(1, "898.7,1000,8.5")
    sounding = parsed(rows)
    assert_allclose(sounding.height_m[-1], geometric_m, rtol=0, atol=0.6)  # printed to 1 m


def _standard_hpa(geopotential_m):
    # US Standard Atmosphere 1976, table I, rounded: only its order matters here
    return {1000: 898.7, 5000: 540.2, 11000: 226.3, 20000: 54.7, 32000: 8.68, 47000: 1.11}[
        geopotential_m
    ]


def test_geometric_column_is_left_as_it_is():
    sounding = parsed(
        ["1013.25,0,15", "265.0,10000,-50"], "pressure_hpa,geometric_height_m,temperature_c\n"
    )
    assert_allclose(sounding.height_m, [0.0, 10000.0], atol=1e-6)


def test_column_order_and_units_do_not_matter():
    plain = parsed(standard_rows(range(0, 5000, 250)))
    rows = []
    for row in standard_rows(range(0, 5000, 250)):
        pressure, height, temperature = map(float, row.split(","))
        rows.append(f" {temperature + 273.15:.3f} , {pressure * 100:.1f},{height}")
    other = parsed(rows, "temperature_k,pressure_pa,geopotential_height_m\n")
    assert_allclose(other.atmosphere().pressure_pa, plain.atmosphere().pressure_pa, rtol=1e-6)


def test_standard_ascent_gives_the_published_standard():
    """US Standard Atmosphere 1976, table I: 5 km 255.68 K 54048 Pa; 32.162 km 228.65 K."""
    air_ = parsed(standard_rows(range(100, 11000, 200))).atmosphere()
    temperature, pressure, _ = air_.at([0.0, 5000.0, 10000.0])
    assert_allclose(temperature, [288.15, 255.68, 223.25], rtol=0, atol=0.01)
    assert_allclose(pressure, [101325.0, 54048.0, 26500.0], rtol=2e-4)
    top = air_.at([20063.0, 32162.0, 47350.0])[0]
    assert_allclose(top, STANDARD_TEMPERATURES_K[[2, 3, 4]], rtol=0, atol=0.2)
    assert_allclose(air_.height_m[-1], 86000.0, atol=1.0)


def test_air_below_the_lowest_level_goes_on_at_the_standard_lapse():
    air_ = only("marine-duct.csv").atmosphere()
    assert_allclose(air_.at(0.0)[0], 273.15 + 23.2 + 0.0065 * 137, rtol=0, atol=1e-6)


def test_levels_below_the_sea_are_left_out_and_said():
    rows = standard_rows([-120, -40, 0, 500, 1000])
    report = parsed(rows).report
    assert "2 levels below the sea left out" in report.sentence()


def test_warm_top_is_continued_with_the_standard_gradient():
    warm = parsed(standard_rows(range(0, 3001, 100), lambda h: 10.0)).atmosphere()
    assert_allclose(warm.at(9000.0)[0] - warm.at(4000.0)[0], -6.5 * 4.9902, atol=0.02)


def test_cold_top_stops_at_the_coldest_tropopause():
    cold = parsed(standard_rows(range(0, 1001, 100), lambda h: -70.0)).atmosphere()
    assert cold.temperature_k[cold.height_m < 11e3].min() == 190.0
    assert_allclose(cold.at(50e3)[0], 270.65, atol=0.1)  # the standard's own above 47 km


def test_repeated_levels_become_one_with_the_mean():
    rows = ["1000,100,15", "1000,100,16", "950,534,11", "950,524,11", "900,975,8"]
    sounding = parsed(rows)
    assert sounding.report.repeated == 2
    assert_allclose(sounding.atmosphere().at(100.0)[0], 288.65, atol=0.01)


def test_repeats_in_the_real_files_are_counted():
    """Equal pressures: 76.2 hPa in the one, 31.6 and 17.2 hPa in the other."""
    assert only("marine-inversion.csv").report.repeated == 1
    assert only("marine-no-inversion.csv").report.repeated == 2


def test_impossible_dewpoints_are_set_aside_and_counted():
    """In the file dewpoints above the temperature begin at 53.7 hPa: winds in a wrong column."""
    sounding = only("marine-inversion.csv")
    rows = (REAL / "marine-inversion.csv").read_text().splitlines()[3:]
    wrong = sum(float(r.split(",")[3]) > float(r.split(",")[2]) for r in rows)
    assert sounding.report.humidity_set_aside == wrong == 37
    assert sounding.atmosphere().at(25e3)[2] == 0.0


def test_dewpoint_and_relative_humidity_agree():
    """Dewpoint 13.9 degC at 25 degC is 50 % (WMO-No. 8, tables of vapour pressure: 15.88/31.67)."""
    of_dewpoint = parsed(
        ["1000,100,25,13.86", "900,990,18,"],
        "pressure_hpa,height_m,temperature_c,dewpoint_c\n",
    )
    assert_allclose(of_dewpoint.relative_humidity[0], 0.50, atol=0.002)
    of_percent = parsed(
        ["1000,100,25,50", "900,990,18,"],
        "pressure_hpa,height_m,temperature_c,relative_humidity_percent\n",
    )
    assert_allclose(of_percent.atmosphere().at(50.0)[2], 0.5, atol=1e-12)


def test_missing_cells_are_left_out_and_counted():
    rows = standard_rows(range(0, 3000, 300))
    rows[3] = rows[3].rsplit(",", 1)[0] + ","
    rows[5] = rows[5].rsplit(",", 1)[0] + ",-9999"
    report = parsed(rows).report
    assert (report.levels_read, report.missing) == (10, 2)


def test_missing_heights_follow_from_the_pressure():
    rows = standard_rows(range(0, 5001, 250))
    blanked = [
        ",".join([r.split(",")[0], "", r.split(",")[2]]) if i else r for i, r in enumerate(rows)
    ]
    sounding = parsed(blanked)
    assert sounding.report.heights_computed == 20
    assert_allclose(sounding.atmosphere().at(5000.0)[1], 54048.0, rtol=2e-4)


def test_noise_between_close_levels_makes_no_duct():
    """0.1 K steps every 3 m are 33 K/km either way; over 30 m they must vanish."""
    heights = range(0, 3000, 3)
    sounding = parsed(standard_rows(heights, lambda h: 0.1 * (-1) ** (h // 3)))
    report, air_ = sounding.report, sounding.atmosphere()
    assert report.merged == 900
    assert report.ducts == report.inversions == ()
    gradient = np.diff(air_.at(np.arange(0.0, 2900.0, 30.0))[0]) / 30.0
    assert_allclose(gradient, -0.0065, atol=0.002)


def test_superadiabatic_lapse_aloft_is_mixed_with_its_mean_kept():
    spoilt = standard_rows(range(0, 4001, 200), lambda h: {2000: 3.0}.get(h, 0.0))
    sounding = parsed(spoilt)
    air_ = sounding.atmosphere()
    lapse = -np.diff(air_.temperature_k) / np.diff(air_.height_m)
    # each 200 m may lose 0.75 K more than the standard: 3 K go as 1.75 + 1.00 + 0.25
    assert sounding.report.superadiabatic == 3
    assert_allclose(air_.at(2000.6)[0] - (288.15 - 13.0), 1.75, atol=0.05)
    assert lapse[(air_.height_m[:-1] > 100) & (air_.height_m[:-1] < 4000)].max() < 0.0103
    fine = np.arange(1000.0, 3000.0)
    written = np.interp(fine, sounding.height_m, sounding.temperature_k)
    assert_allclose(air_.at(fine)[0].mean(), written.mean(), atol=0.02)


def test_steep_lapse_over_warm_ground_is_kept():
    """Up to 500 m, unbroken from the lowest level: 20 K/km in the lowest 200 m here."""
    warm = parsed(standard_rows(range(0, 3000, 100), lambda h: max(0.0, 2.7 - 0.0135 * h)))
    assert warm.report.superadiabatic == 0
    assert_allclose(warm.atmosphere().at([0.0, 100.0])[0], [290.85, 288.85], atol=0.01)


def test_unbroken_steep_lapse_higher_than_warm_ground_reaches_is_mixed():
    deep = parsed(standard_rows(range(0, 3000, 100), lambda h: -0.006 * min(h, 1500.0)))
    air_ = deep.atmosphere()
    lapse = -np.diff(air_.temperature_k) / np.diff(air_.height_m)
    above = (air_.height_m[:-1] > 550) & (air_.height_m[:-1] < 2900)
    assert deep.report.superadiabatic > 5
    assert lapse[above].max() < 0.0109  # 9.8 K/km and 0.1 K in 100 m


def test_pressure_hangs_on_the_lowest_measured_level():
    air_ = parsed(["1003.2,48,12", ",500,9", "898.7,988,8"]).atmosphere()
    assert_allclose(air_.at(48.0)[1], 100320.0, rtol=1e-5)


def test_thin_inversion_is_reported_but_merged():
    rows = ["1000,100,15", "997,125,15", "996,133,17", "994,150,17", "900,990,9"]
    sounding = parsed(rows)
    assert round(sounding.report.inversions[0].strength_k, 1) == 2.0
    assert np.diff(sounding.atmosphere().height_m)[1:4].min() >= 30.0


def test_arrays_of_a_sounding_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        only("marine-duct.csv").temperature_k[0] = 0.0


def test_numbers_of_full_precision_are_read():
    sounding = parsed(["1000.0000000000001,1e2,1.4999999999999998E1", "900,991.,.5"])
    assert_allclose(sounding.temperature_k, [288.15, 273.65], rtol=0, atol=1e-12)


@pytest.mark.parametrize(
    ("dip_k", "layers"), [(0.2, [(500, 800)]), (0.5, [(500, 600), (700, 800)])]
)
def test_a_dip_of_sensor_noise_does_not_end_an_inversion(dip_k, layers):
    change = {600: 2.0, 700: 2.0 - dip_k, 800: 4.0}  # kelvins over the value at 500 m
    rows = standard_rows(
        range(0, 3000, 100), lambda h: change.get(h, 0.0) + 0.0065 * (h - 500) * (h in change)
    )
    found = parsed(rows).report.inversions
    assert [(round(i.base_m), round(i.top_m)) for i in found] == layers


def test_rows_of_one_height_become_one_level():
    sounding = parsed(["1000,100,15", "950.2,534,12", "949.8,534,12.4", "900,985,9"])
    assert sounding.report.repeated == 1
    assert_allclose(sounding.atmosphere().at(534.0)[0], 285.35, atol=0.01)
