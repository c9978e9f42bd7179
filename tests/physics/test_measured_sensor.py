"""A camera's own curves: read back they are the table's, and odd tables are refused."""

import numpy as np
import pytest

from lowsun.errors import InputFileError
from lowsun.physics import measured_sensor, sensors

NM = np.arange(380.0, 831.0, 1.0)  # the curves have a kink, which straight lines round off


def written(path, sensor, wavelength_nm=NM):
    rows = np.column_stack([wavelength_nm, sensor.response(wavelength_nm)])
    lines = [",".join(f"{value:.9g}" for value in row) for row in rows]
    path.write_text("# measured\nwavelength_nm,red,green,blue\n" + "\n".join(lines), "utf-8-sig")
    return path


@pytest.mark.parametrize("sensor", [sensors.STOCK, sensors.INFRARED_CUT_REMOVED])
def test_a_sensor_written_as_a_table_comes_back(tmp_path, sensor):
    read = measured_sensor.read(written(tmp_path / "curves.csv", sensor))
    assert read.infrared_cut == sensor.infrared_cut
    bands = np.linspace(400, 700, 24)
    np.testing.assert_allclose(read.weights(bands), sensor.weights(bands), rtol=0.02, atol=0.2)
    np.testing.assert_allclose(read.matrix, sensor.matrix, atol=0.01)
    np.testing.assert_allclose(read.white_balance, sensor.white_balance, rtol=1e-3)


def test_beyond_its_table_a_sensor_sees_nothing(tmp_path):
    short = np.arange(420.0, 681.0, 10.0)
    read = measured_sensor.read(written(tmp_path / "curves.csv", sensors.STOCK, short))
    assert np.all(read.response([400.0, 700.0]) == 0)
    assert np.all(read.response(550.0) > 0)


GOOD = "wavelength_nm,red,green,blue\n" + "".join(
    f"{nm},{red},1,1\n" for nm, red in zip(range(400, 800, 40), range(10), strict=True)
)


@pytest.mark.parametrize(
    ("text", "match"),
    [
        (GOOD.replace("red", "R"), "first line must be wavelength_nm,red,green,blue"),
        ("", "first line must be"),
        (GOOD.replace("400,", "950,"), "must rise within 300"),
        (GOOD.replace(",3,", ",-3,"), "below 0"),
        (GOOD.replace(",3,", ",x,"), "not a table of curves"),
        (GOOD.replace(",3,", ",nan,"), "finite"),
        ("\n".join(GOOD.split("\n")[:5]), "8 lines or more"),
        (GOOD.replace(",1,1\n", ",1,0\n"), "blue sees no light"),
        (GOOD.replace(",1,1\n", ",1\n"), "four numbers"),
    ],
)
def test_odd_tables_are_refused(tmp_path, text, match):
    path = tmp_path / "curves.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(InputFileError, match=match):
        measured_sensor.read(path)
