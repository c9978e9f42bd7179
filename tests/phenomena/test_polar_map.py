"""The map of all latitudes and days: held to single sunsets, and run by every kind of executor."""

import subprocess
import sys
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from dask.distributed import Client, LocalCluster
from numpy.testing import assert_allclose, assert_array_equal

from lowsun.errors import InputError, OutOfRangeError, OutputFileError
from lowsun.phenomena.polar_sunset import SunsetMap, contacts, green_rim, shipped_map, sunset_map
from lowsun.phenomena.polar_sunset.sweep import band
from lowsun.physics.atmosphere import Atmosphere
from lowsun.sky import KINDS, UP_KINDS, Kind

LATITUDES = [-90.0, -78.6, -40.0, 0.0, 38.0, 66.0, 70.0, 80.0, 89.0, 90.0]
FIRST, DAYS = date(2027, 9, 10), 30
SETS = KINDS.index(Kind.SETS)


class Here:
    """An executor that runs each task at once, in this thread."""

    def submit(self, function, *arguments):
        task = Future()
        task.set_result(function(*arguments))
        return task


def small_map(**how):
    return sunset_map(FIRST, DAYS, LATITUDES, progress=False, **how)


@pytest.fixture(scope="module")
def here():
    return small_map(executor=Here())


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ({"first_day": "2027-01-01"}, "date is '2027-01-01'"),
        ({"first_day": datetime(2027, 1, 1)}, "date is datetime"),
        ({"first_day": date(3000, 1, 1)}, "covers 1899 to 2053"),
        ({"executor": "two"}, "executor is 'two'; give a concurrent.futures executor"),
        ({"executor": ThreadPoolExecutor}, "executor is"),
        ({"progress": "no"}, "progress is 'no'"),
    ],
)
def test_what_is_no_day_or_executor_is_refused(how, says):
    with pytest.raises((InputError, OutOfRangeError), match=says):
        sunset_map(**{"first_day": FIRST, "days": 1, "latitude_deg": [0.0]} | how)


def assert_same(one, other):
    for name in ("latitude_deg", "length_s", "rim_s", "kind"):
        assert_array_equal(getattr(one, name), getattr(other, name))
    assert one.first_day == other.first_day


def test_every_cell_is_the_sunset_of_that_date_and_latitude(here):
    # Places at longitude 0 keep local dates: compared where those are UTC's.
    for row, latitude in enumerate(LATITUDES):
        for column, day in enumerate(here.days):
            passage = contacts(latitude, day)
            if str(passage.place.timezone) not in ("UTC", "Etc/GMT-0", "Etc/GMT+0", "Etc/GMT"):
                continue
            own = passage.centre is not None and passage.centre.date() == day
            assert (here.kind[row, column] == SETS) == own
            if own and passage.length_s is not None:
                assert_allclose(here.length_s[row, column], passage.length_s, rtol=0, atol=1e-3)
            assert KINDS[here.kind[row, column]] == passage.day.kind


def test_some_places_keep_utc():
    zones = [str(contacts(latitude, FIRST).place.timezone) for latitude in LATITUDES]
    assert sum(zone in ("UTC", "Etc/GMT-0", "Etc/GMT+0", "Etc/GMT") for zone in zones) >= 5


@pytest.mark.parametrize("latitude", [0.0, 70.0, 89.0, 90.0])
def test_rims_are_those_of_single_evenings(here, latitude):
    row = LATITUDES.index(latitude)
    for column in np.flatnonzero(np.isfinite(here.rim_s[row])):
        passage = contacts(latitude, here.days[column])
        if passage.last_sliver is None:
            continue
        margin = timedelta(hours=1)
        rim = green_rim(passage.place, passage.middle, passage.last_sliver + margin)
        assert_allclose(here.rim_s[row, column], rim.longest_s, rtol=0, atol=1e-3)


def test_what_has_no_sunset_has_no_length(here):
    assert np.isnan(here.length_s[here.kind != SETS]).all()
    assert np.isfinite(here.length_s[LATITUDES.index(0.0)]).all()
    assert np.isfinite(here.length_s[LATITUDES.index(90.0)]).sum() == 1
    assert (here.kind[LATITUDES.index(-90.0)] != SETS).all()


@pytest.mark.parametrize(
    "pool",
    [lambda: ThreadPoolExecutor(2), lambda: ProcessPoolExecutor(2)],
    ids=["threads", "procs"],
)
def test_any_executor_gives_the_same_map(here, pool):
    with pool() as executor:
        assert_same(small_map(executor=executor), here)


def test_processes_by_default_give_the_same_map(here):
    assert_same(small_map(workers=2), here)


def test_a_dask_cluster_of_two_workers_gives_the_same_map(here):
    with (
        LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address=None,
        ) as cluster,
        Client(cluster) as client,
    ):
        assert_same(small_map(executor=client.get_executor()), here)
        workers = client.scheduler_info()["workers"]
        assert len(workers) == 2
        assert all(address.startswith("tcp://127.0.0.1:") for address in workers)


def test_progress_is_shown(capsys):
    sunset_map(FIRST, 1, [0.0, 40.0], executor=Here())
    assert "2/2" in capsys.readouterr().err
    sunset_map(FIRST, 1, [0.0, 40.0], executor=Here(), progress=False)
    assert capsys.readouterr().err == ""


class Breaking:
    """An executor whose first task fails and whose others wait."""

    def __init__(self):
        self.tasks = []

    def submit(self, *_):
        task = Future()
        if not self.tasks:
            task.set_exception(RuntimeError("a worker is lost"))
        self.tasks.append(task)
        return task


