"""The table of outside values: its rows, how they are compared, and how they are told."""

import pytest

from lowsun.__main__ import main
from lowsun.errors import InputError, InputFileError
from lowsun.proof import (
    Comparison,
    compared,
    comparisons,
    outside,
    sources,
    telling,
)
from lowsun.proof.measures import MEASURES, camera, course, twilight
from lowsun.proof.outside import KINDS, Allowed
from outside_rows import VALUES, name_of, require_held, rows_of


@pytest.mark.parametrize("value", rows_of(camera, course, twilight), ids=name_of)
def test_ours_is_within_what_is_allowed_and_three_allowances_off_it_would_not_be(value):
    # The rows of light and air are run in tests/physics.
    require_held(value)


def test_every_source_is_used_and_says_what_it_is():
    assert {value.source.name for value in VALUES} == set(sources())
    assert {source.kind for source in sources().values()} <= set(KINDS)
    assert all(source.citation and "memory" not in source.citation for source in sources().values())


def test_every_measure_is_compared_and_no_value_twice():
    assert {value.measure for value in VALUES} == set(MEASURES)
    rows = [(value.measure, str(value.given), value.source.name) for value in VALUES]
    assert len(set(rows)) == len(rows) > 200


def test_allowances_say_what_they_are_made_of():
    assert [name_of(value) for value in VALUES if not value.because] == []


@pytest.mark.parametrize(
    ("allowed", "ours", "theirs", "used"),
    [
        (Allowed("by", 0.5), 10.25, 10.0, 0.5),
        (Allowed("share", 0.02), 51.0, 50.0, 1.0),
        (Allowed("factor", 2.0), 5.0, 10.0, 1.0),
        (Allowed("range", 1.5), 6.0, 4.5, 1.0),
    ],
)
def test_share_of_the_allowance_by_hand(allowed, ours, theirs, used):
    assert allowed.used(ours, theirs) == pytest.approx(used)


def test_what_gives_no_number_fails():
    row = Comparison(VALUES[0], float("nan"))
    assert not row.holds
    assert telling.ours_text(row) == "none"


def test_worst_comes_first_and_stands_for_its_kind():
    rows = comparisons(["dip_arcmin", "air_mass"])
    assert [row.used for row in rows] == sorted((row.used for row in rows), reverse=True)
    worst = telling.worst_of_each(rows)
    assert {row.outside.measure for row in worst} == {"dip_arcmin", "air_mass"}
    assert worst[0] is rows[0]
    with pytest.raises(InputError, match="'dip' is no quantity compared; there are: refractivity"):
        comparisons(["dip"])
    with pytest.raises(InputError, match="measures is 5; give a list of names"):
        comparisons(5)
    with pytest.raises(InputError, match="value is 'dip'; give an Outside"):
        compared("dip")


def test_one_measure_is_compared_by_its_name():
    assert comparisons("ozone_depth") == comparisons(["ozone_depth"])
    assert comparisons("ozone_depth")


def test_texts_of_a_row_by_hand():
    value = next(value for value in VALUES if value.measure == "air_mass")
    row = Comparison(value, 38.5)
    assert telling.cells(row) == (
        "air mass, apparent altitude 0°",
        "38.5000",
        "37.920",
        "+1.5 %",
        "± 3 %",
        "published models spread over 36.5 to 38.7 on the horizon",
        "Kasten & Young 1989, Applied Optics 28, 4735",
    )


def test_powers_of_ten_are_written_out():
    value = next(value for value in VALUES if value.measure == "rayleigh_cm2")
    assert telling.ours_text(Comparison(value, 1.67e-26)) == "1.670000 × 10⁻²⁶ cm²"


def test_a_table_for_a_notebook_counts_its_values():
    table = telling.told(comparisons(["dip_arcmin"]))
    assert table.splitlines()[-1].endswith("root of the metres (4 values) |")


def test_a_spoilt_line_is_named(monkeypatch):
    spoilt = {"measure": "dip_arcmin", "given": "eye_height_m=2", "outside": "2,5", "allowed": "1"}
    monkeypatch.setattr(outside, "_rows", lambda name: [spoilt | {"source": "x", "because": ""}])
    with pytest.raises(InputFileError, match="the line of dip_arcmin, eye_height_m=2, cannot be"):
        outside.outside_values.__wrapped__()


def test_the_command_prints_and_writes_the_table(tmp_path, capsys):
    page = tmp_path / "table.md"
    assert main(["compare", "dip_arcmin", "--every", "--markdown", str(page)]) == 0
    printed = capsys.readouterr().out
    assert printed.count("good  ") == 4
    assert "4 values of 1 sources: all within what is allowed." in printed
    assert page.read_text(encoding="utf-8").count("| dip of the sea horizon") == 4
    assert main(["compare", "dip_arcmin", "--markdown", str(page)]) == 1  # left as it is
    assert "already there" in capsys.readouterr().err


def test_the_command_fails_where_a_value_does(monkeypatch, capsys):
    monkeypatch.setattr("lowsun.proof.measures.rays.horizon_dip_arcmin", lambda air, eye: 9.0)
    assert main(["compare", "dip_arcmin"]) == 1
    assert "FAILED  dip of the sea horizon" in capsys.readouterr().out