def test_an_error_stops_what_still_waits():
    pool = Breaking()
    with pytest.raises(RuntimeError, match="a worker is lost"):
        small_map(executor=pool)
    assert len(pool.tasks) == 3
    assert all(task.cancelled() for task in pool.tasks[1:])


def test_air_changes_the_map(here):
    cold = small_map(executor=Here(), atmosphere=Atmosphere.standard(temperature_k=230.0))
    row, both = LATITUDES.index(0.0), (cold.kind == SETS) & (here.kind == SETS)
    assert both.any()
    assert (cold.rim_s[row] > here.rim_s[row]).all()  # denser air disperses more


def test_a_map_is_kept_and_read_back(here, tmp_path):
    path = tmp_path / "map.npz"
    here.save(path)
    again = SunsetMap.load(path)
    assert again.first_day == here.first_day
    assert_array_equal(again.kind, here.kind)
    assert_allclose(again.length_s, here.length_s, rtol=1e-6)
    with pytest.raises(OutputFileError, match="already there and was left as it is"):
        here.save(path)
    here.save(path, overwrite=True)
    assert [one.name for one in tmp_path.iterdir()] == ["map.npz"]


def test_the_command_writes_a_map(tmp_path):
    path = tmp_path / "three.npz"
    command = [sys.executable, "-m", "lowsun.phenomena.polar_sunset", str(path)]
    subprocess.run([*command, "--days", "1", "--workers", "1"], check=True, capture_output=True)
    made = SunsetMap.load(path)
    assert made.kind.shape == (181, 1)
    column = shipped_map().column(date(2027, 1, 1))
    assert_array_equal(made.kind[:, 0], shipped_map().kind[:, column])
    refused = subprocess.run([*command, "--days", "1"], capture_output=True, text=True, check=False)
    assert refused.returncode != 0
    assert "already there" in refused.stderr


def test_the_shipped_map_is_what_the_kit_computes():
    shipped = shipped_map()
    assert shipped.kind.shape == (181, 365)
    rows = np.array([0, 12, 90, 128, 156, 179, 180])
    column = shipped.column(date(2027, 9, 20))
    fresh = sunset_map(
        date(2027, 9, 20), 7, shipped.latitude_deg[rows], executor=Here(), progress=False
    )
    span = np.ix_(rows, range(column, column + 7))
    assert_array_equal(shipped.kind[span], fresh.kind)
    assert_allclose(shipped.length_s[span], fresh.length_s, rtol=1e-4)
    assert_allclose(shipped.rim_s[span], fresh.rim_s, rtol=1e-3)


def test_the_map_says_what_the_poles_are_known_for():
    shipped = shipped_map()
    hours, minutes = shipped.length_s / 3600, shipped.rim_s / 60
    north, south, equator = 180, 0, 90
    assert np.isfinite(hours[[north, south]]).sum(axis=1).tolist() == [1, 1]  # one sunset a year
    assert_allclose(np.nanmax(hours[[north, south]], axis=1), 32.5, rtol=0.02)
    assert_allclose(np.nanmin(60 * hours[equator]), 128 / 60, rtol=0.02)
    assert np.nanmax(60 * minutes[equator]) < 1.2
    assert np.nanmin(minutes[[north, south]]) > 10
    centre_up = shipped.does(*UP_KINDS)[north].sum() / 365
    assert 0.5 < centre_up < 0.53  # air and the Earth's slow July give the north more light


def test_columns_of_dates():
    shipped = shipped_map()
    assert shipped.column(date(2027, 3, 1)) == 59
    assert shipped.column(date(1999, 3, 1)) == 59
    assert shipped.column(date(2024, 2, 29)) == 58
    with pytest.raises(InputError, match=r"day is 'May'; give a datetime\.date"):
        shipped.column("May")


def test_a_short_map_refuses_other_dates(here):
    with pytest.raises(InputError, match=r"day is 2027-03-01; the map holds 2027-09-10 to"):
        here.column(date(2027, 3, 1))


@pytest.mark.parametrize(
    ("asked", "refusal", "message"),
    [
        ({"days": 0}, OutOfRangeError, r"days is 0; allowed is 1 to 366"),
        ({"days": 400}, OutOfRangeError, r"days is 400; allowed is 1 to 366"),
        ({"latitude_deg": [0, 91]}, OutOfRangeError, r"latitude_deg is 91 deg"),
        ({"latitude_deg": [np.nan]}, OutOfRangeError, r"latitude_deg is nan"),
        ({"latitude_deg": []}, InputError, r"shaped \(0,\); give a list of latitudes"),
        ({"workers": 0}, OutOfRangeError, r"workers is 0; allowed is 1 to 256"),
        ({"first_day": date(2053, 12, 1)}, OutOfRangeError, r"covers 1899-.* to 2053"),
    ],
)
def test_maps_there_are_not(asked, refusal, message):
    with pytest.raises(refusal, match=message):
        sunset_map(**{"days": 1, "progress": False} | asked)


def test_bands_of_latitudes_join_without_a_seam():
    whole = band(np.array(LATITUDES), 0.0, 10, (-0.6, -0.61, -0.606))
    alone = band(np.array(LATITUDES[8:9]), 0.0, 10, (-0.6, -0.61, -0.606))
    for name, values in alone.items():
        assert_array_equal(whole[name][8:9], values)
